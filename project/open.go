package project

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"packyard/check"
	"packyard/internal/sheet"
)

// Open reads the project folder dir; the project file itself is accepted too.
// Errors: ErrNoProject, *check.Problems when a file is wrong, else what the
// file system said.
func Open(dir string) (*Project, error) {
	if info, err := os.Stat(dir); err == nil && !info.IsDir() && filepath.Base(dir) == FileName {
		dir = filepath.Dir(dir)
	} else if errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("%s: %w: there is no such folder", dir, ErrNoProject)
	} else if err == nil && !info.IsDir() {
		return nil, fmt.Errorf("%s: %w: a project is a folder", dir, ErrNoProject)
	}
	p, err := Read(os.DirFS(dir), FileName)
	if errors.Is(err, ErrNoProject) {
		return nil, fmt.Errorf("%s: %w", dir, ErrNoProject)
	}
	if err != nil {
		return nil, err
	}
	p.Dir = dir
	return p, nil
}

// Given returns the text of the value at path of the project file, as the
// builder wrote it, and its place. ok is false when it was not given.
func (p *Project) Given(path string) (text string, pos check.Pos, ok bool) {
	return sheet.Lookup(FileName, p.Raw, path)
}

// Schema returns the JSON Schema (draft 2020-12) of packyard.yaml.
func Schema() []byte { return sheet.Schema("packyard project", File{}) }

// PartsSchema returns the JSON Schema (draft 2020-12) of the files in parts/.
func PartsSchema() []byte { return sheet.Schema("packyard parts of the workshop", PartsFile{}) }
