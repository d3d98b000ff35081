package drive

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/internal/exact"
	"packyard/pack"
	"packyard/unit"
)

// ledger books every step of Groups from outside: what left the terminals, what
// became heat in cells and joints, what the RC pairs hold, what the
// open-circuit voltages gave. Each has its own formula.
type ledger struct {
	terminals, heat, joints, reversible, stored, chemical, throughput float64 // J
}

func (l *ledger) residual() float64 {
	return (l.chemical - l.terminals - (l.heat + l.reversible) - l.joints - l.stored) / l.throughput
}

// before keeps what the ledger needs of the state before a step.
type beforeStep struct{ x, v1, v2, dudt, c1, c2 []float64 }

func stateOf(g *Groups) beforeStep {
	b := beforeStep{x: append([]float64(nil), g.now.x...), v1: append([]float64(nil), g.now.v1...), v2: append([]float64(nil), g.now.v2...), dudt: append([]float64(nil), g.law.dudt...)}
	for i := range g.count { // capacities of the pairs, from their decay
		b.c1 = append(b.c1, -g.dt/math.Log(g.law.a1[i])/g.law.r1[i])
		b.c2 = append(b.c2, -g.dt/math.Log(g.law.a2[i])/g.law.r2[i])
	}
	return b
}

func (l *ledger) book(g *Groups, s GroupStep, b beforeStep) {
	dt := g.dt
	l.terminals += float64(s.Power) * dt
	l.throughput += math.Abs(float64(s.Power)) * dt
	l.joints += float64(g.JointHeat()) * dt
	for i, q := range g.Heat() {
		cur := g.str[i/g.series].cur
		l.heat += q * dt
		l.reversible += cur * g.fixed.temp[i] * b.dudt[i] * dt
		l.chemical += g.table.energy(g.now.x[i], b.x[i]) * g.fixed.capacity[i] / g.full
		l.stored += b.c1[i]/2*(g.now.v1[i]*g.now.v1[i]-b.v1[i]*b.v1[i]) + b.c2[i]/2*(g.now.v2[i]*g.now.v2[i]-b.v2[i]*b.v2[i])
	}
}

func TestGroupEnergyCloses(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "us06"), DemandOptions{})
	tb := groupTable(t)
	checktest.Check(t, func(q *rapid.T) {
		strings := rapid.IntRange(1, 3).Draw(q, "strings")
		p := packOf(rapid.IntRange(20, 60).Draw(q, "series"), strings)
		o := GroupOptions{Start: unequal(p.Topology.Series*strings, rapid.Uint64().Draw(q, "seed")), Step: unit.Time(rapid.Float64Range(0.1, 20).Draw(q, "step")),
			NoLimits: rapid.Bool().Draw(q, "no limits")}
		g, err := NewGroups(tb, p, o)
		if err != nil {
			q.Fatal(err)
		}
		var l ledger
		temp := append([]float64(nil), g.Temperatures()...)
		for i, w := range d.Power[:300] {
			b := stateOf(g)
			var s GroupStep
			if i%3 == 2 {
				s, err = g.StepCurrent(unit.Current(w / 300))
			} else {
				s, err = g.StepPower(unit.Power(w / 3))
			}
			if err != nil {
				q.Fatal(err)
			}
			l.book(g, s, b)
			warmer(temp, g.Heat(), 1800, g.dt)
			if err := g.SetTemperatures(temp); err != nil {
				q.Fatal(err)
			}
		}
		// Rounding of some hundred steps with a hundred groups.
		if r := math.Abs(l.residual()); !(r <= 1e-10) {
			q.Errorf("the energy of unequal groups is open by %.3g of the throughput: %+v", r, l)
		}
	})
}

// A ledger that cannot fail shows nothing.
func TestGroupEnergyOpensWhenATermIsOff(t *testing.T) {
	t.Parallel()
	g := groups(t, packOf(40, 2), GroupOptions{Start: unequal(80, 3)})
	d := demand(t, smallVan(), find(t, "us06"), DemandOptions{})
	var l ledger
	for _, w := range d.Power {
		b := stateOf(g)
		s, err := g.StepPower(unit.Power(w / 4))
		if err != nil {
			t.Fatal(err)
		}
		l.book(g, s, b)
	}
	for _, term := range []*float64{&l.terminals, &l.heat, &l.reversible, &l.joints, &l.stored, &l.chemical} {
		was := *term
		*term += 1e-6 * math.Max(math.Abs(was), 2e-3*l.throughput)
		if r := math.Abs(l.residual()); r <= 1e-9 {
			t.Errorf("a term of %g J that is off by 1e-6 opens the ledger by %.3g only: %+v", was, r, l)
		}
		*term = was
	}
}

