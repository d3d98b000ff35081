package celltest

import (
	"fmt"
	"math"
	"slices"

	"packyard/internal/num"
	"packyard/unit"
)

// PairsMethod and PairsVersion name the fit of RC pairs in results.
const (
	PairsMethod  = "RC pairs by least squares"
	PairsVersion = 1
)

// Confident is a fitted value with the ends of its 95 % interval.
type Confident[Q ~float64] struct{ Value, Low, High Q }

// PairFit is R0 and RC pairs fitted to one pulse and the rest after it.
type PairFit struct {
	R0       Confident[unit.Resistance]
	R        []Confident[unit.Resistance] // of the pairs, time constants rising
	Tau      []Confident[unit.Time]
	Fall     Confident[unit.Voltage] // of the open-circuit voltage, by the charge of the pulse
	Residual unit.Voltage            // standard deviation
	Rows     int
}

const (
	pairRows     = 400  // rows of pulse and rest that are used, at most
	pairsMost    = 3    // pairs that one pulse can tell apart
	pairFall     = 1e-9 // relative fall of the sum of squares that ends the fit
	confidence   = 0.975
	pairRestMost = 600.0 // s of the rest after the pulse that are used
)

// FitPairs fits R0 and n pairs to a pulse and the rest after it by least squares:
//
//	pulse: (V before − V)/I = R0 + Σ R_k·(1 − e^(−t/τ_k)) + F·t/L
//	rest:                       Σ R_k·(1 − e^(−L/τ_k))·e^(−(t−L)/τ_k) + F
//
// with L the length of the pulse and F the fall of the open-circuit voltage over
// the current. Rows sooner than half a second after a change are left out, since
// the reading of the voltage may lag; the rest counts up to 600 s. R and τ are
// fitted by their logarithms, so that they stay above zero and their intervals are
// lopsided. The intervals are those of the linearised problem (Student's t, 95 %)
// and take the residuals for independent, which those of a diffusing cell are
// not: they are a lower bound.
//
// Errors: ErrSeries for n outside 1 to 3, a pulse or rest with too few rows, or a log without
// a rest after it; ErrFit, and ErrFit when the pulse does not hold so many pairs.
// Source: marquardt-1963.
func (l *Log) FitPairs(p Pulse, n int) (PairFit, error) {
	if n < 1 || n > pairsMost {
		return PairFit{}, fmt.Errorf("%w: %d pairs, accepted are 1 to %d", ErrSeries, n, pairsMost)
	}
	d := l.pairData(p)
	if len(d.at) < 4*(n+1) || d.rest < 2*(n+1) {
		return PairFit{}, fmt.Errorf("%w: %d settled rows in the pulse and %d in the rest after it, too few for %d pairs", ErrSeries, len(d.at)-d.rest, d.rest, n)
	}
	start := d.start(n)
	f, err := num.NonlinearLeastSquaresWithin(d.residuals, start, len(d.at), pairFall)
	if err != nil {
		return PairFit{}, fmt.Errorf("%w: pulse at row %d of %s: %w", ErrFit, p.First+1, l.Name, err)
	}
	return d.result(f, n, float64(p.Current)), nil
}

// pairData are the rows of a pulse and its rest: ohms over seconds since its start.
type pairData struct {
	at, ohm []float64 // s, Ω
	length  float64   // s
	rest    int       // rows of them in the rest
}

func (l *Log) pairData(p Pulse) *pairData {
	zero, i := float64(p.Zero), float64(p.Current)
	d := &pairData{length: l.ended(p.Step) - zero}
	o := StepOptions{}.filled(l)
	last := p.Last
	for last+1 < l.Len() && o.kind(l.Current[last+1]) == Rest && l.Time[last+1]-l.Time[last] < holeShortest && l.Time[last+1]-l.Time[p.Last] <= pairRestMost {
		last++
	}
	next := settleTime
	for k := p.First; k <= last; k++ {
		t := l.Time[k] - zero
		since := t
		if k > p.Last {
			since = t - d.length
			if k == p.Last+1 {
				next = settleTime
			}
		}
		if since < next && k != p.Last && k != last || since < settleTime {
			continue
		}
		next = since * (1 + 6/float64(pairRows)*math.E)
		d.at, d.ohm = append(d.at, t), append(d.ohm, (l.Voltage[p.Begin]-l.Voltage[k])/i)
		if k > p.Last {
			d.rest++
		}
	}
	return d
}

