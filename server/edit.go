package server

import (
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"packyard/check"
	"packyard/project"
	"packyard/schedule"
)

func (s *Server) edit(r *http.Request) (any, error) {
	var q EditRequest
	if err := body(r, &q); err != nil {
		return nil, err
	}
	return s.change(q.Client, func() (project.Step, error) {
		return s.session.Edit(project.Edit{Base: q.Base, Client: q.Client, Force: q.Force, Ops: q.Ops, Soon: s.live.soon})
	})
}

// CheckReply says that an edit would be accepted.
type CheckReply struct {
	OK bool `json:"ok"`
}

func (s *Server) check(r *http.Request) (any, error) {
	var q EditRequest
	if err := body(r, &q); err != nil {
		return nil, err
	}
	if _, err := s.session.Check(project.Edit{Base: q.Base, Force: true, Ops: q.Ops}); err != nil {
		return nil, err
	}
	return CheckReply{OK: true}, nil
}

func (s *Server) undo(r *http.Request) (any, error) { return s.turn(r, s.session.Undo) }
func (s *Server) redo(r *http.Request) (any, error) { return s.turn(r, s.session.Redo) }

func (s *Server) turn(r *http.Request, do func(base int64) (project.Step, error)) (any, error) {
	var q StepRequest
	if err := body(r, &q); err != nil {
		return nil, err
	}
	return s.change(q.Client, func() (project.Step, error) { return do(q.Base) })
}

func (s *Server) create(r *http.Request) (any, error) {
	var q NewRequest
	if err := body(r, &q); err != nil {
		return nil, err
	}
	title := strings.TrimSpace(q.Title)
	if title == "" {
		title = folderName(s.session.Dir())
	}
	return s.change(q.Client, func() (project.Step, error) { return s.session.Create(title, q.Ops) })
}

// HistoryReply lists the states that can be gone back to, the oldest first.
type HistoryReply struct {
	Undo   int            `json:"undo"`
	Redo   int            `json:"redo"`
	States []HistoryState `json:"states"`
}

// HistoryState is one state before.
type HistoryState struct {
	Name string `json:"name"`
	When int64  `json:"when_unix_s"` // when it was left
}

func (s *Server) history(*http.Request) (any, error) {
	v := s.session.View()
	out := HistoryReply{Undo: v.Undo, Redo: v.Redo, States: []HistoryState{}}
	if v.Project == nil {
		return out, nil
	}
	names, err := v.Project.History()
	if err != nil {
		return nil, err
	}
	for _, n := range names {
		if info, err := os.Stat(filepath.Join(s.session.Dir(), ".history", n)); err == nil {
			out.States = append(out.States, HistoryState{Name: n, When: info.ModTime().Unix()})
		}
	}
	return out, nil
}

func (s *Server) problems(*http.Request) (any, error) {
	if p := problemsOf(s.session.View().Broken); p != nil {
		return p, nil
	}
	return &ProblemList{Problems: []check.Problem{}}, nil
}

// FileReply is the project file, value by value.
type FileReply struct {
	Revision int64      `json:"revision"`
	Text     string     `json:"text"`
	Fields   []Field    `json:"fields"`
	Lists    []ListForm `json:"lists"`
}

// Field is one value of the file, written or not.
type Field struct {
	Path      string    `json:"path"`
	Text      string    `json:"text"`
	Given     bool      `json:"given"`
	Pos       check.Pos `json:"pos,omitzero"`
	Noun      string    `json:"noun"`
	SI        *float64  `json:"si,omitempty"` // in the SI unit of the quantity, which Symbol names
	Symbol    string    `json:"symbol,omitempty"`
	Spread    float64   `json:"spread_si,omitempty"` // in the SI unit of a difference of two
	Required  bool      `json:"required"`
	Range     string    `json:"range,omitempty"`
	OneOf     []string  `json:"one_of,omitempty"`
	Doc       string    `json:"doc"`
	Spellings []string  `json:"spellings,omitempty"`
}

// ListForm is a list of the file with what a new entry holds.
type ListForm struct {
	Path  string      `json:"path"`
	Count int         `json:"count"`
	Item  []ItemField `json:"item"`
}

// ItemField is one value of a new entry.
type ItemField struct {
	Key       string   `json:"key"`
	Noun      string   `json:"noun"`
	Required  bool     `json:"required"`
	Range     string   `json:"range,omitempty"`
	OneOf     []string `json:"one_of,omitempty"`
	Doc       string   `json:"doc"`
	Spellings []string `json:"spellings,omitempty"`
}

func (s *Server) file(*http.Request) (any, error) {
	snap, revision, err := s.present()
	if err != nil {
		return nil, err
	}
	leaves, forms := snap.file()
	return fileOf(snap.project, leaves, forms, revision), nil
}

func (s *Server) template(*http.Request) (any, error) {
	p, err := project.Template(folderName(s.session.Dir()))
	if err != nil {
		return nil, err
	}
	leaves, forms := p.Leaves()
	return fileOf(p, leaves, forms, 0), nil
}

func fileOf(p *project.Project, leaves []project.Leaf, forms []project.Form, revision int64) *FileReply {
	out := &FileReply{Revision: revision, Text: string(p.Raw), Fields: []Field{}, Lists: []ListForm{}}
	for _, l := range leaves {
		f := Field{
			Path: l.Path, Text: l.Text, Given: l.Given, Pos: l.Pos, Noun: l.Noun, Required: l.Required, Range: l.Bounds, OneOf: l.OneOf,
			Doc: l.Doc, Spellings: l.Accepted, Spread: l.Spread,
		}
		if !l.Value.IsZero() {
			f.SI, f.Symbol = &l.Value.SI, l.Value.Symbol
		}
		out.Fields = append(out.Fields, f)
	}
	for _, form := range forms {
		lf := ListForm{Path: form.Path, Count: form.Count}
		for _, l := range form.Item {
			lf.Item = append(lf.Item, ItemField{l.Path, l.Noun, l.Required, l.Bounds, l.OneOf, l.Doc, l.Accepted})
		}
		out.Lists = append(out.Lists, lf)
	}
	return out
}

// putRoute takes a schedule or a track into the folder routes.
func (s *Server) putRoute(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, routeMax)
	s.answer(w, r, func(r *http.Request) (any, error) {
		name := r.PathValue("name")
		data, err := io.ReadAll(r.Body)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		sched, err := s.addRoute(name, data, r.URL.Query().Get("client"))
		if err != nil {
			return nil, err
		}
		return lineOf("routes/"+name, sched, true), nil
	})
}

// addRoute writes a route and tells the pages at once, as an edit of the page
// that sent it.
func (s *Server) addRoute(name string, data []byte, client string) (*schedule.Schedule, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	sched, err := s.session.AddRoute(name, data)
	if err != nil {
		return nil, err
	}
	found, err := s.session.Refresh()
	if err != nil {
		return nil, err
	}
	if slices.Equal(found.Step.Parts, []string{"routes"}) {
		found.Step.By = project.ByEdit
	}
	s.tell(found.Step, client)
	return sched, nil
}

func (s *Server) searchAgain(*http.Request) (any, error) {
	if _, _, err := s.present(); err != nil {
		return nil, err
	}
	s.live.again()
	return struct{}{}, nil
}

func (s *Server) searchStop(w http.ResponseWriter, _ *http.Request) {
	s.live.cancel()
	w.WriteHeader(http.StatusNoContent)
}
