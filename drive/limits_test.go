package drive

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/pack"
	"packyard/part"
	"packyard/schedule"
	"packyard/unit"
	"packyard/vehicle"
)

func mustRange(t testing.TB, d *Demand, l *Lumped, p *pack.Pack, o Options) Result {
	t.Helper()
	res, err := Range(d, l, p, o)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

func TestNoLimitIsEverPassed(t *testing.T) {
	t.Parallel()
	s := find(t, "us06")
	base := smallVan()
	checktest.Check(t, func(q *rapid.T) {
		train := base
		train.Mass = unit.Mass(rapid.Float64Range(700, 3000).Draw(q, "mass"))
		lim := cellLimits()
		lim.DischargePeak = unit.CRate(rapid.Float64Range(0.2, 6).Draw(q, "peak"))
		lim.DischargeContinuous = unit.CRate(rapid.Float64Range(0.1, 4).Draw(q, "continuous"))
		lim.ChargePeak = unit.CRate(rapid.Float64Range(0, 3).Draw(q, "charge peak"))
		lim.ChargeContinuous = unit.CRate(rapid.Float64Range(0, 2).Draw(q, "charge continuous"))
		l, err := LumpedFrom(table(segments+1), lim, 1)
		if err != nil {
			q.Fatal(err)
		}
		p := &pack.Pack{Topology: pack.Topology{Series: rapid.IntRange(60, 110).Draw(q, "S"), Parallel: rapid.IntRange(1, 4).Draw(q, "P"), Strings: 1},
			Cell: &cell.Cell{VoltageMax: lim.VoltageMax}, Resistance: unit.Resistance(rapid.Float64Range(0, 0.2).Draw(q, "joints")),
			SoCMin: unit.Ratio(rapid.Float64Range(0, 0.3).Draw(q, "floor")), SoCMax: unit.Ratio(rapid.Float64Range(0.5, 1).Draw(q, "full"))}
		d, err := NewDemand(train, s, DemandOptions{Voltage: p.VoltageFull()})
		if err != nil {
			q.Fatal(err)
		}
		var tr Trace
		var b Balance
		res, err := Range(d, l, p, Options{Trace: &tr, Balance: &b, NoCap: rapid.Bool().Draw(q, "no cap")})
		if err != nil {
			q.Fatal(err)
		}
		checkTrace(q, &tr, res, lim, p)
		if r := math.Abs(float64(b.Residual())); !(r <= 1e-9) {
			q.Errorf("the balance is open by %g: %+v %+v", r, b, res)
		}
	})
}

// checkTrace looks at every step of a run from outside.
func checkTrace(q *rapid.T, tr *Trace, res Result, lim CellLimits, p *pack.Pack) {
	amps := float64(lim.Capacity) / 3600 * float64(p.Topology.Across())
	heat, chHeat := 0.0, 0.0
	cont, peak := float64(min(lim.DischargeContinuous, lim.DischargePeak))*amps, float64(lim.DischargePeak)*amps
	chCont, chPeak := float64(min(lim.ChargeContinuous, lim.ChargePeak))*amps, float64(lim.ChargePeak)*amps
	late := 0.0
	for i, c := range tr.Current {
		dt := tr.Time[i]
		if i > 0 {
			dt -= tr.Time[i-1]
		}
		v := tr.Voltage[i]
		if c > 0 && v < float64(lim.VoltageMin)*float64(p.Topology.Series)-1e-6 {
			q.Fatalf("step %d: %g V at %g A, below the lowest voltage of the cells", i, v, c)
		}
		if c < 0 && v > float64(lim.VoltageMax)*float64(p.Topology.Series)+1e-6 {
			q.Fatalf("step %d: %g V at %g A, above the highest voltage of the cells", i, v, c)
		}
		if c > peak*(1+1e-9) || -c > chPeak*(1+1e-9) {
			q.Fatalf("step %d: %g A, peak limits %g and %g A", i, c, peak, chPeak)
		}
		heat = max(0, heat+(max(c, 0)*max(c, 0)-cont*cont)*dt)
		chHeat = max(0, chHeat+(max(-c, 0)*max(-c, 0)-chCont*chCont)*dt)
		if heat > (peak*peak-cont*cont)*10*(1+1e-9)+1e-3 || chHeat > (chPeak*chPeak-chCont*chCont)*10*(1+1e-9)+1e-3 {
			q.Fatalf("step %d: overload lasts longer than ten seconds of peak hold", i)
		}
		if tr.SoC[i] < float64(p.SoCMin)-1e-12 || tr.SoC[i] > 1+1e-12 {
			q.Fatalf("step %d: charge %g", i, tr.SoC[i])
		}
		if tr.SpeedWanted[i]-tr.Speed[i] > 2/3.6 {
			late += dt
		} else {
			late = 0
		}
		if late >= 4 && i < len(tr.Current)-1 {
			q.Fatalf("step %d: more than 2 km/h behind for %g s and still running", i, late)
		}
		if tr.Speed[i] > tr.SpeedWanted[i]+1e-9 {
			q.Fatalf("step %d: faster than the schedule", i)
		}
	}
	if res.End == EndBehind && late < 4 && !res.Capped.Stalled {
		q.Fatalf("broke off %g s behind", late)
	}
}

func TestRangeBoundIsNeverPassed(t *testing.T) {
	t.Parallel()
	l := lumped(t, segments+1, 1)
	base := smallVan()
	kept := 0
	checktest.Check(t, func(q *rapid.T) {
		s := find(t, rapid.SampledFrom([]string{"wltc-class3b", "udds", "hwfet", "nedc", "japan-10-15"}).Draw(q, "schedule"))
		train := base
		train.Mass = unit.Mass(rapid.Float64Range(700, 2500).Draw(q, "mass"))
		train.Auxiliary = unit.Power(rapid.Float64Range(0, 2000).Draw(q, "auxiliary"))
		train.Regen.Share = unit.Ratio(rapid.Float64Range(0, 1).Draw(q, "share"))
		train.Unit.VoltageRef = unit.Voltage(rapid.Float64Range(200, 400).Draw(q, "reference"))
		p := pack96()
		p.Topology.Parallel = rapid.IntRange(1, 3).Draw(q, "P")
		p.SoCMin = unit.Ratio(rapid.Float64Range(0, 0.5).Draw(q, "floor"))
		d, err := NewDemand(train, s, DemandOptions{Voltage: p.VoltageFull()})
		if err != nil {
			q.Fatal(err)
		}
		res, err := Range(d, l, p, Options{NoCap: true})
		if err != nil {
			q.Fatal(err)
		}
		usable := l.EnergyUsable(p)
		loose, err := d.RangeBoundBehind(usable)
		if err != nil {
			q.Fatal(err)
		}
		if res.Behind == 0 {
			kept++
			if bound := d.RangeBound(usable); res.Distance > bound*(1+1e-12) {
				q.Errorf("range %g m above the bound %g m: %+v", float64(res.Distance), float64(bound), res)
			}
		}
		if res.Distance > loose*(1+1e-12) {
			q.Errorf("range %g m above the bound %g m for runs that fall behind: %+v", float64(res.Distance), float64(loose), res)
		}
	})
	if kept == 0 {
		t.Error("no run kept its schedule: the bound was not tried")
	}
}

func TestWeakPackBreaksOffBehindTheSchedule(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "wltc-class3b"), DemandOptions{})
	tb := table(segments + 1)
	for i := range tb.R0 {
		tb.R0[i] *= 2
	}
	l, err := LumpedFrom(tb, cellLimits(), 1)
	if err != nil {
		t.Fatal(err)
	}
	p := pack96()
	p.Topology.Parallel = 1
	res := mustRange(t, d, l, p, Options{NoCap: true})
	if res.End != EndBehind || res.EndedBy != LimitMotor && res.EndedBy != LimitVoltage || res.SoCEnd < p.SoCMin || res.Limited.Drive() == 0 {
		t.Errorf("the run of a weak pack ended by %q, %q at charge %.3f: %+v", res.End, res.EndedBy, float64(res.SoCEnd), res.Limited)
	}
	strong := mustRange(t, d, lumped(t, segments+1, 1), pack96(), Options{})
	if strong.End != EndFloor || strong.Behind != 0 || strong.Capped.Steps != 0 {
		t.Errorf("a strong pack ended by %q and was behind in %d steps", strong.End, strong.Behind)
	}
	checktest.Near(t, "charge at the end of a strong pack", float64(strong.SoCEnd), float64(p.SoCMin), 1e-12, 0, "the charge floor itself")
}

