package cell

// The pulse tables under data/ are derived here from the published pulse tests.
// The derivation is run in TestPulseTablesFollowFromThePulses and compared with
// the committed files.

import (
	"compress/gzip"
	"encoding/csv"
	"io"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"packyard/check/checktest"
	"packyard/internal/num"
)

// refColumns reads named number columns of a CSV file of the reference data;
// empty cells become NaN.
func refColumns(t *testing.T, file string, names ...string) [][]float64 {
	t.Helper()
	f, err := os.Open(checktest.Reference(t, strings.Split(file, "/")...))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var in io.Reader = f
	if strings.HasSuffix(file, ".gz") {
		if in, err = gzip.NewReader(f); err != nil {
			t.Fatal(err)
		}
	}
	rows, err := csv.NewReader(in).ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	out := make([][]float64, len(names))
	for k, name := range names {
		col := -1
		for i, h := range rows[0] {
			if h == name {
				col = i
			}
		}
		if col < 0 {
			t.Fatalf("%s: no column %q", file, name)
		}
		for _, r := range rows[1:] {
			v, err := strconv.ParseFloat(r[col], 64)
			if err != nil {
				v = math.NaN()
			}
			out[k] = append(out[k], v)
		}
	}
	return out
}

// sample is the voltage drop per ampere t seconds after the start of a pulse of
// the given length; t beyond length is in the rest after it.
type sample struct{ t, r float64 }

// pulse is one measured pulse at one level.
type pulse struct {
	soc     float64
	length  float64 // s
	samples []sample
	drop    float64 // Ω, fall of the OCV by the charge of the pulse over its current; negative: to be fitted
	gap     float64 // s since an equal pulse of the other sign ended; zero: none
}

// pairs are the parameters fitted to one pulse.
type pairs struct{ soc, r0, r1, r2 float64 }

// fitPulse finds R0, R1, R2 ≥ 0 at fixed time constants by least squares:
//
//	pulse: R0 + Σ R_k·(1 − e^(−t/τ_k)) + drop·t/length
//	rest:  Σ R_k·(1 − e^(−length/τ_k))·e^(−(t−length)/τ_k) + drop
//
// After an equal pulse of the other sign, what is left of that pulse when this
// one starts fades during it: (1 − e^(−length/τ))·(e^(−gap/τ) − e^(−(gap+t)/τ)).
// A parameter that would be negative is set to zero and the rest fitted again.
func fitPulse(t *testing.T, p pulse, tau [2]float64) (pairs, float64) {
	t.Helper()
	column := func(k int, at float64) float64 {
		within := math.Min(at, p.length)
		switch k {
		case 0:
			if at <= p.length {
				return 1
			}
			return 0
		case 3:
			return within / p.length
		}
		x := tau[k-1]
		own := (1 - math.Exp(-within/x)) * math.Exp(-(at-within)/x)
		if p.gap > 0 {
			own += (1 - math.Exp(-p.length/x)) * (math.Exp(-p.gap/x) - math.Exp(-(p.gap+at)/x))
		}
		return own
	}
	free := []int{0, 1, 2}
	if p.drop < 0 {
		free = append(free, 3)
	}
	for {
		var a [][]float64
		var b []float64
		for _, s := range p.samples {
			var row []float64
			for _, k := range free {
				row = append(row, column(k, s.t))
			}
			y := s.r
			if p.drop >= 0 {
				y -= p.drop * column(3, s.t)
			}
			a, b = append(a, row), append(b, y)
		}
		fit, err := num.LeastSquares(a, b)
		if err != nil {
			t.Fatal(err)
		}
		worst := -1
		for i := range free {
			if fit.Coef[i] < 0 && (worst < 0 || fit.Coef[i] < fit.Coef[worst]) {
				worst = i
			}
		}
		if worst < 0 {
			var c [4]float64
			for i, k := range free {
				c[k] = fit.Coef[i]
			}
			return pairs{p.soc, c[0], c[1], c[2]}, fit.Residual * fit.Residual
		}
		free = append(append([]int(nil), free[:worst]...), free[worst+1:]...)
	}
}

// fitLevels fits all pulses at the pair of time constants of a fixed ladder that
// leaves the smallest residual, relative to the resistance at the pulse's end.
func fitLevels(t *testing.T, ps []pulse, tau1, tau2 []float64) ([]pairs, [2]float64) {
	t.Helper()
	best, bestSum := [2]float64{}, math.Inf(1)
	for _, a := range tau1 {
		for _, b := range tau2 {
			sum := 0.0
			for _, p := range ps {
				_, res := fitPulse(t, p, [2]float64{a, b})
				scale := p.samples[0].r
				sum += res / (scale * scale)
			}
			if sum < bestSum {
				best, bestSum = [2]float64{a, b}, sum
			}
		}
	}
	var out []pairs
	for _, p := range ps {
		f, _ := fitPulse(t, p, best)
		out = append(out, f)
	}
	return out, best
}

