package drive

import (
	"errors"
	"math"
	"testing"

	"packyard/check/checktest"
	"packyard/internal/exact"
	"packyard/pack"
	"packyard/part"
	"packyard/unit"
	"packyard/vehicle"
)

// strong is a pack that never limits, of constant voltage.
func strong() (*pack.Pack, *GroupTable) {
	return &pack.Pack{Topology: pack.Topology{Series: 100, Parallel: 10, Strings: 1}, SoCMax: 1}, flatCell(4, 1e-7)
}

func pacer(t testing.TB, c PaceCase) *Pacer {
	t.Helper()
	if c.Pack == nil {
		c.Pack, c.Table = strong()
	}
	p, err := NewPacer(c)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// ideal is a train without loss: constant force up to constant power.
func ideal(mass, torque, power float64, road vehicle.RoadLoad) Train {
	t := lossless(mass, road)
	t.Unit = &part.DriveUnit{ID: "ideal", TorquePeak: unit.Torque(torque), PowerPeak: unit.Power(power), SpeedMax: 1e4, Ratio: 1}
	return t
}

func sprints(t testing.TB, c PaceCase, to ...unit.Speed) []Sprint {
	t.Helper()
	s, err := pacer(t, c).Sprints(to...)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSprintAtConstantForceAndPowerMatchesTheClosedForm(t *testing.T) {
	t.Parallel()
	const m, f, p = 1500.0, 4500.0, 60e3 // 1 350 N·m at a radius of 0.3 m
	train := ideal(m, f*0.3, p, vehicle.RoadLoad{Rolling: 1e-12})
	s := sprints(t, PaceCase{Train: train}, 30*kmh, 100*kmh)
	// Constant force to the corner at p/f = 48 km/h, constant power beyond.
	corner := p / f
	checktest.Near(t, "0 to 30 km/h, s", float64(s[0].Time), m*30*kmh/f, 0, 1e-9, "Newton's law")
	checktest.Near(t, "way to 30 km/h, m", float64(s[0].Distance), m*30*kmh*30*kmh/f/2, 0, 1e-9, "Newton's law")
	// Steps of 0.1 s by the midpoint rule: the step over the corner is 1e-4 of all.
	checktest.Near(t, "0 to 100 km/h, s", float64(s[1].Time), m*corner/f+exact.PowerTime(m, p, corner, 100*kmh), 0, 3e-4, "closed form, Newton's law")
	checktest.Near(t, "way to 100 km/h, m", float64(s[1].Distance), m*corner*corner/f/2+exact.PowerDistance(m, p, corner, 100*kmh), 0, 6e-4, "closed form, Newton's law")
}

func TestSprintAgainstDragIsOfSecondOrder(t *testing.T) {
	t.Parallel()
	const m, f = 1200.0, 2500.0
	train := ideal(m, f*0.3, 1e7, vehicle.RoadLoad{DragArea: 1.5, Rolling: 1e-12})
	c := 0.5 * float64(vehicle.Air{}.Density()) * 1.5
	off := func(step float64) float64 { // speed after 20 s
		p := pacer(t, PaceCase{Train: train})
		n := int(math.Round(20 / step))
		if err := p.prepare(0, step, n); err != nil {
			t.Fatal(err)
		}
		p.r.patient = true
		for i := range n {
			p.r.bind(i)
		}
		return p.r.v - exact.ForceSpeed(m, f, c, 20)
	}
	one, half, quarter := off(1), off(0.5), off(0.25)
	checktest.Near(t, "error of 1 s over that of 0.5 s", one/half, 4, 0.3, 0, "second order of the midpoint rule")
	checktest.Near(t, "error of 0.5 s over that of 0.25 s", half/quarter, 4, 0.3, 0, "second order of the midpoint rule")
	s := sprints(t, PaceCase{Train: train}, 150*kmh)
	checktest.Near(t, "0 to 150 km/h, s", float64(s[0].Time), exact.ForceTime(m, f, c, 150*kmh), 0, 1e-4, "closed form of constant force against drag")
}

func TestTopSpeedSolvesTheCubicOfPower(t *testing.T) {
	t.Parallel()
	const m, p = 2000.0, 30e3
	train := ideal(m, 1e5, p, vehicle.RoadLoad{DragArea: 1.35, Rolling: 0.015})
	v, by, err := pacer(t, PaceCase{Train: train}).TopSpeed(PeakFor)
	if err != nil {
		t.Fatal(err)
	}
	want := exact.TopSpeed(m*gravity*0.015, 0.5*float64(vehicle.Air{}.Density())*1.35, p)
	checktest.Near(t, "top speed, m/s", float64(v), want, 0, 1e-9, "Cardano's formula")
	if by != LimitMotor {
		t.Errorf("limited by %q", by)
	}
	// The handbook's vehicle takes 25.895 kW at 100 km/h (WE-17).
	train.Unit.PowerPeak = 25.89501e3
	v, _, err = pacer(t, PaceCase{Train: train}).TopSpeed(PeakFor)
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "speed at 25.895 kW, km/h", float64(v)/kmh, 100, 0, 1e-4, "handbook WE-17")
}

func TestSteepestGradeIsThatOfTheHandbook(t *testing.T) {
	t.Parallel()
	train := lossless(2000, vehicle.RoadLoad{DragArea: 1.35, Rolling: 0.015})
	train.Unit = &part.DriveUnit{ID: "80 kW", TorquePeak: 1e5, PowerPeak: 80e3, SpeedMax: 1e4, Ratio: 1}
	train.Stages = []part.Stage{{Name: "driveline", Ratio: 1, Efficiency: 0.9}}
	p := pacer(t, PaceCase{Train: train})
	g, err := p.Steepest(50*kmh, PeakFor)
	if err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "grade at 50 km/h, %", float64(g.Grade)*100, 24.90002, 0, 1e-3, "handbook WE-30")
	// What it climbs at that speed it goes at that grade.
	s, err := p.still(Held)
	if err != nil {
		t.Fatal(err)
	}
	v, _ := s.fastest(float64(g.Grade))
	checktest.Near(t, "speed on that grade, km/h", v/kmh, 50, 0, 1e-6, "the inverse")
}

