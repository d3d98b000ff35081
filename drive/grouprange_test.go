package drive

import (
	"errors"
	"math"
	"testing"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/heat"
	"packyard/pack"
	"packyard/part"
	"packyard/schedule"
	"packyard/unit"
)

func rangeGroups(t testing.TB, d *Demand, p *pack.Pack, q GroupRun, o Options) GroupResult {
	t.Helper()
	if q.Table == nil {
		q.Table = groupTable(t)
	}
	res, err := RangeGroups(d, p, q, o)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// With all groups alike, the limits as hard as those of the lumped pack and joints
// without resistance (the lumped pack counts their drop as the cells' when it
// compares with limits of voltage), both
// fidelities are one: they read the same pieces of the same table and solve the
// same equation. What is left is rounding of ten thousand steps, in which only
// the order of sums differs, and the bracket of the speed that is reached where a
// limit binds (1e-14 of itself).
func TestRangePerGroupOfEqualGroupsIsTheLumpedRange(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name     string
		celsius  float64
		parallel int
		strings  int
		schedule string
		health   cell.Health
		charger  bool
	}{
		{"plain", 30, 2, 1, "wltc-class3b", cell.New, false},
		{"aged", 30, 2, 1, "us06", cell.Health{CapacityShare: 0.8, ResistanceGrowth: 1.5}, false},
		{"cold and short of power", -10, 1, 1, "us06", cell.New, false},
		{"two strings", 20, 1, 2, "hwfet", cell.New, false},
	} {
		k := unit.Celsius(c.celsius)
		l, err := NewLumped(coldCell(), k, c.health, 1)
		if err != nil {
			t.Fatal(err)
		}
		p := pack96()
		p.Cell, p.Resistance = coldCell(), 0
		p.Topology.Parallel, p.Topology.Strings = c.parallel, c.strings
		d := demand(t, smallVan(), find(t, c.schedule), DemandOptions{})
		want, err := Range(d, l, p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		got := rangeGroups(t, d, p, GroupRun{GroupOptions: GroupOptions{Temperature: k, Health: c.health, Derating: Derating{Off: true}}}, Options{})
		const src = "the lumped run"
		checktest.Near(t, c.name+": range, m", float64(got.Distance), float64(want.Distance), 0, 1e-9, src)
		checktest.Near(t, c.name+": energy at the terminals, J", float64(got.Energy.Terminals), float64(want.Energy.Terminals), 0, 1e-9, src)
		checktest.Near(t, c.name+": chemical energy, J", float64(got.Energy.Chemical), float64(want.Energy.Chemical), 0, 1e-9, src)
		checktest.Near(t, c.name+": charge at the end", float64(got.SoCEnd), float64(want.SoCEnd), 1e-9, 0, src)
		checktest.Near(t, c.name+": lowest voltage, V", float64(got.VoltageMin), float64(want.VoltageMin), 0, 1e-9, src)
		checktest.Near(t, c.name+": peak current, A", float64(got.CurrentPeak), float64(want.CurrentPeak), 0, 1e-9, src)
		checktest.Near(t, c.name+": ten-second current, A", float64(got.CurrentPeak10s), float64(want.CurrentPeak10s), 0, 1e-8, src)
		checktest.Near(t, c.name+": continuous current, A", float64(got.CurrentContinuous), float64(want.CurrentContinuous), 0, 1e-12, src)
		if got.End != want.End || got.Behind != want.Behind || got.Cycles != want.Cycles {
			t.Errorf("%s: ended %q behind %d cycles %g, lumped %q %d %g", c.name, got.End, got.Behind, got.Cycles, want.End, want.Behind, want.Cycles)
		}
		same := got.Limited // the lumped pack does not tell what the temperature does
		same.Current, same.Temperature = same.Current+same.Temperature, 0
		same.ChargeCurrent, same.ChargeTemperature = same.ChargeCurrent+same.ChargeTemperature, 0
		if same != want.Limited {
			t.Errorf("%s: limited %+v, lumped %+v", c.name, got.Limited, want.Limited)
		}
		if got.Fidelity != "per group" || want.Fidelity != "lumped" {
			t.Errorf("fidelity %q and %q", got.Fidelity, want.Fidelity)
		}
	}
}

// noEntropy is the invented cell without reversible heat.
func noEntropy(t testing.TB) *GroupTable {
	t.Helper()
	c := coldCell()
	c.Curves.DUDT = cell.Line{}
	g, err := NewGroupTable(c)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// Electricity and heat close each by itself and with each other: sixteen terms of
// the balance from their own formulas, the heat of the cells from the closed form
// of the step, what the network of heat took from its own account.
func TestEnergyBalancePerGroupClosesWithHeat(t *testing.T) {
	t.Parallel()
	hills, _, _ := hilly(t)
	tb := noEntropy(t)
	limited := 0
	for _, c := range []struct {
		strings, parallel int
		seed              uint64
		hard              bool
	}{{1, 1, 1, false}, {1, 1, 2, true}, {1, 2, 3, false}, {2, 1, 4, false}} {
		p := packOf(90, c.strings)
		p.Topology.Parallel = c.parallel
		o := GroupOptions{Start: unequal(90*c.strings, c.seed), Derating: Derating{Off: c.hard}, Temperature: unit.Celsius(5)}
		if c.strings == 2 { // strings of unlike resistance, alike in charge
			for i := range 90 {
				o.Start[90+i].Charge = o.Start[i].Charge
			}
		}
		var b Balance
		var tr Trace
		var gt GroupTrace
		net := plates(90 * c.strings)
		res, err := RangeGroups(hills, p, GroupRun{Table: tb, GroupOptions: o, Thermal: net, Trace: &gt}, Options{Balance: &b, Trace: &tr, Cycles: 2, NoCap: true})
		if err != nil {
			t.Fatal(err)
		}
		limited += len(res.Events)
		if r := math.Abs(float64(b.Residual())); !(r <= 1e-9) || b.Throughput == 0 {
			t.Errorf("the balance per group is open by %.3g of the throughput: %+v", r, b)
		}
		lost := float64(b.R0 + b.RC1Lost + b.RC2Lost)
		if math.Abs(float64(res.Heat)-lost) > 1e-9*lost || lost <= 0 {
			t.Errorf("the cells gave off %.12g J and lost %.12g J", float64(res.Heat), lost)
		}
		// The network is up to five seconds behind.
		a, behind := net.Account(), 0.0
		for i := len(gt.Time) - 5; i < len(gt.Time); i++ {
			behind += gt.Heat[i] * 1.5
		}
		if missing := lost + float64(b.Joints) - float64(a.Heat); missing < -1e-6*lost || missing > behind+1e-6*lost {
			t.Errorf("the network took %.9g J, cells and joints lost %.9g J, at most %.3g J may be on the way", float64(a.Heat), lost+float64(b.Joints), behind)
		}
		if len(gt.Time) != len(tr.Time) || tr.Time[len(tr.Time)-1] < gt.Time[len(gt.Time)-1]-1e-6 {
			t.Errorf("%d rows of groups for %d", len(gt.Time), len(tr.Time))
		}
	}
	if limited == 0 {
		t.Error("nothing limited: the case does not try limits")
	}
}

func TestEnergyBalancePerGroupOpensWhenATermIsOff(t *testing.T) {
	t.Parallel()
	hills, _, _ := hilly(t)
	p := packOf(90, 1)
	p.Topology.Parallel = 1
	var b Balance
	rangeGroups(t, hills, p, GroupRun{GroupOptions: GroupOptions{Start: unequal(90, 3)}}, Options{Balance: &b})
	for i, term := range append(b.terms(), &b.Chemical) {
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
}

// plates is one node of heat for each group, each on a plate in air of 5 °C.
func plates(groups int) *heat.Network {
	n := new(heat.Network)
	var nodes []heat.Node
	for range groups {
		nodes = append(nodes, n.Source("group", 1800))
	}
	plate, air := n.Mass("plate", 20_000), n.Surroundings("air", unit.Celsius(5))
	n.Link(plate, air, 10)
	for _, g := range nodes {
		n.Link(g, plate, 1.5)
	}
	return n
}

func TestOneWeakGroupEndsTheRunForAll(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "wltc-class3b"), DemandOptions{})
	p := pack96()
	start := make([]GroupStart, 96)
	whole := rangeGroups(t, d, p, GroupRun{GroupOptions: GroupOptions{Start: start}}, Options{})
	start[40].CapacityShare = 0.85
	weak := rangeGroups(t, d, p, GroupRun{GroupOptions: GroupOptions{Start: start}}, Options{})
	if weak.Empties != 40 || weak.End != EndFloor {
		t.Errorf("the run ended by %q with group %d empty, want group 40", weak.End, weak.Empties)
	}
	// The pack gives what its weakest group gives: 85 % of the charge between full
	// and floor, so that many kilometres but for the voltage that is higher then.
	share := float64(weak.Distance / whole.Distance)
	if share < 0.85 || share > 0.87 {
		t.Errorf("with one group at 85 %% the range is %.3f of the whole one, want 0.85 to 0.87 (source: common practice, the weakest group decides)", share)
	}
	// 0.95·0.85 of a whole charge leaves the others at 0.1925: what lies below stays.
	tb := groupTable(t)
	n := float64(len(tb.base))
	stays := 95 * 2 * tb.energy(0.05*n, 0.1925*n) * tb.capacity / n
	checktest.Near(t, "energy that stays in the other groups, J", float64(weak.Left), stays, 0, 1e-6, "area under the open-circuit voltage")
	checktest.Near(t, "charge of the group that empties first", float64(weak.SoCEnd), 0.05, 1e-9, 0, "the charge floor itself")
	if whole.Left > 1e-6*unit.Energy(whole.Energy.Chemical) {
		t.Errorf("groups alike keep %g J", float64(whole.Left))
	}
}

func TestAColdMorningWarmsWhileDriving(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "udds"), DemandOptions{})
	p := packOf(96, 1)
	p.Topology.Parallel = 1
	var gt GroupTrace
	gt.Every = 60
	run := func(thermal Thermal, trace *GroupTrace) GroupResult {
		return rangeGroups(t, d, p, GroupRun{GroupOptions: GroupOptions{Temperature: unit.Celsius(-10)}, Thermal: thermal, Trace: trace}, Options{Cycles: 4, SoCStart: 0.95})
	}
	cold := run(nil, nil)
	net := plates(96)
	net.SetSurroundings(-1, unit.Celsius(-10))
	warm := run(net, &gt)
	if warm.TemperatureMax < unit.Celsius(-5) || cold.TemperatureMax != unit.Celsius(-10) {
		t.Errorf("hottest %.1f °C with heat, %.1f °C without", warm.TemperatureMax.Celsius(), cold.TemperatureMax.Celsius())
	}
	if a, b := warm.Energy.Chemical-warm.Energy.Terminals, cold.Energy.Chemical-cold.Energy.Terminals; a >= b*0.97 || a <= 0 {
		t.Errorf("the pack lost %.0f J while warming and %.0f J at a fixed temperature", float64(a), float64(b))
	}
	if len(gt.ViewTime) < 80 || len(gt.Voltage) != 96*len(gt.ViewTime) || len(gt.Charge) != len(gt.Voltage) || len(gt.Temperature) != len(gt.Voltage) {
		t.Errorf("%d views, %d voltages", len(gt.ViewTime), len(gt.Voltage))
	}
	for i, v := range gt.ViewTime {
		if math.Abs(v-float64(i)*60) > 1e-6 {
			t.Errorf("view %d at %g s, every minute was asked for", i, v)
		}
	}
}

