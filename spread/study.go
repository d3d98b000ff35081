package spread

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/bits"
	"runtime"
	"strings"
	"sync"
	"sync/atomic"

	"packyard/check"
	"packyard/internal/num"
)

// Errors of a study.
var (
	ErrInput  = errors.New("input cannot be drawn")
	ErrStudy  = errors.New("study cannot be made")
	ErrFigure = errors.New("the model gives no finite figure")
)

// Input is one uncertain input of a model.
type Input struct {
	Name   string
	Text   string // as written, for the report; may be empty
	Stated check.Stated
}

// Output is one figure that a model gives.
type Output struct {
	Name   string // "range"
	Symbol string // SI unit in which the model gives it, "m"
	Noun   string // "length"
}

// Model computes the outputs, in SI and in the order of the study, for one value
// of each input, in SI and in their order. The outcome may depend on nothing but x.
type Model func(x, y []float64) error

// Study is what is asked of a model.
type Study struct {
	Inputs  []Input
	Outputs []Output
	Worker  func() (Model, error) // makes a model with buffers of its own for one goroutine
}

// Options are the choices of a study; the zero value is the default.
type Options struct {
	Samples  int                // rows of each matrix, rounded up to a power of two; zero: 512, which for 12 inputs makes 7168 runs
	Seed     int                // of the scrambles
	Progress func(done, of int) // told from time to time of the rows that are done, by one goroutine at a time; may be nil
	Workers  int                // zero: as many as there are processors; the outcome does not depend on it
}

// Rows of each matrix, and the independent scrambles that share them. Eight
// scrambles tell a standard error to within a quarter of itself.
const (
	samplesDefault = 512
	SamplesMin     = 64
	SamplesMax     = 1 << 20
	scrambles      = 8
	InputsMax      = num.SobolDimensionsMax / 2
)

// samples returns the samples that are asked for.
func (o *Options) samples() int {
	if o.Samples == 0 {
		return samplesDefault
	}
	return o.Samples
}

// rows returns the rows of each matrix.
func (o *Options) rows() (int, error) {
	n := o.samples()
	if n < 1 || n > SamplesMax {
		return 0, fmt.Errorf("%w: %d samples, from 1 to %d are accepted", ErrStudy, n, SamplesMax)
	}
	return max(1<<bits.Len(uint(n-1)), SamplesMin), nil
}

// sample holds what was computed. Row r has k+2 runs: A, A with column i of B
// for each wide input, B.
type sample struct {
	rows, outputs int
	wide          []int     // inputs that vary
	y             []float64 // SI, by row, run and output
	xa, xb        []float64 // SI, inputs by row and input
}

// at returns the outputs of run c of row r.
func (s *sample) at(r, c int) []float64 {
	i := (r*(len(s.wide)+2) + c) * s.outputs
	return s.y[i : i+s.outputs]
}

// Run makes the study. The same seed gives the same result, whatever the
// number of workers. Errors: ErrInput, ErrStudy, ErrFigure, those of the model
// with the values at which they came, those of ctx.
func Run(ctx context.Context, s *Study, o Options) (*Result, error) {
	rows, err := o.rows()
	if err != nil {
		return nil, err
	}
	if len(s.Inputs) > InputsMax || len(s.Outputs) == 0 {
		return nil, fmt.Errorf("%w: %d inputs and %d outputs, at most %d and at least 1 are accepted", ErrStudy, len(s.Inputs), len(s.Outputs), InputsMax)
	}
	e := engine{study: s, draws: make([]draw, len(s.Inputs))}
	sm := &e.sample
	sm.rows, sm.outputs = rows, len(s.Outputs)
	for i := range s.Inputs {
		if e.draws[i], err = drawOf(&s.Inputs[i]); err != nil {
			return nil, err
		}
		if e.draws[i].wide() {
			sm.wide = append(sm.wide, i)
		}
	}
	if len(sm.wide) == 0 {
		sm.rows = 1 // every run would be the same
	} else if err := e.scramble(o.Seed); err != nil {
		return nil, err
	}
	sm.y = make([]float64, sm.rows*(len(sm.wide)+2)*sm.outputs)
	sm.xa, sm.xb = make([]float64, sm.rows*len(s.Inputs)), make([]float64, sm.rows*len(s.Inputs))
	if err := e.work(ctx, &o); err != nil {
		return nil, err
	}
	return e.result(o.Seed), nil
}

