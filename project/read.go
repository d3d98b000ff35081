package project

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strings"

	"packyard/bay"
	"packyard/bench"
	"packyard/cell"
	"packyard/check"
	"packyard/design"
	"packyard/internal/sheet"
	"packyard/part"
	"packyard/unit"
)

// FileName is the name of the file in a project folder.
const FileName = "packyard.yaml"

// Errors of a project folder, besides *check.Problems.
var (
	ErrNoProject = errors.New("holds no " + FileName)
	ErrChanged   = errors.New("was changed by someone else in the meantime; read it again")
	ErrExists    = errors.New("holds a project already")
)

// Project is a project folder as read.
type Project struct {
	Dir   string // folder; "" when read from an fs.FS
	Name  string // path of the file inside the folder
	Raw   []byte // the file as read
	Brief design.Brief
	Cells *cell.Catalogue // built-in and the workshop's own
	Parts *part.Catalogue // built-in and the workshop's own
}

// Read reads the project file name and what stands beside it (parts/, routes/)
// from fsys. The error is *check.Problems when a file is wrong; ErrNoProject
// when there is none; else what the file system said.
func Read(fsys fs.FS, name string) (*Project, error) {
	var probs check.Problems
	data, err := readFile(fsys, name, name, &probs)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: %w", path.Dir(name), ErrNoProject)
	}
	if err != nil {
		return nil, err
	}
	if probs.Any() {
		return nil, &probs
	}
	return readBytes(fsys, name, data)
}

// readBytes reads data as the project file, as if it were in fsys.
func readBytes(fsys fs.FS, name string, data []byte) (*Project, error) {
	r := reader{fsys: fsys, dir: path.Dir(name), name: name, data: data, brief: &design.Brief{}}
	if !sheet.Decode(path.Base(name), data, &r.file, &r.probs) {
		return nil, &r.probs
	}
	if err := r.readParts(); err != nil {
		return nil, err
	}
	if err := r.build(); err != nil {
		return nil, err
	}
	r.sort()
	if err := r.probs.Err(); err != nil {
		return nil, err
	}
	r.uncertain()
	return &Project{Name: name, Raw: data, Brief: *r.brief, Cells: r.cells, Parts: r.parts}, nil
}

// reader carries what is known while a project is put together.
type reader struct {
	fsys  fs.FS
	dir   string // folder of the project inside fsys
	name  string // of the project file inside fsys
	data  []byte // of the project file
	file  File
	probs check.Problems
	brief *design.Brief
	cells *cell.Catalogue
	parts *part.Catalogue
	kinds [][]bay.Kind // smallest modules of each source, for the bays

	health map[string]bench.LotHealth // measured, by source
	curves map[string]*cell.Measured  // the same

	partLeaves []partLeaf // values of parts/ with a spread
}

// build fills the brief. The error is one of the file system, not of a file.
func (r *reader) build() error {
	f, b := &r.file, r.brief
	if f.Version.IsGiven() && r.read(f.Version.Pos) && f.Version.Value != Version {
		r.probs.Addf(f.Version.Pos, "packyard", fmt.Sprintf("version %d is read; a newer file needs a newer program", Version), "\"%d\" is not a version of the file format that this program knows", f.Version.Value)
	}
	b.Title, b.Invented, b.Currency = f.Title.Value, f.Invented.Value, f.Currency.Value
	if f.Title.IsGiven() && f.Title.Value == "" {
		r.probs.Addf(f.Title.Pos, "title", "a few words are accepted", "is empty")
	}
	if f.Currency.IsGiven() && !check.IsCurrencyCode(b.Currency) {
		r.probs.Addf(f.Currency.Pos, "currency", "three capital letters of ISO 4217, such as EUR, are accepted", "%q is not a currency code", b.Currency)
	}
	r.donor()
	r.road()
	r.drivetrain()
	r.buildParts()
	r.sources()
	r.bays()
	r.cooling()
	r.circuit()
	r.acknowledged()
	r.choose()
	return r.targets()
}

