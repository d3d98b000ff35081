package server

import (
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"sync"

	"packyard/bay"
	"packyard/check"
	"packyard/design"
	"packyard/project"
	"packyard/schedule"
	"packyard/search"
)

// snapshot is one state of the project files with what was computed of it.
// Everything is made by the first who asks, once. It is safe for concurrent use.
type snapshot struct {
	project *project.Project
	content string
	brief   design.Brief
	memory  *search.Memory // shared by all states

	leavesOnce sync.Once
	leaves     []project.Leaf
	forms      []project.Form
	byPath     map[string]int // index of a leaf

	frameOnce sync.Once
	frameMade *design.Frame
	frameErr  error

	mu       sync.Mutex
	assessed map[string]*assessed
}

// assessed is one option of a snapshot in full.
type assessed struct {
	once   sync.Once
	option *search.Option
	placed *design.Placed
	report *design.Assessment
	err    error

	roomOnce sync.Once
	room     [][]Room // by bay
}

// assessedMost is how many options a snapshot keeps.
const assessedMost = 64

func newSnapshot(v project.View, memory *search.Memory) *snapshot {
	s := &snapshot{project: v.Project, content: v.Content, memory: memory, assessed: map[string]*assessed{}}
	s.brief = v.Project.Brief
	// The frame adds what it assumes; the project itself stays as it was read.
	s.brief.Assumed = check.Assumptions{List: slices.Clone(s.brief.Assumed.List)}
	return s
}

// file returns every value of the project file and its lists. Reading them out
// of the text one by one would read the text as often.
func (s *snapshot) file() ([]project.Leaf, []project.Form) {
	s.leavesOnce.Do(func() {
		s.leaves, s.forms = s.project.Leaves()
		s.byPath = make(map[string]int, len(s.leaves))
		for i := range s.leaves {
			s.byPath[s.leaves[i].Path] = i
		}
	})
	return s.leaves, s.forms
}

// given returns the value at path as written. ok is false when it is not.
func (s *snapshot) given(path string) (text string, pos check.Pos, ok bool) {
	leaves, _ := s.file()
	i, known := s.byPath[path]
	if !known || !leaves[i].Given {
		return "", check.Pos{}, false
	}
	return leaves[i].Text, leaves[i].Pos, true
}

// frame prepares the brief. Errors: those of design.NewFrame.
func (s *snapshot) frame() (*design.Frame, error) {
	s.frameOnce.Do(func() { s.frameMade, s.frameErr = design.NewFrame(&s.brief) })
	return s.frameMade, s.frameErr
}

// textError is a text of the user that does not read; the words say why.
type textError struct{ error }

func (e textError) Unwrap() error { return e.error }

// route reads a schedule by the name that a page sent. Errors: errNotFound,
// textError, *check.Problems of a file.
func (s *snapshot) route(name string) (*schedule.Schedule, error) {
	sched, err := s.project.Route(name)
	var problems *check.Problems
	var file *fs.PathError
	switch {
	case err == nil || errors.As(err, &problems):
		return sched, err
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("schedule %q %w: a name of the list or a file of the folder routes is accepted", name, errNotFound)
	case errors.As(err, &file):
		return nil, textError{fmt.Errorf("schedule %q is no file of this project", name)}
	}
	return nil, textError{err}
}

// assess works out an option. Errors: those of frame and search.Find.
func (s *snapshot) assess(id string) (*assessed, error) {
	f, err := s.frame()
	if err != nil {
		return nil, err
	}
	a := s.entry(id)
	a.once.Do(func() {
		if a.option, a.err = s.memory.Find(f, id); a.err == nil {
			a.fill(f)
		}
	})
	return a, a.err
}

// adopt takes over an option that a search has worked out.
func (s *snapshot) adopt(f *design.Frame, o *search.Option) {
	a := s.entry(o.ID)
	a.once.Do(func() {
		a.option = o
		a.fill(f)
	})
}

func (a *assessed) fill(f *design.Frame) {
	a.placed = search.Place(f, a.option)
	a.report = f.Assess(a.placed)
}

func (s *snapshot) entry(id string) *assessed {
	s.mu.Lock()
	defer s.mu.Unlock()
	a := s.assessed[id]
	if a == nil {
		if len(s.assessed) >= assessedMost {
			clear(s.assessed)
		}
		a = &assessed{}
		s.assessed[id] = a
	}
	return a
}

// Room is how many modules of one length a bay holds.
type Room struct {
	Module int `json:"module"` // index of the module line
	Placed int `json:"placed"` // stand there
	Most   int `json:"most"`   // were found to fit, of this length alone
	Bound  int `json:"bound"`  // proven: no more can fit
	Gap    int `json:"gap"`    // bound − most
}

// roomNodes bounds the exact search for each bay and module length; most are
// settled by bounds.
const roomNodes = 5000

// rooms asks each bay how many modules of each length it holds.
func (a *assessed) rooms(b *design.Brief) [][]Room {
	a.roomOnce.Do(func() {
		for i := range b.Bays {
			free := b.Bays[i]
			free.MassLimit = 0 // a limit of its own, not one of space
			var list []Room
			line := 0
			for k := range a.placed.Modules.Stack {
				if a.placed.Modules.Count[k] == 0 {
					continue
				}
				st := &a.placed.Modules.Stack[k]
				n, bound, _ := bay.Most(&free, bay.Kind{Size: st.Size, Mass: st.Mass, Orientations: st.Orientations}, bay.Options{Nodes: roomNodes})
				placed := a.placed.Loading.Count[i][k]
				list = append(list, Room{Module: line, Placed: placed, Most: max(n, placed), Bound: bound, Gap: bound - max(n, placed)})
				line++
			}
			a.room = append(a.room, list)
		}
	})
	return a.room
}

// statesKept is how many states of the files are kept with their results.
const statesKept = 8

// kept holds results by the content of the files, the newest last.
type kept[T any] struct {
	keys   []string
	values []T
}

func (k *kept[T]) get(key string) (v T, ok bool) {
	i := slices.Index(k.keys, key)
	if i < 0 {
		return v, false
	}
	v = k.values[i]
	k.drop(i)
	k.keys, k.values = append(k.keys, key), append(k.values, v)
	return v, true
}

func (k *kept[T]) put(key string, v T) {
	if i := slices.Index(k.keys, key); i >= 0 {
		k.drop(i)
	}
	if len(k.keys) >= statesKept {
		k.drop(0)
	}
	k.keys, k.values = append(k.keys, key), append(k.values, v)
}

func (k *kept[T]) drop(i int) {
	k.keys, k.values = slices.Delete(k.keys, i, i+1), slices.Delete(k.values, i, i+1)
}

// wrap says for which option something could not be worked out.
func wrap(id string, err error) error { return fmt.Errorf("option %s: %w", id, err) }
