package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"unsafe"

	"packyard/check/checktest"
)

// openTerminal returns the two ends of a new terminal: what a program writes
// to user is read from screen.
func openTerminal(t *testing.T) (screen, user *os.File) {
	t.Helper()
	screen, err := os.OpenFile("/dev/ptmx", os.O_RDWR, 0)
	if err != nil {
		t.Skipf("no terminal can be made here: %v", err)
	}
	control := func(request uintptr, value *uint32) {
		if _, _, e := syscall.Syscall(syscall.SYS_IOCTL, screen.Fd(), request, uintptr(unsafe.Pointer(value))); e != 0 {
			t.Skipf("no terminal can be made here: %v", e)
		}
	}
	var unlocked, number uint32
	control(syscall.TIOCSPTLCK, &unlocked)
	control(syscall.TIOCGPTN, &number)
	if user, err = os.OpenFile(fmt.Sprintf("/dev/pts/%d", number), os.O_RDWR|syscall.O_NOCTTY, 0); err != nil {
		t.Skipf("no terminal can be made here: %v", err)
	}
	return screen, user
}

// onTerminal runs the program with standard error, and standard output if both
// is true, on a terminal, and returns what went to each.
func onTerminal(t *testing.T, both bool, environment []string, args ...string) (out, seen string) {
	t.Helper()
	screen, user := openTerminal(t)
	done := make(chan string)
	go func() {
		var b bytes.Buffer
		_, _ = b.ReadFrom(screen) // ends with an error once the other end is closed
		done <- b.String()
	}()
	var stdout bytes.Buffer
	c := exec.Command("packyard", args...)
	c.Env = append(os.Environ(), environment...)
	c.Stdout, c.Stderr = &stdout, user
	if both {
		c.Stdout = user
	}
	err := c.Run()
	user.Close()
	seen = <-done
	screen.Close()
	if err != nil {
		t.Fatalf("packyard %v: %v\n%s%s", args, err, seen, &stdout)
	}
	return stdout.String(), seen
}

// TestBarIsDrawnOnATerminalAndTakenAway: the bar goes to standard error alone,
// and the last thing written there clears its line.
func TestBarIsDrawnOnATerminalAndTakenAway(t *testing.T) {
	t.Parallel()
	args := []string{"options", filepath.Join(checktest.Root(t), "project", "testdata", "minimal")}
	out, seen := onTerminal(t, false, []string{"TERM=xterm"}, args...)
	if !strings.Contains(seen, "looking at candidates") {
		t.Errorf("no bar was drawn: %q", seen)
	}
	if i := strings.LastIndex(seen, "\r"); strings.TrimSpace(strings.ReplaceAll(seen[i+1:], "\x1b[K", "")) != "" {
		t.Errorf("the bar is still there at the end: %q", seen)
	}
	if strings.Contains(out, "looking at candidates") || strings.Contains(out, "\x1b") || !strings.Contains(out, "options fit") {
		t.Errorf("standard output, which is no terminal, holds %q", out)
	}
	_, seen = onTerminal(t, false, []string{"TERM=dumb"}, args...)
	if seen != "" {
		t.Errorf("on a terminal that cannot clear a line: %q", seen)
	}
}

// TestColourIsForTerminalsThatWantIt: headings are bold on a terminal, and
// plain with NO_COLOR.
func TestColourIsForTerminalsThatWantIt(t *testing.T) {
	t.Parallel()
	args := []string{"parts"}
	if _, seen := onTerminal(t, true, []string{"TERM=xterm", "NO_COLOR="}, args...); !strings.Contains(seen, "\x1b[1mmodule\x1b[0m") {
		t.Errorf("no bold heading: %.300q", seen)
	}
	if _, seen := onTerminal(t, true, []string{"TERM=xterm", "NO_COLOR=1"}, args...); strings.Contains(seen, "\x1b") || !strings.Contains(seen, "module") {
		t.Errorf("with NO_COLOR: %.300q", seen)
	}
}
