package celltest

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"packyard/cell"
	"packyard/internal/num"
	"packyard/unit"
)

// NetworkMethod and NetworkVersion name the fit of FitNetwork in results.
const (
	NetworkMethod  = "network by pulses"
	NetworkVersion = 1
)

// ErrFit says that a fit did not come to an end.
var ErrFit = errors.New("fit did not come to an end")

// PulseTest is a pulse test at one temperature: pulses at levels of charge from
// full down, with the instrument's own counter and the surface temperature. The
// log may have holes where the discharges between the levels were left out;
// Between then holds their coarse log, if there is one.
//
// A log without a counter is integrated and must have no holes. One that begins
// with a charge counts from the rest after it.
type PulseTest struct {
	Log, Between *Log
	Temperature  unit.Temperature // where the log has none; zero: 25 °C
}

// FitOptions are the inputs of FitNetwork beside the logs.
type FitOptions struct {
	Capacity     unit.Charge       // that charge 1…0 stands for; must be given
	Level        unit.Current      // of the discharges between the levels; must be given if there are holes
	Tau          []unit.Time       // time constants of the pairs, rising; nil: 0.5, 5, 50 and 500 s
	HeatCapacity unit.HeatCapacity // of the cell, for its own warming in the pulses; zero: none
	SurfaceLag   unit.Time         // of the surface behind the inside; zero: 10 s
	Source       string            // source key of the tests
}

// NetworkFit is a fitted circuit and how it came about.
type NetworkFit struct {
	Network   *cell.Network
	Reference int       // index of the test all of whose pairs were fitted
	Tests     []FitTest // in the order of the tests given
}

// FitTest says how one test was fitted. Deviations are one standard deviation.
type FitTest struct {
	Temperature   unit.Temperature // median of the surface
	Rows          int              // with a voltage
	Residual      unit.Voltage     // root mean square of computed minus measured, unweighted
	Knee          unit.Current     // of the first pair; zero: the pulses are of too few currents to show one
	KneeDeviation unit.Ratio       // of ln knee
	SlowFactor    unit.Ratio       // resistance of the slow pair over that of the reference test
	SlowDeviation unit.Ratio       // of its logarithm; zero in the reference test
	Short         unit.Ratio       // charge that the test began below full, against the reference test
	Fade          unit.Ratio       // share of capacity lost against the reference test
}

// FitNetwork finds the circuit of a cell from its slow discharge and pulse tests
// alone. The slow test gives the shape of the open-circuit curve between the
// levels, the pulse tests everything else, by least squares of all rows of a
// test at once: the current is run through the circuit, so that what is left of
// earlier pulses and discharges is in it.
//
// One test, that with Between or else the first, is the reference: all pairs are fitted to
// it. In every other test the pair of longest time constant, which ten-second
// pulses do not reach, keeps the shape of the reference, times one factor; and
// the open-circuit curve is that of the reference for a cell that began short
// of full, by its first rest voltage, and has lost some capacity, with small
// corrections.
//
// Errors: ErrSeries, ErrFit, and ErrNoSlow of NewSlowPair.
func FitNetwork(slow *Log, tests []PulseTest, o FitOptions) (*NetworkFit, error) {
	if o.Capacity <= 0 || len(tests) == 0 {
		return nil, fmt.Errorf("%w: a fit needs a capacity above zero and a pulse test", ErrSeries)
	}
	if o.SurfaceLag == 0 {
		o.SurfaceLag = 10 * unit.Second
	}
	if o.Tau == nil {
		o.Tau = []unit.Time{0.5, 5, 50, 500}
	}
	if len(o.Tau) < 2 {
		return nil, fmt.Errorf("%w: a fit needs two time constants or more", ErrSeries)
	}
	sh, err := newShape(slow, o.Capacity)
	if err != nil {
		return nil, err
	}
	out := &NetworkFit{Tests: make([]FitTest, len(tests))}
	out.Reference = max(0, slices.IndexFunc(tests, func(t PulseTest) bool { return t.Between != nil }))
	fits := make([]*fitted, len(tests))
	ref, err := fitOne(tests[out.Reference], nil, sh, o)
	if err != nil {
		return nil, err
	}
	fits[out.Reference] = ref
	for i, t := range tests {
		if i != out.Reference {
			if fits[i], err = fitOne(t, ref, sh, o); err != nil {
				return nil, err
			}
		}
		out.Tests[i] = fits[i].FitTest
	}
	out.Network, err = network(fits, sh, o)
	return out, err
}

