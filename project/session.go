package project

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"

	"packyard/check"
	"packyard/internal/sheet"
)

// Errors of a session, besides those of a project.
var (
	ErrBroken  = errors.New("was changed outside and has faults; mend it, or go back to the last good state")
	ErrNothing = errors.New("nothing to go back or forward to")
	ErrStale   = errors.New("is no longer the present state")
)

// Session is a project folder that stays open: several people may change it at
// once, and a text editor beside them. It is safe for concurrent use.
//
// Every change gives a new revision. A change that was asked for on an older
// revision is made when nobody touched the same places since, else it is
// refused with both values (*Conflict). Undo and Redo walk through the states
// kept in the folder, so that they work across restarts.
type Session struct {
	dir string

	mu       sync.Mutex
	p        *Project // last good state; nil: no project in the folder
	revision int64
	broken   *check.Problems
	seen     print   // of the files of the present state
	suspect  *print  // of files that did not read at the last look; nil: none
	steps    []taken // newest last
	tree     parsed  // of the last state that was compared
}

// taken is one change of the project, kept so that changes asked for on older
// revisions can be judged.
type taken struct {
	revision int64 // after it
	client   string
	touches  []touch
	before   []byte // packyard.yaml before it
}

// stepsMax is how many changes back a page may be and still be merged; bytesMax
// bounds what the states before them take.
const (
	stepsMax = 500
	bytesMax = 32 << 20
)

// By is who changed the project.
type By string

// Who changes a project.
const (
	ByEdit    By = "edit"
	ByUndo    By = "undo"
	ByRedo    By = "redo"
	ByOutside By = "outside"
	ByNew     By = "new"
)

// Step is what a change did.
type Step struct {
	By       By
	Revision int64
	Paths    []string // values and lists that differ
	Parts    []string // top keys of the file, "parts" and "routes" for the folders
	Merged   bool     // others had changed other places since the base
}

// View is a session at one moment.
type View struct {
	Project    *Project // last good state, not to be changed; nil: no project yet
	Revision   int64
	Broken     *check.Problems // faults of the file as it is on disk; nil: none
	Undo, Redo int             // states that can be gone back and forward to
	Content    string          // equal for equal files: of the project, its parts and routes
}

// OpenSession opens the folder dir, which need not hold a project yet nor be
// there. Revisions count up from the time of now in milliseconds, so that they
// rise over restarts too. Errors: as Open, but not ErrNoProject.
func OpenSession(dir string, now time.Time) (*Session, error) {
	info, err := os.Stat(dir)
	isFile := err == nil && !info.IsDir()
	if isFile && filepath.Base(dir) == FileName {
		dir, isFile = filepath.Dir(dir), false
	}
	s := &Session{dir: dir, revision: now.UnixMilli(), seen: printOf(dir)}
	s.p, err = Open(dir)
	switch {
	case errors.Is(err, ErrNoProject) && !isFile:
		return s, nil
	case err != nil:
		return nil, err
	}
	s.sweep(now)
	return s, s.heal()
}

// Dir returns the folder of the session.
func (s *Session) Dir() string { return s.dir }

// View returns the present state.
func (s *Session) View() View {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.view()
}

func (s *Session) view() View {
	v := View{Project: s.p, Revision: s.revision, Broken: s.broken}
	if s.p != nil {
		v.Content = s.content(s.p)
		states, _ := s.p.History() // unreadable: none to go back to
		v.Undo, v.Redo = len(states), len(s.redoStack())
	}
	return v
}

// content names the files of p with the parts and routes as they were last seen.
func (s *Session) content(p *Project) string {
	return digest(p.Raw) + digest([]byte(s.seen.parts+"\x00"+s.seen.routes))
}

// Conflict says which places of a change others have changed since its base.
type Conflict struct {
	Revision int64 // the present one
	Clashes  []Clash
}

// Clash is one place with the texts to choose from; nil: not there.
type Clash struct {
	Path                string
	Base, Theirs, Yours *string
}

func (c *Conflict) Error() string {
	return fmt.Sprintf("%s was changed by someone else in the meantime", c.Clashes[0].Path)
}