// standing is the vehicle of WE-29: axles of 1 520 and 1 150 lb, height 24.5 in,
// wheelbase 120 in.
func standing() *vehicle.State {
	const lb, inch = 0.45359237, 0.0254
	return &vehicle.State{Name: "WE-29", Mass: 2670 * lb, AxleFront: 1520 * lb, AxleRear: 1150 * lb, Wheelbase: 120 * inch,
		CG: vehicle.Point{X: 120 * inch * 1150 / 2670, Z: 24.5 * inch}}
}

func TestGripLimitsTheHillAsInTheHandbook(t *testing.T) {
	t.Parallel()
	s := standing()
	for _, c := range []struct {
		name   string
		driven vehicle.Axle
		want   float64
	}{{"front drive", vehicle.FrontAxle, 0.1609296}, {"rear drive", vehicle.RearAxle, 0.1376442}, {"all wheels", vehicle.AllAxles, 0.3}} {
		train := lossless(float64(s.Mass), vehicle.RoadLoad{Rolling: 1e-9})
		p := pacer(t, PaceCase{Train: train, Stand: s, Driven: c.driven, Friction: 0.3})
		out, err := p.Pace()
		if err != nil {
			t.Fatal(err)
		}
		checktest.Near(t, c.name+": grade by grip", float64(out.GripGrade), c.want, 0, 1e-3, "handbook WE-29")
		checktest.Near(t, c.name+": hill start", float64(out.HillStart.Grade), c.want, 0, 1e-3, "handbook WE-29")
		if out.HillStart.By != LimitMotor {
			t.Errorf("%s: hill start limited by %q", c.name, out.HillStart.By)
		}
	}
}

