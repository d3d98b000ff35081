package spread

import (
	"cmp"
	"slices"

	"packyard/check"
	"packyard/unit"
)

// Result is the outcome of a study. Its JSON form is a stable interface:
// numbers are SI, in the unit that the figure names.
type Result struct {
	Samples   int       `json:"samples_count"`   // rows of each matrix
	Scrambles int       `json:"scrambles_count"` // that share them
	Runs      int       `json:"runs_count"`      // of the model
	Seed      int       `json:"seed"`
	Inputs    []Drawn   `json:"inputs"`
	Figures   []Outcome `json:"figures"`
	Columns   *Columns  `json:"-"` // the draws themselves
}

// Drawn says how an input was drawn.
type Drawn struct {
	Name  string          `json:"input"`
	Text  string          `json:"text"`                    // as written
	Value check.Figure    `json:"value"`                   // as stated
	Tol   float64         `json:"spread_si"`               // in the SI unit of a difference of two values: standard deviation or half width
	Kind  unit.SpreadKind `json:"spread_kind"`             //
	Cut   unit.Ratio      `json:"cut_share"`               // of the distribution that lies outside what the field accepts
	From  int             `json:"measured_count,omitzero"` // measured values that it follows; zero: none
}

// Outcome is what a study says of one output.
type Outcome struct {
	Name      string   `json:"figure"`
	P10       Estimate `json:"p10"` // not exceeded in 10 of 100
	P50       Estimate `json:"p50"`
	P90       Estimate `json:"p90"`
	Mean      Estimate `json:"mean"`
	Deviation Estimate `json:"standard_deviation"`
	Shares    []Share  `json:"shares"` // of the variance, the largest total first
	Steps     []Step   `json:"convergence"`
}

// Estimate is a figure with the standard error of its estimate.
type Estimate struct {
	Value check.Figure `json:"value"`
	Error float64      `json:"standard_error_si"` // in the SI unit of Value
}

// Share is what one input makes of the variance of a figure.
type Share struct {
	Input      string     `json:"input"`
	First      unit.Ratio `json:"first_order_share"` // what knowing it would take away, on average
	Total      unit.Ratio `json:"total_share"`       // what would be left if all others were known
	FirstError unit.Ratio `json:"error_of_first_order_share"`
	TotalError unit.Ratio `json:"error_of_total_share"`
}

// Step is a figure with a part of the samples.
type Step struct {
	Samples int          `json:"samples_count"`
	P10     check.Figure `json:"p10"`
	P50     check.Figure `json:"p50"`
	P90     check.Figure `json:"p90"`
	First   []unit.Ratio `json:"first_order_share"` // in the order of Outcome.Shares
	Total   []unit.Ratio `json:"total_share"`
}

// Columns are the draws of a study, those of matrix A before those of B.
type Columns struct {
	Input  [][]float64 // SI, by input and draw
	Figure [][]float64 // SI, by output and draw
}

// parts are the shares of the samples with which convergence is shown: a
// quarter, a half, all.
var parts = [3]int{4, 2, 1}

// result puts the outcome together.
func (e *engine) result(seed int) *Result {
	s := e.study
	out := &Result{Samples: e.rows, Scrambles: scrambles, Runs: e.rows * (len(e.wide) + 2), Seed: seed, Columns: e.columns(), Inputs: []Drawn{}}
	if len(e.wide) == 0 {
		out.Scrambles = 1
	}
	for i := range s.Inputs {
		in, d := &s.Inputs[i], &e.draws[i]
		out.Inputs = append(out.Inputs, Drawn{
			Name: in.Name, Text: in.Text, Value: in.Stated.Value, Tol: in.Stated.Tol, Kind: in.Stated.Kind, Cut: unit.Ratio(d.cut()), From: len(in.Stated.Measured),
		})
	}
	for o := range s.Outputs {
		out.Figures = append(out.Figures, e.figure(o))
	}
	return out
}

// figure puts together what there is to say of one output.
func (e *engine) figure(o int) Outcome {
	of := func(x float64) check.Figure {
		return check.Figure{SI: x, Symbol: e.study.Outputs[o].Symbol, Noun: e.study.Outputs[o].Noun}
	}
	all, err := e.estimate(o, e.rowsOf(1)), e.scatter(o)
	f := Outcome{
		Name: e.study.Outputs[o].Name,
		P10:  Estimate{of(all.p10), err.p10}, P50: Estimate{of(all.p50), err.p50}, P90: Estimate{of(all.p90), err.p90},
		Mean: Estimate{of(all.mean), err.mean}, Deviation: Estimate{of(all.deviation), err.deviation}, Shares: []Share{},
	}
	order := make([]int, len(e.wide))
	for c := range order {
		order[c] = c
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(all.total[b], all.total[a]) })
	for _, c := range order {
		f.Shares = append(f.Shares, Share{
			Input: e.study.Inputs[e.wide[c]].Name, First: unit.Ratio(all.first[c]), Total: unit.Ratio(all.total[c]),
			FirstError: unit.Ratio(err.first[c]), TotalError: unit.Ratio(err.total[c]),
		})
	}
	for _, part := range parts {
		rows := e.rowsOf(part)
		m := e.estimate(o, rows)
		step := Step{Samples: len(rows), P10: of(m.p10), P50: of(m.p50), P90: of(m.p90), First: []unit.Ratio{}, Total: []unit.Ratio{}}
		for _, c := range order {
			step.First, step.Total = append(step.First, unit.Ratio(m.first[c])), append(step.Total, unit.Ratio(m.total[c]))
		}
		f.Steps = append(f.Steps, step)
	}
	return f
}

// columns returns the draws, A before B.
func (e *engine) columns() *Columns {
	k := len(e.study.Inputs)
	out := &Columns{Input: make([][]float64, k), Figure: make([][]float64, e.outputs)}
	for _, b := range []bool{false, true} {
		x, c := e.xa, 0
		if b {
			x, c = e.xb, len(e.wide)+1
		}
		for r := range e.rows {
			for i := range out.Input {
				out.Input[i] = append(out.Input[i], x[r*k+i])
			}
			for o := range out.Figure {
				out.Figure[o] = append(out.Figure[o], e.at(r, c)[o])
			}
		}
	}
	return out
}

// Reaching returns the share of the draws in which output o is at least limit,
// which is in the SI unit of the output.
func (r *Result) Reaching(o int, limit float64) unit.Ratio {
	n := 0
	for _, v := range r.Columns.Figure[o] {
		if v >= limit {
			n++
		}
	}
	return unit.Ratio(float64(n) / float64(len(r.Columns.Figure[o])))
}