// Edit is a change that was asked for on a revision.
type Edit struct {
	Base   int64
	Client string // who asks; "" for nobody in particular
	Force  bool   // make it although others changed the same places
	Ops    []Op
	Soon   func(View) // called with the state to come when it reads without a fault, before it is written; nil: nobody wants to know
}

// Edit makes a change, all of its ops or none. Errors: *Conflict, ErrBroken,
// ErrNoProject, ErrOp, *check.Problems when the new state does not read, those
// of the file and of the file system; nothing is written then.
func (s *Session) Edit(e Edit) (Step, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for range triesMax {
		st, err := s.edit(e)
		if !errors.Is(err, ErrChanged) {
			return st, err
		}
	}
	return Step{}, fmt.Errorf("%s: %w", FileName, ErrChanged)
}

// triesMax is how often a change is tried anew while a program outside writes
// the file at the same moment.
const triesMax = 5

func (s *Session) edit(e Edit) (Step, error) {
	merged, err := s.ready(e)
	if err != nil {
		return Step{}, err
	}
	next, err := s.dry(e.Ops)
	if err != nil {
		return Step{}, err
	}
	if bytes.Equal(next.Raw, s.p.Raw) {
		return Step{By: ByEdit, Revision: s.revision, Merged: merged}, nil
	}
	if err := s.p.unchanged(filepath.Join(s.dir, FileName)); err != nil {
		s.seen.file = "" // look again
		return Step{}, err
	}
	if e.Soon != nil {
		e.Soon(View{Project: next, Revision: s.revision + 1, Content: s.content(next)})
	}
	if err := s.p.keep(s.p.Raw); err != nil {
		return Step{}, err
	}
	if err := s.write(next.Raw); err != nil {
		return Step{}, err
	}
	if err := s.dropRedo(); err != nil {
		return Step{}, err
	}
	st := s.become(ByEdit, next, s.written(next.Raw))
	st.Merged = merged
	s.steps[len(s.steps)-1].client = e.Client
	return st, nil
}

// Check returns what Edit would return as its error, and the project as it
// would be, but changes nothing.
func (s *Session) Check(e Edit) (*Project, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if _, err := s.ready(e); err != nil {
		return nil, err
	}
	return s.dry(e.Ops)
}

// ready looks at the disk and holds the change against what others did since
// its base.
func (s *Session) ready(e Edit) (merged bool, err error) {
	if err := s.writable(); err != nil {
		return false, err
	}
	if e.Base == s.revision {
		return false, nil
	}
	if e.Force {
		return true, nil
	}
	if c := s.clashes(e); c != nil {
		return false, c
	}
	return true, nil
}

// writable takes in what was changed outside. Errors: ErrNoProject, ErrBroken.
func (s *Session) writable() error {
	if _, _, err := s.refresh(true); err != nil {
		return err
	}
	switch {
	case s.p == nil:
		return fmt.Errorf("%s: %w", s.dir, ErrNoProject)
	case s.broken != nil:
		return fmt.Errorf("%s: %w", FileName, ErrBroken)
	}
	return nil
}

// dry returns the project as it would be after the changes.
func (s *Session) dry(ops []Op) (*Project, error) {
	data, err := apply(s.p.Raw, ops)
	if err != nil {
		return nil, err
	}
	return s.read(data)
}

func (s *Session) read(data []byte) (*Project, error) {
	next, err := readBytes(os.DirFS(s.dir), FileName, data)
	if err != nil {
		return nil, err
	}
	next.Dir = s.dir
	return next, nil
}

// write replaces packyard.yaml by data.
func (s *Session) write(data []byte) error {
	target, err := filepath.EvalSymlinks(filepath.Join(s.dir, FileName))
	if errors.Is(err, fs.ErrNotExist) {
		target, err = filepath.Join(s.dir, FileName), nil
	}
	if err != nil {
		return err
	}
	mode := fs.FileMode(0o644)
	if info, err := os.Stat(target); err == nil {
		mode = info.Mode().Perm()
	}
	return writeAtomic(target, data, mode)
}

// written returns the print of the files after data was written. Should someone
// have written over it at once, the next look finds that.
func (s *Session) written(data []byte) print {
	now := printOf(s.dir)
	if onDisk, err := os.ReadFile(filepath.Join(s.dir, FileName)); err != nil || !bytes.Equal(onDisk, data) {
		now.file = ""
	}
	return now
}