var (
	ladderShort = []float64{0.5, 0.7, 1, 1.5, 2, 3, 4, 5}
	ladderLong  = []float64{8, 10, 15, 20, 30, 40, 60, 80, 100}
)

// pulses18650 reads the 1C pulses of one temperature of the 18650 cell.
func pulses18650(t *testing.T, file string) []pulse {
	t.Helper()
	c := refColumns(t, file, "time_s", "voltage_v", "current_a", "ah")
	time, v, i, ah := c[0], c[1], c[2], c[3]
	var out []pulse
	for k := 1; k < len(i); k++ {
		if !(i[k] < -0.5 && i[k-1] >= -0.5) {
			continue
		}
		end := k
		sum := 0.0
		for end < len(i) && i[end] < -0.5 {
			sum -= i[end]
			end++
		}
		current := sum / float64(end-k)
		length := float64(end-k) * 0.1
		if math.Abs(current-2.9) > 0.05 || length < 9.5 {
			k = end
			continue
		}
		p := pulse{soc: 1 + ah[k]/2.9, length: length, drop: -1}
		zero := time[k] - 0.1
		for _, at := range []float64{0.5, 0.7, 1, 1.5, 2, 3, 4, 5, 6, 7, 8, 9, 9.9, 10.6, 11, 12, 13, 15, 17, 20, 25, 30, 40, 50, 70, 100, 130, 190, 250, 310} {
			for j := k; j < len(time) && time[j] < time[k]+1200; j++ {
				if time[j]-zero >= at-0.05 {
					if (at <= length) == (j < end) {
						p.samples = append(p.samples, sample{time[j] - zero, (v[k-1] - v[j]) / current})
					}
					break
				}
			}
		}
		out = append(out, p)
		k = end
	}
	return out
}

// pulsesLeaf reads the 30 A, 30 s pulses and the 40 s rest after each of one
// temperature of the 33 Ah pouch cell; the fall of the OCV is taken from the
// rest voltages.
func pulsesLeaf(t *testing.T, name string) []pulse {
	t.Helper()
	c := refColumns(t, "celltests/leaf33/hppc_"+name+".csv", "time_s", "voltage_v", "current_a", "step")
	time, v, step := c[0], c[1], c[3]
	d := refColumns(t, "celltests/ocv/derived_leaf33_hppc_"+name+".csv", "ah", "soc", "rest_v")
	soc, rest := reversed(d[1]), reversed(d[2])
	ocv, err := num.NewCurve(soc, rest)
	if err != nil {
		t.Fatal(err)
	}
	full := d[0][len(d[0])-1] / (d[1][len(d[1])-1] - 1) // Ah from full to empty
	var out []pulse
	for k := 1; k < len(step); k++ {
		if step[k] != 6 || step[k-1] == 6 {
			continue
		}
		p := pulse{soc: d[1][len(out)], length: 30}
		share := 30.0 / 3600 * 30 / full
		p.drop = (ocv.At(p.soc) - ocv.At(math.Max(p.soc-share, soc[0]))) / 30
		if p.soc-share < soc[0] {
			p.drop = ocv.Slope(soc[0]) * share / 30
		}
		for j := k; j < len(step) && step[j] >= 6 && step[j] <= 7; j++ {
			p.samples = append(p.samples, sample{time[j] - time[k-1], (v[k-1] - v[j]) / 30})
		}
		out = append(out, p)
	}
	return out
}

func reversed(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[len(x)-1-i] = v
	}
	return out
}

// pulsesSteps reads the 1C discharge pulses of 0.3 to 5 s and the 75 s rest
// after the last from the complete step log of one cell. Levels are 5 % of
// nominal apart; the share is of the cell's own capacity. The fall of the OCV
// is taken from the rest voltages of neighbouring levels.
func pulsesSteps(t *testing.T, file string, nominal, capacity float64) []pulse {
	t.Helper()
	c := refColumns(t, file, "duration_s", "v_end", "i_end")
	dur, ve, i := c[0], c[1], c[2]
	var out []pulse
	var rest []float64
	for k := 5; k < len(dur); k++ {
		if dur[k] == 180 {
			out = append(out, pulse{soc: 0.05 * nominal * float64(len(out)+1) / capacity, length: 5, gap: 75})
			rest = append(rest, ve[k+1])
			continue
		}
		if len(out) == 0 || dur[k] < 0.3 || dur[k] > 5 || math.Abs(i[k]/nominal+1) > 0.02 {
			continue
		}
		p := &out[len(out)-1]
		p.samples = append(p.samples, sample{dur[k], (ve[k-1] - ve[k]) / -i[k]})
		if dur[k] == 5 {
			p.samples = append(p.samples, sample{80, (ve[k-1] - ve[k+1]) / -i[k]})
		}
	}
	out = out[:len(out)-1] // the last level is followed by the closing steps of the protocol
	for k := range out {
		slope := (rest[k+1] - rest[k]) / (0.05 * nominal * 3600) // V per A·s
		out[k].drop = slope * out[k].length
	}
	return out
}

