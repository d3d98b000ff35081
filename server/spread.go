package server

import (
	"fmt"
	"math/bits"
	"net/http"

	"packyard/spread"
)

// SpreadReply is how sure the range run of an option is.
type SpreadReply struct {
	Revision int64               `json:"revision"`
	Report   *spread.RangeReport `json:"report"`
	Samples  int                 `json:"samples_asked"`
	Full     int                 `json:"samples_full"` // at which the shares are usually settled
}

// Samples of a spread that a page asks for.
const (
	spreadUsual = 512
	spreadMost  = 1 << 13
)

// spreadOf draws the inputs that were given with a spread. It ends when the
// page no longer waits.
func (s *Server) spreadOf(r *http.Request) (*spread.RangeReport, int, int64, error) {
	q := r.URL.Query()
	samples, err := wholeOf(q, "samples", spreadUsual, spread.SamplesMin, spreadMost)
	if err != nil {
		return nil, 0, 0, err
	}
	if bits.OnesCount(uint(samples)) != 1 {
		return nil, 0, 0, fmt.Errorf("%w: samples %d: a power of two is accepted", errRequest, samples)
	}
	seed, err := wholeOf(q, "seed", 0, 0, seedMost)
	if err != nil {
		return nil, 0, 0, err
	}
	t, _, revision, err := s.tripOf(r)
	if err != nil {
		return nil, 0, revision, err
	}
	out, err := spread.Range(r.Context(), t.f, &spread.Trip{Option: t.a.placed, Schedule: t.sched, End: t.end}, spread.Options{Samples: samples, Seed: seed})
	if err != nil {
		return nil, samples, revision, textOf(fmt.Errorf("schedule %s: %w", t.sched.ID, err))
	}
	return out, samples, revision, nil
}

func (s *Server) spread(r *http.Request) (any, error) {
	got, samples, revision, err := s.spreadOf(r)
	if err != nil {
		return nil, err
	}
	return &SpreadReply{Revision: revision, Report: got, Samples: samples, Full: spreadUsual}, nil
}

// spreadTable is the draws: inputs, then figures; without a spread only what comes
// out as stated.
func (s *Server) spreadTable(r *http.Request, t *sheetOut) error {
	got, _, _, err := s.spreadOf(r)
	if err != nil {
		return err
	}
	var list []Column
	for i := range got.Spread.Inputs {
		in := &got.Spread.Inputs[i]
		list = append(list, plainColumn(in.Name, in.Name+" ("+in.Value.Symbol+")", in.Value.Symbol, in.Value.Noun, got.Spread.Columns.Input[i]))
	}
	for i := range got.Spread.Figures {
		g := &got.Spread.Figures[i]
		list = append(list, plainColumn(g.Name, g.Name+" ("+g.P50.Value.Symbol+")", g.P50.Value.Symbol, g.P50.Value.Noun, got.Spread.Columns.Figure[i]))
	}
	return t.columns(list)
}
