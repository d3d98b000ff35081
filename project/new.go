package project

import (
	_ "embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"packyard/internal/sheet"
)

//go:embed template/packyard.yaml
var template []byte

// New writes a project to start from into dir, which is made if it is not
// there. An empty title takes the name of the folder.
// Errors: ErrExists when dir holds a project; it is left alone.
func New(dir, title string) error {
	target := filepath.Join(dir, FileName)
	if _, err := os.Lstat(target); err == nil {
		return fmt.Errorf("%s: %w", dir, ErrExists)
	} else if !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	title = strings.TrimSpace(title)
	if title == "" {
		abs, err := filepath.Abs(dir)
		if err != nil {
			return err
		}
		title = filepath.Base(abs)
	}
	data, err := sheet.Set(template, "title", title)
	if err != nil {
		return fmt.Errorf("title %q: %w", title, err)
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	return writeNew(target, data)
}

// writeNew writes a file that must not be there yet, also if two programs try
// at once.
func writeNew(target string, data []byte) error {
	f, err := os.OpenFile(target, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s: %w", filepath.Dir(target), ErrExists)
	}
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if err := errors.Join(err, f.Close()); err != nil {
		return errors.Join(fmt.Errorf("%s: %w", target, err), os.Remove(target))
	}
	return syncDir(filepath.Dir(target))
}
