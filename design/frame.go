package design

import (
	"errors"
	"fmt"
	"math"
	"math/bits"

	"packyard/bay"
	"packyard/cell"
	"packyard/check"
	"packyard/drive"
	"packyard/pack"
	"packyard/part"
	"packyard/unit"
	"packyard/vehicle"
)

// Errors of a brief that cannot be computed with.
var (
	ErrBrief    = errors.New("brief is not complete")
	ErrNoSource = errors.New("no source can be searched")
)

// Frame is everything about a brief that does not depend on the option: cell
// tables at the days of the brief, axle loads as linear functions, what the
// schedule asks for over the vehicle's mass. It is read only after NewFrame and
// may be shared between goroutines.
type Frame struct {
	Brief *Brief
	Lots  []Lot // by source

	balance    *vehicle.Balance
	limitFront float64 // kg, the smaller of axle rating and two tyres, 0: none
	limitRear  float64
	bays       []bayFrame
	sets       []setFrame // by set of bays, bit b for bay b
	aux        unit.Power
	rotating   unit.Mass
	duty       *duty
}

// bayFrame is what evaluation needs to know of a bay.
type bayFrame struct {
	centre  vehicle.Point
	boxMass float64 // kg
	limit   float64 // kg, 0: none
}

// setFrame is what several bays have together.
type setFrame struct {
	boxes   float64 // kg, of the battery boxes
	moment  float64 // kg·m, of the battery boxes about the front axle
	limit   float64 // kg, of the mass limits
	limited bool    // every bay of the set has one
}

// baysMost bounds the bays of a brief: the sets of them are listed.
const baysMost = 12

// Lot is one source with what can be built of it.
type Lot struct {
	Slice    cell.Slice
	Hardware *cell.Hardware // nil: modules stay as they came
	Pieces   float64        // slices in one piece; dimensionless
	Why      string         // why the source is not searched, empty when it is
	Price    float64        // of one piece, in the project's currency
	New, End Life           // as bought, and at the planned end of life
}

// Life is a lot at one state of health.
type Life struct {
	Health  cell.Health
	Ambient *cell.Table   // at the temperature of the range runs
	Cold    *cell.Table   // on the coldest day
	Lumped  *drive.Lumped // at the temperature of the range runs

	floorCold, floor, low, half source  // of one cell
	energy                      float64 // J, of one cell between floor and full, no current
}

// source is one cell seen as an electromotive force behind its pulse resistance.
type source struct{ emf, r float64 } // V, Ω

// NewFrame prepares a brief. Errors: ErrBrief with what is missing,
// ErrNoSource when no source has a sourced curve, those of drive.
func NewFrame(b *Brief) (*Frame, error) {
	switch {
	case b.Drive.Unit == nil || b.Drive.Inverter == nil:
		return nil, fmt.Errorf("%w: drive unit and inverter are needed", ErrBrief)
	case b.Targets.Schedule == nil:
		return nil, fmt.Errorf("%w: a wanted schedule is needed", ErrBrief)
	case len(b.Bays) == 0 || len(b.Sources) == 0:
		return nil, fmt.Errorf("%w: at least one bay and one source are needed", ErrBrief)
	case len(b.Bays) > baysMost:
		return nil, fmt.Errorf("%w: %d bays, at most %d are looked at", ErrBrief, len(b.Bays), baysMost)
	}
	bal, err := vehicle.NewBalance(&b.Donor)
	if err != nil {
		return nil, err
	}
	f := &Frame{Brief: b, balance: bal}
	r := b.Donor.Ratings
	f.limitFront = least(r.AxleFront, 2*r.TyreFront)
	f.limitRear = least(r.AxleRear, 2*r.TyreRear)
	f.aux, _ = b.Drive.Auxiliary.PackPower(b.Drive.Converter, b.Road.Ambient)
	ratio := 1.0
	for _, st := range f.Stages() {
		ratio *= st.Ratio
	}
	if f.rotating, err = vehicle.RotatingMass(b.Donor.Rotating(b.Drive.Unit.Inertia, unit.Ratio(ratio))); err != nil {
		return nil, err
	}
	if err := f.frameBays(); err != nil {
		return nil, err
	}
	if err := f.frameLots(); err != nil {
		return nil, err
	}
	return f, f.frameDuty()
}

