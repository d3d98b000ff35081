package celltest

import (
	"math"

	"packyard/internal/num"
)

// What the fit takes for granted about how smooth and how exact things are, all
// chosen beforehand. The figures are standard deviations.
const (
	sigmaVoltage   = 2e-3   // V, of a reading against the circuit, with the next
	sigmaPart      = 0.02   // of the polarisation
	sigmaBend      = 1      // change of d(ln R)/ds from one level to the next
	sigmaOCVBend   = 3.3e-3 // V, bend of the correction of the open-circuit curve over two steps
	sigmaOCVOther  = 3.3e-3 // V, open-circuit curve of another test against that of the reference test
	sigmaKnee      = 3      // ln of the knee current against its start: hardly held, for a test of one current
	sigmaLevel     = 5      // ln of a resistance against its start: hardly held, for a pair that is not there
	sigmaFactor    = 1      // ln of the resistance of the slow pair against that of the reference test
	sigmaFade      = 0.05   // share of capacity lost between the tests
	ocvStep        = 0.025  // charge between the knots of the correction
	ocvLowest      = -0.05  // charge of the first
	kneeStart      = 2.0    // of the current that empties the cell in an hour
	emptyFrom      = 0.027  // charge below which the weight of the rows is lowered
	emptyWeight    = 0.3    // to this
	shareUnit      = 0.02   // fade is fitted in this unit
	shortMost      = 0.2    // charge below full at which a pulse test may begin
	resistanceHead = 0.06   // V at the current that empties the cell in an hour, start of R0: the class of cells (cell-test-sets)
	resistancePair = 0.03   // V, start of every pair
)

// fitProblem is the least-squares problem of one pulse test: rows of residuals
// over coefficients
//
//	ln R0, ln R1 … ln RK at the knots, correction of the open-circuit curve at its
//	knots, ln knee; and of another test than the reference: ln of the factor on
//	the slow pair, fade.
type fitProblem struct {
	rows   *fitRows
	soc    []float64 // 1 − out/capacity
	scale  []float64 // of all resistances, by temperature against that of the test
	weight []float64 // 1/V, zero where there is no voltage
	knots  []float64 // charge, rising: the levels
	tau    []float64 // s, of the pairs fitted at each knot
	slow   []float64 // Ω at the knots, slow pair of the reference test; nil: this is the reference
	tauS   float64   // s, of the slow pair
	shape  *shape
	ref    []float64 // V, correction of the reference test; nil: this is it
	short  float64   // charge by which the test began below full
	hour   float64   // A that empty the cell in an hour
	linear bool      // the pulses are of too few currents to show a knee: there is none
}

func (p *fitProblem) pairs() int { return len(p.tau) }

// coefficients are the parts of a coefficient vector; slices share its memory.
type coefficients struct {
	lnR0   []float64
	lnR    [][]float64
	delta  []float64
	knee   int // index of ln knee, followed by factor and fade where there are
	values []float64
}

func (p *fitProblem) split(v []float64) coefficients {
	nk := len(p.knots)
	c := coefficients{lnR0: v[:nk], values: v}
	for k := range p.tau {
		c.lnR = append(c.lnR, v[nk*(k+1):nk*(k+2)])
	}
	at := nk * (p.pairs() + 1)
	c.knee = at + len(p.shape.knots)
	c.delta = v[at:c.knee]
	return c
}

func (c coefficients) kneeCurrent() float64 { return math.Exp(c.values[c.knee]) }
func (c coefficients) factor() float64      { return math.Exp(c.values[c.knee+1]) }
func (c coefficients) fade() float64        { return shareUnit * c.values[c.knee+2] }

// own is the charge on the curve of the reference test.
func (p *fitProblem) own(c coefficients, s float64) float64 {
	if p.slow == nil {
		return s
	}
	return 1 - p.short - (1-s)*(1+c.fade())
}

func (p *fitProblem) start() []float64 {
	nk := len(p.knots)
	n := nk*(p.pairs()+1) + len(p.shape.knots) + 1
	if p.slow != nil {
		n += 2
	}
	v := make([]float64, n)
	for i := range nk * (p.pairs() + 1) {
		v[i] = math.Log(resistancePair / p.hour)
		if i < nk {
			v[i] = math.Log(resistanceHead / p.hour)
		}
	}
	c := p.split(v)
	copy(c.delta, p.ref)
	v[c.knee] = math.Log(kneeStart * p.hour)
	return v
}

// count is the number of residuals.
func (p *fitProblem) count() int {
	n := (p.pairs()+1)*(2*len(p.knots)-2) + len(p.shape.knots) - 2 + 1
	if p.slow != nil {
		n += len(p.ref) + 2
	}
	for _, w := range p.weight {
		if w > 0 {
			n++
		}
	}
	return n
}

// residuals is the num.Residuals of the problem: computed minus measured voltage
// over its deviation, then what is held beforehand.
func (p *fitProblem) residuals(v, r []float64, jac [][]float64) error {
	c := p.split(v)
	m := newMotion(p, c)
	row := 0
	for k := range p.rows.time {
		m.step(k)
		if w := p.weight[k]; w > 0 {
			clear(jac[row])
			r[row] = w * (m.voltage(k, jac[row]) - p.rows.voltage[k])
			for i := range jac[row] {
				jac[row][i] *= w
			}
			row++
		}
	}
	p.held(c, r[row:], jac[row:])
	return nil
}