// fitted is one fitted test.
type fitted struct {
	FitTest
	p *fitProblem
	c coefficients
}

// fitFall is the relative fall of the sum of squares that ends a fit: the
// hardly determined coefficients then move no voltage any more.
const fitFall = 1e-5

func fitOne(t PulseTest, ref *fitted, sh *shape, o FitOptions) (*fitted, error) {
	p, err := newProblem(t, ref, sh, o)
	if err != nil {
		return nil, err
	}
	fit, err := num.NonlinearLeastSquaresWithin(p.residuals, p.start(), p.count(), fitFall)
	if err != nil {
		return nil, fmt.Errorf("%w: %s: %w", ErrFit, t.Log.Name, err)
	}
	f := &fitted{p: p, c: p.split(fit.Coef)}
	deviation := func(i int) unit.Ratio { return unit.Ratio(math.Sqrt(fit.Covariance[i][i])) }
	f.Temperature = unit.Temperature(median(p.rows.temperature))
	if !p.linear {
		f.Knee, f.KneeDeviation = unit.Current(f.c.kneeCurrent()), deviation(f.c.knee)
	}
	f.SlowFactor = 1
	if p.slow != nil {
		f.SlowFactor, f.SlowDeviation = unit.Ratio(f.c.factor()), deviation(f.c.knee+1)
		f.Short, f.Fade = unit.Ratio(f.p.short), unit.Ratio(f.c.fade())
	}
	f.Rows, f.Residual = p.misfit(fit.Coef)
	return f, nil
}

// misfit is the plain root mean square of computed minus measured voltage.
func (p *fitProblem) misfit(v []float64) (int, unit.Voltage) {
	m, d := newMotion(p, p.split(v)), make([]float64, len(v))
	n, sum := 0, 0.0
	for k := range p.rows.time {
		m.step(k)
		if p.weight[k] > 0 {
			e := m.voltage(k, d) - p.rows.voltage[k]
			n, sum = n+1, sum+e*e
		}
	}
	return n, unit.Voltage(math.Sqrt(sum / float64(n)))
}

func newProblem(t PulseTest, ref *fitted, sh *shape, o FitOptions) (*fitProblem, error) {
	l := t.Log.complete(t.Temperature, o.Capacity)
	full, err := fill(l, t.Between, float64(o.Level))
	if err != nil {
		return nil, err
	}
	p := &fitProblem{rows: full.thin(), shape: sh, hour: o.Capacity.AmpereHours(), linear: l.oneCurrent()}
	for i, tau := range o.Tau {
		if i < len(o.Tau)-1 || ref == nil {
			p.tau = append(p.tau, float64(tau))
		}
	}
	var rest []float64
	p.knots, rest = levels(l, float64(o.Capacity))
	if len(p.knots) < 3 {
		return nil, fmt.Errorf("%w: %s: %d levels of charge, a fit needs three", ErrSeries, t.Log.Name, len(p.knots))
	}
	if ref != nil {
		last := len(ref.p.tau) - 1
		p.tauS, p.ref = ref.p.tau[last], ref.c.delta
		p.short = ref.p.shortOf(ref.c, rest[len(rest)-1])
		for _, s := range p.knots {
			p.slow = append(p.slow, num.Linear(ref.p.knots, exps(ref.c.lnR[last]), s))
		}
	}
	for _, q := range p.rows.out {
		p.soc = append(p.soc, 1-q/float64(o.Capacity))
	}
	return p, p.prepare(rest, o)
}

