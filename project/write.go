package project

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"packyard/internal/sheet"
)

// historyFolder holds the states before, inside the project folder.
const historyFolder = ".history"

// HistoryMax is how many states before are kept; the oldest go first.
const HistoryMax = 100

// Set returns the project with the value at path set to text, and has written
// it. Keys at the end of path that are not there are added. When the new state
// does not read without a fault nothing is written and the error is
// *check.Problems; ErrChanged when the file is no longer the one that was
// read; sheet's errors when path is not a place of the file.
func (p *Project) Set(path, text string) (*Project, error) {
	return p.edit(func(data []byte) ([]byte, error) { return sheet.Set(data, path, text) })
}

// Insert returns the project with a YAML fragment appended to the list at path,
// or put under the new key that path ends with. Otherwise as Set.
func (p *Project) Insert(path, fragment string) (*Project, error) {
	return p.edit(func(data []byte) ([]byte, error) { return sheet.Insert(data, path, fragment) })
}

// Delete returns the project without the key or list item at path. Otherwise
// as Set.
func (p *Project) Delete(path string) (*Project, error) {
	return p.edit(func(data []byte) ([]byte, error) { return sheet.Delete(data, path) })
}

// Restore returns the project with the file of a state before, as History
// names it. The present state goes into the history. Otherwise as Set.
func (p *Project) Restore(state string) (*Project, error) {
	if state != filepath.Base(state) {
		return nil, fmt.Errorf("state %q: %w", state, fs.ErrNotExist)
	}
	return p.edit(func([]byte) ([]byte, error) {
		return os.ReadFile(filepath.Join(p.Dir, historyFolder, state))
	})
}

func (p *Project) edit(change func([]byte) ([]byte, error)) (*Project, error) {
	if p.Dir == "" {
		return nil, fmt.Errorf("%s: was read from no folder and cannot be written", p.Name)
	}
	target, err := filepath.EvalSymlinks(filepath.Join(p.Dir, FileName))
	if err != nil {
		return nil, err
	}
	if err := p.unchanged(target); err != nil {
		return nil, err
	}
	data, err := change(p.Raw)
	if err != nil {
		return nil, err
	}
	next, err := readBytes(os.DirFS(p.Dir), FileName, data)
	if err != nil {
		return nil, err
	}
	next.Dir = p.Dir
	if bytes.Equal(data, p.Raw) {
		return next, nil
	}
	if err := p.keep(p.Raw); err != nil {
		return nil, err
	}
	info, err := os.Stat(target)
	if err != nil {
		return nil, err
	}
	if err := writeAtomic(target, data, info.Mode().Perm()); err != nil {
		return nil, err
	}
	return next, nil
}

// unchanged returns ErrChanged unless target holds what was read.
func (p *Project) unchanged(target string) error {
	f, err := os.Open(target)
	if err != nil {
		return err
	}
	defer f.Close()
	onDisk, err := io.ReadAll(io.LimitReader(f, int64(len(p.Raw))+1))
	if err != nil {
		return err
	}
	if !bytes.Equal(onDisk, p.Raw) {
		return fmt.Errorf("%s: %w", target, ErrChanged)
	}
	return nil
}

// writeAtomic writes data beside target and renames it over target, so that
// at every moment one of the two states is there in full, also after a power
// cut.
func writeAtomic(target string, data []byte, mode fs.FileMode) error {
	dir := filepath.Dir(target)
	f, err := os.CreateTemp(dir, "."+filepath.Base(target)+".*")
	if err != nil {
		return err
	}
	defer os.Remove(f.Name()) // gone after the rename
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(mode)
	}
	if err == nil {
		err = f.Sync()
	}
	if err := errors.Join(err, f.Close()); err != nil {
		return fmt.Errorf("%s: %w", target, err)
	}
	if err := os.Rename(f.Name(), target); err != nil {
		return err
	}
	return syncDir(dir)
}

func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// keep writes a state into the history and drops the oldest beyond HistoryMax.
func (p *Project) keep(data []byte) error {
	dir := filepath.Join(p.Dir, historyFolder)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	states, err := p.History()
	if err != nil {
		return err
	}
	next := 1
	if len(states) > 0 {
		next = stateNumber(states[len(states)-1]) + 1
	}
	if err := writeAtomic(filepath.Join(dir, fmt.Sprintf("%08d-%s", next, FileName)), data, 0o644); err != nil {
		return err
	}
	for len(states) >= HistoryMax {
		if err := os.Remove(filepath.Join(dir, states[0])); err != nil {
			return err
		}
		states = states[1:]
	}
	return nil
}

// History returns the names of the states before, the oldest first.
func (p *Project) History() ([]string, error) {
	entries, err := os.ReadDir(filepath.Join(p.Dir, historyFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var out []string
	for _, e := range entries {
		if stateNumber(e.Name()) > 0 && e.Type().IsRegular() {
			out = append(out, e.Name())
		}
	}
	slices.SortFunc(out, func(a, b string) int { return stateNumber(a) - stateNumber(b) })
	return out, nil
}

// stateNumber returns the running number of a state, 0 for other files.
func stateNumber(name string) int {
	number, found := strings.CutSuffix(name, "-"+FileName)
	n, err := strconv.Atoi(number)
	if !found || err != nil || n < 0 {
		return 0
	}
	return n
}
