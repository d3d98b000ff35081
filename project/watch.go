package project

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"packyard/check"
)

// print is what the files of a project look like from outside: enough to notice
// a change without reading them.
type print struct{ file, parts, routes string }

func (p print) of(folder string) string {
	if folder == "parts" {
		return p.parts
	}
	return p.routes
}

// looked bounds the files of a folder that are watched.
const looked = 1000

func printOf(dir string) print {
	return print{fileMark(filepath.Join(dir, FileName)), folderMark(filepath.Join(dir, "parts")) + fileMark(filepath.Join(dir, MeasuredName)) + fileMark(filepath.Join(dir, CircuitName)), folderMark(filepath.Join(dir, "routes"))}
}

func fileMark(path string) string {
	info, err := os.Stat(path)
	if err != nil {
		return ""
	}
	return mark(info)
}

func mark(info fs.FileInfo) string {
	return fmt.Sprintf("%s %d %d;", info.Name(), info.Size(), info.ModTime().UnixNano())
}

func folderMark(dir string) string {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return ""
	}
	var out strings.Builder
	for _, e := range entries[:min(len(entries), looked)] {
		if info, err := os.Stat(filepath.Join(dir, e.Name())); err == nil { // follows links, as reading does
			out.WriteString(mark(info))
		}
	}
	return out.String()
}

// Look is what Refresh found.
type Look struct {
	Step   Step
	Good   bool // the project changed and reads: Step says what
	Broke  bool // it changed and does not read any longer
	Mended bool // it reads again, perhaps as it was
}

// Refresh looks at the files and takes in what was changed outside. A file that
// does not read is given until the next look to be written to its end; then
// the last good state is kept, and View shows the faults. Errors: what the
// file system said.
func (s *Session) Refresh() (Look, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	was := s.broken != nil
	step, good, err := s.refresh(false)
	return Look{Step: step, Good: good, Broke: !was && s.broken != nil, Mended: was && s.broken == nil}, err
}

// refresh is Refresh; atOnce takes a file that does not read for broken at the
// first look.
func (s *Session) refresh(atOnce bool) (Step, bool, error) {
	now := printOf(s.dir)
	if now == s.seen {
		return Step{}, false, nil
	}
	next, err := Open(s.dir)
	var wrong *check.Problems
	switch {
	case errors.Is(err, ErrNoProject) && s.p == nil:
		return Step{}, false, nil
	case errors.Is(err, ErrNoProject):
		wrong = &check.Problems{}
		wrong.Addf(check.Pos{File: FileName}, "file", "put it back, or go back to the last good state", "is gone")
	case err != nil && !errors.As(err, &wrong):
		return Step{}, false, err
	}
	if wrong != nil {
		if !atOnce && (s.suspect == nil || *s.suspect != now) {
			s.suspect = &now
			return Step{}, false, nil
		}
		return Step{}, false, s.breaks(now, wrong)
	}
	if s.p != nil && s.broken == nil && !bytes.Equal(next.Raw, s.p.Raw) {
		if err := s.p.keep(s.p.Raw); err != nil {
			return Step{}, false, err
		}
	}
	if s.p != nil && bytes.Equal(next.Raw, s.p.Raw) && now.parts == s.seen.parts && now.routes == s.seen.routes {
		s.seen, s.broken = now, nil // only its date was changed, or it is as it was again
		return Step{}, false, s.dropEqual(s.p.Raw)
	}
	step := s.become(ByOutside, next, now)
	return step, true, s.heal()
}

// breaks notes that the files do not read. The last good state goes into the
// history, so that it can be gone back to.
func (s *Session) breaks(now print, wrong *check.Problems) error {
	if s.p != nil && s.broken == nil {
		if err := s.p.keep(s.p.Raw); err != nil {
			return err
		}
	}
	s.seen, s.broken = now, wrong
	return nil
}
