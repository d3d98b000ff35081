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

// wired makes the circuit of the option that a request asks for.
func (s *Server) wired(r *http.Request) (*CircuitReply, *assessed, error) {
	snap, revision, a, err := s.needed(r)
	if err != nil {
		return nil, nil, err
	}
	f, err := snap.frame()
	if err != nil {
		return nil, nil, err
	}
	got, err := f.Circuit(a.placed)
	if err != nil {
		return nil, nil, textOf(err)
	}
	return &CircuitReply{Revision: revision, Circuit: got}, a, nil
}

func (s *Server) circuit(r *http.Request) (any, error) {
	out, _, err := s.wired(r)
	if err != nil {
		return nil, err
	}
	return out, nil
}