func flatCell(ocv, r0 float64) *GroupTable {
	t := &cell.Table{Temperature: 298.15, Capacity: 100 * 3600, OCV: []float64{ocv, ocv, ocv}, R0: []float64{r0, r0, r0}}
	c := &cell.Cell{ID: "flat", Capacity: 100 * 3600, VoltageMin: 0.1, VoltageMax: 10}
	c.Limits.Discharge = []cell.LimitPoint{{Temperature: 200, Duration: 3600, Rate: 1e3}, {Temperature: 400, Duration: 3600, Rate: 1e3}}
	c.Limits.Charge = c.Limits.Discharge
	g, err := GroupTableFrom([]*cell.Table{t}, c)
	if err != nil {
		panic(err)
	}
	return g
}

// Two strings of unlike resistance and voltage share as the handbook says: a
// step of a thousandth of a second leaves the charge as it is.
func TestStringsOfGroupsShareAsTheHandbookSays(t *testing.T) {
	t.Parallel()
	const src = "handbook WE-10, circuit law"
	tb := flatCell(4, 0.0005)
	p := &pack.Pack{Topology: pack.Topology{Series: 100, Parallel: 1, Strings: 2}, SoCMax: 1}
	start := make([]GroupStart, 200)
	for i := range start {
		start[i].ResistanceGrowth = 1
		if i >= 100 {
			start[i].ResistanceGrowth = 1.2
		}
	}
	g, err := NewGroups(tb, p, GroupOptions{Start: start, NoLimits: true, Step: 0.001})
	if err != nil {
		t.Fatal(err)
	}
	s, err := g.StepCurrent(300)
	if err != nil {
		t.Fatal(err)
	}
	i := g.StringCurrents(nil)
	checktest.Near(t, "string of 50 mΩ, A", i[0], 163.6364, 0, 1e-6, src)
	checktest.Near(t, "string of 60 mΩ, A", i[1], 136.3636, 0, 1e-6, src)
	checktest.Near(t, "voltage, V", float64(s.Voltage), 400-0.05*163.63636, 0, 1e-7, src)
}

func TestGroupsAtConstantPowerMatchTheClosedForm(t *testing.T) {
	t.Parallel()
	const ocv, r0, power = 3.3, 0.002, 9000.0
	p := &pack.Pack{Topology: pack.Topology{Series: 100, Parallel: 2, Strings: 1}, Resistance: 0.05, SoCMin: 0.1, SoCMax: 1}
	g, err := NewGroups(flatCell(ocv, r0), p, GroupOptions{})
	if err != nil {
		t.Fatal(err)
	}
	want := exact.DischargeTime(0.9*2*100*3600, 100*ocv, r0*100/2+0.05, power)
	for range int(want) {
		if s, err := g.StepPower(power); err != nil || s.Limiter != LimitNone {
			t.Fatal(s, err)
		}
	}
	// What is left is the part of a second that the closed form adds.
	z, _ := g.Charge()
	left := (float64(z) - 0.1) / 0.9 * want
	checktest.Near(t, "time to the floor, s", float64(int(want))+left, want, 0, 1e-10, "Ohm's law")
	s, err := g.StepPower(power)
	if err != nil || s.Limiter != LimitEmpty {
		t.Errorf("the step over the floor was limited by %q, %v", s.Limiter, err)
	}
	z, _ = g.Charge()
	checktest.Near(t, "charge after the step over the floor", float64(z), 0.1, 1e-12, 0, "the charge floor itself")
}