// sort puts the problems into the order of the lines, the project file first.
// One without a place is about an entry that could not be read at all, of which
// another problem tells.
func (r *reader) sort() {
	placed := slices.DeleteFunc(slices.Clone(r.probs.List), func(p check.Problem) bool { return p.Pos.IsZero() })
	if len(placed) > 0 {
		r.probs.List = placed
	}
	rank := func(p check.Problem) int {
		if p.Pos.File == path.Base(r.name) {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(r.probs.List, func(a, b check.Problem) int {
		return cmp.Or(cmp.Compare(rank(a), rank(b)), cmp.Compare(a.Pos.File, b.Pos.File), cmp.Compare(a.Pos.Line, b.Pos.Line), cmp.Compare(a.Pos.Col, b.Pos.Col))
	})
}

// read reports whether the value at pos was written and had no fault, so that
// one slip does not bring a second message.
func (r *reader) read(pos check.Pos) bool {
	if pos.IsZero() {
		return false
	}
	for _, p := range r.probs.List {
		if p.Pos == pos {
			return false
		}
	}
	return true
}

// missing records that key is not there, unless something was written for it
// that could not be read, or a key that was misspelt.
func (r *reader) missing(pos check.Pos, parent, key, hint string) {
	at := parent + "." + key
	if pos.IsZero() {
		return // what should hold it could not be read
	}
	for _, p := range r.probs.List {
		if p.Path == at || strings.HasPrefix(p.Path, at+"[") || strings.HasPrefix(p.Path, parent+".") && p.Hint == "did you mean "+key+"?" {
			return
		}
	}
	r.probs.Addf(pos, at, hint, "is missing")
}

// empty records a list that is there and holds nothing.
func (r *reader) empty(list, hint string) {
	pos, there := sheet.Place(path.Base(r.name), r.data, list)
	if there && r.read(pos) {
		r.probs.Addf(pos, list, hint, "holds nothing")
	}
}

// ok reports whether g was written and could be read.
func ok[Q unit.Quantity](r *reader, g check.Given[Q]) bool { return r.read(g.Pos) }

// or returns the given value, or the stand-in, which is then recorded.
func or[Q unit.Quantity](r *reader, g check.Given[Q], subject string, value Q, sourceKey string) Q {
	return g.Or(&r.brief.Assumed, subject, value, sourceKey)
}

// price returns the amount in the currency of the project.
func (r *reader) price(p check.Price, at string) float64 {
	if !r.read(p.Pos) {
		return 0
	}
	if c := r.file.Currency; r.read(c.Pos) && p.Currency != c.Value {
		r.probs.Addf(p.Pos, at, "one currency per project: write the amount in "+c.Value, "%q is not in %s", p.Text, c.Value)
	}
	return p.Amount
}

// readFile reads a file of the project up to the limit of a sheet; shown is
// its name in messages. A file above the limit is a problem and not an error.
func readFile(fsys fs.FS, name, shown string, probs *check.Problems) ([]byte, error) {
	info, err := fs.Stat(fsys, name) // before opening, which would wait on a pipe
	if err != nil {
		return nil, err
	}
	start := check.Pos{File: path.Base(shown), Line: 1, Col: 1}
	if dir := path.Dir(shown); dir != "." {
		start.File = path.Join(path.Base(dir), start.File)
	}
	if !info.Mode().IsRegular() {
		probs.Addf(start, "file", "a plain file is accepted", "is a %s", kindOf(info.Mode()))
		return nil, nil
	}
	if info.Size() > sheet.BytesMax {
		probs.Addf(start, "file", fmt.Sprintf("at most %d MB are read", sheet.BytesMax>>20), "is %.1f MB long", float64(info.Size())/(1<<20))
		return nil, nil
	}
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, sheet.BytesMax+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", shown, err)
	}
	return data, nil
}

func kindOf(m fs.FileMode) string {
	switch {
	case m.IsDir():
		return "folder"
	case m&fs.ModeNamedPipe != 0:
		return "pipe"
	}
	return "device"
}
