package drive

import (
	"math"
	"reflect"
	"testing"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/internal/exact"
	"packyard/pack"
	"packyard/part"
	"packyard/unit"
)

// hilly is a train, a schedule and a pack in which every term of the balance
// takes part and many limits bind.
func hilly(t testing.TB) (*Demand, *Lumped, *pack.Pack) {
	t.Helper()
	s := *find(t, "wltc-class3b")
	s.Grade = make([]float64, len(s.Time))
	for i := range s.Grade {
		s.Grade[i] = 0.06 * math.Sin(float64(i)/90)
	}
	train := smallVan()
	train.Air.Headwind = 2
	train.Unit.PowerPeak = 75e3
	p := pack96()
	p.Topology.Parallel = 1
	return demand(t, train, &s, DemandOptions{}), lumped(t, segments+1, 1), p
}

func balanceOf(t testing.TB, d *Demand, l *Lumped, p *pack.Pack, o Options) (Balance, Result) {
	t.Helper()
	var b Balance
	o.Balance = &b
	res, err := Range(d, l, p, o)
	if err != nil {
		t.Fatal(err)
	}
	return b, res
}

func TestEnergyBalanceCloses(t *testing.T) {
	t.Parallel()
	d, l, p := hilly(t)
	plain := demand(t, smallVan(), find(t, "wltc-class3b"), DemandOptions{})
	grid := smallVan()
	grid.Unit.Loss.Grid = &part.LossGrid{Speed: []float64{0, 400, 1400}, Torque: []float64{0, 60, 260}, Loss: [][]float64{{40, 300, 6000}, {300, 700, 7000}, {1500, 2500, 12000}}}
	weak := *pack96()
	weak.Topology.Parallel, weak.SoCMin = 1, 0
	for _, c := range []struct {
		name string
		d    *Demand
		p    *pack.Pack
		o    Options
	}{
		{"hills, wind and a small pack", d, p, Options{}},
		{"without capping", d, p, Options{NoCap: true}},
		{"plain", plain, pack96(), Options{}},
		{"three schedules from half", plain, pack96(), Options{Cycles: 3, SoCStart: 0.5}},
		{"loss from a grid", demand(t, grid, find(t, "us06"), DemandOptions{}), pack96(), Options{}},
		{"to the last drop", plain, &weak, Options{}},
	} {
		b, res := balanceOf(t, c.d, l, c.p, c.o)
		if res.Distance == 0 || b.Throughput == 0 {
			t.Errorf("%s: nothing was driven: %+v", c.name, res)
		}
		if r := math.Abs(float64(b.Residual())); !(r <= 1e-9) {
			t.Errorf("%s: the balance is open by %.3g of the throughput, 1e-9 is allowed: %+v", c.name, r, b)
		}
		// The totals of the result come by another way.
		checktest.Near(t, c.name+": chemical energy, J", float64(res.Energy.Chemical), float64(b.Chemical), 0, 1e-12, "energy balance")
		friction := float64(res.Energy.Braking - res.Energy.Recovered)
		checktest.Near(t, c.name+": friction, J", friction, float64(b.Friction), 1, 1e-9, "energy balance")
		wheels := float64(b.Rolling + b.Air + b.Grade + b.Inertia + b.Friction)
		checktest.Near(t, c.name+": net at the wheels, J", float64(res.Energy.Wheels), wheels, 1, 1e-9, "energy balance")
	}
}

// A balance that cannot fail shows nothing: each term that is off by a
// millionth of itself, or of a thousandth of the throughput when the term is
// smaller than that, must open it.
func TestEnergyBalanceFailsWhenATermIsOff(t *testing.T) {
	t.Parallel()
	d, l, p := hilly(t)
	b, _ := balanceOf(t, d, l, p, Options{})
	for i, term := range b.terms() {
		was := *term
		if was == 0 {
			t.Errorf("term %d of %+v is zero: the case does not exercise it", i, b)
		}
		*term += 1e-6 * unit.Energy(max(math.Abs(float64(was)), 2e-3*float64(b.Throughput)))
		if r := math.Abs(float64(b.Residual())); r <= 1e-9 {
			t.Errorf("term %d off by 1e-6 opens the balance by %.3g only", i, r)
		}
		*term = was
	}
	b.Chemical *= 1 + 1e-6
	if r := math.Abs(float64(b.Residual())); r <= 1e-9 {
		t.Errorf("chemical energy off by 1e-6 opens the balance by %.3g only", r)
	}
}

