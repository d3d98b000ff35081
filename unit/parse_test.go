package unit

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// read is one accepted text with the value that arithmetic on the definitions
// gives.
type read struct {
	text    string
	si, tol float64
	kind    SpreadKind
}

func checkReads[Q Quantity](t *testing.T, rows []read) {
	t.Helper()
	for _, r := range rows {
		got, err := ParseAmount[Q](r.text)
		if err != nil {
			t.Errorf("%s %q: %v", Noun[Q](), r.text, err)
			continue
		}
		// Two roundings of a float64.
		near := func(a, b float64) bool { return math.Abs(a-b) <= 4.5e-16*math.Max(math.Abs(a), math.Abs(b)) }
		if !near(float64(got.SI), r.si) || math.Abs(got.Tol-r.tol) > 1e-12*math.Abs(r.tol)+1e-13*math.Abs(r.si) || got.Kind != r.kind {
			t.Errorf("%s %q: got %v ± %v kind %d, want %v ± %v kind %d", Noun[Q](), r.text, float64(got.SI), got.Tol, got.Kind, r.si, r.tol, r.kind)
		}
	}
}

func TestNumbersAndSumsAreRead(t *testing.T) {
	t.Parallel()
	const in, ft = 0.0254, 0.3048
	checkReads[Length](t, []read{
		{text: "39 mm", si: 0.039}, {text: "39mm", si: 0.039}, {text: "  39   mm ", si: 0.039}, {text: "+39 mm", si: 0.039}, {text: "-39 mm", si: -0.039},
		{text: "\u221239\u00a0mm", si: -0.039}, {text: "1.5e3 mm", si: 1.5}, {text: "1.5E+3 mm", si: 1.5}, {text: "1500e-3 mm", si: 1.5e-3}, {text: "0 mm", si: 0},
		{text: "1/2 in", si: in / 2}, {text: "16 1/2 in", si: 16.5 * in}, {text: "-16 1/2 in", si: -16.5 * in}, {text: "16 1/2in", si: 16.5 * in},
	})
	checkReads[Length](t, []read{
		{text: "5 ft 3 in", si: 5*ft + 3*in}, {text: "5ft3in", si: 5*ft + 3*in}, {text: "-5 ft 3 in", si: -(5*ft + 3*in)}, {text: "5 ft 3 1/2 in", si: 5*ft + 3.5*in},
		{text: "1 mi 20 yd 2 ft 6 in", si: 5280*ft + 60*ft + 2*ft + 6*in}, {text: "5 \u03bcm", si: 5e-6}, {text: "5 um", si: 5e-6}, {text: "3\u20444 in", si: 0.75 * in},
	})
	checkReads[Mass](t, []read{{text: "2 lb 4 oz", si: 2.25 * 0.45359237}, {text: "560 lb", si: 560 * 0.45359237}, {text: "0.5 t", si: 500}})
	checkReads[Time](t, []read{{text: "1 h 30 min 20 s", si: 5420}, {text: "2 d 1 h", si: 2*86400 + 3600}, {text: "90 min", si: 5400}})
	checkReads[Ratio](t, []read{{text: "0.42", si: 0.42}, {text: "42 %", si: 0.42}, {text: "42%", si: 0.42}, {text: "1/4", si: 0.25}, {text: "9.7:1", si: 9.7}, {text: "5 ‰", si: 0.005}})
	checkReads[Slope](t, []read{{text: "8 %", si: 0.08}, {text: "0.08", si: 0.08}, {text: "-6 %", si: -0.06}})
	checkReads[CRate](t, []read{{text: "0.5C", si: 0.5}, {text: "1/3 C", si: 1.0 / 3}, {text: "2 1/h", si: 2}})
	checkReads[AngularSpeed](t, []read{{text: "3000 rpm", si: 100 * math.Pi}, {text: "3000 1/min", si: 100 * math.Pi}})
	checkReads[Consumption](t, []read{{text: "15 kWh/100 km", si: 540}, {text: "150 Wh/km", si: 540}})
	checkReads[Torque](t, []read{{text: "10 N m", si: 10}, {text: "10 Nm", si: 10}, {text: "10 N⋅m", si: 10}, {text: "10 N·m", si: 10}, {text: "12 lbf in", si: 4.4482216152605 * 0.3048}})
	checkReads[Resistance](t, []read{{text: "2 \u2126", si: 2}, {text: "2 mohm", si: 0.002}, {text: "2 mΩ", si: 0.002}, {text: "2 MΩ", si: 2e6}})
}

