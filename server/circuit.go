package server

import (
	"net/http"

	"packyard/design"
)

// CircuitReply is the high-voltage circuit of an option.
type CircuitReply struct {
	Revision int64                 `json:"revision"`
	Circuit  *design.CircuitReport `json:"circuit"`
}

// circuit makes the circuit of an option.
func (s *Server) circuit(r *http.Request) (any, error) {
	snap, revision, a, err := s.needed(r)
	if err != nil {
		return nil, err
	}
	f, err := snap.frame()
	if err != nil {
		return nil, err
	}
	got, err := f.Circuit(a.placed)
	if err != nil {
		return nil, textOf(err)
	}
	return &CircuitReply{Revision: revision, Circuit: got}, nil
}