func TestParkingHoldsWhatTheAxleLoadsSay(t *testing.T) {
	t.Parallel()
	s := standing()
	for _, axle := range []vehicle.Axle{vehicle.FrontAxle, vehicle.RearAxle} {
		up, down := parking(s, axle, 0.7)
		for _, g := range []struct {
			grade  float64
			facing float64
		}{{float64(up), 1}, {float64(down), -1}} {
			// On the grade that is held the braked axle carries just what it needs.
			th := math.Atan(g.grade)
			weight := float64(s.Mass) * gravity
			back := weight * (float64(s.CG.X)*math.Cos(th) + g.facing*float64(s.CG.Z)*math.Sin(th)) / float64(s.Wheelbase)
			load := back
			if axle == vehicle.FrontAxle {
				load = weight*math.Cos(th) - back
			}
			checktest.Near(t, "grip of the braked axle over what the slope pulls", 0.7*load, weight*math.Sin(th), 0, 1e-9, "handbook 5.25, moments about the other axle")
		}
	}
	if up, down := parking(s, vehicle.AllAxles, 0.7); up != 0.7 || down != 0.7 {
		t.Errorf("all wheels hold %g and %g, want the friction", float64(up), float64(down))
	}
}

// The peak of a motor holds for its duration and no longer.
func TestMotorPeakHoldsForItsDuration(t *testing.T) {
	t.Parallel()
	train := smallVan()
	m := newMotorRating(train.Unit, 5, 1)
	seconds := 0.0
	for m.share() == 1 {
		m.book(float64(train.Unit.TorquePeak), 100, 1)
		if seconds++; seconds > 100 {
			t.Fatal("the peak holds for ever")
		}
	}
	checktest.Near(t, "time of full peak, s", seconds, 60-5+1, 1, 0, "the drive unit's own duration less the last five seconds")
	for range 600 {
		k := chain{}
		m.lower(&k)
		m.book(k.torquePeak, 100, 1)
	}
	k := chain{}
	m.lower(&k)
	checktest.Near(t, "torque after ten minutes, N·m", k.torquePeak, float64(train.Unit.TorqueContinuous), 0, 1e-3, "the drive unit's continuous torque")
	for range 60 {
		m.book(0, 100, 1)
	}
	if m.share() < 0.9 {
		t.Errorf("a minute without torque gives %.2f of the peak back", m.share())
	}
	if newMotorRating(&part.DriveUnit{TorquePeak: 100, PowerPeak: 1e4}, 5, 1) != nil {
		t.Error("a unit without duration has a rating")
	}
}

func van(charge unit.Ratio, celsius float64) PaceCase {
	p := pack96()
	p.Cell = coldCell()
	t, err := NewGroupTable(coldCell())
	if err != nil {
		panic(err)
	}
	return PaceCase{Train: smallVan(), Pack: p, Table: t, Groups: GroupOptions{Charge: charge, Temperature: unit.Celsius(celsius)},
		Driven: vehicle.RearAxle, Stand: &vehicle.State{Name: "van", Mass: 1600, AxleFront: 800, AxleRear: 800, Wheelbase: 2.6, CG: vehicle.Point{X: 1.3, Z: 0.65}}}
}

