package heat_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/heat"
	"packyard/internal/exact"
	"packyard/unit"
)

func glycol(tb testing.TB) *heat.Fluid {
	tb.Helper()
	f, err := heat.FluidOf("glycol-50")
	if err != nil {
		tb.Fatal(err)
	}
	return f
}

// body is an invented pack: modules of groups in boxes of two, passive.
func body(modules, groups int) heat.Body {
	var b heat.Body
	for m := range modules {
		if m%2 == 0 {
			b.Boxes = append(b.Boxes, heat.Box{Name: fmt.Sprint("bay ", m/2+1), Capacity: 8000, Surface: 1.4, Height: 0.3, Length: 1, AirShare: 0.2})
		}
		b.Modules = append(b.Modules, heat.Module{
			Name: fmt.Sprint("module ", m+1), Box: m / 2, Holder: 2500, Surface: 0.4, Height: 0.2, Mount: 0.5, Metal: 1800,
			Plate: heat.Plate{Channel: heat.Duct{Width: 20e-3, Height: 4e-3, Length: 0.5}, Channels: 4, Minor: 3},
		})
		for g := range groups {
			b.Groups = append(b.Groups, heat.Group{Name: fmt.Sprintf("module %d group %d", m+1, g+1), Capacity: 1600, Module: m, Holder: 1.5, Plate: 5, Next: 4})
		}
	}
	return b
}

// cooled is body with a circuit in one line.
func cooled(tb testing.TB, modules, groups int) heat.Body {
	b := body(modules, groups)
	line := make([]int, modules)
	for i := range line {
		line[i] = i
	}
	b.Circuit = &heat.Circuit{Fluid: glycol(tb), Stages: [][][]int{{line}}, Flow: unit.VolumeFlow(6e-3 / 60), Draws: 15, Volume: 3e-3}
	b.Control.PumpAlways = true
	return b
}

func run(tb testing.TB, s *heat.System, q []float64, d unit.Time, steps int) {
	tb.Helper()
	for range steps {
		if err := s.Step(q, d); err != nil {
			tb.Fatal(err)
		}
	}
}

func started(tb testing.TB, b heat.Body, air, start unit.Temperature) *heat.System {
	tb.Helper()
	s, err := heat.NewSystem(b, heat.Outside{Air: air})
	if err != nil {
		tb.Fatal(err)
	}
	if err := s.Start(start); err != nil {
		tb.Fatal(err)
	}
	return s
}

// In steady state the coolant leaves each plate by the energy balance, and the
// radiator is the only way out of a pack that is not in contact with air.
func TestCoolantWarmsByItsEnergyBalance(t *testing.T) {
	t.Parallel()
	const modules, groups, q, w = 4, 3, 40.0, 350.0
	var n heat.Network
	for i := range modules * groups {
		n.Source(fmt.Sprint("group ", i), 1600)
	}
	air := n.Surroundings("air", unit.Celsius(30))
	supply := n.Mass("supply", 3000)
	at, heats := supply, []float64{}
	var coolants []heat.Node
	for m := range modules {
		plate, coolant := n.Mass("plate", 1800), n.Mass("coolant", 700)
		for g := range groups {
			n.Link(heat.Node(m*groups+g), plate, 5)
		}
		n.StreamAlong(at, coolant, plate, w, 90)
		at = coolant
		coolants = append(coolants, coolant)
		heats = append(heats, groups*q)
	}
	n.StreamAlong(at, supply, air, w, 120)
	if err := n.Start(unit.Celsius(30)); err != nil {
		t.Fatal(err)
	}
	in := make([]float64, modules*groups)
	for i := range in {
		in[i] = q
	}
	for range 400 {
		if err := n.Step(in, 600); err != nil {
			t.Fatal(err)
		}
	}
	kelvin := n.Temperatures()
	inlet := kelvin[supply]
	for i := range coolants {
		want := exact.Coolant(inlet, w, heats[:i+1]...)
		checktest.Near(t, "coolant behind a plate, K", kelvin[coolants[i]], want, 1e-6, 0, "first law (handbook WE-42 in the same form)")
	}
	hot := exact.Coolant(inlet, w, heats...)
	checktest.Near(t, "before the radiator, K", hot, float64(unit.Celsius(30))+modules*groups*q/120, 1e-6, 0, "K·(T − T_air) = Σ q")
	if m := n.Account().Missing(); math.Abs(m) > 1e-9 {
		t.Errorf("account does not close by %g", m)
	}
}