func TestScheduleTooFastIsCappedAndStillHasARange(t *testing.T) {
	t.Parallel()
	train := smallVan()
	train.Unit.PowerPeak, train.Unit.PowerContinuous = 30e3, 20e3
	d := demand(t, train, find(t, "us06"), DemandOptions{})
	if d.Capped.Steps == 0 || d.Capped.ByPack || d.Capped.Shortfall <= 0 || d.Capped.Share <= 0 {
		t.Fatalf("30 kW follow US06 with 1.6 t: %+v", d.Capped)
	}
	if p := float64(d.PowerPeak()); p > (30e3+0.1*30e3*4)/0.97 {
		t.Errorf("power at the terminals %g W with a motor of 30 kW", p)
	}
	res := mustRange(t, d, lumped(t, segments+1, 1), pack96(), Options{})
	if res.Distance < 50e3 || res.Capped != d.Capped {
		t.Errorf("capped schedule: range %g m, %+v", float64(res.Distance), res.Capped)
	}
	var rules []string
	for _, f := range res.Findings(d) {
		rules = append(rules, f.Rule)
	}
	if !strings.Contains(strings.Join(rules, " "), "drive.schedule.capped") {
		t.Errorf("the findings %v do not say that the schedule was capped", rules)
	}
}

func TestTopSpeedIsHeldWhereASpeedIsBeyondReach(t *testing.T) {
	t.Parallel()
	train := smallVan()
	s, err := schedule.Constant(250*kmh, 600)
	if err != nil {
		t.Fatal(err)
	}
	d := demand(t, train, s, DemandOptions{})
	top := d.Speed[len(d.Speed)-1]
	at, err := SteadyAt(train, unit.Speed(top), 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	// At top speed the motor gives all it has, or turns as fast as it may.
	full := math.Abs(float64(at.Motor)-80e3) < 1
	fast := math.Abs(top*2.5*3.6/0.3-1300) < 1e-3
	if !full && !fast {
		t.Errorf("top speed %g km/h: motor power %g W of 80 kW, motor speed %g of 1300 rad/s", top/kmh, float64(at.Motor), top*2.5*3.6/0.3)
	}
	res := mustRange(t, d, lumped(t, segments+1, 1), pack96(), Options{})
	if res.Distance < 10e3 || res.Capped.Shortfall < 50*kmh {
		t.Errorf("range at top speed %g m, %+v", float64(res.Distance), res.Capped)
	}
}

func TestPackThatCannotFollowEvenFullGetsACappedSchedule(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "wltc-class3b"), DemandOptions{})
	lim := cellLimits()
	lim.DischargePeak, lim.DischargeContinuous = 0.8, 0.7
	l, err := LumpedFrom(table(segments+1), lim, 1)
	if err != nil {
		t.Fatal(err)
	}
	none := mustRange(t, d, l, pack96(), Options{NoCap: true})
	res := mustRange(t, d, l, pack96(), Options{})
	if none.End != EndBehind || none.Cycles >= 1 || none.EndedBy != LimitCurrent {
		t.Fatalf("without capping: %+v", none)
	}
	if !res.Capped.ByPack || res.Capped.Steps == 0 || res.Distance <= 2*none.Distance {
		t.Errorf("capped: range %g m, without %g m, %+v", float64(res.Distance), float64(none.Distance), res.Capped)
	}
}

