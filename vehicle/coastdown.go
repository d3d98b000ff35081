package vehicle

import (
	"errors"
	"fmt"
	"math"

	"packyard/internal/num"
	"packyard/unit"
)

// ErrCoastLog says that a coast-down log cannot be fitted.
var ErrCoastLog = errors.New("coast-down cannot be fitted")

// CoastRun is one run of a coast-down: the vehicle rolls out in neutral.
type CoastRun struct {
	Name  string
	Back  bool      // driven the other way on the same road
	Time  []float64 // s, strictly increasing
	Speed []float64 // m/s, same length
}

// CoastForm says which coefficients are fitted.
type CoastForm uint8

// Forms of a coast-down.
const (
	// DragAndRolling fits A and C only, B = 0: the drag area and the rolling
	// coefficient follow from them.
	DragAndRolling CoastForm = iota
	// Quadratic fits A, B and C, which are strongly correlated: the curve is
	// sure where it was measured, the single coefficients are not.
	Quadratic
)

// CoastOptions says how a log is fitted.
type CoastOptions struct {
	Mass         unit.Mass  // of the vehicle as it rolled, people included; required
	MassRotating unit.Mass  // equivalent mass of what turned; zero: RotatingMassCoasting
	Air          Air        // temperature and altitude; its headwind is not looked at but found from runs both ways
	Form         CoastForm  // zero: DragAndRolling
	SpeedLow     unit.Speed // a run ends at its first row below; zero: 15 km/h
	SpeedHigh    unit.Speed // rows before the last one above are left out; zero: all are used
	HoldsDrag    bool       // passed on: driveline drag of the donor is in the figures
}

// speedLowDefault is where a coast-down ends if not said: below it, the
// driveline and the road weigh more than what is looked for. Common practice.
const speedLowDefault = 15 / 3.6 // m/s

// Estimate is a fitted value, its standard deviation and its 95 % interval.
type Estimate[Q unit.Quantity] struct{ Value, Deviation, Low, High Q }

// CoastFit is the result of FitCoastDown.
type CoastFit struct {
	Form               CoastForm
	A                  Estimate[unit.Force]
	B                  Estimate[unit.Damping] // zero in the form DragAndRolling
	C                  Estimate[unit.AeroDrag]
	CorrAB, CorrAC     unit.Ratio // correlation of the estimates, −1…1
	CorrBC             unit.Ratio
	Rolling            Estimate[unit.Ratio] // A/(m·g); form DragAndRolling only
	DragArea           Estimate[unit.Area]  // 2·C/ρ; form DragAndRolling only
	CorrDragRolling    unit.Ratio           // same as CorrAC; form DragAndRolling only
	BothWays           bool                 // runs both ways: wind and slope are taken out
	Wind               Estimate[unit.Speed] // headwind along the road on the way out; both ways only
	Slope              Estimate[unit.Slope] // of the road on the way out; both ways only
	Scatter            unit.Speed           // standard deviation of the speed about the fit
	Serial             unit.Ratio           // correlation of neighbouring residuals; above zero it has widened the intervals
	Rows               int                  // used
	Mass, MassRotating unit.Mass            // as used
	Density            unit.Density         // as used
	holdsDrag          bool
}

// RoadLoad returns the fit as a coast-down with its reference.
func (f CoastFit) RoadLoad() RoadLoad {
	return RoadLoad{Coast: &CoastDown{A: f.A.Value, B: f.B.Value, C: f.C.Value,
		MassRef: f.Mass, DensityRef: f.Density, HoldsDrag: f.holdsDrag}}
}

// coastProblem is the fit stripped to SI. The coefficients are, in order, A,
// [B], C, [D, E], then the first speed of each run.
type coastProblem struct {
	runs     []CoastRun
	mass     float64 // effective, kg
	linear   bool    // B is fitted
	bothWays bool    // D and E are fitted
	n        int
}

func (p *coastProblem) shared() int {
	k := 2
	if p.linear {
		k++
	}
	if p.bothWays {
		k += 2
	}
	return k
}