// held fills the residuals of what is known beforehand.
func (p *fitProblem) held(c coefficients, r []float64, jac [][]float64) {
	row, nk := 0, len(p.knots)
	put := func(value, sigma float64, at []int, by ...float64) {
		clear(jac[row])
		r[row] = value / sigma
		for i, a := range at {
			jac[row][a] += by[i] / sigma
		}
		row++
	}
	for q := range p.pairs() + 1 {
		y := c.values[q*nk : (q+1)*nk]
		for i := 1; i < nk-1; i++ {
			a, b := 1/(p.knots[i]-p.knots[i-1]), 1/(p.knots[i+1]-p.knots[i])
			put((y[i+1]-y[i])*b-(y[i]-y[i-1])*a, sigmaBend, []int{q*nk + i - 1, q*nk + i, q*nk + i + 1}, a, -a-b, b)
		}
	}
	d := c.knee - len(c.delta)
	for i := 1; i < len(c.delta)-1; i++ {
		put(c.delta[i+1]-2*c.delta[i]+c.delta[i-1], sigmaOCVBend, []int{d + i - 1, d + i, d + i + 1}, 1, -2, 1)
	}
	start := p.start()
	for i := range nk * (p.pairs() + 1) {
		put(c.values[i]-start[i], sigmaLevel, []int{i}, 1)
	}
	put(c.values[c.knee]-start[c.knee], sigmaKnee, []int{c.knee}, 1)
	if p.slow == nil {
		return
	}
	for i, x := range p.ref {
		put(c.delta[i]-x, sigmaOCVOther, []int{d + i}, 1)
	}
	put(c.values[c.knee+1], sigmaFactor, []int{c.knee + 1}, 1)
	put(c.fade(), sigmaFade, []int{c.knee + 2}, shareUnit)
}

// motion runs the circuit over the rows of a problem together with what each
// coefficient does to the voltage. With the current, the charge and the
// temperature given, each pair is a sum over the knots of R times a filter of
// the current there, so that one pass gives all derivatives.
type motion struct {
	p      *fitProblem
	c      coefficients
	r      [][]float64 // Ω at the knots, per pair
	filter [][]float64 // A at the knots, per pair: what the pair would hold in V for 1 Ω there
	bend   float64     // V, derivative of the first pair by ln knee
	slow   float64     // V over the slow pair at factor 1
	j      int         // knots around the charge of the row
	f      float64
}

func newMotion(p *fitProblem, c coefficients) *motion {
	m := &motion{p: p, c: c}
	for k := range p.tau {
		m.r = append(m.r, exps(c.lnR[k]))
		m.filter = append(m.filter, make([]float64, len(p.knots)))
	}
	return m
}

func exps(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = math.Exp(v)
	}
	return out
}

func (m *motion) step(k int) {
	p := m.p
	m.j, m.f = num.Cell(p.knots, p.soc[k])
	if k == 0 {
		return
	}
	dt, drive := p.rows.time[k]-p.rows.time[k-1], p.rows.current[k]*p.scale[k]
	for q, tau := range p.tau {
		e := math.Exp(-dt / tau)
		in := drive * (1 - e)
		if q == 0 {
			x := math.Abs(p.rows.current[k]) * p.scale[k] / m.c.kneeCurrent()
			share, slope := 1.0, 0.0
			if x > 1e-4 && !p.linear {
				share = math.Asinh(x) / x
				slope = share - 1/math.Sqrt(1+x*x) // d share / d ln knee
			}
			m.bend = m.bend*e + in*slope*m.at(m.r[0])
			in *= share
		}
		for i := range m.filter[q] {
			m.filter[q][i] *= e
		}
		m.filter[q][m.j] += in * (1 - m.f)
		m.filter[q][m.j+1] += in * m.f
	}
	if p.slow != nil {
		e := math.Exp(-dt / p.tauS)
		m.slow = m.slow*e + drive*m.at(p.slow)*(1-e)
	}
}

func (m *motion) at(y []float64) float64 { return y[m.j] + m.f*(y[m.j+1]-y[m.j]) }

// voltage returns the terminal voltage of row k and fills its derivatives.
func (m *motion) voltage(k int, d []float64) float64 {
	p, c, nk := m.p, m.c, len(m.p.knots)
	s := p.own(c, p.soc[k])
	i, f := num.Cell(p.shape.knots, s)
	v := p.shape.at(s) + c.delta[i] + f*(c.delta[i+1]-c.delta[i])
	base := c.knee - len(c.delta)
	d[base+i], d[base+i+1] = 1-f, f
	head := p.rows.current[k] * p.scale[k]
	a, b := math.Exp(c.lnR0[m.j])*(1-m.f), math.Exp(c.lnR0[m.j+1])*m.f
	v -= head * (a + b)
	d[m.j], d[m.j+1] = -head*a, -head*b
	for q := range m.filter {
		for i, x := range m.filter[q] {
			x *= m.r[q][i]
			v -= x
			d[nk*(q+1)+i] = -x
		}
	}
	d[c.knee] = -m.bend
	if p.slow != nil {
		v -= c.factor() * m.slow
		d[c.knee+1] = -c.factor() * m.slow
		slope := p.shape.curve.Slope(s) + (c.delta[i+1]-c.delta[i])/(p.shape.knots[i+1]-p.shape.knots[i])
		d[c.knee+2] = -slope * shareUnit * (1 - p.soc[k])
	}
	return v
}

// curve is the open-circuit voltage at a charge on the reference curve.
func (p *fitProblem) curve(c coefficients, s float64) float64 {
	return p.shape.at(s) + num.Linear(p.shape.knots, c.delta, s)
}

// shortOf is how far below full on the curve of the reference test a rested
// voltage lies, zero where it lies above: by halving, on a curve that rises near
// its end.
func (p *fitProblem) shortOf(c coefficients, v float64) float64 {
	lo, hi := 0.0, shortMost
	if v >= p.curve(c, 1) {
		return 0
	}
	for range 50 { // to below 1e-15 of charge
		if m := (lo + hi) / 2; p.curve(c, 1-m) > v {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}
