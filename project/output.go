package project

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// designFiles are the files and folders that a design is made of.
var designFiles = []string{FileName, "parts", "routes", MeasuredName, CircuitName}

// Fingerprint returns the first 16 digits of a SHA-256 over names and contents
// of the files that the design of a folder is made of, in the order of their
// names: the same design has the same one wherever it lies. Errors: those of reading.
func Fingerprint(dir string) (string, error) {
	var names []string
	for _, f := range designFiles {
		err := filepath.WalkDir(filepath.Join(dir, f), func(p string, d fs.DirEntry, err error) error {
			switch {
			case os.IsNotExist(err):
				return nil
			case err != nil:
				return err
			case strings.HasPrefix(d.Name(), "."):
				if d.IsDir() {
					return fs.SkipDir
				}
				return nil
			case d.Type().IsRegular():
				names = append(names, p)
			}
			return nil
		})
		if err != nil {
			return "", err
		}
	}
	slices.Sort(names)
	sum := sha256.New()
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			return "", err
		}
		rel, err := filepath.Rel(dir, name)
		if err != nil {
			return "", err
		}
		fmt.Fprintf(sum, "%q %d\n", filepath.ToSlash(rel), len(data))
		sum.Write(data)
	}
	return hex.EncodeToString(sum.Sum(nil))[:16], nil
}

// BookFolder is where written documents are kept in the folder of a project.
const BookFolder = "book"

// Keep writes a document into the folder for documents of a project, which is
// made where it is missing. It is written beside and renamed, so that a file
// there is always whole. The name is a plain one. Errors: those of writing.
func Keep(dir, name string, data []byte) (string, error) {
	if name != filepath.Base(name) || strings.HasPrefix(name, ".") {
		return "", fmt.Errorf("%q is no plain name of a file", name)
	}
	folder := filepath.Join(dir, BookFolder)
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return "", err
	}
	target := filepath.Join(folder, name)
	return target, writeAtomic(target, data, 0o644)
}