func TestScheduleMayBeCappedForALowerCharge(t *testing.T) {
	t.Parallel()
	train := smallVan()
	train.Unit.VoltageRef, train.Inverter.Bands.FullMin, train.Inverter.Bands.ReducedMin = 720, 150, 140
	d := demand(t, train, find(t, "wltc-class3b"), DemandOptions{Voltage: 398.4})
	l := lumped(t, segments+1, 1)
	full := mustRange(t, d, l, pack96(), Options{})
	low := mustRange(t, d, l, pack96(), Options{CapCharge: 0.3})
	if full.End != EndBehind || full.SoCEnd < 0.3 {
		t.Fatalf("the case does not try it: %q at charge %v", full.End, full.SoCEnd)
	}
	if low.SoCEnd >= 0.3 || low.Distance <= full.Distance || low.Capped.Shortfall < full.Capped.Shortfall || low.Capped.Steps == 0 {
		t.Errorf("capped for a charge of 0.3: %g m, %q at charge %v, %+v; capped for full: %g m at charge %v, %+v", float64(low.Distance), low.End, low.SoCEnd, low.Capped,
			float64(full.Distance), full.SoCEnd, full.Capped)
	}
}

func TestSteepHillStallsAndEnds(t *testing.T) {
	t.Parallel()
	s := *find(t, "udds")
	s.Grade = make([]float64, len(s.Time))
	for i := range s.Grade {
		s.Grade[i] = 1.5
	}
	d := demand(t, smallVan(), &s, DemandOptions{})
	if !d.Capped.Stalled {
		t.Errorf("a grade of 150 %% is climbed: %+v", d.Capped)
	}
	res := mustRange(t, d, lumped(t, segments+1, 1), pack96(), Options{})
	if res.Distance != 0 || res.End != EndBehind || res.EndedBy != LimitMotor || !res.Capped.Stalled {
		t.Errorf("range of a vehicle that cannot move: %+v", res)
	}
}

