//go:build unix

package project

import (
	"path/filepath"
	"syscall"
	"testing"
)

func TestAPipeIsRefusedAndNotWaitedFor(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := syscall.Mkfifo(filepath.Join(dir, FileName), 0o600); err != nil {
		t.Skipf("this system makes no pipes: %v", err)
	}
	if _, err := Open(dir); err == nil || err.Error() != "packyard.yaml:1:1: file: is a pipe: a plain file is accepted" {
		t.Errorf("got %v", err)
	}
}

func TestAScheduleThatIsAPipeIsRefusedAndNotWaitedFor(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	if err := syscall.Mkfifo(filepath.Join(dir, "hill.csv"), 0o600); err != nil {
		t.Skipf("this system makes no pipes: %v", err)
	}
	for text, want := range map[string]string{
		"hill.csv":                      "hill.csv:1:1: file: is a pipe: a plain file is accepted",
		filepath.Join(dir, "hill.csv"):  filepath.Join(dir, "hill.csv") + ":1:1: file: is a pipe: a plain file is accepted",
		filepath.Join(dir, "there.gpx"): "stat " + filepath.Join(dir, "there.gpx") + ": no such file or directory",
	} {
		if _, err := Schedule(dir, text); err == nil || err.Error() != want {
			t.Errorf("%s: got %v, want %s", text, err, want)
		}
	}
}
