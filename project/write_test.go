package project

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"packyard/check/checktest"
	"packyard/internal/sheet"
)

// folder returns a project folder with the smallest project in it.
func folder(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, FileName), []byte(minimal(t)), 0o640); err != nil {
		t.Fatal(err)
	}
	return dir
}

func open(t *testing.T, dir string) *Project {
	t.Helper()
	p, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func onDisk(t *testing.T, dir string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, FileName))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func TestNewProjectOpensWithoutProblems(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "deep", "goat cart")
	if err := New(dir, ""); err != nil {
		t.Fatal(err)
	}
	p := open(t, dir)
	if p.Brief.Title != "goat cart" || !p.Brief.Invented || len(p.Brief.Bays) != 2 || len(p.Brief.Sources) != 2 {
		t.Errorf("got %+v", p.Brief)
	}
	if n := bytes.Count(p.Raw, []byte("#")); n < 8 {
		t.Errorf("the file has %d comments, want one for each section", n)
	}
	before := onDisk(t, dir)
	if err := New(dir, "another"); !errors.Is(err, ErrExists) {
		t.Errorf("a second time: got %v, want ErrExists", err)
	}
	if onDisk(t, dir) != before {
		t.Error("the project that was there has been changed")
	}
}

func TestNewProjectTakesAnyTitle(t *testing.T) {
	t.Parallel()
	for i, title := range []string{"Tom's #1: truck", `"quoted"`, "- dash", "Ä\nB", "1990", "yes"} {
		dir := filepath.Join(t.TempDir(), fmt.Sprint(i))
		if err := New(dir, title); err != nil {
			t.Fatal(err)
		}
		if got := open(t, dir).Brief.Title; got != title {
			t.Errorf("got %q, want %q", got, title)
		}
	}
}

func TestOpenSaysWhatIsNotAProject(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	file := filepath.Join(dir, "x.txt")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{dir, filepath.Join(dir, "nowhere"), file} {
		if _, err := Open(name); !errors.Is(err, ErrNoProject) || !strings.HasPrefix(err.Error(), name) {
			t.Errorf("Open(%s): got %v, want ErrNoProject with the name", name, err)
		}
	}
	if err := os.Mkdir(filepath.Join(dir, FileName), 0o755); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(dir); err == nil || err.Error() != "packyard.yaml:1:1: file: is a folder: a plain file is accepted" {
		t.Errorf("a folder of that name: got %v", err)
	}
}

func TestSetWritesOnePlaceAndKeepsTheStateBefore(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	p := open(t, dir)
	before := onDisk(t, dir)
	next, err := p.Set("donor.wheelbase", "100 in")
	if err != nil {
		t.Fatal(err)
	}
	if got, want := onDisk(t, dir), strings.Replace(before, "2500 mm", "100 in", 1); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	checktest.Near(t, "wheelbase", next.Brief.Donor.Wheelbase.Metres(), 2.54, 1e-12, 0, "nist-hb44")
	if p.Brief.Donor.Wheelbase != 2.5 {
		t.Error("the project before was changed")
	}
	info, err := os.Stat(filepath.Join(dir, FileName))
	if err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("the mode of the file became %v, %v", info.Mode(), err)
	}
	states, err := next.History()
	if err != nil || len(states) != 1 {
		t.Fatalf("history: got %v, %v", states, err)
	}
	if kept, err := os.ReadFile(filepath.Join(dir, historyFolder, states[0])); err != nil || string(kept) != before {
		t.Errorf("the state before was not kept: %v", err)
	}
	back, err := next.Restore(states[0])
	if err != nil || onDisk(t, dir) != before || back.Brief.Donor.Wheelbase != 2.5 {
		t.Errorf("restore: %v\n%s", err, onDisk(t, dir))
	}
}

func TestInsertAndDeleteWriteToo(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	before := onDisk(t, dir)
	p, err := open(t, dir).Insert("donor.removed", "[{name: engine, mass: 125 kg, at: [-200 mm, 0 mm, 550 mm]}]")
	if err != nil || len(p.Brief.Donor.Removed) != 1 {
		t.Fatalf("insert: %v, %+v", err, p)
	}
	p, err = p.Insert("donor.removed", "{name: tank, mass: 40 kg, at: [2 m, 0 mm, 400 mm]}")
	if err != nil || len(p.Brief.Donor.Removed) != 2 {
		t.Fatalf("second insert: %v", err)
	}
	p, err = p.Delete("donor.removed")
	if err != nil || onDisk(t, dir) != before || len(p.Brief.Donor.Removed) != 0 {
		t.Errorf("delete: %v\n%s", err, onDisk(t, dir))
	}
}

