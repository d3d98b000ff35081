package drawing

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/unit"
)

func TestEveryModuleIsInEveryViewOnce(t *testing.T) {
	t.Parallel()
	v := cartView(unit.SI)
	views := []*element{}
	for _, s := range []*Sheet{SideView(v), TopView(v)} {
		views = append(views, parse(t, svg(t, s)))
	}
	for _, root := range views {
		checkModules(t, v, root, 0, 1)
	}
	for i := range v.Brief.Bays {
		list := parse(t, svg(t, BayViews(v, i))).kind("view")
		if len(list) != 3 {
			t.Fatalf("bay %d has %d views", i, len(list))
		}
		for _, view := range list {
			checkModules(t, v, view, i)
		}
	}
}

func checkModules(t *testing.T, v View, root *element, bays ...int) {
	t.Helper()
	seen := map[string]int{}
	for _, m := range root.kind("module") {
		seen[m.attr["data-bay"]+" "+m.attr["data-number"]]++
		checktest.Near(t, "mass of a module in kg", m.number(t, "data-value"), 21.5, 1e-9, 0, "the assessment drawn")
	}
	want := 0
	for _, i := range bays {
		for k := range v.Assessment.Bays[i].Places {
			want++
			if n := seen[v.Brief.Bays[i].Name+" "+strconv.Itoa(k+1)]; n != 1 {
				t.Errorf("module %d of %s is drawn %d times", k+1, v.Brief.Bays[i].Name, n)
			}
		}
	}
	if len(seen) != want {
		t.Errorf("%d modules drawn, want %d: %v", len(seen), want, seen)
	}
}

func TestLoadsDrawnAreThoseOfTheStates(t *testing.T) {
	t.Parallel()
	v := cartView(unit.SI)
	side, top := parse(t, svg(t, SideView(v))), parse(t, svg(t, TopView(v)))
	if n := len(side.kind("axle-load")); n != 2*len(v.Assessment.Vehicle) {
		t.Errorf("%d axle loads drawn", n)
	}
	for _, e := range side.kind("axle-load") {
		s := v.Assessment.Vehicle[int(e.number(t, "data-state"))]
		want := map[string]unit.Mass{"front": s.AxleFront, "rear": s.AxleRear}[e.attr["data-axle"]]
		checkLoad(t, e, want)
	}
	sum := map[string]float64{}
	for _, e := range top.kind("wheel-load") {
		s := v.Assessment.Vehicle[int(e.number(t, "data-state"))]
		checkLoad(t, e, map[string]unit.Mass{"front left": s.FrontLeft, "front right": s.FrontRight, "rear left": s.RearLeft, "rear right": s.RearRight}[e.attr["data-wheel"]])
		sum[s.Name] += e.number(t, "data-value")
	}
	for _, s := range v.Assessment.Vehicle {
		checktest.Near(t, "wheels of "+s.Name+" in kg", sum[s.Name], s.Mass.Kilograms(), 1e-6, 0, "statics: wheel loads sum to the weight")
	}
}

// checkLoad compares the value of a load and the words drawn with it.
func checkLoad(t *testing.T, e *element, want unit.Mass) {
	t.Helper()
	checktest.Near(t, e.attr["data-name"]+" in kg", e.number(t, "data-value"), want.Kilograms(), 1e-6, 0, "the state drawn")
	words := fmt.Sprintf("%.1f kg", want.Kilograms())
	if !slices.ContainsFunc(texts(e), func(x *element) bool { return strings.HasPrefix(x.text, words) }) {
		t.Errorf("%s: no words %q", e.attr["data-name"], words)
	}
}

// TestAnAxleOverItsRatingSaysSo: the sign is a word, not only a colour.
func TestAnAxleOverItsRatingSaysSo(t *testing.T) {
	t.Parallel()
	v := cartView(unit.SI)
	v.Brief.Donor.Ratings.AxleRear = 400
	over := 0
	for _, e := range texts(parse(t, svg(t, SideView(v)))) {
		if strings.HasSuffix(e.text, " over") {
			over++
		}
	}
	want := 0
	for _, s := range v.Assessment.Vehicle {
		want += btoi(s.AxleRear > 400) + btoi(s.AxleFront > 560)
	}
	if over != want || want == 0 {
		t.Errorf("%d loads are said to be over, want %d", over, want)
	}
}