// levelApart is the charge by which levels of a test without holes are apart at least.
const levelApart = 0.03

// levels returns the charges at which the pulses of a test begin, rising, and
// the rest voltage there: that of the first row and of the first row after each
// hole; in a test without holes that before each first pulse at a new charge.
func levels(l *Log, capacity float64) (soc, rest []float64) {
	for k := range l.Time {
		if k == 0 || l.Time[k]-l.Time[k-1] > holeShortest && l.hole(k) {
			soc, rest = append(soc, 1-l.Charge[k]/capacity), append(rest, l.Voltage[k])
		}
	}
	if len(soc) == 1 {
		soc, rest = nil, nil
		for _, p := range l.Pulses(PulseOptions{}) {
			if s := 1 - l.Charge[p.Begin]/capacity; len(soc) == 0 || s < soc[len(soc)-1]-levelApart {
				soc, rest = append(soc, s), append(rest, float64(p.VoltageRest))
			}
		}
	}
	slices.Reverse(soc)
	slices.Reverse(rest)
	return soc, rest
}

// fullCharge is the share of the capacity from which a charge begins a test anew.
const fullCharge = 0.2

// complete returns the log from the rest after its last long charge, with a
// counter and a temperature where it has none.
func (l *Log) complete(t unit.Temperature, capacity unit.Charge) *Log {
	first := 0
	steps := l.Steps(StepOptions{})
	for i, s := range steps {
		if s.Kind == Charge && -float64(s.Charge) > fullCharge*float64(capacity) && i+1 < len(steps) {
			first = steps[i+1].First
		}
	}
	given := l.given()
	out := &Log{Name: l.Name, Time: l.Time[first:], Voltage: l.Voltage[first:], Current: l.Current[first:], Charge: slices.Clone(given[first:])}
	for i := range out.Charge {
		out.Charge[i] -= given[first]
	}
	if t == 0 {
		t = unit.Celsius(25)
	}
	if l.Temperature != nil {
		out.Temperature = l.Temperature[first:]
	} else {
		out.Temperature = make([]float64, out.Len())
		for i := range out.Temperature {
			out.Temperature[i] = float64(t)
		}
	}
	return out
}

// prepare fills the weights of the rows and the scale of the resistances, with
// the inside of the cell warmer than its surface by what the pulses leave there:
//
//	dΔ/dt = I·(OCV − V)/C − Δ/lag
func (p *fitProblem) prepare(rest []float64, o FitOptions) error {
	var guess []float64 // OCV less shape at the knots
	for i, s := range p.knots {
		guess = append(guess, rest[i]-p.shape.at(s))
	}
	middle, err := cell.TemperatureRatio(unit.Temperature(median(p.rows.temperature)))
	if err != nil {
		return err
	}
	inside := 0.0
	for k, t := range p.rows.temperature {
		ocv := p.shape.at(p.soc[k]) + num.Linear(p.knots, guess, p.soc[k])
		if k > 0 && o.HeatCapacity > 0 {
			dt, lag := p.rows.time[k]-p.rows.time[k-1], float64(o.SurfaceLag)
			e, power := math.Exp(-dt/lag), 0.0
			if p.rows.has[k] {
				power = p.rows.current[k] * (ocv - p.rows.voltage[k])
			}
			inside = inside*e + power/float64(o.HeatCapacity)*lag*(1-e)
		}
		ratio, err := cell.TemperatureRatio(unit.Temperature(t + inside))
		if err != nil {
			return err
		}
		p.scale = append(p.scale, float64(ratio/middle))
		w := 0.0
		if p.rows.has[k] {
			w = 1 / (sigmaVoltage + sigmaPart*math.Abs(ocv-p.rows.voltage[k]))
			if p.soc[k] < emptyFrom {
				w *= emptyWeight
			}
		}
		p.weight = append(p.weight, w)
	}
	return nil
}

// networkCharges are the charges of the grid of a fitted network.
const networkCharges = 101