func TestPairEnergyMatchesTheClosedForm(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ r, tau, v0, i, dt float64 }{{0.001, 15, 0.02, 30, 1}, {0.002, 300, -0.01, -50, 0.5}, {0.001, 0.5, 0, 10, 1}} {
		v1 := exact.RCStep(c.v0, c.i, c.r, c.tau, c.dt)
		lost, stored := pairEnergy(c.r, c.tau, c.v0, v1, c.i, c.dt)
		checktest.Near(t, "heat of the pair, J", lost, exact.RCHeat(c.v0, c.i, c.r, c.tau, c.dt), 1e-12, 1e-9, "closed-form RC step")
		checktest.Near(t, "stored by the pair, J", stored, exact.RCStored(v1, c.r, c.tau)-exact.RCStored(c.v0, c.r, c.tau), 1e-12, 1e-9, "closed-form RC step")
		_, g, f, h := pair(c.r, c.tau, c.dt)
		checktest.Near(t, "end of the step, V", math.Exp(-c.dt/c.tau)*c.v0+g*c.i, v1, 1e-15, 1e-12, "closed-form RC step")
		checktest.Near(t, "work into the pair, J", (f*c.v0+h*c.i)*c.i*c.dt, exact.RCTaken(c.v0, c.i, c.r, c.tau, c.dt), 1e-12, 1e-9, "closed-form RC step")
	}
}

// The quick path and the traced path are the same arithmetic; only the order in
// which energies are summed differs, by rounding.
func TestTracedRunEqualsTheQuickOne(t *testing.T) {
	t.Parallel()
	d, l, p := hilly(t)
	plain := demand(t, smallVan(), find(t, "wltc-class3b"), DemandOptions{})
	for _, c := range []struct {
		d *Demand
		p *pack.Pack
	}{{d, p}, {plain, pack96()}} {
		quick, err := Range(c.d, l, c.p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		var trace Trace
		slow, err := Range(c.d, l, c.p, Options{Trace: &trace})
		if err != nil {
			t.Fatal(err)
		}
		a, b := reflect.ValueOf(quick), reflect.ValueOf(slow)
		compareFields(t, "Result", a, b)
		n := len(trace.Time)
		checktest.Near(t, "last time of the trace, s", trace.Time[n-1], float64(quick.Duration), 0, 1e-12, "the run itself")
		checktest.Near(t, "last distance of the trace, m", trace.Distance[n-1], float64(quick.Distance), 0, 1e-9, "the run itself")
		energy := 0.0
		for i, w := range trace.Power {
			dt := trace.Time[i]
			if i > 0 {
				dt -= trace.Time[i-1]
			}
			energy += w * dt
		}
		checktest.Near(t, "energy of the trace, J", energy, float64(quick.Energy.Terminals), 0, 1e-9, "the run itself")
	}
}

func compareFields(t *testing.T, name string, a, b reflect.Value) {
	t.Helper()
	switch a.Kind() {
	case reflect.Struct:
		for i := range a.NumField() {
			compareFields(t, name+"."+a.Type().Field(i).Name, a.Field(i), b.Field(i))
		}
	case reflect.Float64:
		checktest.Near(t, name, b.Float(), a.Float(), 0, 1e-11, "the quick path")
	default:
		if !a.Equal(b) {
			t.Errorf("%s: %v traced, %v quick", name, b, a)
		}
	}
}

// refined repeats every step of a demand n times at an n-th of its length: the
// same power over time, finer steps of the pack.
func refined(d *Demand, n int) *Demand {
	f := &Demand{Step: d.Step / unit.Time(n), chain: d.chain, train: d.train, full: d.full, level: true}
	f.Speed = append(f.Speed, d.Speed[0])
	f.cum = append(f.cum, sums{})
	for i, p := range d.Power {
		for j := range n {
			part := d.cum[i+1].minus(d.cum[i])
			share := float64(j+1) / float64(n)
			f.Speed = append(f.Speed, d.Speed[i]+share*(d.Speed[i+1]-d.Speed[i]))
			f.Power, f.VoltageNeeded = append(f.Power, p), append(f.VoltageNeeded, 0)
			f.Torque, f.MotorSpeed = append(f.Torque, 0), append(f.MotorSpeed, 0)
			f.cum = append(f.cum, sums{distance: d.cum[i].distance + share*part.distance, terminals: d.cum[i].terminals + share*part.terminals})
		}
	}
	return f
}

func TestHalvingTheStepQuartersTheError(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "us06"), DemandOptions{})
	tb := table(3)
	for i := range tb.OCV { // one slope, constant resistances: the smooth case
		tb.OCV[i] = 3.2 + 0.4*float64(i)
		tb.R0[i], tb.R1[i], tb.Tau1[i], tb.R2[i], tb.Tau2[i] = 0.004, 0.002, 8, 0.002, 90
	}
	limits := cellLimits()
	limits.DischargePeak, limits.DischargeContinuous, limits.ChargePeak, limits.ChargeContinuous = 50, 50, 50, 50
	end := func(n int) float64 {
		l, err := LumpedFrom(tb, limits, unit.Time(1)/unit.Time(n))
		if err != nil {
			t.Fatal(err)
		}
		res, err := Once(refined(d, n), l, pack96(), Options{SoCStart: 0.8})
		if err != nil || res.End != EndCycles || res.Limited != (Limited{}) {
			t.Fatalf("%d steps a second: %+v %v", n, res, err)
		}
		return float64(res.SoCEnd)
	}
	one, half, quarter, eighth := end(1), end(2), end(4), end(8)
	for _, r := range []float64{(one - half) / (half - quarter), (half - quarter) / (quarter - eighth)} {
		checktest.Near(t, "change of the end charge over that of half the step", r, 4, 0.5, 0, "second order of the step solution")
	}
	if e := math.Abs(one - eighth); e > 2e-5 {
		t.Errorf("steps of 1 s change the end charge by %.2g, below 2e-5 is wanted", e)
	}
}

