package checktest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// goldenVariable is the variable of the environment that makes golden files be
// written instead of compared; `make golden` sets it to "update".
const goldenVariable = "PACKYARD_GOLDEN"

// Golden compares got with the file, whose path is relative to the package of
// the test, and fails with the first line that differs. The file is rewritten
// only by `make golden`.
func Golden(t testing.TB, file, got string) {
	t.Helper()
	if os.Getenv(goldenVariable) == "update" {
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatalf("golden file: %v", err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatalf("golden file: %v", err)
		}
		return
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatalf("golden file: %v; `make golden` writes it", err)
	}
	want := string(b)
	if got == want {
		return
	}
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := 0; i < max(len(g), len(w)); i++ {
		if line(g, i) != line(w, i) {
			t.Errorf("%s is not what the program prints; line %d\n got %s\nwant %s\nif the new text is right, run `make golden` and read the difference", file, i+1, line(g, i), line(w, i))
			return
		}
	}
}

func line(lines []string, i int) string {
	if i >= len(lines) {
		return "(no line)"
	}
	return lines[i]
}
