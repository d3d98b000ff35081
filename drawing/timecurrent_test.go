package drawing

import (
	"bytes"
	"errors"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"packyard/check/checktest"
	"packyard/circuit"
	"packyard/unit"
)

// TestDecadesAreOfEqualLength: the places of powers of ten, which stand at round
// values of the chart, lie at equal distances, and a duty point where its values say.
func TestDecadesAreOfEqualLength(t *testing.T) {
	t.Parallel()
	text := svg(t, TimeCurrent(CircuitPicture{Chart: opening()}))
	line := regexp.MustCompile(`data-name="fuse, has cleared at the latest fuse 100 A"[^>]*>\s*<path d="([^"]*)"`).FindStringSubmatch(text)
	if line == nil {
		t.Fatal("the clearing curve is not drawn")
	}
	var at []float64
	for _, w := range strings.FieldsFunc(line[1], func(r rune) bool { return r == 'M' || r == 'L' || r == ' ' }) {
		x, err := strconv.ParseFloat(w, 64)
		if err != nil {
			t.Fatal(err)
		}
		at = append(at, x)
	}
	// 300, 1000 and 10000 A at 1000, 1 and 0.001 s.
	decade := at[4] - at[2]
	checktest.Near(t, "from 300 A to 1000 A", at[2]-at[0], decade*math.Log10(1000.0/300), 0.02, 0, "logarithm; the file has hundredths of a millimetre")
	checktest.Near(t, "from 1 s to 0.001 s", at[5]-at[3], at[3]-at[1], 0.02, 0, "three decades each")
	point := regexp.MustCompile(`data-name="continuous"[^>]*>\s*<circle cx="([\d.]+)" cy="([\d.]+)"`).FindStringSubmatch(text)
	if point == nil {
		t.Fatal("the point of what flows without end is not drawn")
	}
	x, errX := strconv.ParseFloat(point[1], 64)
	y, errY := strconv.ParseFloat(point[2], 64)
	if err := errors.Join(errX, errY); err != nil {
		t.Fatal(err)
	}
	checktest.Near(t, "place of 100 A", x, at[2]-decade, 0.02, 0, "one decade below 1000 A")
	checktest.Near(t, "place of 3600 s", y, at[3]-(at[5]-at[3])/3*math.Log10(3600), 0.03, 0, "above 1 s by its logarithm")
}

func TestEveryCurvePointAndBandIsDrawnOnce(t *testing.T) {
	t.Parallel()
	c := opening()
	text := svg(t, TimeCurrent(CircuitPicture{Chart: c}))
	for kind, want := range map[string]int{"curve": len(c.Curves), "point": len(c.Points), "band": 1} {
		if got := strings.Count(text, `data-kind="`+kind+`"`); got != want {
			t.Errorf("%d of kind %s are drawn, want %d", got, kind, want)
		}
	}
	styles := map[string]bool{}
	for _, st := range looksOf {
		styles[strings.Trim(strings.Join([]string{strconv.Itoa(int(st.dash)), strconv.FormatFloat(st.weight, 'g', 3, 64)}, " "), " ")] = true
	}
	if len(styles) != len(looksOf) {
		t.Error("two kinds of curve have one line in black and white")
	}
}

func TestAChartThatIsNotFiniteIsNotWritten(t *testing.T) {
	t.Parallel()
	for name, spoil := range map[string]func(*circuit.Chart){
		"time":    func(c *circuit.Chart) { c.Curves[1].Time[0] = math.NaN() },
		"current": func(c *circuit.Chart) { c.Curves[0].Current[2] = math.Inf(1) },
		"point":   func(c *circuit.Chart) { c.Points[0].Current = unit.Current(math.NaN()) },
		"highest": func(c *circuit.Chart) { c.Highest = unit.Current(math.Inf(1)) },
	} {
		c := opening()
		spoil(&c)
		if err := TimeCurrent(CircuitPicture{Chart: c}).SVG(&bytes.Buffer{}); !errors.Is(err, ErrNotFinite) {
			t.Errorf("%s: error %v, want ErrNotFinite", name, err)
		}
	}
}
