package packyard_test

import (
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"packyard/check/checktest"
)

// changeKinds are the words that a note begins with, in the order of CHANGELOG.md.
var changeKinds = []string{"added", "changed", "fixed", "removed"}

var changeName = regexp.MustCompile(`^[0-9]{4}-[a-z0-9]+(-[a-z0-9]+)*\.md$`)

// CHANGELOG.md is the notes of changes/ by kind, in the order of their numbers.
func TestChangelogHoldsEveryNote(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("changes/*")
	if err != nil || len(files) == 0 {
		t.Fatalf("changes/ holds %d files: %v", len(files), err)
	}
	notes := map[string][]string{}
	for _, f := range files {
		name := path.Base(filepath.ToSlash(f))
		if name == "README.md" {
			continue
		}
		if !changeName.MatchString(name) {
			t.Errorf("changes/%s: a note is named NNNN-few-words.md", name)
		}
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		kind, text, ok := strings.Cut(strings.TrimSpace(string(b)), ": ")
		if !ok || !slices.Contains(changeKinds, kind) {
			t.Errorf("changes/%s begins with %.20q: a note begins with one of %q and a colon", name, b, changeKinds)
			continue
		}
		notes[kind] = append(notes[kind], strings.Join(strings.Fields(text), " "))
	}
	var out strings.Builder
	out.WriteString("# Changes\n\nGathered from changes/ by `make changelog`.\n")
	for _, kind := range changeKinds {
		if len(notes[kind]) == 0 {
			continue
		}
		out.WriteString("\n## " + strings.ToUpper(kind[:1]) + kind[1:] + "\n\n")
		for _, n := range notes[kind] {
			out.WriteString("- " + n + "\n")
		}
	}
	checktest.Golden(t, "CHANGELOG.md", out.String())
}
