package book

import (
	"context"
	"errors"
	"fmt"

	"packyard/check"
	"packyard/design"
	"packyard/drive"
	"packyard/search"
	"packyard/unit"
)

// Input is everything that a book is made of. What could not be worked out is
// nil, and Missing says why.
type Input struct {
	Frame   *design.Frame
	Placed  *design.Placed
	Assess  *design.Assessment
	Search  *search.Report
	Pace    *design.PaceReport
	Heat    *design.HeatReport
	Charge  *design.ChargeReport
	Circuit *design.CircuitReport
	Missing []Gap

	Date   string // as printed
	Hash   string // of the project
	System unit.System
}

// Gap is a part that the book lacks, and why.
type Gap struct {
	Part string `json:"part"`
	Why  string `json:"why"`
}

// Options say what a book is stamped with.
type Options struct {
	Date     string // as printed on every page; no clock is read
	Hash     string // of the files of the project
	System   unit.System
	Progress func(done, total int) // of the search; nil: not told
	Search   *search.Report        // of a finished search; nil: one is run
}

// RankedMost is how many ranked options a book lists: those that the chosen one
// is compared with.
const RankedMost = 8

// Gather works out what a book of a placed option tells. A part that cannot be
// worked out is a gap, not an error. Errors: those of the search and of the context.
func Gather(ctx context.Context, f *design.Frame, p *design.Placed, opts Options) (*Input, error) {
	in := &Input{Frame: f, Placed: p, Assess: f.Assess(p), Search: opts.Search, Date: opts.Date, Hash: opts.Hash, System: opts.System}
	if in.Search == nil {
		found, err := search.Run(ctx, f, search.Options{Top: RankedMost, Progress: opts.Progress})
		if err != nil {
			return nil, err
		}
		in.Search = found.Report(f)
	}
	var err error
	if in.Pace, err = f.Pace(ctx, p.ID, p, false); err != nil {
		in.gap("pace", err)
	}
	w, err := f.Heat(p, design.Warming{Duty: drive.Duty{Kind: drive.DutySchedule}})
	if err != nil {
		in.gap("temperatures on the hottest day", err)
	} else {
		in.Heat = f.HeatReport(p.ID, &w)
	}
	in.charge()
	if in.Circuit, err = f.Circuit(p); err != nil {
		in.gap("high-voltage circuit", err)
	}
	return in, ctx.Err()
}

func (in *Input) charge() {
	const name = "a charge from a socket"
	fill, err := design.ChargeAsked{}.Read()
	if err != nil {
		in.gap(name, err)
		return
	}
	fill.Wiring, fill.Figures = &in.Placed.Wiring, &in.Placed.Figures
	filled, err := in.Frame.Charge(fill)
	if err != nil {
		in.gap(name, err)
		return
	}
	in.Charge = in.Frame.ChargeReport(in.Placed.ID, fill, filled, 0)
}

func (in *Input) gap(part string, err error) {
	if errors.Is(err, context.Canceled) {
		return // told by Gather
	}
	in.Missing = append(in.Missing, Gap{Part: part, Why: err.Error()})
}

// of prints a quantity.
func of[Q unit.Quantity](in *Input, q Q) string { return in.figure(check.Of(q)) }

// figure prints a figure.
func (in *Input) figure(f check.Figure) string { return f.Text(in.System) }

// place prints the coordinates of a point, "1250, −380, 420 mm".
func place(at [3]unit.Length) string {
	return fmt.Sprintf("%.0f, %.0f, %.0f", at[0].Millimetres(), at[1].Millimetres(), at[2].Millimetres())
}
