package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"path/filepath"
	"strings"
	"time"

	"packyard/check"
	"packyard/design"
	"packyard/internal/sheet"
	"packyard/project"
	"packyard/schedule"
)

// Handler returns everything that the server answers, behind its guard.
func (s *Server) Handler() http.Handler {
	m := http.NewServeMux()
	for path, answer := range s.answers() {
		m.HandleFunc("GET "+path, s.get(answer))
	}
	m.HandleFunc("GET /api/events", s.events)
	m.HandleFunc("GET /api/csv/{table}", s.csv)
	s.picturesHook(m)
	m.HandleFunc("POST /api/edits", s.post(s.edit))
	m.HandleFunc("POST /api/check", s.post(s.check))
	m.HandleFunc("POST /api/undo", s.post(s.undo))
	m.HandleFunc("POST /api/redo", s.post(s.redo))
	m.HandleFunc("POST /api/project", s.post(s.create))
	m.HandleFunc("POST /api/relaxation", s.post(s.relaxation))
	m.HandleFunc("POST /api/search", s.post(s.searchAgain))
	m.HandleFunc("DELETE /api/search", s.searchStop)
	m.HandleFunc("PUT /api/routes/{name}", s.putRoute)
	m.HandleFunc("/api/", func(w http.ResponseWriter, r *http.Request) {
		writeError(w, http.StatusNotFound, APIError{Kind: "notfound", Message: r.Method + " " + r.URL.Path + " is not answered", Hint: "docs/reference/api.md lists what is"})
	})
	m.HandleFunc("/", pages(built(embedded)))
	return s.door.guard(deadline(m))
}

// answers are the paths that only read.
func (s *Server) answers() map[string]func(*http.Request) (any, error) {
	return map[string]func(*http.Request) (any, error){
		"/api/state":             func(*http.Request) (any, error) { return s.state(), nil },
		"/api/file":              s.file,
		"/api/template":          s.template,
		"/api/history":           s.history,
		"/api/problems":          s.problems,
		"/api/donor":             s.donor,
		"/api/bays":              s.bays,
		"/api/sources":           s.sources,
		"/api/parts":             s.parts,
		"/api/parts/{id}/curves": s.curves,
		"/api/options":           s.optionList,
		"/api/assessment":        s.assessment,
		"/api/compare":           s.compare,
		"/api/drive":             s.drive,
		"/api/ranges":            s.ranges,
		"/api/groups":            s.groups,
		"/api/pace":              s.pace,
		"/api/spread":            s.spread,
		"/api/heat":              s.heat,
		"/api/charge":            s.charge,
		"/api/circuit":           s.circuit,
		"/api/book":              s.book,
		"/api/schedules":         s.schedules,
		"/api/profile":           s.profile,
		"/api/assumptions":       s.assumptions,
		"/api/units":             func(*http.Request) (any, error) { return unitTable(), nil },
		"/api/references":        func(*http.Request) (any, error) { return References{Sources: check.Sources()}, nil },
	}
}

// deadline bounds the time of every answer; the event stream sets its own.
func deadline(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		_ = http.NewResponseController(w).SetWriteDeadline(time.Now().Add(writeTime)) // tests without a connection have none
		next.ServeHTTP(w, r)
	})
}

// get answers with what do returns.
func (s *Server) get(do func(*http.Request) (any, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) { s.answer(w, r, do) }
}

// answer waits for a free slot, so that a page that asks for a hundred things
// at once does not take the machine down.
func (s *Server) answer(w http.ResponseWriter, r *http.Request, do func(*http.Request) (any, error)) {
	select {
	case s.slots <- struct{}{}:
		defer func() { <-s.slots }()
	case <-r.Context().Done():
		return
	}
	v, err := do(r)
	if err != nil {
		fail(w, r, err)
		return
	}
	writeJSON(w, http.StatusOK, v)
}

// post answers a request that carries JSON and may change something.
func (s *Server) post(do func(*http.Request) (any, error)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if kind, _, _ := strings.Cut(r.Header.Get("Content-Type"), ";"); strings.TrimSpace(kind) != "application/json" {
			writeError(w, http.StatusUnsupportedMediaType, APIError{Kind: "request", Message: "the body is not JSON", Hint: "Content-Type: application/json is accepted"})
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, bodyMax)
		s.answer(w, r, do)
	}
}

// errRequest is a request that cannot be understood.
var errRequest = errors.New("the request cannot be understood")

// body reads the JSON of a request into v, one value and no unknown keys.
func body(r *http.Request, v any) error {
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		return fmt.Errorf("%w: %w", errRequest, err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return fmt.Errorf("%w: something stands behind the JSON", errRequest)
	}
	return nil
}