// pulsesRetired averages the 1C discharge pulse of 5 s and the 75 s rest after it
// over the retired cells of one type; of each only the first and the last
// voltage is published. The first sample is taken as immediate.
func pulsesRetired(t *testing.T, file string, nominal, capacity float64) []pulse {
	t.Helper()
	c := refColumns(t, file, "soc_pct_of_nominal", "u1", "u13", "u14", "u15", "u16", "u17")
	var out []pulse
	var rest []float64
	for pct := 5.0; pct <= 50; pct += 5 {
		var sum [7]float64
		n := 0.0
		for k := range c[0] {
			if c[0][k] == pct {
				n++
				for j := range sum {
					sum[j] += c[j][k]
				}
			}
		}
		u := func(j int) float64 { return sum[j] / n }
		rest = append(rest, u(1))
		p := pulse{soc: pct / 100 * nominal / capacity, length: 5, gap: 75}
		for j, at := range []float64{0, 5, 5 + 1e-9, 80} {
			p.samples = append(p.samples, sample{at, (u(2) - u(3+j)) / nominal})
		}
		out = append(out, p)
	}
	for k := range out {
		a, b := max(k-1, 0), min(k+1, len(out)-1)
		slope := (rest[b] - rest[a]) / (0.05 * nominal * 3600 * float64(b-a))
		out[k].drop = math.Max(slope, 0) * out[k].length
	}
	return out
}

// levels is one temperature of a pulse table as derived, in mΩ·Ah and s.
type levels struct {
	temperature float64 // °C
	pairs       []pairs
	tau         [2]float64
}

func (l levels) scaled(f float64) levels {
	for i := range l.pairs {
		l.pairs[i].r0 *= f
		l.pairs[i].r1 *= f
		l.pairs[i].r2 *= f
	}
	return l
}

// derivePulseTables returns the tables by class name.
func derivePulseTables(t *testing.T) map[string][]levels {
	t.Helper()
	make1 := func(celsius float64, ps []pulse, factor float64, tau1, tau2 []float64) levels {
		fit, tau := fitLevels(t, ps, tau1, tau2)
		return levels{celsius, fit, tau}.scaled(1e3 * factor)
	}
	const ncr, leaf = "celltests/ncr18650pf/hppc_", "celltests/retired/"
	nmc := make1(25, pulsesSteps(t, leaf+"steps_nmc21-006.csv", 21, 21.0443), 21.0443, ladderShort, ladderLong)
	// One cell gives the shape, the mean of 26 the size: 2.84 mΩ and 20.624 Ah
	// against 2.67 mΩ and 21.044 Ah at 50 % (celltests, "what a correct reading gives").
	nmc = nmc.scaled(2.84 * 20.624 / (2.67 * 21.0443))
	_, tauLMO := fitLevels(t, pulsesSteps(t, leaf+"steps_lmo25-101.csv", 25, 14.0409), ladderShort, ladderLong)
	return map[string][]levels{
		"nickel-rich": {
			make1(-10, pulses18650(t, ncr+"n10c.csv.gz"), 2.9, ladderShort, ladderLong),
			make1(0, pulses18650(t, ncr+"0c.csv.gz"), 2.9, ladderShort, ladderLong),
			make1(25, pulses18650(t, ncr+"25c.csv.gz"), 2.9, ladderShort, ladderLong),
		},
		"lmo-nickel": {
			make1(10, pulsesLeaf(t, "10c"), 33.1, ladderShort, ladderLong),
			make1(25, pulsesLeaf(t, "25c"), 33.1, ladderShort, ladderLong),
			make1(40, pulsesLeaf(t, "40c"), 33.1, ladderShort, ladderLong),
		},
		"nmc": {nmc},
		"lfp": {make1(25, pulsesRetired(t, leaf+"pulses_lfp35.csv", 35, 29.609), 29.609, nmc.tau[:1], nmc.tau[1:])},
		"lmo": {make1(25, pulsesRetired(t, leaf+"pulses_lmo10.csv", 10, 8.088), 8.088, tauLMO[:1], tauLMO[1:])},
	}
}