func TestTwoBodiesMeetAsTheClosedForm(t *testing.T) {
	t.Parallel()
	var n heat.Network
	a := n.Source("one", 700)
	b := n.Mass("two", 300)
	n.Link(a, b, 5)
	if err := n.Start(290); err != nil {
		t.Fatal(err)
	}
	n.SetTemperature(a, 340)
	for range 300 {
		if err := n.Step([]float64{0}, 0.1); err != nil {
			t.Fatal(err)
		}
	}
	t1, t2 := exact.Two{C1: 700, C2: 300, G: 5}.Temperatures(340, 290, 30)
	const source = "exact.Two, elimination of the mean"
	// The step is 0.2 % of the time constant of 42 s: its square over ten.
	checktest.Near(t, "one, K", n.Temperatures()[0], t1, 1e-5, 0, source)
	checktest.Near(t, "two, K", n.Temperatures()[1], t2, 1e-5, 0, source)
}

// Whatever the pack, the step and the heat: energy closes to a millionth, and
// without heat no node leaves the span of start and surroundings.
func TestEnergyClosesAndNothingOvershoots(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(r *rapid.T) {
		modules, groups := rapid.IntRange(1, 5).Draw(r, "modules"), rapid.IntRange(1, 4).Draw(r, "groups")
		b := body(modules, groups)
		if rapid.Bool().Draw(r, "coolant") {
			b = cooled(t, modules, groups)
			b.Circuit.Flow = unit.VolumeFlow(rapid.Float64Range(0, 20).Draw(r, "litres a minute") * 1e-3 / 60)
			b.Circuit.Radiator = &heat.Radiator{Exchanger: heat.Exchanger{Conductance: 150, AirRated: 0.3}, Fan: 80}
			b.Control.CoolAbove = unit.Celsius(25)
		}
		air := unit.Celsius(rapid.Float64Range(-30, 45).Draw(r, "air"))
		start := unit.Celsius(rapid.Float64Range(-30, 45).Draw(r, "start"))
		s, err := heat.NewSystem(b, heat.Outside{Air: air, Speed: unit.Speed(rapid.Float64Range(0, 30).Draw(r, "speed"))})
		if err != nil {
			r.Fatal(err)
		}
		if err := s.Start(start); err != nil {
			r.Fatal(err)
		}
		q := make([]float64, len(b.Groups))
		heated := rapid.Bool().Draw(r, "heated")
		for i := range q {
			if heated {
				q[i] = rapid.Float64Range(-20, 200).Draw(r, "heat")
			}
		}
		d := unit.Time(rapid.Float64Range(0.01, 3600).Draw(r, "step"))
		for range 30 {
			if err := s.Step(q, d); err != nil {
				r.Fatal(err)
			}
			low, high := float64(min(air, start)), float64(max(air, start))
			// A step of eight time constants of a node overshoots by (√2 − 1)/2 of the
			// change, the least value of the stability function; no step by more.
			slack := 0.2072*(high-low) + 1e-9
			for i, k := range s.Temperatures() {
				if math.IsNaN(k) || !heated && (k < low-slack || k > high+slack) {
					r.Fatalf("%s is at %g K, start and surroundings span %g to %g K; step %g s", s.Nodes()[i], k, low, high, float64(d))
				}
			}
		}
		if m := s.Account().Missing(); math.Abs(m) > 1e-6 {
			r.Fatalf("account %+v does not close by %g", s.Account(), m)
		}
	})
}

func TestCoolantWithoutFlowLeavesThePackToItself(t *testing.T) {
	t.Parallel()
	b := cooled(t, 2, 3)
	b.Circuit.Radiator = &heat.Radiator{Exchanger: heat.Exchanger{Conductance: 150, AirRated: 0.3}, Fan: 80}
	b.Control.CoolAbove = unit.Celsius(26)
	q := []float64{40, 40, 40, 40, 40, 40}
	hottest := func(flow unit.VolumeFlow) float64 {
		b.Circuit.Flow = flow
		s := started(t, b, unit.Celsius(25), unit.Celsius(25))
		run(t, s, q, 1, 3600)
		hot, _ := s.Extremes()
		return s.Temperatures()[hot]
	}
	still, flowing := hottest(0), hottest(1e-4)
	if !(still > flowing+5) {
		t.Errorf("hottest group without flow %g K, with flow %g K: the pump should count", still, flowing)
	}
	if math.IsNaN(still) {
		t.Error("no flow gives NaN")
	}
}