// engine computes the runs of a study.
type engine struct {
	study  *Study
	draws  []draw
	points []*num.Sobol // by scramble
	sample
	next atomic.Int64 // row
	told struct {
		sync.Mutex
		rows int
	}
	wrong struct {
		sync.Mutex
		row int
		err error
	}
}

func (e *engine) scramble(seed int) error {
	plain, err := num.NewSobol(2 * len(e.wide))
	if err != nil {
		return fmt.Errorf("%w: %w", ErrStudy, err)
	}
	e.points = make([]*num.Sobol, scrambles)
	for i := range e.points {
		e.points[i] = plain.Scrambled(uint64(seed), i)
	}
	return nil
}

// work computes all rows with some workers. Rows are taken in their order, so
// that the error with the lowest row is the same with any number of workers.
func (e *engine) work(ctx context.Context, o *Options) error {
	workers := o.Workers
	if workers <= 0 {
		workers = runtime.GOMAXPROCS(0)
	}
	workers = min(workers, e.rows)
	models := make([]Model, workers)
	for i := range models {
		var err error
		if models[i], err = e.study.Worker(); err != nil {
			return err
		}
	}
	var group sync.WaitGroup
	for _, m := range models {
		group.Go(func() { e.worker(ctx, m, o.Progress) })
	}
	group.Wait()
	if e.wrong.err != nil {
		return e.wrong.err
	}
	return ctx.Err()
}

func (e *engine) worker(ctx context.Context, m Model, progress func(done, of int)) {
	u, x := make([]float64, 2*len(e.wide)), make([]float64, len(e.study.Inputs))
	for ctx.Err() == nil {
		r := int(e.next.Add(1) - 1)
		if r >= e.rows {
			return
		}
		if err := e.row(m, r, u, x); err != nil {
			e.wrong.Lock()
			if e.wrong.err == nil || r < e.wrong.row {
				e.wrong.row, e.wrong.err = r, err
			}
			e.wrong.Unlock()
			e.next.Store(int64(e.rows))
			return
		}
		if progress != nil {
			e.told.Lock()
			e.told.rows++
			progress(e.told.rows, e.rows)
			e.told.Unlock()
		}
	}
}

// row makes the runs of one row.
func (e *engine) row(m Model, r int, u, x []float64) error {
	k := len(e.study.Inputs)
	a, b := e.xa[r*k:(r+1)*k], e.xb[r*k:(r+1)*k]
	if len(e.wide) > 0 {
		each := e.rows / scrambles
		e.points[r/each].At(uint32(r%each), u)
	}
	for i := range e.draws {
		a[i], b[i] = e.draws[i].mid, e.draws[i].mid
	}
	for c, i := range e.wide {
		a[i], b[i] = e.draws[i].at(u[c]), e.draws[i].at(u[len(e.wide)+c])
	}
	copy(x, a)
	if err := e.one(m, r, 0, x); err != nil {
		return err
	}
	for c, i := range e.wide {
		x[i] = b[i]
		if err := e.one(m, r, c+1, x); err != nil {
			return err
		}
		x[i] = a[i]
	}
	return e.one(m, r, len(e.wide)+1, b)
}

// one makes run c of row r at the values x.
func (e *engine) one(m Model, r, c int, x []float64) error {
	y := e.at(r, c)
	err := m(x, y)
	for o := 0; err == nil && o < len(y); o++ {
		if math.IsNaN(y[o] - y[o]) {
			err = fmt.Errorf("%w: %s", ErrFigure, e.study.Outputs[o].Name)
		}
	}
	if err == nil {
		return nil
	}
	var where strings.Builder
	for i := range e.study.Inputs {
		f := e.study.Inputs[i].Stated.Value
		f.SI = x[i]
		where.WriteString(", " + e.study.Inputs[i].Name + " " + f.String())
	}
	return fmt.Errorf("sample %d%s: %w", r+1, where.String(), err)
}