// Full or at a fifth, warm or cold: less charge and less warmth never make a
// vehicle faster, and every figure is a number.
func TestPaceFallsWithChargeAndCold(t *testing.T) {
	t.Parallel()
	pace := func(charge unit.Ratio, celsius float64) Pace {
		p, err := pacer(t, van(charge, celsius)).Pace()
		if err != nil {
			t.Fatal(err)
		}
		for _, v := range []float64{float64(p.TopSpeed), float64(p.TopSpeedHeld), float64(p.HillStart.Grade), float64(p.GradeSpeed), float64(p.ParkingUp), float64(p.Sprints[0].Time)} {
			if math.IsNaN(v) || math.IsInf(v, 0) || v < 0 {
				t.Errorf("charge %g at %g °C: %+v", float64(charge), celsius, p)
			}
		}
		return p
	}
	full, low, cold := pace(1, 25), pace(0.2, 25), pace(0.2, -10)
	t.Logf("full, warm: %+v", full)
	t.Logf("a fifth, cold: %+v", cold)
	for i, p := range []Pace{low, cold} {
		better := []Pace{full, low}[i]
		if p.TopSpeed > better.TopSpeed || p.TopSpeedHeld > better.TopSpeedHeld || p.GradeSpeed > better.GradeSpeed {
			t.Errorf("worse case %+v is faster than %+v", p, better)
		}
		for k := range p.Climbs {
			if p.Climbs[k].Steepest.Grade > better.Climbs[k].Steepest.Grade+1e-9 || p.Climbs[k].Held.Grade > better.Climbs[k].Held.Grade+1e-9 {
				t.Errorf("worse case climbs %+v, better %+v", p.Climbs[k], better.Climbs[k])
			}
		}
		for k := range p.Sprints {
			if p.Sprints[k].Reached && p.Sprints[k].Time < better.Sprints[k].Time {
				t.Errorf("worse case sprints %+v, better %+v", p.Sprints[k], better.Sprints[k])
			}
		}
	}
	if !full.Sprints[1].Reached || full.TopSpeedHeld >= full.TopSpeed || full.Climbs[0].For == 0 {
		t.Errorf("full and warm: %+v", full)
	}
	if full.Climbs[1].For < 30 || full.Climbs[1].For > 200 || full.Climbs[1].ForBy != LimitMotorTime {
		t.Errorf("95 %% of the steepest grade at 50 km/h is held for %g s, ended by %q: the motor has its peak for 60 s", float64(full.Climbs[1].For), full.Climbs[1].ForBy)
	}
	if cold.TopSpeedBy == LimitMotor && cold.TopSpeed == full.TopSpeed {
		t.Errorf("the cold does not show: %+v", cold)
	}
}

func TestPaceFindingsSayWhatIsMissing(t *testing.T) {
	t.Parallel()
	p := pacer(t, van(1, 25))
	f, err := p.Findings(250*kmh, 0.6, 80*kmh)
	if err != nil || len(f) != 2 {
		t.Fatal(f, err)
	}
	for _, g := range f {
		if g.Severity != 2 && g.Margin >= 0 || math.IsNaN(g.Margin) || g.Remedy == "" {
			t.Errorf("%+v", g)
		}
	}
	f, err = p.Findings(60*kmh, 0.05, 30*kmh)
	if err != nil || len(f) != 2 || f[0].Margin < 0 || f[1].Margin < 0 {
		t.Errorf("easy wishes: %+v, %v", f, err)
	}
	if f, err = p.Findings(0, 0, 0); err != nil || len(f) != 0 {
		t.Errorf("nothing asked: %+v, %v", f, err)
	}
}

// Below the temperatures of the cells nothing moves, and that is said.
func TestPaceOfFrozenCellsIsNothing(t *testing.T) {
	t.Parallel()
	out, err := pacer(t, van(1, -40)).Pace()
	if err != nil {
		t.Fatal(err)
	}
	if out.TopSpeed != 0 || out.TopSpeedBy != LimitTemperature || out.Sprints[0].Reached || out.GradeSpeed != 0 || out.Climbs[0].For != 0 {
		t.Errorf("at -40 °C: %+v", out)
	}
}

func TestPaceRefusesWhatCannotBe(t *testing.T) {
	t.Parallel()
	good := van(1, 25)
	for name, change := range map[string]func(*PaceCase){
		"no pack":   func(c *PaceCase) { c.Pack = nil },
		"friction":  func(c *PaceCase) { c.Friction = unit.Ratio(math.NaN()) },
		"grade":     func(c *PaceCase) { c.Grade = 3 },
		"step":      func(c *PaceCase) { c.Step = 20 },
		"speed":     func(c *PaceCase) { c.Speeds = []unit.Speed{0} },
		"no height": func(c *PaceCase) { c.Stand = &vehicle.State{Mass: 1, Wheelbase: 1} },
		"no axle":   func(c *PaceCase) { c.Driven = 0 },
	} {
		c := good
		change(&c)
		if _, err := NewPacer(c); !errors.Is(err, ErrPace) {
			t.Errorf("%s: got %v, want ErrPace", name, err)
		}
	}
	c := good
	c.Train.Mass = 0
	if _, err := NewPacer(c); !errors.Is(err, ErrTrain) {
		t.Errorf("no mass: got %v", err)
	}
}