func TestFrozenCoolantStandsStill(t *testing.T) {
	t.Parallel()
	b := cooled(t, 2, 3)
	s := started(t, b, unit.Celsius(-40), unit.Celsius(-40))
	run(t, s, make([]float64, 6), 1, 20)
	if st := s.State(); !st.Frozen || st.Flow != 0 {
		t.Errorf("state at -40 °C is %+v: 50 %% glycol freezes at -37 °C", st)
	}
}

func TestControlHeatsChillsAndStops(t *testing.T) {
	t.Parallel()
	b := cooled(t, 2, 3)
	b.Circuit.Heater = &heat.Heater{Power: 3000, CoolantMax: unit.Celsius(50)}
	b.Circuit.Chiller = &heat.Chiller{Power: 2000, COP: 2, CoolantMin: unit.Celsius(8)}
	b.Control = heat.Control{HeatBelow: unit.Celsius(5), ChillAbove: unit.Celsius(32), Band: 2}
	s := started(t, b, unit.Celsius(-10), unit.Celsius(-10))
	run(t, s, make([]float64, 6), 1, 100)
	if st := s.State(); st.Heater <= 0 || st.Load() < st.Heater || st.Chiller != 0 {
		t.Errorf("at -10 °C the state is %+v: the heater should run", st)
	}
	run(t, s, make([]float64, 6), 1, 3000)
	_, cold := s.Extremes()
	if k := s.Temperatures()[cold]; k < float64(unit.Celsius(4.5)) || k > float64(unit.Celsius(9)) {
		t.Errorf("coldest group is held at %g K, want 5 to 7 °C", k)
	}
	s = started(t, b, unit.Celsius(38), unit.Celsius(38))
	run(t, s, make([]float64, 6), 1, 100)
	st := s.State()
	if st.Chilled <= 0 || st.Heater != 0 || st.Inlet > unit.Celsius(38) {
		t.Errorf("at 38 °C the state is %+v: the chiller should run", st)
	}
	checktest.Near(t, "power of the chiller, W", float64(st.Chiller), float64(st.Chilled)/2, 1e-9, 0, "definition of the coefficient of performance")
}

// Coolant that splits into two like branches cools the like modules alike, and
// in one line the last module is the warmest.
func TestModulesBehindOneAnotherStandInWarmerCoolant(t *testing.T) {
	t.Parallel()
	b := cooled(t, 4, 2)
	q := []float64{60, 60, 60, 60, 60, 60, 60, 60}
	s := started(t, b, unit.Celsius(20), unit.Celsius(20))
	run(t, s, q, 1, 1800)
	k := s.Temperatures()
	for m := 1; m < 4; m++ {
		if !(k[2*m] > k[2*m-2]+0.05) {
			t.Errorf("in one line: module %d at %g K, the one before it at %g K", m+1, k[2*m], k[2*m-2])
		}
	}
	b.Circuit.Stages = [][][]int{{{0}, {1}, {2}, {3}}}
	s = started(t, b, unit.Celsius(20), unit.Celsius(20))
	run(t, s, q, 1, 1800)
	k = s.Temperatures()
	// Each pair of modules stands in the same surroundings.
	checktest.Near(t, "branches, K", k[2], k[0], 1e-9, 0, "symmetry")
	if st := s.State(); st.Head <= 0 {
		t.Errorf("head %g Pa", float64(st.Head))
	}
}

