package vehicle

import (
	"math"

	"packyard/unit"
)

// Moment is the first moment of a mass about a line of the vehicle frame, in
// kg·m: the mass of an item times its coordinate, added up over the items.
type Moment float64

// KilogramMetres returns the value in kg·m.
func (m Moment) KilogramMetres() float64 { return float64(m) }

// Balance gives axle loads as linear functions of the battery's mass and
// moments, for searches that ask hundreds of thousands of times. It is built
// once from a donor; its methods allocate nothing and are safe for concurrent use.
//
//	rear  = rear₀ + Mx/L
//	front = front₀ + m − Mx/L
//
// with rear₀ and front₀ the converted vehicle without a battery.
type Balance struct {
	wheelbase                  float64 // m
	tracks                     [2]float64
	front, rear                float64 // converted without battery, kg
	latFro, latRea             float64 // kg·m
	loadMass                   float64 // largest total of a load case, kg
	loadFront, loadRear        float64 // largest addition of a load case to the axle, kg, not below zero
	grossMax, frontMax, rearMx float64 // ratings, +Inf when not given
}

// NewBalance returns the balance of d, its load cases included.
// Errors: ErrGeometry, ErrItem; not ErrNegativeLoad, since the battery is still to come.
func NewBalance(d *Donor) (*Balance, error) {
	if err := d.Validate(); err != nil {
		return nil, err
	}
	bare := d.Converted(nil)
	q := sumsOf(bare)
	b := &Balance{
		wheelbase: d.Wheelbase.Metres(),
		tracks:    [2]float64{d.TrackFront.Metres(), d.TrackRear.Metres()},
		front:     bare.AxleFront.Kilograms(), rear: bare.AxleRear.Kilograms(),
		latFro: q.latFro, latRea: q.latRea,
		grossMax: rating(d.Ratings.GrossMass), frontMax: rating(d.Ratings.AxleFront), rearMx: rating(d.Ratings.AxleRear),
	}
	for _, c := range d.LoadCases {
		l := d.Loaded(bare, c)
		b.loadMass = math.Max(b.loadMass, (l.Mass - bare.Mass).Kilograms())
		b.loadFront = math.Max(b.loadFront, (l.AxleFront - bare.AxleFront).Kilograms())
		b.loadRear = math.Max(b.loadRear, (l.AxleRear - bare.AxleRear).Kilograms())
	}
	return b, nil
}

func rating(m unit.Mass) float64 {
	if m == 0 {
		return math.Inf(1)
	}
	return m.Kilograms()
}

// Axles returns the axle loads of the converted vehicle, no load case on top,
// with a battery of the given mass and moment about the front axle line. Equal
// to Converted with the same items but for rounding.
func (b *Balance) Axles(mass unit.Mass, momentX Moment) (front, rear unit.Mass) {
	r := float64(momentX) / b.wheelbase
	return unit.Mass(b.front + float64(mass) - r), unit.Mass(b.rear + r)
}

// AxlesLoaded returns the largest load that each axle sees in any load case,
// the curb state included. The two need not come from the same case.
func (b *Balance) AxlesLoaded(mass unit.Mass, momentX Moment) (front, rear unit.Mass) {
	front, rear = b.Axles(mass, momentX)
	return front + unit.Mass(b.loadFront), rear + unit.Mass(b.loadRear)
}

// Mass returns the mass of the converted vehicle with a battery of the given
// mass, and its largest mass in any load case.
func (b *Balance) Mass(battery unit.Mass) (curb, loaded unit.Mass) {
	m := b.front + b.rear + float64(battery)
	return unit.Mass(m), unit.Mass(m + b.loadMass)
}

// Wheels returns the wheel loads of the converted vehicle, no load case on top.
// momentXY is Σ m·x·y of the battery items in kg·m²; it says on which axle the
// lateral moment momentY acts.
func (b *Balance) Wheels(mass unit.Mass, momentX, momentY Moment, momentXY unit.Inertia) (frontLeft, frontRight, rearLeft, rearRight unit.Mass) {
	front, rear := b.Axles(mass, momentX)
	behind := float64(momentXY) / b.wheelbase
	frontLeft, frontRight = wheels(float64(front), b.latFro+float64(momentY)-behind, b.tracks[0])
	rearLeft, rearRight = wheels(float64(rear), b.latRea+behind, b.tracks[1])
	return frontLeft, frontRight, rearLeft, rearRight
}

// Margins are the margins (limit − value)/limit against the ratings; a rating
// that was not given has margin 1.
type Margins struct{ Gross, AxleFront, AxleRear unit.Ratio }

// Least returns the smallest of the margins.
func (m Margins) Least() unit.Ratio { return min(m.Gross, m.AxleFront, m.AxleRear) }

// Margins returns the margins against gross mass and axle ratings, each at its
// worst load case.
func (b *Balance) Margins(mass unit.Mass, momentX Moment) Margins {
	front, rear := b.AxlesLoaded(mass, momentX)
	_, gross := b.Mass(mass)
	return Margins{margin(float64(gross), b.grossMax), margin(float64(front), b.frontMax), margin(float64(rear), b.rearMx)}
}

func margin(value, limit float64) unit.Ratio {
	if math.IsInf(limit, 1) {
		return 1
	}
	return unit.Ratio((limit - value) / limit)
}

// Room returns the largest battery mass that ratings and load cases leave when
// the battery's centre of gravity is at x, and whether any rating bounds it. It
// is zero when there is no room. A front axle is only relieved by a battery
// behind the rear axle, and a rear axle by one before the front axle: such an
// axle does not bound the mass, unless it is over its rating already.
func (b *Balance) Room(x unit.Length) (most unit.Mass, bounded bool) {
	share := x.Metres() / b.wheelbase
	room := b.grossMax - (b.front + b.rear + b.loadMass)
	room = min(room, axleRoom(b.frontMax-b.front-b.loadFront, 1-share))
	room = min(room, axleRoom(b.rearMx-b.rear-b.loadRear, share))
	if math.IsInf(room, 1) {
		return 0, false
	}
	return unit.Mass(math.Max(room, 0)), true
}

// axleRoom returns the mass that uses up left kg of an axle at the given share.
func axleRoom(left, share float64) float64 {
	switch {
	case left < 0 && share <= 0:
		return 0
	case share <= 0:
		return math.Inf(1)
	}
	return left / share
}
