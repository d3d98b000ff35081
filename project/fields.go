package project

import (
	"bytes"
	"embed"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"

	"packyard/check"
	"packyard/internal/sheet"
	"packyard/schedule"
	"packyard/unit"
)

// Leaf is one value of packyard.yaml: what is written there, and what is
// accepted.
type Leaf = sheet.Leaf

// Form is a list of packyard.yaml with what one entry holds.
type Form = sheet.Form

// Leaves returns every value of the project file, written or not, and its lists.
func (p *Project) Leaves() ([]Leaf, []Form) {
	f := p.file()
	return sheet.Leaves(&f)
}

// file returns the project file as written.
func (p *Project) file() File {
	var f File
	var probs check.Problems
	sheet.Decode(FileName, p.Raw, &f, &probs) // was read without a fault
	return f
}

// cruise returns the speed on a track without times, zero when not given.
func (p *Project) cruise() unit.Speed { return p.file().Targets.Cruise.SI }

// PlaceOf returns where the value, list or mapping at path begins, zero when
// there is none.
func (p *Project) PlaceOf(path string) check.Pos {
	pos, _ := sheet.Place(FileName, p.Raw, path)
	return pos
}

// Template returns the project to start from, in memory only.
func Template(title string) (*Project, error) {
	data, err := sheet.Set(template, "title", title)
	if err != nil {
		return nil, fmt.Errorf("title %q: %w", title, err)
	}
	return readBytes(embed.FS{}, FileName, data)
}

// Create writes the project to start from, with changes made to it, into the
// folder, which is made if it is not there. Errors: ErrExists, *check.Problems,
// ErrOp; nothing is written then.
func (s *Session) Create(title string, ops []Op) (Step, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if _, _, err := s.refresh(true); err != nil {
		return Step{}, err
	}
	if s.p != nil || s.broken != nil {
		return Step{}, fmt.Errorf("%s: %w", s.dir, ErrExists)
	}
	data, err := sheet.Set(template, "title", title)
	if err == nil && len(ops) > 0 {
		data, err = apply(data, ops)
	}
	if err != nil {
		return Step{}, err
	}
	next, err := s.read(data)
	if err != nil {
		return Step{}, err
	}
	if err := os.MkdirAll(s.dir, 0o755); err != nil {
		return Step{}, err
	}
	if err := writeNew(filepath.Join(s.dir, FileName), data); err != nil {
		return Step{}, err
	}
	return s.become(ByNew, next, s.written(data)), nil
}

// ErrName says that a name cannot be that of a file in routes/.
var ErrName = errors.New("cannot be the name of a route: letters, digits, dots, dashes and blanks, ending in .csv or .gpx, are accepted")

var routeName = regexp.MustCompile(`^[\pL\pN][\pL\pN ._-]{0,80}\.(csv|gpx)$`)

// AddRoute writes a schedule or a track into routes/, in place of one of the
// same name, after reading it. A track without times is accepted; it is driven
// at targets.cruise. Errors: ErrName, ErrNoProject, *check.Problems.
func (s *Session) AddRoute(name string, data []byte) (*schedule.Schedule, error) {
	if !routeName.MatchString(name) {
		return nil, fmt.Errorf("%q %w", name, ErrName)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.p == nil {
		return nil, fmt.Errorf("%s: %w", s.dir, ErrNoProject)
	}
	sched, err := readRoute(bytes.NewReader(data), "routes/"+name, filepath.Ext(name), s.p.cruise())
	if err != nil {
		return nil, err
	}
	dir := filepath.Join(s.dir, "routes")
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, err
	}
	return sched, writeAtomic(filepath.Join(dir, name), data, 0o644)
}

// Routes returns the files in routes/ that can be driven, as targets.schedule
// names them.
func (p *Project) Routes() []string {
	entries, err := os.ReadDir(filepath.Join(p.Dir, "routes"))
	if err != nil {
		return nil // no such folder
	}
	var out []string
	for _, e := range entries {
		if ext := strings.ToLower(filepath.Ext(e.Name())); (ext == ".csv" || ext == ".gpx") && !strings.HasPrefix(e.Name(), ".") {
			out = append(out, "routes/"+e.Name())
		}
	}
	return out
}

// Route reads a schedule by its name: built in, a constant speed, or a file of
// this project's folder and no other. Errors: schedule.ErrUnknown,
// *check.Problems, what the file system said.
func (p *Project) Route(text string) (*schedule.Schedule, error) {
	ext := strings.ToLower(filepath.Ext(text))
	if ext != ".csv" && ext != ".gpx" {
		return schedule.Parse(text)
	}
	root, err := os.OpenRoot(p.Dir) // no link leads out of it
	if err != nil {
		return nil, err
	}
	defer root.Close()
	info, err := root.Stat(filepath.FromSlash(text))
	if err != nil {
		return nil, fmt.Errorf("%q %w: %w", text, schedule.ErrUnknown, err)
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%q %w: a plain file is accepted", text, schedule.ErrUnknown)
	}
	f, err := root.Open(filepath.FromSlash(text))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return readRoute(f, text, ext, p.cruise())
}
