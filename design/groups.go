package design

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"packyard/check"
	"packyard/drive"
	"packyard/schedule"
	"packyard/unit"
	"packyard/vehicle"
)

// GroupTrip is one run of a placed option with every series group by itself.
type GroupTrip struct {
	Schedule *schedule.Schedule
	End      bool               // at the planned end of life
	Once     bool               // the schedule once, not to empty
	Still    bool               // the cells stay at the ambient temperature
	Start    []drive.GroupStart // of unequal groups, string after string; nil: all alike
	Trace    *drive.Trace
	Groups   *drive.GroupTrace
	Halt     func() error // asked from time to time; its error ends the run; may be nil
}

// GroupDriven is what a run per group found.
type GroupDriven struct {
	drive.GroupResult
	Demand *drive.Demand
	Still  bool // temperatures stayed: asked for, or the pack has no thermal model
	Why    string
}

// DriveGroups runs a placed option on a schedule with every series group by
// itself, electricity and heat together. A pack whose temperatures cannot be
// computed keeps that of the ambient, and the result says why. Errors are those
// of drive.
func (f *Frame) DriveGroups(p *Placed, t *GroupTrip) (GroupDriven, error) {
	out := GroupDriven{Still: t.Still}
	var err error
	if out.Demand, err = drive.NewDemand(f.Train(p.Figures.Test), t.Schedule, drive.DemandOptions{Voltage: f.VoltageRun(&p.Wiring)}); err != nil {
		return out, err
	}
	battery := f.Pack(&p.Wiring, &p.Figures)
	table, err := drive.NewGroupTable(battery.Cell)
	if err != nil {
		return out, err
	}
	q := drive.GroupRun{Table: table, Trace: t.Groups, Halt: t.Halt, GroupOptions: drive.GroupOptions{
		Start: t.Start, Temperature: f.Brief.Road.Ambient, Health: p.Wiring.life(t.End).Health,
	}}
	if !t.Still {
		s, err := f.Thermal(p, ThermalOptions{Speed: t.Schedule.Figures().Mean})
		switch {
		case errors.Is(err, ErrHeat):
			out.Still, out.Why = true, err.Error()
		case err != nil:
			return out, err
		default:
			q.Thermal = s
		}
	}
	o := drive.Options{Charger: f.Brief.Drive.Charger, Trace: t.Trace}
	if t.Once {
		o.Cycles = 1
	}
	out.GroupResult, err = drive.RangeGroups(out.Demand, battery, q, o)
	return out, err
}

// life returns the cells of a wiring as bought or at the planned end of life.
func (w *Wiring) life(end bool) *Life {
	if end {
		return &w.lot.End
	}
	return &w.lot.New
}

// ErrAlike says that nothing in the project tells how groups differ.
var ErrAlike = errors.New("nothing says how groups differ")

// DrawGroups draws the groups of an option from what the builder stated of its
// source with a spread: the state of health and the growth of resistance. A
// group of a slices side by side has the mean of as many pieces, so that its
// deviation is smaller by √a. The same seed gives the same groups. Without a
// stated spread it returns ErrAlike: none is invented.
func (f *Frame) DrawGroups(p *Placed, end bool, seed uint64) ([]drive.GroupStart, error) {
	at := fmt.Sprintf("sources[%d].", p.Candidate.Source)
	health, growth := f.stated(at+"state_of_health"), f.stated(at+"resistance_growth")
	if health == nil && growth == nil {
		return nil, fmt.Errorf("%w: source %q states neither state_of_health nor resistance_growth with a spread, as 82 %% ± 3 %%",
			ErrAlike, f.Brief.Sources[p.Candidate.Source].Name)
	}
	bought, life := f.Lots[p.Candidate.Source].New.Health, p.Wiring.life(end).Health
	rng := rand.New(rand.NewPCG(seed, 0x9e3779b97f4a7c15)) // any odd constant: the second half of the seed
	out := make([]drive.GroupStart, p.Wiring.Topology.Series*p.Wiring.Topology.Strings)
	for i := range out {
		// What age takes later it takes from each alike.
		out[i].CapacityShare = drawn(rng, health, bought.CapacityShare, life.CapacityShare, p.Candidate.Abreast, [2]float64{0.05, 1.2})
		out[i].ResistanceGrowth = drawn(rng, growth, bought.ResistanceGrowth, life.ResistanceGrowth, p.Candidate.Abreast, [2]float64{0.5, 100})
	}
	return out, nil
}

// stated returns the spread of an input of the brief, nil where none was given.
func (f *Frame) stated(path string) *Uncertain {
	for i := range f.Brief.Uncertain {
		if f.Brief.Uncertain[i].Path == path {
			return &f.Brief.Uncertain[i]
		}
	}
	return nil
}