func TestNothingIsWrittenWhenTheNewStateIsWrong(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	p := open(t, dir)
	before := onDisk(t, dir)
	for _, c := range []struct{ path, text, want string }{
		{"donor.wheelbase", "39", `packyard.yaml:7:14: donor.wheelbase: "39" needs a unit`},
		{"sources[0].part", "nothing", `packyard.yaml:16:42: sources[0].part: "nothing" is not a known cell`},
		{"bays[0].at[0]", "4.3 m", `packyard.yaml:14:23: bays[0].at: "rear" lies outside the vehicle`},
	} {
		_, err := p.Set(c.path, c.text)
		if got := problems(t, err); len(got) != 1 || !strings.HasPrefix(got[0], c.want) {
			t.Errorf("%s: got %v, want %s", c.path, got, c.want)
		}
	}
	if _, err := p.Set("no such.path", "x"); err == nil {
		t.Error("a path with a blank was accepted")
	}
	if _, err := p.Set("bays", "x"); !errors.Is(err, sheet.ErrPath) {
		t.Errorf("a list overwritten by a text: got %v, want ErrPath", err)
	}
	if _, err := p.Restore("../" + FileName); err == nil {
		t.Error("a state outside the history was restored")
	}
	if onDisk(t, dir) != before {
		t.Error("the file was changed")
	}
	if entries, err := os.ReadDir(dir); err != nil || len(entries) != 1 {
		t.Errorf("the folder holds %v, %v, want the file alone", entries, err)
	}
}

func TestTheLaterOfTwoEditorsIsTold(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	first, second := open(t, dir), open(t, dir)
	if _, err := first.Set("title", "One"); err != nil {
		t.Fatal(err)
	}
	before := onDisk(t, dir)
	if _, err := second.Set("title", "Two"); !errors.Is(err, ErrChanged) {
		t.Errorf("got %v, want ErrChanged", err)
	}
	if onDisk(t, dir) != before {
		t.Error("the first edit was lost")
	}
}

func TestHistoryIsBounded(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	p := open(t, dir)
	for i := range HistoryMax + 5 {
		if err := p.keep(fmt.Append(nil, i)); err != nil {
			t.Fatal(err)
		}
	}
	states, err := p.History()
	if err != nil || len(states) != HistoryMax || states[0] != "00000006-"+FileName || states[HistoryMax-1] != "00000105-"+FileName {
		t.Errorf("got %d states from %v to %v, %v", len(states), states[0], states[len(states)-1], err)
	}
}

func TestAFullDiskLeavesTheLastState(t *testing.T) {
	t.Parallel()
	if os.Geteuid() == 0 {
		// Root writes into folders without write permission; a target that is
		// a folder makes the rename fail in its place.
		dir := t.TempDir()
		target := filepath.Join(dir, FileName)
		if err := os.MkdirAll(filepath.Join(target, "x"), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := writeAtomic(target, []byte("new"), 0o644); err == nil {
			t.Error("a failed rename was not reported")
		}
		if entries, err := os.ReadDir(dir); err != nil || len(entries) != 1 {
			t.Errorf("the temporary file stayed: %v, %v", entries, err)
		}
		return
	}
	dir := folder(t)
	p := open(t, dir)
	before := onDisk(t, dir)
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(dir, 0o755)
	if _, err := p.Set("title", "x"); err == nil {
		t.Error("writing into a folder without permission went through")
	}
	if onDisk(t, dir) != before {
		t.Error("the last state is gone")
	}
}

func TestEditsGoThroughALinkedFile(t *testing.T) {
	t.Parallel()
	real, dir := folder(t), t.TempDir()
	if err := os.Symlink(filepath.Join(real, FileName), filepath.Join(dir, FileName)); err != nil {
		t.Skip("this file system knows no links")
	}
	if _, err := open(t, dir).Set("title", "Linked"); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(onDisk(t, real), "title: Linked") {
		t.Error("the file behind the link was not changed")
	}
	if info, err := os.Lstat(filepath.Join(dir, FileName)); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link was replaced by a file")
	}
}