// TestArrowsAreAsLongAsTheirLoads measures the arrows of the side view.
func TestArrowsAreAsLongAsTheirLoads(t *testing.T) {
	t.Parallel()
	v := cartView(unit.SI)
	perKg := 0.0
	for _, e := range parse(t, svg(t, SideView(v))).kind("axle-load") {
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, p := range e.all(func(x *element) bool { return x.name == "path" }) {
			for _, q := range pathPoints(t, p.attr["d"]) {
				lo, hi = min(lo, q.y), max(hi, q.y)
			}
		}
		k := (hi - lo) / e.number(t, "data-value")
		if perKg == 0 {
			perKg = k
		}
		checktest.Near(t, "mm per kg", k, perKg, 0.02/e.number(t, "data-value"), 1e-3, "one scale for all arrows; drawn to a hundredth of a mm")
	}
}

// pathPoints returns the ends of the steps of a path.
func pathPoints(t testing.TB, d string) []point {
	t.Helper()
	var out []point
	for _, s := range strings.FieldsFunc(strings.NewReplacer("M", "|M ", "L", "|L ", "C", "|C ", "Z", "|Z").Replace(d), func(r rune) bool { return r == '|' }) {
		f := strings.Fields(s)
		if len(f) < 3 {
			continue
		}
		x, errX := strconv.ParseFloat(f[len(f)-2], 64)
		y, errY := strconv.ParseFloat(f[len(f)-1], 64)
		if errX != nil || errY != nil {
			t.Fatalf("path %q", d)
		}
		out = append(out, point{x, y})
	}
	return out
}

// TestPlacesOnPaperAreThoseOfTheVehicle reads the view's attributes back and
// finds a wheel, a centre of gravity and the corners of a turned bay by them.
func TestPlacesOnPaperAreThoseOfTheVehicle(t *testing.T) {
	t.Parallel()
	v := cartView(unit.SI)
	view := parse(t, svg(t, TopView(v))).kind("view")[0]
	x0, y0, k := view.number(t, "data-x0"), view.number(t, "data-y0"), view.number(t, "data-k")
	if scale := 1000 / k; scale != 20 {
		t.Errorf("scale 1 : %g", scale)
	}
	b := &v.Brief.Bays[1]
	lo, hi := b.Reach()
	var got []point
	for _, e := range view.kind("bay") {
		if e.attr["data-bay"] == b.Name {
			for _, p := range e.children {
				if p.name == "path" {
					got = append(got, pathPoints(t, p.attr["d"])...)
				}
			}
		}
	}
	e := extentOf(got)
	for name, c := range map[string][2]float64{
		"least x": {e.x0, x0 + k*float64(lo.X)}, "greatest x": {e.x1, x0 + k*float64(hi.X)},
		"least y": {e.y0, y0 + k*float64(lo.Y)}, "greatest y": {e.y1, y0 + k*float64(hi.Y)},
	} {
		checktest.Near(t, name+" of the turned bay in mm on paper", c[0], c[1], 0.006, 0, "bay.Reach; drawn to a hundredth of a mm")
	}
}

// TestBandsOfEnergyAddUp: figures to the balance's own closure, widths to the
// rounding of the drawing.
func TestBandsOfEnergyAddUp(t *testing.T) {
	t.Parallel()
	for name, p := range map[string]FlowPicture{"road that falls": flow(), "road that rises": func() FlowPicture {
		p := flow()
		p.Balance.Chemical += 5e6 - p.Balance.Grade
		p.Balance.Grade = 5e6
		p.Result.Energy.Wall = p.Balance.Chemical * 1.1
		return p
	}()} {
		root := parse(t, svg(t, EnergyFlow(p)))
		energy, width := 0.0, 0.0
		for _, e := range root.kind("flow") {
			v := e.number(t, "data-value")
			energy += v
			width += math.Copysign(bandWidth(t, e), v)
		}
		wall := p.Result.Energy.Wall.Joules()
		checktest.Near(t, name+": bands in J", energy, wall, 0, 1e-9, "conservation of energy")
		checktest.Near(t, name+": widths in mm", width, flowThick, 0.01*13, 0, "width in proportion; each drawn to a hundredth of a mm")
	}
}

