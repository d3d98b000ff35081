package checktest

import (
	"bytes"
	"encoding/csv"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Table returns the rows of a file of comma-separated values, its head first.
func Table(t testing.TB, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = f.Close() }()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// Filter gives bytes to a reference program and returns what it makes of them.
// Without the program the test skips, see Tool.
func Filter(t testing.TB, in []byte, name string, arg ...string) []byte {
	t.Helper()
	c := exec.Command(Tool(t, name), arg...)
	c.Stdin = bytes.NewReader(in)
	out, err := c.Output()
	if err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	return out
}

// Ngspice runs a circuit and returns what it writes, rows of the time in s and
// voltages in V. deck returns the lines of the circuit, of which one writes to the file
// out. Without the program the test skips, see Tool.
func Ngspice(t testing.TB, numbers int, deck func(out string) []string) [][]float64 {
	t.Helper()
	ngspice, dir := Tool(t, "ngspice"), t.TempDir()
	out, file := filepath.Join(dir, "out.txt"), filepath.Join(dir, "circuit.cir")
	if err := os.WriteFile(file, []byte(strings.Join(deck(out), "\n")), 0o644); err != nil {
		t.Fatal(err)
	}
	if text, err := exec.Command(ngspice, "-b", file).CombinedOutput(); err != nil {
		t.Fatalf("ngspice: %v\n%s", err, text)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	var rows [][]float64
	for line := range strings.Lines(string(text)) {
		var row []float64
		for word := range strings.FieldsSeq(line) {
			v, err := strconv.ParseFloat(word, 64)
			if err != nil {
				t.Fatalf("line %q of ngspice: %v", line, err)
			}
			row = append(row, v)
		}
		if len(row) != numbers {
			t.Fatalf("line %q of ngspice: %d numbers, want %d", line, len(row), numbers)
		}
		rows = append(rows, row)
	}
	return rows
}