// A thermal model that is stepped every five seconds with the mean heat ends as
// one that is stepped every second.
func TestThermalModelMayBeSteppedLessOften(t *testing.T) {
	t.Parallel()
	hills, _, _ := hilly(t)
	p := packOf(96, 1)
	p.Topology.Parallel = 1
	var often, seldom GroupTrace
	o := Options{Cycles: 1, NoCap: true, SoCStart: 0.95}
	rangeGroups(t, hills, p, GroupRun{Thermal: plates(96), Trace: &seldom}, o)
	rangeGroups(t, hills, p, GroupRun{Thermal: &eager{Network: plates(96)}, Trace: &often}, o)
	worst := 0.0
	for i := 4; i < len(often.Time); i += 5 { // where both have been stepped
		worst = max(worst, math.Abs(often.TemperatureMax[i]-seldom.TemperatureMax[i]))
	}
	if rise := often.TemperatureMax[len(often.Time)-1] - 298.15; !(worst < 0.01) || math.Abs(rise) < 1 {
		t.Errorf("stepping the heat every 5 s changes the hottest temperature by %.3g K of a rise of %.3g K, 0.01 K is stated", worst, rise)
	}
}

// eager steps its network once a second: five short steps for one long one.
type eager struct{ *heat.Network }

func (e *eager) Step(q []float64, d unit.Time) error {
	for range 5 {
		if err := e.Network.Step(q, d/5); err != nil {
			return err
		}
	}
	return nil
}