// One group alone is one cell of the lumped pack, step by step.
func TestGroupsAlikeAreTheLumpedPack(t *testing.T) {
	t.Parallel()
	c := coldCell()
	for _, k := range []unit.Temperature{unit.Celsius(0), unit.Celsius(10), unit.Celsius(30)} {
		l, err := NewLumped(c, k, cell.Health{CapacityShare: 0.9, ResistanceGrowth: 1.3}, 1)
		if err != nil {
			t.Fatal(err)
		}
		p := pack96()
		d := demand(t, smallVan(), find(t, "us06"), DemandOptions{})
		var tr Trace
		if _, err := Range(d, l, p, Options{Trace: &tr, NoCap: true}); err != nil {
			t.Fatal(err)
		}
		o := GroupOptions{Temperature: k, Health: l.Health, NoLimits: true}
		g, err := NewGroups(groupTable(t), p, o)
		if err != nil {
			t.Fatal(err)
		}
		for i, w := range tr.Power[:len(tr.Power)-1] {
			s, err := g.StepPower(unit.Power(w))
			if err != nil {
				t.Fatal(err)
			}
			// Both have the same rows at these temperatures; halfway between rows the
			// mean of two rows is the only difference, and there is none at a row.
			// 1e-9 leaves room for rounding of some thousand steps.
			z, _ := g.Charge()
			if !checktest.Near(t, "charge", float64(z), tr.SoC[i], 1e-9, 0, "the lumped pack") ||
				!checktest.Near(t, "voltage, V", float64(s.Voltage), tr.Voltage[i], 0, 1e-9, "the lumped pack") ||
				!checktest.Near(t, "current, A", float64(s.Current), tr.Current[i], 1e-6, 1e-9, "the lumped pack") {
				t.Fatalf("step %d at %g K", i, float64(k))
			}
		}
	}
}

func TestHalvingTheStepOfGroupsQuartersTheError(t *testing.T) {
	t.Parallel()
	tb := table(3)
	for i := range tb.OCV { // one slope, constant resistances: the smooth case
		tb.OCV[i] = 3.2 + 0.4*float64(i)
		tb.R0[i], tb.R1[i], tb.Tau1[i], tb.R2[i], tb.Tau2[i] = 0.004, 0.002, 8, 0.002, 90
	}
	table, err := GroupTableFrom([]*cell.Table{tb}, coldCell())
	if err != nil {
		t.Fatal(err)
	}
	d := demand(t, smallVan(), find(t, "us06"), DemandOptions{})
	end := func(n int) float64 {
		g, err := NewGroups(table, packOf(96, 2), GroupOptions{Start: unequal(192, 5), NoLimits: true, Step: unit.Time(1) / unit.Time(n)})
		if err != nil {
			t.Fatal(err)
		}
		for _, w := range d.Power {
			for range n {
				if _, err := g.StepPower(unit.Power(w)); err != nil {
					t.Fatal(err)
				}
			}
		}
		z, _ := g.Charge()
		return float64(z)
	}
	one, half, quarter, eighth := end(1), end(2), end(4), end(8)
	for _, r := range []float64{(one - half) / (half - quarter), (half - quarter) / (quarter - eighth)} {
		checktest.Near(t, "change of the end charge over that of half the step", r, 4, 0.5, 0, "second order of the step solution")
	}
}

// Resistances are read anew when a temperature has moved by 0.01 K. Against a
// reading at every step the voltage of no group differs by more than 60 µV, in the same piece of charge, while
// the pack warms from −15 °C under US06.
func TestTemperatureRefreshErrorIsSmall(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "us06"), DemandOptions{})
	start := unequal(60, 9)
	for i := range start {
		start[i].Temperature = unit.Celsius(-15 + float64(i)/30)
	}
	lazy := groups(t, packOf(60, 1), GroupOptions{Start: start, NoLimits: true})
	eager := groups(t, packOf(60, 1), GroupOptions{Start: start, NoLimits: true})
	temp := append([]float64(nil), lazy.Temperatures()...)
	worst := 0.0
	for range 3 {
		for _, w := range d.Power {
			for _, g := range []*Groups{lazy, eager} {
				if _, err := g.StepPower(unit.Power(w / 4)); err != nil {
					t.Fatal(err)
				}
			}
			for i, u := range lazy.Voltages() {
				if lazy.law.lo[i] == eager.law.lo[i] { // a border may be passed one step earlier
					worst = max(worst, math.Abs(u-eager.Voltages()[i]))
				}
			}
			warmer(temp, eager.Heat(), 1800, 1)
			if err := lazy.SetTemperatures(temp); err != nil {
				t.Fatal(err)
			}
			if err := eager.SetTemperatures(temp); err != nil {
				t.Fatal(err)
			}
			for i := range start {
				eager.warm(i)
			}
		}
	}
	if temp[0] < float64(unit.Celsius(-10)) {
		t.Errorf("the pack warmed to %.1f °C only: the case does not try the refresh", temp[0]-273.15)
	}
	if worst > 60e-6 || worst == 0 {
		t.Errorf("reading resistances every 0.01 K changes a voltage by %.3g V, 60 µV is stated", worst)
	}
}

