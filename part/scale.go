package part

import (
	"errors"
	"fmt"
	"math"

	"packyard/cell"
	"packyard/unit"
)

// ErrScale is returned for a scaling that the model does not carry.
var ErrScale = errors.New("drive unit cannot be scaled so")

// StatusScaled marks figures that were carried to another size: the law they
// come from is published, the carrying is not.
const StatusScaled = "scaled, assumption"

// scaleMax bounds how far a unit is carried from its published size, both
// ways. Common practice: similarity of machines is not trusted over a decade.
const scaleMax = 5.0

// Scaling is the size that a drive unit is carried to; a zero field keeps the
// figure of the unit.
type Scaling struct {
	Torque unit.Torque       // new peak torque
	Speed  unit.AngularSpeed // new highest speed
	Power  unit.Power        // new peak power; zero: scaled with torque and speed
}

// Scale returns a copy of the unit carried to another size: the loss in parts
// of torque·speed stays the same at the same parts of torque and speed.
//
//	a = T'/T, b = ω'/ω:   P'_loss(T, ω) = a·b·P_loss(T/a, ω/b)
//
// Torque alone (b = 1) is a machine made longer on the same cross section:
// copper, iron and magnets grow with the length and so do torque and loss.
// Power is a rating of winding, voltage and inverter and does not enter the
// loss. Continuous figures go with the peak ones, mass and inertia with the
// torque. All figures so carried are marked "scaled, assumption".
// Errors: ErrScale for a size that is not positive and finite or more than
// five times off.
// Source: per-unit similarity, common practice; not published with the
// constants (catalogue sources 1.1).
func Scale(u *DriveUnit, to Scaling) (*DriveUnit, error) {
	a, b := 1.0, 1.0
	if to.Torque != 0 {
		a = float64(to.Torque / u.TorquePeak)
	}
	if to.Speed != 0 {
		b = float64(to.Speed / u.SpeedMax)
	}
	c, asked := a*b, 1.0
	if to.Power != 0 {
		c = float64(to.Power / u.PowerPeak)
		asked = c
	}
	for _, f := range []float64{a, b, asked} {
		if !(f >= 1/scaleMax && f <= scaleMax) {
			return nil, fmt.Errorf("%s by %.3g in torque, %.3g in speed, %.3g in power: %w: between 1/%g and %g of the published size",
				u.ID, a, b, c, ErrScale, scaleMax, scaleMax)
		}
	}
	s := *u
	s.TorquePeak *= unit.Torque(a)
	s.TorqueContinuous *= unit.Torque(a)
	s.PowerPeak *= unit.Power(c)
	s.PowerContinuous *= unit.Power(c)
	s.SpeedMax *= unit.AngularSpeed(b)
	s.Mass *= unit.Mass(a)
	s.Inertia *= unit.Inertia(a)
	s.Loss = scaleLoss(u.Loss, a, b)
	s.Facts = scaledFacts(u.Facts)
	return &s, nil
}

// scaleLoss carries every term of the law; for instance the copper term
// a·b·k_c·(T/a)² has the constant k_c·b/a.
func scaleLoss(l Loss, a, b float64) Loss {
	s := l
	s.KCopper *= b / a
	s.KIron *= a
	s.KWindage *= a / (b * b)
	s.Constant *= unit.Power(a * b)
	if l.Grid != nil {
		g := &LossGrid{Speed: times(l.Grid.Speed, b), Torque: times(l.Grid.Torque, a), Loss: make([][]float64, len(l.Grid.Loss))}
		for i, row := range l.Grid.Loss {
			g.Loss[i] = times(row, a*b)
		}
		g.speedIndex, g.torqueIndex = newAxisIndex(g.Speed), newAxisIndex(g.Torque)
		s.Grid = g
	}
	return s
}

func times(x []float64, f float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v * f
	}
	return out
}

// scaledFacts keeps the sources and turns the status of what was carried.
func scaledFacts(facts []cell.Fact) []cell.Fact {
	out := make([]cell.Fact, len(facts))
	copy(out, facts)
	for i := range out {
		switch out[i].Field {
		case "ratio", "ratio_efficiency", "peak_duration", "voltage_ref":
		default:
			out[i].Status = StatusScaled
		}
	}
	return out
}

// EfficiencyPoint is what a drive unit does at one point of its map.
type EfficiencyPoint struct {
	Name         string // "half load, half speed"
	Torque       unit.Torque
	Speed        unit.AngularSpeed
	Loss         unit.Power
	Efficiency   unit.Ratio // T·ω/(T·ω + loss), driving, at the shaft; the built-in reduction is not in it
	WithInverter bool       // the inverter or controller is in it
}

// efficiencyShares are the five points that are printed for each unit, as
// shares of the highest speed and of the continuous torque there.
var efficiencyShares = [5]struct {
	name          string
	speed, torque float64
}{
	{"light load, quarter speed", 0.25, 0.2},
	{"half load, quarter speed", 0.25, 0.5},
	{"light load, half speed", 0.5, 0.2},
	{"half load, half speed", 0.5, 0.5},
	{"full load, half speed", 0.5, 1},
}

// EfficiencyPoints returns the efficiency at five points: a fifth and half of
// the continuous torque at a quarter and half of the highest speed, and the
// full continuous torque at half speed, all at the reference voltage.
func (u *DriveUnit) EfficiencyPoints() []EfficiencyPoint {
	points := make([]EfficiencyPoint, 0, len(efficiencyShares))
	for _, s := range efficiencyShares {
		w := unit.AngularSpeed(s.speed * float64(u.SpeedMax))
		continuous := u.TorqueMax(w, u.VoltageRef, unit.Time(math.Inf(1)))
		t := unit.Torque(s.torque * float64(continuous))
		points = append(points, EfficiencyPoint{
			Name: s.name, Torque: t, Speed: w, Loss: u.LossAt(t, w),
			Efficiency: u.Efficiency(t, w), WithInverter: u.Loss.WithInverter,
		})
	}
	return points
}

// Efficiency returns out over in: T·ω/(T·ω + loss) driving, (T·ω − loss)/(T·ω)
// of the magnitudes when braking (T and ω of unlike sign), there zero where
// the loss eats all; zero at no power.
// Source: larminie-lowry.
func (u *DriveUnit) Efficiency(T unit.Torque, w unit.AngularSpeed) unit.Ratio {
	shaft := float64(T) * float64(w)
	loss := float64(u.LossAt(T, w))
	switch {
	case shaft > 0:
		return unit.Ratio(shaft / (shaft + loss))
	case shaft < 0:
		return unit.Ratio(max(0, 1+loss/shaft))
	}
	return 0
}