// What cooling takes comes out of the pack.
type thirsty struct{ *heat.Network }

func (thirsty) Load() unit.Power { return 400 }

func TestCoolingTakesItsPowerFromThePack(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "udds"), DemandOptions{})
	var b, c Balance
	p := packOf(96, 1)
	with := rangeGroups(t, d, p, GroupRun{Thermal: thirsty{plates(96)}}, Options{Cycles: 1, Balance: &b})
	without := rangeGroups(t, d, p, GroupRun{Thermal: plates(96)}, Options{Cycles: 1, Balance: &c})
	checktest.Near(t, "more at the terminals, J", float64(with.Energy.Terminals-without.Energy.Terminals), 400*float64(d.Duration()), 0, 1e-9, "energy balance")
	checktest.Near(t, "more for auxiliaries, J", float64(b.Auxiliary-c.Auxiliary), 400*float64(d.Duration()), 0, 1e-9, "energy balance")
	if math.Abs(float64(b.Residual())) > 1e-9 {
		t.Errorf("the balance is open by %g", float64(b.Residual()))
	}
}

func TestRecordOfARunTellsWhoLimitedAndWhen(t *testing.T) {
	t.Parallel()
	hills, _, _ := hilly(t)
	p := packOf(96, 1)
	p.Topology.Parallel = 1
	start := make([]GroupStart, 96)
	start[17].ResistanceGrowth = 1.6
	res := rangeGroups(t, hills, p, GroupRun{GroupOptions: GroupOptions{Start: start}}, Options{})
	seconds := map[Limiter]float64{}
	group := map[int]float64{}
	last := 0.0
	for _, e := range res.Events {
		if float64(e.From) < last-1e-6 || e.To <= e.From {
			t.Errorf("event %+v after %g s", e, last)
		}
		last = float64(e.From)
		if e.Charging {
			continue
		}
		seconds[e.Limiter] += float64(e.To - e.From)
		group[e.Group] += float64(e.To - e.From)
	}
	l := res.Limited
	for by, n := range map[Limiter]int{LimitVoltage: l.Voltage, LimitCurrent: l.Current, LimitMotor: l.Motor, LimitPower: l.Power, LimitTemperature: l.Temperature} {
		if math.Abs(seconds[by]-float64(n)) > 1 {
			t.Errorf("%q: %g s in the record, %d steps counted", by, seconds[by], n)
		}
	}
	if l.Voltage == 0 || group[17] < float64(l.Voltage)/2 {
		t.Errorf("the group of 1.6 times the resistance limited for %g s of %d s by voltage", group[17], l.Voltage)
	}
}