func TestGroupStepsAllocateNothing(t *testing.T) {
	g := groups(t, packOf(112, 2), GroupOptions{Start: unequal(224, 2)})
	temp := append([]float64(nil), g.Temperatures()...)
	d := demand(t, smallVan(), find(t, "us06"), DemandOptions{})
	n := testing.AllocsPerRun(3, func() {
		for i, w := range d.Power {
			if _, err := g.StepPower(unit.Power(2 * w)); err != nil { // twice: limits bind
				t.Fatal(err)
			}
			temp[i%224] += 0.1
			if err := g.SetTemperatures(temp); err != nil {
				t.Fatal(err)
			}
		}
		if err := g.Start(g.o); err != nil {
			t.Fatal(err)
		}
	})
	if n != 0 {
		t.Errorf("%g allocations in steps of groups, none is promised", n)
	}
}

func TestGroupsRefuseWhatCannotBeRun(t *testing.T) {
	t.Parallel()
	tb := groupTable(t)
	nan := unit.Ratio(math.NaN())
	for name, o := range map[string]GroupOptions{
		"too few groups":       {Start: make([]GroupStart, 3)},
		"charge above 1":       {Charge: 1.2},
		"charge NaN":           {Charge: nan},
		"capacity NaN":         {Health: cell.Health{CapacityShare: nan, ResistanceGrowth: 1}},
		"resistance below":     {Health: cell.Health{CapacityShare: 1, ResistanceGrowth: 0.01}},
		"temperature":          {Temperature: 20},
		"step":                 {Step: -1},
		"derating below zero":  {Derating: Derating{Voltage: -1}},
		"derating without end": {Derating: Derating{Overload: unit.Time(math.Inf(1))}},
	} {
		if _, err := NewGroups(tb, packOf(10, 1), o); !errors.Is(err, ErrPack) {
			t.Errorf("%s: got %v, want ErrPack", name, err)
		}
	}
	g := groups(t, packOf(10, 1), GroupOptions{})
	for name, err := range map[string]error{
		"length": g.SetTemperatures(make([]float64, 9)), "kelvin": g.SetTemperatures(make([]float64, 10)), "step": g.SetStep(unit.Time(math.NaN())),
	} {
		if !errors.Is(err, ErrPack) {
			t.Errorf("%s: got %v, want ErrPack", name, err)
		}
	}
	if _, err := g.StepPower(unit.Power(math.NaN())); !errors.Is(err, ErrPack) {
		t.Errorf("power NaN: got %v", err)
	}
	if _, err := g.StepCurrent(unit.Current(math.Inf(1))); !errors.Is(err, ErrPack) {
		t.Errorf("current without end: got %v", err)
	}
	if _, err := NewGroupTable(&cell.Cell{ID: "x"}); !errors.Is(err, cell.ErrNoCurves) {
		t.Errorf("cell without curves: got %v", err)
	}
	if _, err := NewGroupTable(nil); !errors.Is(err, ErrCell) {
		t.Errorf("no cell: got %v", err)
	}
	if _, err := GroupTableFrom(nil, coldCell()); !errors.Is(err, ErrCell) {
		t.Errorf("no table: got %v", err)
	}
	a, b := table(5), table(5)
	b.Temperature, b.OCV[2] = 310, 3.9
	if _, err := GroupTableFrom([]*cell.Table{a, b}, coldCell()); !errors.Is(err, ErrCell) {
		t.Errorf("two open-circuit voltages: got %v", err)
	}
}