// bandWidth measures a band at its end: between the points beside its tip.
func bandWidth(t *testing.T, e *element) float64 {
	t.Helper()
	for _, x := range e.children {
		if x.name != "path" {
			continue
		}
		p := pathPoints(t, x.attr["d"])
		for i := 1; i+1 < len(p); i++ {
			a, b, c := p[i-1], p[i], p[i+1]
			across := a.y == c.y && math.Abs(b.x-(a.x+c.x)/2) < 0.02 && b.y != a.y
			along := a.x == c.x && math.Abs(b.y-(a.y+c.y)/2) < 0.02 && b.x != a.x
			if across || along {
				return math.Hypot(a.x-c.x, a.y-c.y)
			}
		}
	}
	t.Fatalf("band %s has no tip", e.attr["data-name"])
	return 0
}

func TestOptionsAreDrawnOnceAndAtTheirFigures(t *testing.T) {
	t.Parallel()
	r := report()
	root := parse(t, svg(t, OptionsPicture(Scatter{Report: r, Marked: r.Ranked[3].ID})))
	list := root.kind("option")
	if len(list) != len(r.Ranked) {
		t.Fatalf("%d options drawn, %d in the report", len(list), len(r.Ranked))
	}
	// Two options fix the scale; all others must lie on it.
	centre := func(e *element) point {
		var all []point
		for _, x := range e.children {
			switch {
			case x.name == "circle" && x.attr["r"] == "0.9":
				return point{x.number(t, "cx"), x.number(t, "cy")}
			case x.name == "path":
				all = append(all, pathPoints(t, x.attr["d"])...)
			}
		}
		s := extentOf(all)
		return point{(s.x0 + s.x1) / 2, s.y1}
	}
	a, b := centre(list[0]), centre(list[57])
	ma, mb := list[0].number(t, "data-mass"), list[57].number(t, "data-mass")
	for _, e := range list {
		want := a.x + (e.number(t, "data-mass")-ma)/(mb-ma)*(b.x-a.x)
		checktest.Near(t, "place across of "+e.attr["data-name"]+" in mm", centre(e).x, want, 0.02, 0, "one axis for all; drawn to a hundredth of a mm")
	}
}

// TestLabelsStandFreeOfEachOther draws points at random.
func TestLabelsStandFreeOfEachOther(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		area := span{0, 0, 180, 100}
		var list []label
		var obstacles []span
		for range rapid.IntRange(1, 60).Draw(t, "n") {
			p := point{rapid.Float64Range(1, 179).Draw(t, "x"), rapid.Float64Range(1, 99).Draw(t, "y")}
			list = append(list, label{at: p, text: "104S2P", face: textOf(ink, sizeSmall), need: rapid.Bool().Draw(t, "need")})
			obstacles = append(obstacles, span{p.x - 1, p.y - 1, p.x + 1, p.y + 1})
		}
		placed := placeLabels(list, obstacles, area)
		for i, p := range placed {
			if !area.holds(p.span) {
				t.Fatalf("label %d leaves the area: %v", p.index, p.span)
			}
			for _, q := range placed[:i] {
				if p.span.meets(q.span) {
					t.Fatalf("labels %d and %d meet", p.index, q.index)
				}
			}
			for _, o := range obstacles {
				if p.span.meets(o) {
					t.Fatalf("label %d stands on a point", p.index)
				}
			}
		}
	})
}

func TestTicksAreRoundAndHoldTheValues(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(-1e6, 1e6).Draw(t, "lo")
		wide := math.Pow(10, rapid.Float64Range(-3, 7).Draw(t, "wide"))
		n := rapid.IntRange(2, 10).Draw(t, "n")
		x := newAxis(lo, lo+wide, n, 0, 100)
		step := x.ticks[1] - x.ticks[0]
		m := step / math.Pow(10, math.Floor(math.Log10(step)+1e-6))
		if math.Abs(m-1) > 1e-4 && math.Abs(m-2) > 1e-4 && math.Abs(m-5) > 1e-4 {
			t.Fatalf("step %g", step)
		}
		if x.lo > lo+step*1e-6 || x.hi < lo+wide-step*1e-6 || len(x.ticks) > n+2 {
			t.Fatalf("axis %g to %g with %d ticks for %g to %g", x.lo, x.hi, len(x.ticks), lo, lo+wide)
		}
		for i, v := range x.ticks {
			back, err := strconv.ParseFloat(strings.Replace(x.label(v), "−", "-", 1), 64)
			if err != nil || math.Abs(back-v) > step*1e-6 {
				t.Fatalf("tick %d at %g is labelled %q", i, v, x.label(v))
			}
		}
	})
}