func TestRefillPerGroupOfEqualGroupsIsTheLumpedRefill(t *testing.T) {
	t.Parallel()
	p := pack96()
	p.Cell = coldCell()
	d := demand(t, smallVan(), find(t, "wltc-class3b"), DemandOptions{})
	o := Options{Charger: &part.Charger{ID: "test", PowerMax: 6600, Efficiency: 0.9, Idle: 40}}
	l, err := NewLumped(coldCell(), 303.15, cell.New, 1)
	if err != nil {
		t.Fatal(err)
	}
	want := mustRange(t, d, l, p, o)
	got := rangeGroups(t, d, p, GroupRun{GroupOptions: GroupOptions{Temperature: 303.15, Derating: Derating{Off: true}}}, o)
	// The lumped refill takes the RC pairs as settled from the first second on.
	checktest.Near(t, "energy from the wall, J", float64(got.Energy.Wall), float64(want.Energy.Wall), 0, 2e-4, "the lumped refill")
}

func TestRunsPerGroupThatCannotBeDrivenAreRefused(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "udds"), DemandOptions{})
	if _, err := RangeGroups(d, packOf(10, 1), GroupRun{}, Options{}); !errors.Is(err, ErrPack) {
		t.Errorf("no table: %v", err)
	}
	if _, err := RangeGroups(d, packOf(10, 1), GroupRun{Table: groupTable(t), Thermal: plates(9)}, Options{}); !errors.Is(err, ErrPack) {
		t.Errorf("too few sources of heat: %v", err)
	}
	down := *find(t, "udds")
	down.Grade = make([]float64, len(down.Time))
	for i := range down.Grade {
		down.Grade[i] = -0.1
	}
	dd := demand(t, smallVan(), &down, DemandOptions{})
	if _, err := RangeGroups(dd, packOf(96, 1), GroupRun{Table: groupTable(t)}, Options{SoCStart: 0.5}); !errors.Is(err, ErrEndless) {
		t.Errorf("down for ever: %v", err)
	}
	if _, err := RangeGroups(d, &pack.Pack{}, GroupRun{Table: groupTable(t)}, Options{}); !errors.Is(err, ErrPack) {
		t.Errorf("no cells: %v", err)
	}
}

