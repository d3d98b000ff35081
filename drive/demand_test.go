package drive

import (
	"math"
	"testing"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/pack"
	"packyard/part"
	"packyard/schedule"
	"packyard/unit"
	"packyard/vehicle"
)

func TestDemandSumsAgreeWithItsColumns(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "udds"), DemandOptions{})
	var friction, stages, motor, inverter, power, shaft float64
	for i := range d.Power {
		friction += d.Friction[i]
		stages += d.StageLoss[i]
		motor += d.MotorLoss[i]
		inverter += d.InverterLoss[i]
		power += d.Power[i]
		shaft += d.Shaft[i]
		if d.StageLoss[i] < 0 || d.InverterLoss[i] < 0 || d.Friction[i] < -1e-9 || d.MotorLoss[i] < 0 {
			t.Fatalf("step %d loses less than nothing: gears %g, inverter %g, friction %g, motor %g W", i, d.StageLoss[i], d.InverterLoss[i], d.Friction[i], d.MotorLoss[i])
		}
	}
	q := d.cum[len(d.cum)-1]
	checktest.Near(t, "terminals, J", q.terminals, power, 0, 1e-12, "sum of the column")
	checktest.Near(t, "shaft, J", q.shaft, shaft, 0, 1e-12, "sum of the column")
	checktest.Near(t, "friction, J", q.braking-q.recovered, friction, 0, 1e-9, "sum of the column")
	wheels := q.traction - q.recovered
	checktest.Near(t, "terminals from wheels and losses, J", power, wheels+stages+motor+inverter+float64(d.train.Auxiliary)*float64(d.Duration()), 0, 1e-9, "energy balance")
	f := find(t, "udds").Figures()
	checktest.Near(t, "distance, m", float64(d.Distance()), float64(f.Distance), 0, 1e-12, "the schedule's own figures")
	checktest.Near(t, "duration, s", float64(d.Duration()), float64(f.Duration), 0, 0, "the schedule's own figures")
}

func TestFillAgainGivesTheSameAsNew(t *testing.T) { // not parallel: it counts allocations
	train := smallVan()
	d := demand(t, train, find(t, "wltc-class3b"), DemandOptions{})
	train.Mass = 1200
	if err := d.Fill(train, find(t, "udds"), DemandOptions{}); err != nil {
		t.Fatal(err)
	}
	fresh := demand(t, train, find(t, "udds"), DemandOptions{})
	if d.Steps() != fresh.Steps() || d.NetEnergy() != fresh.NetEnergy() || d.PowerPeak() != fresh.PowerPeak() {
		t.Errorf("filled again: %d steps, %v J; new: %d steps, %v J", d.Steps(), d.NetEnergy(), fresh.Steps(), fresh.NetEnergy())
	}
	s := find(t, "udds")
	if n := testing.AllocsPerRun(10, func() {
		if err := d.Fill(train, s, DemandOptions{}); err != nil {
			t.Error(err)
		}
	}); n != 0 {
		t.Errorf("filling again allocates %g times", n)
	}
}

func TestRegenerationKeepsItsLimits(t *testing.T) {
	t.Parallel()
	s := find(t, "us06")
	run := func(change func(*Train)) *Demand {
		train := smallVan()
		change(&train)
		return demand(t, train, s, DemandOptions{})
	}
	recovered := func(d *Demand) float64 { return d.cum[len(d.cum)-1].recovered }
	all := run(func(t *Train) { t.Regen.Share = 1 })
	if got := recovered(run(func(t *Train) { u := *t.Unit; u.NoRegeneration = true; t.Unit = &u })); got != 0 {
		t.Errorf("a motor that cannot brake recovers %g J", got)
	}
	power := run(func(t *Train) { t.Regen.PowerMax = 10e3 })
	torque := run(func(t *Train) { t.Regen.TorqueMax = 20 })
	fade := run(func(t *Train) { t.Regen.FadeFrom, t.Regen.FadeTo = 60*unit.KilometrePerHour, 30*unit.KilometrePerHour })
	grip := run(func(t *Train) { t.Grip = Grip{MassDriven: 800, Friction: 0.1} })
	for i := range power.Power {
		v := (power.Speed[i] + power.Speed[i+1]) / 2
		if into := 350 - power.Power[i]; into > 10e3*(1+1e-9) {
			t.Fatalf("step %d: %g W from the inverter, 10 kW are allowed", i, into)
		}
		if torque.Torque[i] < -20*(1+1e-9) {
			t.Fatalf("step %d: %g N·m, 20 are allowed", i, torque.Torque[i])
		}
		if v <= 30*kmh && fade.Torque[i] < 0 {
			t.Fatalf("step %d: %g N·m at %g km/h, none below 30", i, fade.Torque[i], v/kmh)
		}
		if g := &grip.Force[i]; grip.Torque[i] < 0 && -grip.Shaft[i] > 0.1*800*gravity*v {
			t.Fatalf("step %d: the axle brakes with more than it grips, %g N in all", i, *g)
		}
	}
	for name, d := range map[string]*Demand{"power": power, "torque": torque, "fade": fade, "grip": grip} {
		if got := recovered(d); got >= recovered(all) || got <= 0 {
			t.Errorf("%s limit: %g J recovered, %g J without", name, got, recovered(all))
		}
	}
}