func TestTableResolutionDoesNotMatter(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "wltc-class3b"), DemandOptions{})
	run := func(n int) float64 {
		res, err := Range(d, lumped(t, n+1, 1), pack96(), Options{})
		if err != nil {
			t.Fatal(err)
		}
		return float64(res.Distance)
	}
	// The promise beside the constant.
	checktest.Near(t, "range with the table's own resolution over a fine one, m", run(segments), run(5000), 0, 2e-4, "resolution of the table")
	checktest.Near(t, "range with twice the resolution, m", run(2*segments), run(5000), 0, 1e-4, "resolution of the table")
}

func TestTopologyOnlyScales(t *testing.T) {
	t.Parallel()
	// Twice in series at half in parallel is the same power at twice the voltage.
	train := smallVan()
	train.Unit.VoltageRef, train.Inverter = 0, nil
	d := demand(t, train, find(t, "wltc-class3b"), DemandOptions{})
	l := lumped(t, segments+1, 1)
	run := func(s, p, n int, joints float64) Result {
		k := &pack.Pack{Topology: pack.Topology{Series: s, Parallel: p, Strings: n}, Cell: &cell.Cell{}, Resistance: unit.Resistance(joints), SoCMin: 0.1, SoCMax: 0.98}
		res, err := Range(d, l, k, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return res
	}
	a, b, c := run(48, 4, 1, 0.01), run(96, 2, 1, 0.04), run(96, 1, 2, 0.04)
	checktest.Near(t, "range at twice the voltage, m", float64(b.Distance), float64(a.Distance), 0, 1e-10, "circuit law")
	checktest.Near(t, "current at twice the voltage, A", float64(b.CurrentRMS), float64(a.CurrentRMS)/2, 0, 1e-10, "circuit law")
	checktest.Near(t, "range of two strings, m", float64(c.Distance), float64(b.Distance), 0, 1e-10, "circuit law")
}