// Cells without limits at a temperature give nothing, and the run says why.
func TestCellsWithoutLimitsAtATemperatureGiveNothing(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "udds"), DemandOptions{})
	for _, celsius := range []float64{-30, 65} {
		res := rangeGroups(t, d, packOf(96, 1), GroupRun{GroupOptions: GroupOptions{Temperature: unit.Celsius(celsius)}}, Options{})
		if res.End != EndPower || res.EndedBy != LimitTemperature || res.Distance != 0 || math.IsNaN(float64(res.SoCEnd)) {
			t.Errorf("at %g °C: ended %q by %q after %g m", celsius, res.End, res.EndedBy, float64(res.Distance))
		}
	}
	s, err := schedule.Constant(20, 60)
	if err != nil {
		t.Fatal(err)
	}
	res := rangeGroups(t, demand(t, smallVan(), s, DemandOptions{}), packOf(96, 1), GroupRun{GroupOptions: GroupOptions{Temperature: unit.Celsius(-40)}}, Options{})
	if res.EndedBy != LimitTemperature || res.TemperatureMax != unit.Celsius(-40) {
		t.Errorf("at -40 °C: %+v", res)
	}
}

// A Run that is used again, for other packs between, gives the same figures.
func TestRunsPerGroupMayFollowEachOther(t *testing.T) {
	t.Parallel()
	d := demand(t, smallVan(), find(t, "udds"), DemandOptions{})
	tb := groupTable(t)
	var r Run
	run := func(p *pack.Pack, seed uint64) GroupResult {
		n := p.Topology.Series * p.Topology.Strings
		res, err := r.RangeGroups(d, p, GroupRun{Table: tb, GroupOptions: GroupOptions{Start: unequal(n, seed)}, Thermal: plates(n)}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		return res
	}
	first := run(packOf(96, 1), 1)
	run(packOf(48, 2), 2)
	alone := mustRange(t, d, lumped(t, segments+1, 1), pack96(), Options{})
	again, err := r.Range(d, lumped(t, segments+1, 1), pack96(), Options{})
	if err != nil || again != alone {
		t.Errorf("a lumped run after one per group: %+v, %v; alone %+v", again, err, alone)
	}
	last := run(packOf(96, 1), 1)
	if first.Result != last.Result || first.Left != last.Left || first.TemperatureMax != last.TemperatureMax || len(first.Events) != len(last.Events) {
		t.Errorf("the same run again: %+v, first %+v", last.Result, first.Result)
	}
}