func TestKeptGearsAndGripCapTheSchedule(t *testing.T) {
	t.Parallel()
	s := find(t, "us06")
	torque := smallVan()
	torque.Stages[1].TorqueMax = 200 // at the final drive, after 2.5 : 1
	d := demand(t, torque, s, DemandOptions{})
	for i, m := range d.Torque {
		if m > 200/(2.5*0.99)*(1+1e-9) {
			t.Fatalf("step %d: %g N·m at the motor, the final drive bears 200 N·m", i, m)
		}
	}
	if d.Capped.Steps == 0 {
		t.Error("a final drive for 200 N·m does not hold the vehicle back")
	}
	speed := smallVan()
	speed.Stages[1].SpeedMax = 300
	d = demand(t, speed, s, DemandOptions{})
	top := 300 * 0.3 / 3.6
	for i, v := range d.Speed {
		if v > top*(1+1e-9) {
			t.Fatalf("row %d: %g m/s, the final drive turns up to %g m/s", i, v, top)
		}
	}
	ice := smallVan()
	ice.Grip = Grip{MassDriven: 700, Transfer: -0.2, Friction: 0.2}
	d = demand(t, ice, s, DemandOptions{})
	most := 0.2 * 700 * gravity / (1 + 0.2*0.2)
	for i, f := range d.Force {
		if f > most*(1+1e-9) {
			t.Fatalf("step %d: %g N, the axle grips %g N", i, f, most)
		}
	}
	if d.Capped.Steps == 0 {
		t.Error("ice does not hold the vehicle back")
	}
}

func TestUnevenSchedulesAreResampled(t *testing.T) {
	t.Parallel()
	s := &schedule.Schedule{ID: "uneven", Time: []float64{0, 3.5, 10, 40.25, 52, 60}, Speed: []float64{0, 5, 15, 15, 0, 0}}
	one := demand(t, smallVan(), s, DemandOptions{})
	fine := demand(t, smallVan(), s, DemandOptions{Step: 0.25})
	checktest.Near(t, "distance in steps of 0.25 s, m", float64(fine.Distance()), float64(s.Figures().Distance), 0, 1e-9, "the schedule's own figures")
	// Corners between the steps of 1 s are cut.
	checktest.Near(t, "distance in steps of 1 s, m", float64(one.Distance()), float64(s.Figures().Distance), 0, 2e-3, "the schedule's own figures")
	checktest.Near(t, "energy in steps of 1 s, J", float64(one.NetEnergy()), float64(fine.NetEnergy()), 0, 0.02, "finer steps")
}

func TestMeanPowerOverAWindow(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "wltc-class3b"), DemandOptions{})
	if one, peak := d.PowerMean(1), d.PowerPeak(); math.Abs(float64(one-peak)) > 1e-6 {
		t.Errorf("mean over one step %v W, peak %v W", one, peak)
	}
	all := d.PowerMean(1e6)
	checktest.Near(t, "mean over everything, W", float64(all), float64(d.NetEnergy())/1800, 0, 1e-12, "definition")
	if ten := d.PowerMean(10); ten < all || ten > d.PowerPeak() {
		t.Errorf("mean over ten seconds %v W", ten)
	}
}

func TestTenSecondCurrentIsTheLargestMeanOfTheTrace(t *testing.T) {
	t.Parallel()
	d, l, p := hilly(t)
	var tr Trace
	res := mustRange(t, d, l, p, Options{Trace: &tr})
	current := append(make([]float64, 9), tr.Current...) // at rest before the start
	n := len(current) - 1                                // the last step is a part of one
	up, down := 0.0, 0.0
	for i := 10; i <= n; i++ {
		sum := 0.0
		for _, c := range current[i-10 : i] {
			sum += c
		}
		up, down = max(up, sum/10), min(down, sum/10)
	}
	checktest.Near(t, "largest mean of ten seconds, A", float64(res.CurrentPeak10s), up, 1e-6, 1e-9, "the trace")
	checktest.Near(t, "largest charging mean of ten seconds, A", float64(res.CurrentChargePeak10s), -down, 1e-6, 1e-9, "the trace")
}

