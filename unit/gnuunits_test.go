package unit

import (
	"os/exec"
	"strconv"
	"strings"
	"testing"

	"packyard/check/checktest"
)

// gnuNames translates what the reference program spells in another way. The
// rest of a spelling is rewritten by gnuExpression.
var gnuNames = map[string]string{
	"Btu(IT)": "btu", "gal(US)": "gallon", "gal(UK)": "brgallon", "hp(M)": "metrichorsepower", "hp(I)": "horsepower", "hp(E)": "electrichorsepower",
	"kcmil": "kcmil", "a": "julianyear", "gn": "gravity", "C-rate": "1/hour", "h": "hour", "d": "day", "t": "tonne",
	"mi": "mile", "mph": "mile/hour", "oz": "ounce", "rpm": "2 pi radian/min", "°": "degree", "rad": "radian", "mrad": "milliradian", "Ah": "A hour", "mAh": "mA hour", "Wh": "W hour", "kWh": "kW hour", "MWh": "MW hour",
	"°C": "degC", "°F": "degF", "mH2O": "m water", "mmHg": "mmHg", "inH2O": "inch water", "inHg": "inch Hg", "L": "liter", "mL": "ml", "in": "inch", "lb": "lb", "ft": "ft",
	"Ω": "ohm", "mΩ": "mohm", "µΩ": "microohm", "kΩ": "kohm", "MΩ": "megaohm", "GΩ": "gigaohm", "µm": "micrometer", "µs": "microsecond", "µV": "microV", "µA": "microA", "µF": "microF", "µH": "microhenry",
	"A²s": "A^2 s", "kA²s": "kA^2 s", "%": "percent", "‰": "0.001", "mil": "mil",
}

// gnuExpression writes a spelling of the table for the reference program:
// words are translated one by one, · is a product, ² and ³ are powers.
func gnuExpression(spelling string) string {
	if g, ok := gnuNames[spelling]; ok {
		return "(" + g + ")"
	}
	var out, word strings.Builder
	flush := func() {
		if w := word.String(); w != "" {
			if g, ok := gnuNames[w]; ok {
				w = "(" + g + ")"
			}
			out.WriteString(w)
			word.Reset()
		}
	}
	rest := spelling
	for rest != "" {
		taken := false
		for _, special := range []string{"Btu(IT)", "gal(US)"} {
			if strings.HasPrefix(rest, special) {
				flush()
				out.WriteString("(" + gnuNames[special] + ")")
				rest, taken = rest[len(special):], true
			}
		}
		if taken {
			continue
		}
		r := []rune(rest)[0]
		rest = rest[len(string(r)):]
		switch r {
		case '·', ' ':
			flush()
			out.WriteString(" ")
		case '/', '(', ')':
			flush()
			out.WriteRune(r)
		case '²', '³':
			flush()
			out.WriteString(map[rune]string{'²': "^2", '³': "^3"}[r])
		default:
			word.WriteRune(r)
		}
	}
	flush()
	return "(" + out.String() + ")"
}

func TestUnitsAgreeWithReferenceProgram(t *testing.T) {
	t.Parallel()
	program := checktest.Tool(t, "units")
	type pair struct{ name, from, to string }
	var pairs []pair
	var want []float64
	for _, k := range Kinds() {
		if k.Noun == "C-rate" {
			continue // C there is a coulomb; a C-rate is 1/h by its definition
		}
		to := "(1)"
		if !k.bare() {
			to = gnuExpression(k.Symbol)
		}
		for _, r := range k.Rows[1:] {
			if !r.Alias {
				pairs = append(pairs, pair{k.Noun + ": " + k.Symbol + " per " + r.Spelling, gnuExpression(r.Spelling), to})
				want = append(want, r.Factor)
			}
		}
	}
	var in strings.Builder
	for _, p := range pairs {
		in.WriteString(p.from + "\n" + p.to + "\n")
	}
	cmd := exec.Command(program, "--terse", "--digits", "15")
	cmd.Stdin = strings.NewReader(in.String())
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("units: %v", err)
	}
	lines := strings.Split(strings.TrimSpace(string(out)), "\n")
	if len(lines) != len(pairs) {
		t.Fatalf("%d answers to %d questions:\n%s", len(lines), len(pairs), out)
	}
	for i, p := range pairs {
		got, err := strconv.ParseFloat(strings.TrimSpace(lines[i]), 64)
		if err != nil {
			t.Errorf("%s: asked %q to %q, answered %q", p.name, p.from, p.to, lines[i])
			continue
		}
		// Fifteen printed digits.
		checktest.Near(t, p.name, want[i], got, 0, 1e-14, "GNU Units, definitions file, "+p.from+" to "+p.to)
	}
}