// become makes next, read from files that look like now, the present state.
func (s *Session) become(by By, next *Project, now print) Step {
	before := []byte(nil)
	if s.p != nil {
		before = s.p.Raw
	}
	if s.tree.raw == nil || !bytes.Equal(s.tree.raw, before) {
		s.tree = parse(before)
	}
	after := parse(next.Raw)
	was := s.seen
	s.seen, s.broken, s.suspect = now, nil, nil
	list := touches(s.tree, after)
	s.p, s.tree = next, after
	s.revision++
	s.steps = append(s.steps, taken{revision: s.revision, touches: list, before: before})
	size := 0
	for i := len(s.steps) - 1; i >= 0; i-- {
		if size += len(s.steps[i].before); i < len(s.steps)-1 && (size > bytesMax || len(s.steps)-i > stepsMax) {
			s.steps = s.steps[i+1:]
			break
		}
	}
	st := Step{By: by, Revision: s.revision}
	parts := map[string]bool{}
	add := func(part string) {
		if !parts[part] {
			parts[part] = true
			st.Parts = append(st.Parts, part)
		}
	}
	for _, t := range list {
		st.Paths = append(st.Paths, t.path)
		add(partOf(t.path))
	}
	for _, folder := range []string{"parts", "routes"} {
		if was.of(folder) != s.seen.of(folder) {
			add(folder)
		}
	}
	return st
}

// clashes returns what others changed since the base of e at its places, nil if
// nothing.
func (s *Session) clashes(e Edit) *Conflict {
	base, known := s.p.Raw, false
	var list []touch
	for i := len(s.steps) - 1; i >= 0 && !known; i-- {
		if s.steps[i].revision <= e.Base {
			break
		}
		for _, t := range s.steps[i].touches {
			// Nobody is in the way of himself, as while he drags something; but
			// entries that he moved have moved.
			if t.from >= 0 || e.Client == "" || e.Client != s.steps[i].client {
				list = append(list, t)
			}
		}
		base = s.steps[i].before
		known = s.steps[i].revision == e.Base+1
	}
	if !known {
		list, base = []touch{{"", -1}}, nil // the page is from before this session
	}
	c := &Conflict{Revision: s.revision}
	for _, o := range e.Ops {
		for _, t := range list {
			if !o.crosses(t) {
				continue
			}
			clash := Clash{Path: o.Path, Base: textAt(base, o.Path), Theirs: textAt(s.p.Raw, o.Path), Yours: o.wanted()}
			if same(clash.Theirs, clash.Yours) && o.Kind == OpSet {
				break // both want the same
			}
			c.Clashes = append(c.Clashes, clash)
			break
		}
	}
	if len(c.Clashes) == 0 {
		return nil
	}
	return c
}

func same(a, b *string) bool { return a == b || a != nil && b != nil && *a == *b }

// wanted returns what the change would write, nil for nothing.
func (o Op) wanted() *string {
	switch o.Kind {
	case OpSet:
		return &o.Text
	case OpInsert:
		if words, err := fragment(o.Value); err == nil {
			return &words
		}
	}
	return nil
}

// textAt returns the text of a value, or a list or mapping on one line, nil
// when it is not there.
func textAt(data []byte, path string) *string {
	if text, _, ok := sheet.Lookup(FileName, data, path); ok {
		return &text
	}
	if text, ok := sheet.Line(data, path); ok {
		return &text
	}
	return nil
}

// sweep removes what writing left behind when it was killed.
func (s *Session) sweep(now time.Time) {
	for _, dir := range []string{s.dir, filepath.Join(s.dir, historyFolder)} {
		entries, err := os.ReadDir(dir)
		if err != nil {
			continue // not there yet
		}
		for _, e := range entries {
			info, err := e.Info()
			if err == nil && info.Mode().IsRegular() && leftover(e.Name()) && now.Sub(info.ModTime()) > time.Minute {
				_ = os.Remove(filepath.Join(dir, e.Name())) // stays for the next time
			}
		}
	}
}

// leftover reports whether a name is that of a temporary file of writeAtomic.
func leftover(name string) bool {
	at := strings.LastIndex(name, FileName+".")
	return strings.HasPrefix(name, ".") && at >= 0 && strings.Trim(name[at+len(FileName)+1:], "0123456789") == ""
}