// FitCoastDown fits the road load to the speeds of one or more runs by the
// integrated equation of motion,
//
//	(m + m_rot)·dv/dt = −(A + B·v + C·v²) ∓ (D + E·v)
//
// with D + E·v of one sign on the way out and the other on the way back: a
// slope s gives D = m·g·s, a wind w gives E = 2·C·w and raises A by C·w². The
// odd part is so fitted with, which takes wind and slope out as the mean of both
// directions does, and A is reported less E²/(4·C). With runs one way only they
// stay in the coefficients, and BothWays is false.
//
// Least squares are taken on the speeds themselves, where the noise of a log
// is: differences of neighbouring speeds would multiply it and make it
// correlated. The trajectory and its derivatives by every coefficient and by the
// first speed of each run are integrated together by the classical Runge-Kutta
// method, steps of at most 0.5 s. The 95 % intervals are Student's, from
// s²·(JᵀJ)⁻¹; where neighbouring residuals are correlated by r > 0, beyond twice
// 1/√n, the variance is widened by (1+r)/(1−r).
//
// Not covered by the intervals: mass, m_rot, air density, scale of the speed
// signal. The intervals hold for that part only.
//
// Errors: ErrCoastLog for runs or options that cannot be used, and for a fit
// whose drag is not positive; those of num.NonlinearLeastSquares.
// Source: sae-j1263; iso-10521; common practice (least squares).
func FitCoastDown(runs []CoastRun, o CoastOptions) (CoastFit, error) {
	p, err := newCoastProblem(runs, o)
	if err != nil {
		return CoastFit{}, err
	}
	start := make([]float64, p.shared(), p.shared()+len(p.runs))
	weight := o.Mass.Kilograms() * gravity
	start[0] = 0.012 * weight // mid of tyre surveys; only a place to begin
	start[1+b2i(p.linear)] = 0.4
	for _, r := range p.runs {
		start = append(start, r.Speed[0])
	}
	fit, err := num.NonlinearLeastSquares(p.residuals, start, p.n)
	if err != nil {
		return CoastFit{}, fmt.Errorf("coast-down of %d runs and %d rows: %w", len(p.runs), p.n, err)
	}
	return p.report(fit, o)
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

func newCoastProblem(runs []CoastRun, o CoastOptions) (*coastProblem, error) {
	if !(o.Mass > 0) || !(o.MassRotating >= 0) {
		return nil, fmt.Errorf("%w: mass %v kg and rotating mass %v kg, a positive mass is accepted", ErrCoastLog, float64(o.Mass), float64(o.MassRotating))
	}
	if err := o.Air.Validate(); err != nil {
		return nil, err
	}
	p := &coastProblem{mass: (o.Mass + o.rotating()).Kilograms(), linear: o.Form == Quadratic}
	out, back := false, false
	for _, r := range runs {
		cut, err := r.cut(o)
		if err != nil {
			return nil, err
		}
		p.runs = append(p.runs, cut)
		p.n += len(cut.Time)
		out, back = out || !r.Back, back || r.Back
	}
	p.bothWays = out && back
	if need := p.shared() + len(p.runs) + 5; p.n < need {
		return nil, fmt.Errorf("%w: %d rows in use, at least %d are accepted", ErrCoastLog, p.n, need)
	}
	return p, nil
}

func (o CoastOptions) rotating() unit.Mass {
	if o.MassRotating == 0 {
		return RotatingMassCoasting(o.Mass)
	}
	return o.MassRotating
}

// cut returns the part of the run between the two speeds.
func (r CoastRun) cut(o CoastOptions) (CoastRun, error) {
	if len(r.Time) != len(r.Speed) {
		return r, fmt.Errorf("%w: run %q has %d times and %d speeds", ErrCoastLog, r.Name, len(r.Time), len(r.Speed))
	}
	low, high := float64(o.SpeedLow), float64(o.SpeedHigh)
	if low == 0 {
		low = speedLowDefault
	}
	from, to := 0, len(r.Time)
	for i, v := range r.Speed {
		t := r.Time[i]
		if math.IsNaN(v) || math.IsInf(v, 0) || math.IsNaN(t) || math.IsInf(t, 0) || i > 0 && t <= r.Time[i-1] {
			return r, fmt.Errorf("%w: run %q row %d has time %v s and speed %v m/s, rising finite times and finite speeds are accepted",
				ErrCoastLog, r.Name, i+1, t, v)
		}
		if high > 0 && v > high {
			from = i + 1
		}
	}
	for i := from; i < len(r.Speed); i++ {
		if r.Speed[i] < low {
			to = i
			break
		}
	}
	if to-from < 3 {
		return r, fmt.Errorf("%w: run %q has %d rows between the speeds looked at, at least 3 are accepted", ErrCoastLog, r.Name, max(to-from, 0))
	}
	r.Time, r.Speed = r.Time[from:to], r.Speed[from:to]
	return r, nil
}

// coastSpeedMost bounds the trajectory while coefficients are tried, in m/s.
const coastSpeedMost = 1e3

// coastStepMost is the longest Runge-Kutta step in s. With decelerations below
// 1 m/s² and time constants above 30 s its error is under 1e-9 m/s.
const coastStepMost = 0.5

// residuals integrates every run with the coefficients q.
func (p *coastProblem) residuals(q, res []float64, jac [][]float64) error {
	k, row := p.shared(), 0
	// y holds the speed and its derivatives by the shared coefficients and by
	// the first speed.
	y := make([]float64, k+2)
	work := make([]float64, 5*(k+2))
	for j, run := range p.runs {
		clear(y)
		y[0], y[k+1] = q[k+j], 1
		for i := range run.Time {
			if i > 0 {
				p.advance(q, run.Back, y, work, run.Time[i]-run.Time[i-1])
			}
			if !(math.Abs(y[0]) < coastSpeedMost) {
				return fmt.Errorf("%w: speed left the range while coefficients were tried", ErrCoastLog)
			}
			res[row] = y[0] - run.Speed[i]
			clear(jac[row])
			copy(jac[row], y[1:k+1])
			jac[row][k+j] = y[k+1]
			row++
		}
	}
	return nil
}

// advance takes y over dt seconds in equal Runge-Kutta steps. A gap in the log
// costs at most 10 000 of them.
func (p *coastProblem) advance(q []float64, back bool, y, work []float64, dt float64) {
	n := int(math.Min(math.Ceil(dt/coastStepMost), 10000))
	h, size := dt/float64(n), len(y)
	at, k1, k2, k3, k4 := work[:size], work[size:2*size], work[2*size:3*size], work[3*size:4*size], work[4*size:]
	for range n {
		p.slope(q, back, y, k1)
		for i := range y {
			at[i] = y[i] + h/2*k1[i]
		}
		p.slope(q, back, at, k2)
		for i := range y {
			at[i] = y[i] + h/2*k2[i]
		}
		p.slope(q, back, at, k3)
		for i := range y {
			at[i] = y[i] + h*k3[i]
		}
		p.slope(q, back, at, k4)
		for i := range y {
			y[i] += h / 6 * (k1[i] + 2*k2[i] + 2*k3[i] + k4[i])
		}
	}
}

// slope gives dy/dt: for the speed −F/M, for its derivative by a coefficient
// −(∂F/∂v·y_k + ∂F/∂q_k)/M, for that by the first speed −∂F/∂v·y/M.
func (p *coastProblem) slope(q []float64, back bool, y, dy []float64) {
	v, k := y[0], p.shared()
	var basis [5]float64 // ∂F/∂q
	n := 0
	put := func(b float64) { basis[n] = b; n++ }
	put(1)
	if p.linear {
		put(v)
	}
	put(v * v)
	c := n - 1
	byV := 2 * q[c] * v // ∂F/∂v
	if p.linear {
		byV += q[1]
	}
	if p.bothWays {
		sign := 1.0
		if back {
			sign = -1
		}
		put(sign)
		put(sign * v)
		byV += sign * q[n-1]
	}
	force := 0.0
	for i := range n {
		force += q[i] * basis[i]
	}
	dy[0] = -force / p.mass
	for i := range n {
		dy[1+i] = -(byV*y[1+i] + basis[i]) / p.mass
	}
	dy[k+1] = -byV * y[k+1] / p.mass
}