func writeJSON(w http.ResponseWriter, status int, v any) {
	data, err := json.Marshal(v)
	if err != nil {
		writeError(w, http.StatusInternalServerError, APIError{Kind: "failed", Message: err.Error()})
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.WriteHeader(status)
	_, _ = w.Write(data) // a page that is gone needs no answer
}

func writeError(w http.ResponseWriter, status int, e APIError) { writeJSON(w, status, ErrorReply{e}) }

// fail answers with an error.
func fail(w http.ResponseWriter, r *http.Request, err error) {
	if r.Context().Err() != nil {
		return // nobody waits any longer
	}
	status, e := errorOf(err)
	writeError(w, status, e)
}

// errorOf sorts an error into kinds that a page can act on.
func errorOf(err error) (int, APIError) {
	var problems *check.Problems
	var clash *project.Conflict
	var large *http.MaxBytesError
	var text textError
	e := APIError{Message: err.Error()}
	switch {
	case errors.As(err, &problems):
		e.Kind, e.Problems, e.More = "problems", problems.List, problems.More
		e.Message = problems.List[0].Path + ": " + problems.List[0].Message
		e.Hint = problems.List[0].Hint
		return http.StatusUnprocessableEntity, e
	case errors.As(err, &clash):
		e.Kind, e.Revision = "conflict", clash.Revision
		for _, c := range clash.Clashes {
			e.Conflicts = append(e.Conflicts, Conflict(c))
		}
		return http.StatusConflict, e
	case errors.Is(err, project.ErrStale), errors.Is(err, project.ErrChanged):
		e.Kind = "conflict"
		return http.StatusConflict, e
	case errors.Is(err, project.ErrBroken):
		e.Kind = "broken"
		return http.StatusConflict, e
	case errors.Is(err, project.ErrNoProject):
		e.Kind, e.Message = "noproject", "there is no project in the folder yet"
		return http.StatusConflict, e
	case errors.Is(err, project.ErrExists):
		e.Kind = "exists"
		return http.StatusConflict, e
	case errors.As(err, &large):
		e.Kind, e.Message = "large", fmt.Sprintf("the body is larger than %d bytes", large.Limit)
		return http.StatusRequestEntityTooLarge, e
	case errors.Is(err, project.ErrNothing), errors.Is(err, errNotFound):
		e.Kind = "notfound"
		return http.StatusNotFound, e
	case errors.Is(err, design.ErrOption):
		e.Kind = "option"
		return http.StatusNotFound, e
	case errors.As(err, &text), errors.Is(err, errRequest), errors.Is(err, project.ErrOp), errors.Is(err, project.ErrName), errors.Is(err, schedule.ErrUnknown),
		errors.Is(err, sheet.ErrPath), errors.Is(err, sheet.ErrFragment), errors.Is(err, sheet.ErrEdit):
		e.Kind = "request"
		return http.StatusBadRequest, e
	case errors.Is(err, context.Canceled):
		e.Kind, e.Message = "failed", "the computation was stopped"
		return http.StatusServiceUnavailable, e
	}
	e.Kind = "failed"
	return http.StatusInternalServerError, e
}

// errNotFound is something that is not there.
var errNotFound = errors.New("is not there")

// present returns the newest state and revision. Errors: project.ErrNoProject.
func (s *Server) present() (*snapshot, int64, error) {
	v, snap := s.live.now()
	if snap == nil {
		return nil, v.Revision, project.ErrNoProject
	}
	return snap, v.Revision, nil
}

// optionIn returns the name of an option in the query. No name holds a blank, so
// that a plus sign that was not escaped does no harm.
func optionIn(r *http.Request, key string) string {
	return strings.ReplaceAll(r.URL.Query().Get(key), " ", "+")
}

// asked returns the newest state and the option that a request names, by
// default that of the headline, worked out; nil when there is none yet.
func (s *Server) asked(r *http.Request) (*snapshot, int64, *assessed, error) {
	snap, revision, err := s.present()
	if err != nil {
		return nil, revision, nil, err
	}
	named := optionIn(r, "option")
	id := s.live.usable(named)
	if id == "" {
		return snap, revision, nil, nil
	}
	a, err := snap.assess(id)
	if errors.Is(err, design.ErrOption) && named == "" {
		return snap, revision, nil, nil // what led is no more; the search finds another
	}
	return snap, revision, a, err
}

// needed is asked for answers that make no sense without an option.
func (s *Server) needed(r *http.Request) (*snapshot, int64, *assessed, error) {
	snap, revision, a, err := s.asked(r)
	if err == nil && a == nil {
		err = fmt.Errorf("an option %w yet: none was chosen, and the search is not finished or found none", errNotFound)
	}
	return snap, revision, a, err
}

func folderName(dir string) string {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return filepath.Base(dir)
	}
	return filepath.Base(abs)
}