// start spreads the time constants evenly by their logarithm and shares the
// resistance out.
func (d *pairData) start(n int) []float64 {
	head, whole := math.Max(d.ohm[0], 1e-9), 0.0
	for i, t := range d.at {
		if t <= d.length {
			whole = d.ohm[i]
		}
	}
	v := []float64{math.Log(head * 0.9)}
	long := math.Max(d.at[len(d.at)-1]/4, 4*settleTime)
	for k := range n {
		f := (float64(k) + 0.5) / float64(n)
		v = append(v, math.Log(math.Max(whole-head, 0.1*head)/float64(n)), math.Log(settleTime)*(1-f)+math.Log(long)*f)
	}
	return append(v, math.Max(d.ohm[len(d.ohm)-1], 0)/2)
}

// residuals over ln R0, then ln R and ln τ of each pair, then the fall.
func (d *pairData) residuals(v, r []float64, jac [][]float64) error {
	n := (len(v) - 2) / 2
	for i, t := range d.at {
		row, in := jac[i], math.Min(t, d.length)
		y := v[len(v)-1] * in / d.length
		row[len(v)-1], row[0] = in/d.length, 0
		if t <= d.length {
			row[0] = math.Exp(v[0])
			y += row[0]
		}
		for k := range n {
			ohm, tau := math.Exp(v[1+2*k]), math.Exp(v[2+2*k])
			a, b := math.Exp(-in/tau), math.Exp(-(t-in)/tau)
			y += ohm * (1 - a) * b
			row[1+2*k] = ohm * (1 - a) * b
			row[2+2*k] = ohm * ((1-a)*b*(t-in) - a*b*in) / tau
		}
		r[i] = y - d.ohm[i]
	}
	return nil
}

func (d *pairData) result(f num.Fit, n int, current float64) PairFit {
	free := float64(len(d.at) - len(f.Coef))
	q := num.StudentQuantile(confidence, free)
	half := func(i int) float64 { return q * math.Sqrt(f.Covariance[i][i]) }
	out := PairFit{Residual: unit.Voltage(f.Sigma * math.Abs(current)), Rows: len(d.at), R0: ohms(f.Coef[0], half(0))}
	order := make([]int, n)
	for k := range order {
		order[k] = k
	}
	slices.SortFunc(order, func(a, b int) int { return int(math.Copysign(1, f.Coef[2+2*a]-f.Coef[2+2*b])) })
	for _, k := range order {
		out.R = append(out.R, ohms(f.Coef[1+2*k], half(1+2*k)))
		t := ohms(f.Coef[2+2*k], half(2+2*k))
		out.Tau = append(out.Tau, Confident[unit.Time]{unit.Time(t.Value), unit.Time(t.Low), unit.Time(t.High)})
	}
	last := len(f.Coef) - 1
	fall, h := f.Coef[last]*current, half(last)*math.Abs(current)
	out.Fall = Confident[unit.Voltage]{unit.Voltage(fall), unit.Voltage(fall - h), unit.Voltage(fall + h)}
	return out
}

// ohms turns a logarithm and its half interval into a value with its interval;
// what nothing determines stays finite.
func ohms(ln, half float64) Confident[unit.Resistance] {
	const widest = 100 // e^100 is beyond any meaning
	half = math.Min(half, widest)
	return Confident[unit.Resistance]{unit.Resistance(math.Exp(ln)), unit.Resistance(math.Exp(ln - half)), unit.Resistance(math.Exp(math.Min(ln+half, widest)))}
}