// drawn draws one figure of a group: the mean of n pieces with the stated
// spread, in proportion to what age leaves of it.
func drawn(rng *rand.Rand, u *Uncertain, bought, life unit.Ratio, n int, within [2]float64) unit.Ratio {
	if u == nil {
		return life
	}
	sum := 0.0
	for range n {
		sum += piece(rng, &u.Stated)
	}
	v := sum / float64(n) * float64(life/bought)
	return unit.Ratio(math.Min(math.Max(v, within[0]), within[1]))
}

// piece draws one value of what was stated: one of the measured ones, or from
// its deviation or band, within what can be.
func piece(rng *rand.Rand, s *check.Stated) float64 {
	if n := len(s.Measured); n > 0 {
		return s.Measured[rng.IntN(n)]
	}
	v := s.Value.SI
	if s.Kind == unit.Band {
		v += s.Tol * (2*rng.Float64() - 1)
	} else {
		v += s.Tol * rng.NormFloat64()
	}
	if s.Accepted != (check.Span{}) {
		v = math.Min(math.Max(v, s.Accepted.Low), s.Accepted.High)
	}
	return v
}

// PaceAt says at which charge and temperature the pace is looked for.
type PaceAt struct {
	Charge      unit.Ratio       // of the cells; zero: as full as they are filled
	Temperature unit.Temperature // of the cells; zero: ambient of the range runs
	End         bool             // at the planned end of life
}

// Pacer returns the placed option ready for questions of pace, at its test
// mass. Grip is that of the converted, empty vehicle with its axle loads in
// proportion to the test mass; it is left out where the height of the centre of
// gravity is not known. Errors are those of drive.
func (f *Frame) Pacer(p *Placed, at PaceAt) (*drive.Pacer, error) {
	battery := f.Pack(&p.Wiring, &p.Figures)
	table, err := drive.NewGroupTable(battery.Cell)
	if err != nil {
		return nil, err
	}
	if at.Temperature == 0 {
		at.Temperature = f.Brief.Road.Ambient
	}
	return drive.NewPacer(drive.PaceCase{
		Train: f.Train(p.Figures.Test), Pack: battery, Table: table,
		Groups: drive.GroupOptions{Charge: at.Charge, Temperature: at.Temperature, Health: p.Wiring.life(at.End).Health},
		Stand:  f.stand(p), Driven: axleNamed(f.Brief.Drive.DrivenAxle), Grade: f.Brief.Targets.Grade, Speeds: f.paceSpeeds(),
	})
}

// paceSpeeds returns the speeds at which the steepest grade is looked for: the
// wanted one, or none in particular.
func (f *Frame) paceSpeeds() []unit.Speed {
	if v := f.Brief.Targets.GradeSpeed; v > 0 {
		return []unit.Speed{20 * unit.KilometrePerHour, v, 80 * unit.KilometrePerHour}
	}
	return nil
}

// stand returns how the vehicle stands at its test mass, nil where its height is
// not known.
func (f *Frame) stand(p *Placed) *vehicle.State {
	s := f.states(p)[1]
	if !(s.CG.Z > 0) || !(s.Mass > 0) {
		return nil
	}
	k := p.Figures.Test / s.Mass
	s.Name, s.Mass, s.AxleFront, s.AxleRear = "test mass", s.Mass*k, s.AxleFront*k, s.AxleRear*k
	return &s
}

// axleNamed returns the driven axle of a brief, all where it says nothing else.
func axleNamed(name string) vehicle.Axle {
	switch name {
	case "front":
		return vehicle.FrontAxle
	case "rear":
		return vehicle.RearAxle
	}
	return vehicle.AllAxles
}

// pace compares top speed and grade with what is wanted, at half charge and the
// temperature of the range runs, as the rule of the climb does.
func (f *Frame) pace(p *Placed) []check.Finding {
	t := &f.Brief.Targets
	if t.TopSpeed == 0 && (t.Grade == 0 || t.GradeSpeed == 0) {
		return nil
	}
	r, err := f.Pacer(p, PaceAt{Charge: 0.5})
	if err != nil {
		return []check.Finding{unpaced(err)}
	}
	out, err := r.Findings(t.TopSpeed, t.Grade, t.GradeSpeed)
	if err != nil {
		return []check.Finding{unpaced(err)}
	}
	for i := range out {
		out[i].Subject += ", at half charge"
	}
	return out
}

func unpaced(err error) check.Finding {
	return check.Finding{Rule: "pace", Budget: "range", Subject: "the pace of this option could not be computed: " + err.Error(), Severity: check.Warning,
		Remedy: "look at what is named", Source: "computed"}
}