func TestColdCellsRefuseRegenerationAndFrictionTakesIt(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "udds"), DemandOptions{})
	lim := cellLimits()
	lim.ChargePeak, lim.ChargeContinuous = 0, 0
	cold, err := LumpedFrom(table(segments+1), lim, 1)
	if err != nil {
		t.Fatal(err)
	}
	warm := mustRange(t, d, lumped(t, segments+1, 1), pack96(), Options{})
	res := mustRange(t, d, cold, pack96(), Options{})
	if res.CurrentChargePeak != 0 || res.Limited.ChargeCurrent == 0 || res.Distance >= warm.Distance {
		t.Errorf("cells that may not be charged: %g A, range %g m against %g m warm", float64(res.CurrentChargePeak), float64(res.Distance), float64(warm.Distance))
	}
	// The motor still feeds the auxiliaries while braking.
	if res.Energy.Recovered <= 0 || res.Energy.Recovered >= warm.Energy.Recovered {
		t.Errorf("recovered %g J cold, %g J warm", float64(res.Energy.Recovered), float64(warm.Energy.Recovered))
	}
}

func TestRegenerationStopsAtAFullPack(t *testing.T) {
	t.Parallel()
	// Downhill from full: nothing may be charged above full, whatever the voltage.
	s, err := schedule.Constant(50*kmh, 300)
	if err != nil {
		t.Fatal(err)
	}
	s.Grade = make([]float64, len(s.Time))
	for i := range s.Grade {
		s.Grade[i] = -0.06
	}
	lim := cellLimits()
	lim.VoltageMax = 6
	l, err := LumpedFrom(table(segments+1), lim, 1)
	if err != nil {
		t.Fatal(err)
	}
	train := smallVan()
	train.Inverter = nil
	d := demand(t, train, s, DemandOptions{})
	res, err := Once(d, l, pack96(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	if res.SoCEnd > 1 || res.Limited.ChargeFull == 0 || res.Energy.Terminals > 1 {
		t.Errorf("downhill from full: charge %v, %+v, %g J at the terminals", res.SoCEnd, res.Limited, float64(res.Energy.Terminals))
	}
	if _, err := Range(d, l, pack96(), Options{SoCStart: 0.5}); !errors.Is(err, ErrEndless) {
		t.Errorf("a road that only falls has a range: error %v, want ErrEndless", err)
	}
}

func TestBadInputIsRefusedWithASentence(t *testing.T) {
	t.Parallel()
	l, s := lumped(t, segments+1, 1), find(t, "udds")
	good := demand(t, smallVan(), s, DemandOptions{})
	nan := math.NaN()
	train := func(change func(*Train)) error {
		tr := smallVan()
		change(&tr)
		_, err := NewDemand(tr, s, DemandOptions{})
		return err
	}
	run := func(change func(*pack.Pack, *Options)) error {
		p, o := pack96(), Options{}
		change(p, &o)
		_, err := Range(good, l, p, o)
		return err
	}
	table := func(change func(*cell.Table, *CellLimits)) error {
		tb, lim := table(11), cellLimits()
		change(tb, &lim)
		_, err := LumpedFrom(tb, lim, 1)
		return err
	}
	bad := *s
	bad.Speed = append([]float64{nan}, s.Speed[1:]...)
	of := func(s *schedule.Schedule, o DemandOptions) error { _, err := NewDemand(smallVan(), s, o); return err }
	for _, c := range []struct {
		name string
		err  error
		is   error
		says string
	}{
		{"no mass", train(func(t *Train) { t.Mass = 0 }), ErrTrain, "mass in kg"},
		{"mass NaN", train(func(t *Train) { t.Mass = unit.Mass(nan) }), ErrTrain, "mass in kg"},
		{"infinite auxiliaries", train(func(t *Train) { t.Auxiliary = unit.Power(math.Inf(1)) }), ErrTrain, "auxiliary power"},
		{"no unit", train(func(t *Train) { t.Unit = nil }), ErrTrain, "no drive unit"},
		{"unit without power", train(func(t *Train) { t.Unit = &part.DriveUnit{ID: "x"} }), ErrTrain, "peak power"},
		{"stage of efficiency 0", train(func(t *Train) { t.Stages = []part.Stage{{Name: "gear", Ratio: 2}} }), ErrTrain, `stage "gear"`},
		{"no road load", train(func(t *Train) { t.Road = vehicle.RoadLoad{} }), ErrTrain, "drag area"},
		{"share above 1", train(func(t *Train) { t.Regen.Share = 2 }), ErrTrain, "share of regeneration"},
		{"fade upside down", train(func(t *Train) { t.Regen.FadeTo = 99 }), ErrTrain, "fades"},
		{"loss NaN", train(func(t *Train) { u := *t.Unit; u.Loss.KCopper = nan; t.Unit = &u }), ErrTrain, "finite"},
		{"no schedule", of(nil, DemandOptions{}), ErrSchedule, "no schedule"},
		{"speed NaN", of(&bad, DemandOptions{}), ErrSchedule, "speed"},
		{"step of an hour", of(s, DemandOptions{Step: 3600}), ErrSchedule, "step of 3600 s"},
		{"step NaN", of(s, DemandOptions{Step: unit.Time(nan)}), ErrSchedule, "step"},
		{"negative voltage", of(s, DemandOptions{Voltage: -1}), ErrTrain, "full voltage"},
		{"nothing in series", run(func(p *pack.Pack, o *Options) { p.Topology.Series = 0 }), ErrPack, "in series"},
		{"floor above full", run(func(p *pack.Pack, o *Options) { p.SoCMin = 1 }), ErrPack, "charge used"},
		{"floor NaN", run(func(p *pack.Pack, o *Options) { p.SoCMin = unit.Ratio(nan) }), ErrPack, "charge used"},
		{"joints NaN", run(func(p *pack.Pack, o *Options) { p.Resistance = unit.Resistance(nan) }), ErrPack, "interconnects"},
		{"start above full", run(func(p *pack.Pack, o *Options) { o.SoCStart = 2 }), ErrPack, "start"},
		{"charger without power", run(func(p *pack.Pack, o *Options) { o.Charger = &part.Charger{ID: "c", Efficiency: 0.9, Idle: 10} }), ErrPack, "charger c"},
		{"no capacity", table(func(t *cell.Table, c *CellLimits) { t.Capacity = 0 }), ErrCell, "capacity 0"},
		{"capacity NaN", table(func(t *cell.Table, c *CellLimits) { t.Capacity = unit.Charge(nan) }), ErrCell, "capacity NaN"},
		{"resistance NaN", table(func(t *cell.Table, c *CellLimits) { t.R0[3] = nan }), ErrCell, "R0 at entry 3"},
		{"one voltage", table(func(t *cell.Table, c *CellLimits) { t.OCV = t.OCV[:1] }), ErrCell, "at least two"},
		{"voltages upside down", table(func(t *cell.Table, c *CellLimits) { c.VoltageMin = 5 }), ErrCell, "voltage from 5 V"},
		{"columns of unequal length", table(func(t *cell.Table, c *CellLimits) { t.Tau1 = t.Tau1[:3] }), ErrCell, "τ1 has 3 entries"},
	} {
		if !errors.Is(c.err, c.is) || !strings.Contains(c.err.Error(), c.says) {
			t.Errorf("%s: error %q, want %q saying %q", c.name, c.err, c.is, c.says)
		}
	}
}

func TestRunsThatCannotBeDrivenAreRefused(t *testing.T) {
	t.Parallel()
	l, good := lumped(t, segments+1, 1), demand(t, smallVan(), find(t, "udds"), DemandOptions{})
	ends := &schedule.Schedule{ID: "ends fast", Time: []float64{0, 1, 2}, Speed: []float64{0, 1, 2}}
	still := &schedule.Schedule{ID: "stands", Time: []float64{0, 1, 2}, Speed: []float64{0, 0, 0}}
	for _, c := range []struct {
		s    *schedule.Schedule
		is   error
		says string
	}{{ends, ErrSchedule, "both must be the same"}, {still, ErrSchedule, "goes nowhere"}} {
		_, err := Range(demand(t, smallVan(), c.s, DemandOptions{}), l, pack96(), Options{})
		if !errors.Is(err, c.is) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: error %q, want %q saying %q", c.s.ID, err, c.is, c.says)
		}
	}
	half, err := LumpedFrom(table(11), cellLimits(), 0.5)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Range(good, half, pack96(), Options{}); !errors.Is(err, ErrSteps) {
		t.Errorf("steps of 1 s and 0.5 s: error %v, want ErrSteps", err)
	}
}