func TestTheLetterCFollowsTheField(t *testing.T) {
	t.Parallel()
	checkReads[Charge](t, []read{{text: "3600 C", si: 3600}})
	checkReads[Temperature](t, []read{{text: "25 C", si: 298.15}})
	checkReads[CRate](t, []read{{text: "2 C", si: 2}})
}

func TestTolerancesAndRangesAreRead(t *testing.T) {
	t.Parallel()
	checkReads[Mass](t, []read{
		{"142 kg ± 2 kg", 142, 2, Deviation}, {"142 kg±2 kg", 142, 2, Deviation}, {"142 kg +/- 2 kg", 142, 2, Deviation}, {"142 kg ± 2 kg max", 142, 2, Band},
		{"142 kg ± 2000 g max", 142, 2, Band}, {"200 kg ± 5 %", 200, 10, Deviation}, {"200 kg ± 5% max", 200, 10, Band}, {"-200 kg ± 5 %", -200, 10, Deviation},
		{"10 kg … 18 kg", 14, 4, Band}, {"10…18 kg", 14, 4, Band}, {"10..18 kg", 14, 4, Band}, {"10...18 kg", 14, 4, Band}, {"10 kg .. 18 kg", 14, 4, Band}, {"900 g … 1.1 kg", 1, 0.1, Band}, {"5…5 kg", 5, 0, Band},
	})
	checkReads[Temperature](t, []read{
		{"10…18 °C", 287.15, 4, Band}, {"20 °C ± 2 °C", 293.15, 2, Deviation}, {"20 °C ± 2 K", 293.15, 2, Deviation}, {"68 °F ± 3.6 °F", 293.15, 2, Deviation}, {"-10 … 10 °C", 273.15, 10, Band},
	})
	checkReads[Ratio](t, []read{{"0.42 ± 0.03", 0.42, 0.03, Deviation}, {"0.40…0.44", 0.42, 0.02, Band}, {"42 % ± 0.03 max", 0.42, 0.03, Band}})
	checkReads[Resistance](t, []read{{"2 mΩ ± 5 %", 0.002, 0.0001, Deviation}})
	checkReads[Length](t, []read{{"5 ft 3 in ± 1/2 in", 1.6002, 0.0127, Deviation}})
}

func TestParseTakesOneValueOnly(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"142 kg ± 2 kg", "10…18 kg"} {
		if _, err := Parse[Mass](text); err == nil || !strings.Contains(err.Error(), "spread") {
			t.Errorf("Parse(%q): %v, want an error about its spread", text, err)
		}
	}
	if m, err := Parse[Mass]("39 kg"); err != nil || m != 39 {
		t.Errorf("Parse(39 kg) = %v, %v", m, err)
	}
}

func TestErrorsAreSyntaxErrorsWithFoundAndHint(t *testing.T) {
	t.Parallel()
	for _, row := range refused() {
		_, err := row.read(row.text)
		var e *SyntaxError
		if !errors.As(err, &e) {
			t.Errorf("%s %q: got %v, want a *SyntaxError", row.noun, row.text, err)
			continue
		}
		if e.Text != row.text || e.Noun != row.noun || e.Found == "" || e.Hint == "" {
			t.Errorf("%s %q: incomplete error %+v", row.noun, row.text, e)
		}
		if strings.HasSuffix(e.Hint, ".") || strings.Contains(err.Error(), "invalid") || strings.Contains(err.Error(), "failed") {
			t.Errorf("%s %q: wording of %q", row.noun, row.text, err)
		}
		if !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s %q: %q lacks %q", row.noun, row.text, err, row.want)
		}
	}
}

func TestTextOfAnyLengthIsAnsweredShortly(t *testing.T) {
	t.Parallel()
	for _, text := range []string{strings.Repeat("9", 1e6) + " kg", strings.Repeat(" ", 1e6), "1 kg" + strings.Repeat(" ± 1 kg", 1e5)} {
		if _, err := ParseAmount[Mass](text); err == nil || len(err.Error()) > 500 {
			t.Errorf("a text of %d bytes: %.600v", len(text), err)
		}
	}
}