// least returns the smaller of two masses of which zero means none.
func least(a, b unit.Mass) float64 {
	switch {
	case a == 0:
		return float64(b)
	case b == 0:
		return float64(a)
	}
	return float64(min(a, b))
}

// boxFittings is the mass of flanges, brackets, seals and screws of a battery
// box as a share of its sheet: an assumption, recorded with the box mass.
const boxFittings = unit.Ratio(0.3)

// frameBays finds centre and box mass of each bay.
func (f *Frame) frameBays() error {
	for i := range f.Brief.Bays {
		b := &f.Brief.Bays[i]
		if err := b.Validate(); err != nil {
			return err
		}
		mass := b.BoxMass
		if mass == 0 {
			var err error
			wall := bay.Wall{Thickness: f.Brief.Build.BoxSheet, Density: f.Brief.Build.BoxDensity, Fittings: boxFittings}
			if mass, err = b.EstimateBoxMass(wall, &f.Brief.Assumed); err != nil {
				return fmt.Errorf("bay %s: %w", b.Name, err)
			}
		}
		_, centre := b.Centre(nil, nil)
		f.bays = append(f.bays, bayFrame{centre: centre, boxMass: float64(mass), limit: float64(b.MassLimit)})
	}
	f.sets = make([]setFrame, 1<<len(f.bays))
	f.sets[0].limited = true
	for set := uint(1); set < 1<<len(f.bays); set++ {
		b, rest := &f.bays[bits.TrailingZeros(set)], f.sets[set&(set-1)]
		f.sets[set] = setFrame{
			boxes: rest.boxes + b.boxMass, moment: rest.moment + b.boxMass*float64(b.centre.X),
			limit: rest.limit + b.limit, limited: rest.limited && b.limit > 0,
		}
	}
	return nil
}

// tableSize is the number of charges of a cell table: 1 % steps would do for
// resistance; the steep foot of the OCV asks for a quarter of that.
const tableSize = 401

// frameLots prepares the cell tables of each source.
func (f *Frame) frameLots() error {
	b, any := f.Brief, false
	for i := range b.Sources {
		s := &b.Sources[i]
		l := Lot{Hardware: s.hardware(), Price: s.Price.Amount, Pieces: 1}
		var c *cell.Cell
		if s.Module != nil {
			l.Slice, l.Pieces = s.Module.Slice, float64(s.Module.Slices())
			c = s.Module.Slice.Cell
			if !s.Price.IsGiven() {
				l.Price = s.Module.Price.Amount
			}
		} else {
			l.Slice = cell.SliceOf(s.Cell, s.Hardware)
			c = s.Cell
			l.Pieces = 1 / float64(l.Slice.Parallel*l.Slice.Series)
			if !s.Price.IsGiven() {
				l.Price = s.Cell.Price.Amount
			}
		}
		switch {
		case c.Curves == nil:
			l.Why = "no sourced open-circuit voltage curve for its chemistry"
		case s.Count <= s.Spare:
			l.Why = "no piece is left beside the spares"
		case s.Kind == LooseCells && s.Hardware == nil:
			l.Why = "no module hardware stated for loose cells"
		default:
			any = true
			var err error
			if l.New, err = f.life(c, s.Health); err != nil {
				return fmt.Errorf("source %s: %w", s.Name, err)
			}
			if l.End, err = f.life(c, endOf(s.Health, b.Targets.EndOfLife)); err != nil {
				return fmt.Errorf("source %s at end of life: %w", s.Name, err)
			}
		}
		f.Lots = append(f.Lots, l)
	}
	if !any {
		return ErrNoSource
	}
	return nil
}

// endOf returns the planned end of life, which is never better than the state
// as bought.
func endOf(bought, end cell.Health) cell.Health {
	if end == (cell.Health{}) {
		return bought
	}
	return cell.Health{
		CapacityShare:    min(bought.CapacityShare, end.CapacityShare),
		ResistanceGrowth: max(bought.ResistanceGrowth, end.ResistanceGrowth),
	}
}