func TestDecimationKeepsEveryPeak(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 3000).Draw(t, "n")
		columns := rapid.IntRange(1, 200).Draw(t, "columns")
		seed := rapid.Uint64().Draw(t, "seed")
		x, y := make([]float64, n), make([]float64, n)
		state := seed
		for i := range n {
			state = state*6364136223846793005 + 1442695040888963407
			x[i] = float64(i)
			if state>>60 == 0 && i > 0 {
				x[i] = x[i-1] // standing still
			}
			x[i] = max(x[i], x[max(i-1, 0)])
			y[i] = float64(int64(state)>>40) / 1000
		}
		keep := decimate(x, y, columns)
		if len(keep) > 4*columns+8 || keep[0] != 0 || keep[len(keep)-1] != n-1 {
			t.Fatalf("%d of %d kept in %d columns, from %d to %d", len(keep), n, columns, keep[0], keep[len(keep)-1])
		}
		for i := 1; i < len(keep); i++ {
			if keep[i] <= keep[i-1] {
				t.Fatal("out of order")
			}
			a, b := keep[i-1], keep[i]
			// What was left out lies within the extremes of its neighbourhood.
			lo, hi := math.Inf(1), math.Inf(-1)
			for k := max(i-4, 0); k < min(i+4, len(keep)); k++ {
				lo, hi = min(lo, y[keep[k]]), max(hi, y[keep[k]])
			}
			for j := a + 1; j < b; j++ {
				if y[j] < lo || y[j] > hi {
					t.Fatalf("value %d of %g was left out, kept are %g to %g", j, y[j], lo, hi)
				}
			}
		}
	})
}

func TestTheOneStepPeakIsInTheChart(t *testing.T) {
	t.Parallel()
	root := parse(t, svg(t, TraceChart(TracePicture{Trace: trace(20000)})))
	for _, e := range root.kind("trace") {
		if e.attr["data-name"] != "power" {
			continue
		}
		top, next, steps := math.Inf(1), math.Inf(1), 0
		for _, p := range e.children {
			if p.name == "path" && !strings.Contains(p.attr["class"], "faint") {
				if q := pathPoints(t, p.attr["d"]); len(q) > 100 {
					steps = len(q)
					for _, v := range q {
						if v.y < top {
							top, next = v.y, top
						} else if v.y < next {
							next = v.y
						}
					}
				}
			}
		}
		if steps > 4*800+8 {
			t.Errorf("%d points drawn of 20000", steps)
		}
		if next-top < 8 {
			t.Errorf("the peak is %.2f mm above the rest, want more than 8", next-top)
		}
	}
}

func TestScalesAreTheUsualOnes(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ length, room, want float64 }{
		{4.32, 175, 25}, {1.54, 156, 10}, {1.55, 100, 20}, {1.7, 150, 12.5}, {5, 175, 30}, {7, 100, 75}, {0.1, 100, 1}, {0.01, 100, 0.1}, {12, 100, 125}, {0, 100, 1}, {math.NaN(), 100, 1},
	} {
		if got := scaleFor(c.length, c.room); math.Abs(got-c.want) > 1e-9*c.want {
			t.Errorf("%g m in %g mm: 1 : %g, want 1 : %g; source: ISO 5455 for 1, 2 and 5, common practice between", c.length, c.room, got, c.want)
		}
	}
}

func TestHatchingStaysInItsOutline(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		var points []point
		for range rapid.IntRange(3, 10).Draw(t, "n") {
			points = append(points, point{rapid.Float64Range(0, 100).Draw(t, "x"), rapid.Float64Range(0, 100).Draw(t, "y")})
		}
		h := hull(points)
		// The hull rounds to 1e-4 mm; over sides of up to 142 mm that is 0.02 mm².
		for _, p := range points {
			for i := range h {
				if turn(h[i], h[(i+1)%len(h)], p) < -0.02 {
					t.Fatalf("%v lies outside the hull of %v", p, points)
				}
			}
		}
		var g group
		g.hatch(lineOf(ink, thin), 2, h)
		for _, m := range g.parts {
			for _, s := range m.mark.path {
				for i := range h {
					if turn(h[i], h[(i+1)%len(h)], s.p[0]) < -0.02 {
						t.Fatalf("hatching at %v leaves %v", s.p[0], h)
					}
				}
			}
		}
	})
}