func TestWallEnergyMatchesTheClosedForm(t *testing.T) {
	t.Parallel()
	s, err := schedule.Constant(20, 1800)
	if err != nil {
		t.Fatal(err)
	}
	d := demand(t, lossless(1500, vehicle.RoadLoad{DragArea: 0.6, Rolling: 0.01}), s, DemandOptions{})
	p := &pack.Pack{Topology: pack.Topology{Series: 100, Parallel: 2, Strings: 1}, Cell: &cell.Cell{}, Resistance: 0.05, SoCMax: 1}
	c := &part.Charger{ID: "c", Efficiency: 0.95, Idle: 250, PowerMax: 6600}
	res, err := Once(d, flat(t, 3.3, 0.002, 100*3600, 1), p, Options{Charger: c, WallPower: 5000})
	if err != nil {
		t.Fatal(err)
	}
	const r = 0.002*100/2 + 0.05
	power := 0.95*5000 - 250.0
	cur := (-330 + math.Sqrt(330*330+4*r*power)) / (2 * r)
	charge := float64(1-res.SoCEnd) * 2 * 100 * 3600
	checktest.Near(t, "energy from the wall, J", float64(res.Energy.Wall), 5000*charge/cur, 0, 1e-9, "Ohm's law and P_pack = e·P_wall − P_idle")
	checktest.Near(t, "its consumption, J/m", float64(res.Consumption.Wall), float64(res.Energy.Wall)/36000, 0, 1e-9, "definition")
}

func TestAWarmPackDecidesWhatCanBeFollowed(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "wltc-class3b"), DemandOptions{})
	lim := cellLimits()
	lim.DischargePeak, lim.DischargeContinuous = 1.2, 1
	cold, err := LumpedFrom(table(segments+1), lim, 1)
	if err != nil {
		t.Fatal(err)
	}
	byCold := mustRange(t, d, cold, pack96(), Options{})
	byWarm := mustRange(t, d, cold, pack96(), Options{Warm: lumped(t, segments+1, 1)})
	// Warm, the schedule can be followed as it is, so that the cold pack breaks off from it.
	if byCold.Capped.Steps == 0 || byWarm.Capped.Steps != 0 || byWarm.End != EndBehind || byWarm.Distance >= byCold.Distance {
		t.Errorf("capped by the cold pack: %+v; by the warm one: %+v, %q", byCold.Capped, byWarm.Capped, byWarm.End)
	}
}

func TestCappedScheduleKeepsItsHills(t *testing.T) {
	t.Parallel()
	s, err := schedule.Constant(80*kmh, 900)
	if err != nil {
		t.Fatal(err)
	}
	s.Grade = make([]float64, len(s.Time))
	for i := 200; i < 400; i++ {
		s.Grade[i], s.Grade[i+300] = 0.09, -0.09
	}
	train := smallVan()
	train.Unit.PowerPeak = 35e3
	climb := func(d *Demand) (up, sum float64) {
		for i := range d.Power {
			h := (d.Speed[i] + d.Speed[i+1]) / 2 * d.slope(i).sin
			up, sum = up+max(h, 0), sum+h
		}
		return up, sum
	}
	motor := demand(t, train, s, DemandOptions{})
	if motor.Capped.Steps == 0 || motor.Capped.Stalled {
		t.Fatalf("35 kW hold 80 km/h on 9 %%: %+v", motor.Capped)
	}
	lim := cellLimits()
	lim.DischargePeak, lim.DischargeContinuous = 0.9, 0.9
	l, err := LumpedFrom(table(segments+1), lim, 1)
	if err != nil {
		t.Fatal(err)
	}
	p := pack96()
	var r Run
	res, err := r.Range(demand(t, smallVan(), s, DemandOptions{}), l, p, Options{SoCStart: 0.9})
	if err != nil || !res.Capped.ByPack {
		t.Fatalf("%+v %v", res, err)
	}
	for name, d := range map[string]*Demand{"motor": motor, "pack": &r.capped} {
		up, sum := climb(d)
		checktest.Near(t, "climb capped by the "+name+", m", up, float64(s.Figures().Climb), 0, 5e-3, "the road itself")
		checktest.Near(t, "rise in all, m", sum, 0, 2, 0, "the road itself")
		checktest.Near(t, "distance, m", float64(d.Distance()), float64(s.Figures().Distance), 0, 5e-3, "the road itself")
		if d.Duration() <= 900 {
			t.Errorf("capped by the %s it takes %v s, 900 s uncapped", name, d.Duration())
		}
	}
}