func (f *Frame) life(c *cell.Cell, h cell.Health) (Life, error) {
	amb := f.Brief.Road.Ambient
	cold := f.Brief.Targets.Coldest
	if cold == 0 {
		cold = amb
	}
	l := Life{Health: h}
	var err error
	if l.Ambient, err = c.At(amb, h, tableSize); err != nil {
		return l, err
	}
	if l.Cold, err = c.At(cold, h, tableSize); err != nil {
		return l, err
	}
	if l.Lumped, err = drive.NewLumped(c, amb, h, 1*unit.Second); err != nil {
		return l, err
	}
	floor := max(f.Brief.Drive.ReserveLow, 0)
	l.floorCold = sourceAt(l.Cold, floor, pulse)
	l.floor = sourceAt(l.Ambient, floor, pulse)
	l.low = sourceAt(l.Ambient, max(floor, lowCharge), pulse)
	l.half = sourceAt(l.Ambient, 0.5, sustained)
	one := pack.Pack{Topology: pack.Topology{Series: 1, Parallel: 1, Strings: 1}, Cell: c, SoCMin: floor, SoCMax: 1 - f.Brief.Drive.ReserveHigh}
	l.energy = float64(one.EnergyChemical(l.Ambient))
	return l, nil
}

// Durations and charges at which currents are looked at, common practice: a
// pulse of ten seconds, a climb of ten minutes, one fifth of charge as "low".
const (
	pulse      = 10 * unit.Second
	sustained  = 10 * unit.Minute
	lowCharge  = unit.Ratio(0.2)
	continuous = 1 * unit.Hour
)

func sourceAt(t *cell.Table, z unit.Ratio, d unit.Time) source {
	return source{emf: pack.Read(t.OCV, float64(z)), r: float64(pack.ResistanceCell(t, z, d))}
}

// current returns the current of one cell that gives power w (W), the largest
// power it has when that is more, and the voltage then.
func (s source) current(w float64) (i, v float64) {
	root := s.emf*s.emf - 4*s.r*w
	if root < 0 {
		return s.emf / (2 * s.r), s.emf / 2
	}
	i = 2 * w / (s.emf + math.Sqrt(root))
	return i, s.emf - s.r*i
}

// Stages returns the driveline from motor to wheel.
func (f *Frame) Stages() []part.Stage {
	return f.Brief.Drive.Unit.AllStages(f.Brief.Drive.Stages)
}

// Train returns everything between road and pack at a test mass.
func (f *Frame) Train(mass unit.Mass) drive.Train {
	b := f.Brief
	return drive.Train{
		Mass: mass, MassRotating: f.rotating, Road: b.Road.Load,
		Air:        vehicle.Air{Temperature: b.Road.Ambient, Altitude: b.Road.Altitude, Headwind: b.Road.Headwind},
		TyreRadius: b.Donor.TyreRadius, Stages: f.Stages(), Unit: b.Drive.Unit, Inverter: b.Drive.Inverter,
		Regen: b.Drive.Regen, Auxiliary: f.aux,
	}
}

// massTest returns the mass of the range runs for a pack of the given mass.
func (f *Frame) massTest(pack float64) float64 {
	curb, _ := f.balance.Mass(unit.Mass(pack))
	return float64(curb) + float64(f.Brief.Road.DriverMass)
}

// ambient returns the temperatures at which currents are looked at: that of
// the range runs and the hottest day.
func (f *Frame) warm() [2]unit.Temperature {
	hot := f.Brief.Targets.Hottest
	if hot == 0 {
		hot = f.Brief.Road.Ambient
	}
	return [2]unit.Temperature{f.Brief.Road.Ambient, hot}
}

// WithBay returns the frame of the same brief with bay i replaced. Cells, duty
// and wirings are shared with f. Errors are those of the bay.
func (f *Frame) WithBay(i int, b *bay.Bay) (*Frame, error) {
	g, brief := *f, *f.Brief
	brief.Bays = append([]bay.Bay(nil), brief.Bays...)
	brief.Bays[i] = *b
	brief.Assumed = check.Assumptions{}
	g.Brief, g.bays, g.sets = &brief, nil, nil
	return &g, g.frameBays()
}