func TestBodiesThatCannotBeComputed(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func(*heat.Body){
		"no group":             func(b *heat.Body) { b.Groups = nil },
		"module outside":       func(b *heat.Body) { b.Groups[0].Module = 9 },
		"capacity NaN":         func(b *heat.Body) { b.Groups[0].Capacity = unit.HeatCapacity(math.NaN()) },
		"holder zero":          func(b *heat.Body) { b.Modules[0].Holder = 0 },
		"box outside":          func(b *heat.Body) { b.Modules[1].Box = -1 },
		"surface infinite":     func(b *heat.Body) { b.Boxes[0].Surface = unit.Area(math.Inf(1)) },
		"insulation of air":    func(b *heat.Body) { b.Boxes[0].Insulation.Thickness = 0.01 },
		"flow below zero":      func(b *heat.Body) { b.Circuit.Flow = -1 },
		"module passed twice":  func(b *heat.Body) { b.Circuit.Stages = [][][]int{{{0, 1, 1}}} },
		"module left out":      func(b *heat.Body) { b.Circuit.Stages = [][][]int{{{0}}} },
		"branch without any":   func(b *heat.Body) { b.Circuit.Stages = [][][]int{{{0, 1}, {}}} },
		"pump without a curve": func(b *heat.Body) { b.Circuit.Pump = &heat.Pump{Efficiency: 0.3} },
		"no fluid":             func(b *heat.Body) { b.Circuit.Fluid = nil },
		"channel of no width":  func(b *heat.Body) { b.Modules[1].Plate.Channel.Width = 0 },
	} {
		b := cooled(t, 2, 2)
		spoil(&b)
		if _, err := heat.NewSystem(b, heat.Outside{Air: 293}); !errors.Is(err, heat.ErrBody) {
			t.Errorf("%s: got %v, want ErrBody", name, err)
		}
	}
	if _, err := heat.NewSystem(body(1, 1), heat.Outside{}); !errors.Is(err, heat.ErrBody) {
		t.Errorf("air of 0 K: got %v, want ErrBody", err)
	}
}

func TestStepsThatCannotBe(t *testing.T) {
	t.Parallel()
	s := started(t, body(1, 2), 293, 293)
	for name, step := range map[string]func() error{
		"too few heats": func() error { return s.Step([]float64{1}, 1) },
		"NaN":           func() error { return s.Step([]float64{1, math.NaN()}, 1) },
		"infinity":      func() error { return s.Step([]float64{math.Inf(1), 0}, 1) },
		"no time":       func() error { return s.Step([]float64{1, 1}, 0) },
		"back in time":  func() error { return s.Step([]float64{1, 1}, -1) },
	} {
		if err := step(); !errors.Is(err, heat.ErrStep) {
			t.Errorf("%s: got %v, want ErrStep", name, err)
		}
	}
	if err := s.Step([]float64{1, 1}, 1); err != nil {
		t.Errorf("a good step after bad ones: %v", err)
	}
	var n heat.Network
	n.Source("a", 100)
	b := n.Mass("b", 100)
	n.Stream(0, b, 10) // what enters b never leaves it
	if err := n.Start(300); !errors.Is(err, heat.ErrNetwork) {
		t.Errorf("a stream that ends in a body: got %v, want ErrNetwork", err)
	}
}

// A bare box some 15 K above still air: 5 to 10 W/(m²·K) in all.
func TestBoxInStillAirLosesWhatTheTradeExpects(t *testing.T) {
	t.Parallel()
	const source = "handbook 6.23, common practice: 5 to 10 W/(m²·K) in all, convection and radiation"
	warm, air := unit.Celsius(35), unit.Celsius(20)
	all := float64(heat.FilmFree(warm, air, 0.3, heat.PressureSea) + heat.FilmRadiant(0.9, warm, air))
	checktest.Near(t, "still air and radiation, W/(m²·K)", all, 7.5, 2.5, 0, source)
	// In the air stream under a moving car 10 to 50.
	for _, v := range []unit.Speed{7, 10, 13} {
		stream := float64(heat.FilmStream(v, air, 1, heat.PressureSea))
		checktest.Near(t, fmt.Sprintf("air stream of %g m/s, W/(m²·K)", float64(v)), stream, 30, 20, 0, "handbook 6.23, common practice: 10 to 50")
	}
	// The box of a system at that temperature loses just that.
	b := body(1, 1)
	b.Modules[0].Surface, b.Modules[0].Mount, b.Groups[0].Holder = 1e-9, 0, 0
	s := started(t, b, air, warm)
	run(t, s, []float64{0}, 0.01, 1)
	watts := float64(s.Account().Left) / 0.01
	checktest.Near(t, "loss of the box, W", watts, all*1.4*15, 0, 0.01, source)
}