// network lays the fitted tests on one grid, coldest first. Beyond the levels of
// a test its outermost resistance holds.
func network(fits []*fitted, sh *shape, o FitOptions) (*cell.Network, error) {
	order := slices.Clone(fits)
	slices.SortFunc(order, func(a, b *fitted) int { return int(math.Copysign(1, float64(a.Temperature-b.Temperature))) })
	n := &cell.Network{Capacity: o.Capacity, SoC: num.Even(0, 1, networkCharges), Source: o.Source}
	for _, tau := range o.Tau {
		n.Tau = append(n.Tau, float64(tau))
	}
	n.R = make([][][]float64, len(n.Tau))
	for _, f := range order {
		n.Temperature = append(n.Temperature, float64(f.Temperature))
		if f.Knee > 0 {
			n.Knee = append(n.Knee, float64(f.Knee))
		}
		over := func(y []float64) []float64 {
			out := make([]float64, len(n.SoC))
			for i, s := range n.SoC {
				out[i] = num.Linear(f.p.knots, y, s)
			}
			return out
		}
		n.R0 = append(n.R0, over(exps(f.c.lnR0)))
		for k := range n.Tau {
			r := times(f.p.slow, float64(f.SlowFactor))
			if k < len(f.c.lnR) {
				r = exps(f.c.lnR[k])
			}
			n.R[k] = append(n.R[k], over(r))
		}
		ocv := make([]float64, len(n.SoC))
		for i, s := range n.SoC {
			ocv[i] = f.p.curve(f.c, 1-(1-s)*(1+float64(f.Fade)))
		}
		z, _, err := num.Isotonic(ocv, nil)
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrFit, err)
		}
		n.OCV = append(n.OCV, z)
	}
	if len(n.Knee) < len(n.Temperature) {
		n.Knee = nil // a knee at some temperatures only would be a jump between them
	}
	return n, n.Check()
}

// kneeRange is the ratio of the largest to the smallest current of the pulses of a
// test from which it shows how resistance depends on current.
const kneeRange = 3

// oneCurrent reports whether the pulses of a log are all of about one current.
func (l *Log) oneCurrent() bool {
	least, most := math.Inf(1), 0.0
	for _, p := range l.Pulses(PulseOptions{}) {
		i := math.Abs(float64(p.Current))
		least, most = math.Min(least, i), math.Max(most, i)
	}
	return most < kneeRange*least
}

func times(x []float64, by float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = v * by
	}
	return out
}

func median(x []float64) float64 {
	s := slices.Sorted(slices.Values(x))
	n := len(s)
	return (s[(n-1)/2] + s[n/2]) / 2
}

// shape is the form of the open-circuit curve: a smooth curve through the voltage
// of the slow discharge over charge. Its level is left to the correction.
type shape struct {
	curve *num.Curve
	knots []float64 // charge of the knots of the correction
}

// shapeStep is the charge between the points of the shape. The slow test has a
// row every 60 s, 0.0008 of charge.
const shapeStep = 0.005

// newShape takes the discharge branch of a slow pair. The throughputs of the two
// branches differ by what the current reading was off; their mean is what both
// span.
func newShape(slow *Log, capacity unit.Charge) (*shape, error) {
	pair, err := NewSlowPair(slow)
	if err != nil {
		return nil, err
	}
	span := float64(pair.Out+pair.Back) / 2 / float64(capacity)
	d := pair.Discharge
	points := num.Even(0, 1, int(math.Round(1/shapeStep))+1)
	soc, volt := make([]float64, len(points)), make([]float64, len(points))
	for i, x := range points {
		soc[i], volt[i] = 1-(1-x)*span, num.Linear(d.SoC, d.Value, x)
	}
	curve, err := num.NewCurve(soc, volt)
	if err != nil {
		return nil, fmt.Errorf("%w: %s: %w", ErrSeries, slow.Name, err)
	}
	n := int(math.Round((1-ocvLowest)/ocvStep)) + 1
	return &shape{curve, num.Even(ocvLowest, 1, n)}, nil
}

func (s *shape) at(charge float64) float64 { return s.curve.At(charge) }
