package drive

import "packyard/unit"

// watch follows a run step by step, for a trace or a balance. The steps are
// those of the quick path, taken one at a time, so that the results are equal.
type watch struct {
	trace   *Trace
	balance *Balance
	before  before // state at the start of the step
}

// before is the state at the start of the step under watch.
type before struct {
	seg       int
	x, v1, v2 float64
}

func newWatch(o *Options) *watch {
	if o.Trace == nil && o.Balance == nil {
		return nil
	}
	w := &watch{trace: o.Trace, balance: o.Balance}
	if w.trace != nil {
		w.trace.clear()
	}
	if w.balance != nil {
		*w.balance = Balance{}
	}
	return w
}

// watched drives step i and returns the next one, or i when the run has ended.
func (r *Run) watched(i int) int {
	r.watch.begin(r)
	if !r.behind {
		if r.fast(i, i+1) > i {
			o := shot{cur: r.cur, x: r.x, v1: r.v1, v2: r.v2, u: r.volt}
			m := r.asAsked(i)
			r.watch.note(r, i, &m, &o, 1)
			return i + 1
		}
	}
	r.bind(i)
	if r.end != endNot {
		return i
	}
	return i + 1
}

func (w *watch) begin(r *Run) { w.before = before{r.seg, r.x, r.v1, r.v2} }

// note books a finished step.
func (w *watch) note(r *Run, i int, m *moved, o *shot, share float64) {
	if w.trace != nil {
		w.trace.add(r, i, m, o, share)
	}
	if w.balance != nil {
		w.balance.add(r, i, &w.before, m, o, share)
	}
}

// finish closes the balance with what came from the cells.
func (w *watch) finish(r *Run, start float64) {
	if w.balance != nil {
		w.balance.Chemical = unit.Energy(r.chemical(start))
	}
}

// Trace holds a run step by step, all columns of equal length, values at the
// end of the step unless said.
type Trace struct {
	Time        []float64 // s
	Distance    []float64 // m
	Speed       []float64 // m/s
	SpeedWanted []float64 // m/s, by the schedule as capped
	Force       []float64 // N at the wheels, over the step
	Shaft       []float64 // W at the motor shaft, over the step
	Friction    []float64 // W in the friction brakes, over the step
	Power       []float64 // W at the terminals, over the step, discharge positive
	Current     []float64 // A, over the step, discharge positive
	Voltage     []float64 // V at the terminals
	SoC         []float64 // 0…1
}

func (t *Trace) clear() {
	for _, c := range []*[]float64{&t.Time, &t.Distance, &t.Speed, &t.SpeedWanted, &t.Force, &t.Shaft,
		&t.Friction, &t.Power, &t.Current, &t.Voltage, &t.SoC} {
		*c = (*c)[:0]
	}
}

func (t *Trace) add(r *Run, i int, m *moved, o *shot, share float64) {
	dt, time, way := share*r.dt, 0.0, 0.0
	if n := len(t.Time); n > 0 {
		time, way = t.Time[n-1], t.Distance[n-1]
	}
	t.Time = append(t.Time, time+dt)
	t.Distance = append(t.Distance, way+m.v*dt)
	t.Speed = append(t.Speed, m.v0+share*(m.v1-m.v0))
	t.SpeedWanted = append(t.SpeedWanted, r.d.Speed[i]+share*(r.d.Speed[i+1]-r.d.Speed[i]))
	t.Force = append(t.Force, m.force)
	t.Shaft = append(t.Shaft, m.flow.shaft)
	t.Friction = append(t.Friction, m.flow.friction)
	t.Power = append(t.Power, m.flow.power)
	t.Current = append(t.Current, o.cur*r.across)
	t.Voltage = append(t.Voltage, o.u*r.series)
	charge := o.x / r.pieces
	if r.g != nil {
		charge = r.g.chargeAfter()
	}
	t.SoC = append(t.SoC, charge)
}
