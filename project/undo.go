package project

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
)

// The states to go forward to stand in the history folder beside those to go
// back to. Each carries in its name which file it follows: after any other
// change that file is no longer there, and the state no longer offered.
//
// A step back keeps the present state for going forward, writes the one
// before, and takes it off the history, in this order; a step forward is its
// mirror. Cut short at any point it leaves a state on a stack that equals the
// file, which heal drops.

var redoName = regexp.MustCompile(`^redo-(\d{8})-([0-9a-f]{16})-` + regexp.QuoteMeta(FileName) + `$`)

func digest(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:8])
}

// Undo goes back to the state before. base is the revision that is to be left.
// Errors: ErrStale when it is not the present one, ErrNothing, *check.Problems
// when the state does not read any longer, ErrNoProject.
func (s *Session) Undo(base int64) (Step, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.turn(base); err != nil {
		return Step{}, err
	}
	present, err := os.ReadFile(filepath.Join(s.dir, FileName))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Step{}, err
	}
	if err := s.dropEqual(present); err != nil {
		return Step{}, err
	}
	states, err := s.p.History()
	if err != nil {
		return Step{}, err
	}
	if len(states) == 0 {
		return Step{}, fmt.Errorf("%s: %w", s.dir, ErrNothing)
	}
	top := filepath.Join(s.dir, historyFolder, states[len(states)-1])
	next, err := s.load(top)
	if err != nil {
		return Step{}, err
	}
	if present != nil {
		if err := s.keepRedo(present, next.Raw); err != nil {
			return Step{}, err
		}
	}
	if err := s.write(next.Raw); err != nil {
		return Step{}, err
	}
	if err := os.Remove(top); err != nil {
		return Step{}, err
	}
	return s.become(ByUndo, next, s.written(next.Raw)), nil
}

// Redo goes forward again to the state that Undo left. Otherwise as Undo.
func (s *Session) Redo(base int64) (Step, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if err := s.turn(base); err != nil {
		return Step{}, err
	}
	stack := s.redoStack()
	if s.broken != nil || len(stack) == 0 {
		return Step{}, fmt.Errorf("%s: %w", s.dir, ErrNothing)
	}
	top := filepath.Join(s.dir, historyFolder, stack[len(stack)-1])
	next, err := s.load(top)
	if err != nil {
		return Step{}, err
	}
	if err := s.p.keep(s.p.Raw); err != nil {
		return Step{}, err
	}
	if err := s.write(next.Raw); err != nil {
		return Step{}, err
	}
	if err := os.Remove(top); err != nil {
		return Step{}, err
	}
	return s.become(ByRedo, next, s.written(next.Raw)), nil
}

// turn takes in what was changed outside and holds base against the present
// revision. A broken file can be left by going back.
func (s *Session) turn(base int64) error {
	if err := s.writable(); err != nil && !errors.Is(err, ErrBroken) {
		return err
	}
	if base != s.revision {
		return fmt.Errorf("revision %d %w, which is %d", base, ErrStale, s.revision)
	}
	return nil
}

func (s *Session) load(file string) (*Project, error) {
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, err
	}
	return s.read(data)
}

// heal drops states from both stacks that a step cut short left equal to the
// file.
func (s *Session) heal() error {
	if err := s.dropEqual(s.p.Raw); err != nil {
		return err
	}
	all, err := s.redoFiles()
	if err != nil {
		return err
	}
	valid := s.redoStack()
	for _, name := range all {
		if !slices.Contains(valid, name) {
			if err := os.Remove(filepath.Join(s.dir, historyFolder, name)); err != nil {
				return err
			}
		}
	}
	return nil
}

// dropEqual removes states at the top of the history that equal data.
func (s *Session) dropEqual(data []byte) error {
	for {
		states, err := s.p.History()
		if err != nil || len(states) == 0 {
			return err
		}
		top := filepath.Join(s.dir, historyFolder, states[len(states)-1])
		kept, err := os.ReadFile(top)
		if err != nil {
			return err
		}
		if !bytes.Equal(kept, data) {
			return nil
		}
		if err := os.Remove(top); err != nil {
			return err
		}
	}
}

// keepRedo keeps data as the state that follows base.
func (s *Session) keepRedo(data, base []byte) error {
	files, err := s.redoFiles()
	if err != nil {
		return err
	}
	number := 1
	if len(files) > 0 {
		number = redoNumber(files[len(files)-1]) + 1
	}
	name := fmt.Sprintf("redo-%08d-%s-%s", number, digest(base), FileName)
	return writeAtomic(filepath.Join(s.dir, historyFolder, name), data, 0o644)
}

// redoStack returns the states that can be gone forward to from the present
// one, the next one last: each follows the one above it.
func (s *Session) redoStack() []string {
	files, err := s.redoFiles()
	if err != nil {
		return nil // unreadable: nothing to go forward to
	}
	var out []string
	for follows := digest(s.p.Raw); len(files) > 0; files = files[:len(files)-1] {
		name := files[len(files)-1]
		if redoName.FindStringSubmatch(name)[2] != follows {
			if len(out) == 0 {
				continue // a step cut short left it
			}
			break
		}
		data, err := os.ReadFile(filepath.Join(s.dir, historyFolder, name))
		if err != nil {
			break
		}
		out = append(out, name)
		follows = digest(data)
	}
	slices.Reverse(out)
	return out
}

func (s *Session) dropRedo() error {
	files, err := s.redoFiles()
	for _, name := range files {
		err = errors.Join(err, os.Remove(filepath.Join(s.dir, historyFolder, name)))
	}
	return err
}

// redoFiles returns the names of all states to go forward to, by number.
func (s *Session) redoFiles() ([]string, error) {
	entries, err := os.ReadDir(filepath.Join(s.dir, historyFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var out []string
	for _, e := range entries {
		if redoName.MatchString(e.Name()) && e.Type().IsRegular() {
			out = append(out, e.Name())
		}
	}
	slices.SortFunc(out, func(a, b string) int { return redoNumber(a) - redoNumber(b) })
	return out, nil
}

func redoNumber(name string) int {
	m := redoName.FindStringSubmatch(name)
	if m == nil {
		return 0
	}
	n, _ := strconv.Atoi(m[1]) // eight digits
	return n
}
