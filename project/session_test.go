package project

import (
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"packyard/check"
)

var atStart = time.UnixMilli(1_000_000)

func session(t *testing.T, dir string) *Session {
	t.Helper()
	s, err := OpenSession(dir, atStart)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func set(path, text string) Op { return Op{Kind: OpSet, Path: path, Text: text} }

func insert(path, value string) Op {
	return Op{Kind: OpInsert, Path: path, Value: json.RawMessage(value)}
}

// edit makes an edit on the present revision.
func edit(t *testing.T, s *Session, ops ...Op) Step {
	t.Helper()
	st, err := s.Edit(Edit{Base: s.View().Revision, Ops: ops})
	if err != nil {
		t.Fatal(err)
	}
	return st
}

// ledger gives the smallest project a list to edit.
func ledger(t *testing.T, s *Session) {
	t.Helper()
	edit(t, s, insert("donor.removed", `[{"name":"engine","mass":"100 kg","at":["0 mm","0 mm","500 mm"]},{"name":"tank","mass":"20 kg","at":["1.5 m","0 mm","400 mm"]}]`))
}

func TestEditIsOneStepOfAllItsOpsOrNone(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	s := session(t, dir)
	before := onDisk(t, dir)
	st := edit(t, s, set("title", "Cart: two"), insert("donor.removed", `[{"name":"engine, old","mass":"560 lb","at":["-200 mm","0 mm","1/2 m"]}]`))
	if v := s.View(); v.Revision != st.Revision || v.Undo != 1 || v.Project.Brief.Title != "Cart: two" || len(v.Project.Brief.Donor.Removed) != 1 {
		t.Errorf("after the edit: %+v", v)
	}
	if it := s.View().Project.Brief.Donor.Removed[0]; it.Name != "engine, old" || it.Mass.Kilograms() < 254.01 || it.Mass.Kilograms() > 254.02 || it.At.Z != 0.5 {
		t.Errorf("got %+v", it)
	}
	if !slices.Equal(st.Parts, []string{"donor", "title"}) {
		t.Errorf("parts %v", st.Parts)
	}
	after := onDisk(t, dir)
	_, err := s.Edit(Edit{Base: st.Revision, Ops: []Op{set("title", "half"), set("donor.removed[0].mass", "560")}})
	var wrong *check.Problems
	if !errors.As(err, &wrong) || wrong.List[0].Path != "donor.removed[0].mass" {
		t.Fatalf("got %v, want a problem of the mass", err)
	}
	if onDisk(t, dir) != after || s.View().Revision != st.Revision {
		t.Error("a refused edit changed something")
	}
	if _, err := s.Undo(st.Revision); err != nil || onDisk(t, dir) != before {
		t.Errorf("one undo takes the whole edit back: %v", err)
	}
}

func TestEditsOfOtherPlacesMergeAndThoseOfTheSameAreRefusedWithBothValues(t *testing.T) {
	t.Parallel()
	s := session(t, folder(t))
	ledger(t, s)
	base := s.View().Revision
	edit(t, s, set("donor.removed[1].mass", "25 kg"))

	st, err := s.Edit(Edit{Base: base, Ops: []Op{set("donor.removed[0].mass", "110 kg")}})
	if err != nil || !st.Merged {
		t.Fatalf("other place: %+v, %v", st, err)
	}
	_, err = s.Edit(Edit{Base: base, Ops: []Op{set("donor.removed[1].mass", "30 kg")}})
	var c *Conflict
	if !errors.As(err, &c) || len(c.Clashes) != 1 || *c.Clashes[0].Base != "20 kg" || *c.Clashes[0].Theirs != "25 kg" || *c.Clashes[0].Yours != "30 kg" || c.Revision != st.Revision {
		t.Fatalf("same place: got %v", err)
	}
	if _, err = s.Edit(Edit{Base: base, Ops: []Op{set("donor.removed[1].mass", "25 kg")}}); err != nil {
		t.Errorf("the same value twice is no conflict: %v", err)
	}
	if _, err = s.Edit(Edit{Base: base, Force: true, Ops: []Op{set("donor.removed[1].mass", "30 kg")}}); err != nil {
		t.Errorf("chosen all the same: %v", err)
	}
	if got, _, _ := s.View().Project.Given("donor.removed[1].mass"); got != "30 kg" {
		t.Errorf("got %q", got)
	}
}

func TestNobodyIsInTheWayOfHimself(t *testing.T) {
	t.Parallel()
	s := session(t, folder(t))
	ledger(t, s)
	base := s.View().Revision
	ask := func(client string, o Op) error {
		_, err := s.Edit(Edit{Base: base, Client: client, Ops: []Op{o}})
		return err
	}
	for _, text := range []string{"21 kg", "22 kg", "23 kg"} {
		if err := ask("a", set("donor.removed[1].mass", text)); err != nil {
			t.Errorf("%s: %v", text, err)
		}
	}
	var c *Conflict
	if err := ask("b", set("donor.removed[1].mass", "24 kg")); !errors.As(err, &c) {
		t.Errorf("someone else: %v", err)
	}
	if err := ask("a", Op{Kind: OpDelete, Path: "donor.removed[0]"}); err != nil {
		t.Error(err)
	}
	if err := ask("a", set("donor.removed[0].at[1]", "1 mm")); !errors.As(err, &c) {
		t.Errorf("an entry that he moved himself: %v", err)
	}
}

func TestEntriesThatMovedAreNotMistakenForOthers(t *testing.T) {
	t.Parallel()
	s := session(t, folder(t))
	ledger(t, s)
	base := s.View().Revision
	edit(t, s, Op{Kind: OpDelete, Path: "donor.removed[0]"})
	var c *Conflict
	if _, err := s.Edit(Edit{Base: base, Ops: []Op{set("donor.removed[0].at[1]", "10 mm")}}); !errors.As(err, &c) {
		t.Errorf("the first entry is another one now: got %v", err)
	}
	if _, err := s.Edit(Edit{Base: base, Ops: []Op{insert("donor.removed", `{"name":"seat","mass":"9 kg","at":["1 m","0 mm","500 mm"]}`)}}); err != nil {
		t.Errorf("one more at the end: %v", err)
	}
	base = s.View().Revision
	edit(t, s, insert("donor.removed", `{"name":"mat","mass":"2 kg","at":["1 m","0 mm","500 mm"]}`))
	if _, err := s.Edit(Edit{Base: base, Ops: []Op{set("donor.removed[0].mass", "21 kg")}}); err != nil {
		t.Errorf("what stands before an added entry has not moved: %v", err)
	}
	if _, err := s.Edit(Edit{Base: 17, Ops: []Op{set("title", "from a page of yesterday")}}); !errors.As(err, &c) || *c.Clashes[0].Yours != "from a page of yesterday" {
		t.Errorf("a revision from before the session: got %v", err)
	}
}

func TestUndoAndRedoWalkThroughAllStatesAndSurviveARestart(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	s := session(t, dir)
	states := []string{onDisk(t, dir)}
	for _, title := range []string{"one", "two", "three"} {
		edit(t, s, set("title", title))
		states = append(states, onDisk(t, dir))
	}
	back := func(want int) {
		t.Helper()
		if _, err := s.Undo(s.View().Revision); err != nil {
			t.Fatal(err)
		}
		if v := s.View(); onDisk(t, dir) != states[want] || v.Undo != want || v.Redo != 3-want {
			t.Fatalf("state %d: undo %d, redo %d\n%s", want, v.Undo, v.Redo, onDisk(t, dir))
		}
	}
	back(2)
	back(1)
	s = session(t, dir) // a restart
	back(0)
	if _, err := s.Undo(s.View().Revision); !errors.Is(err, ErrNothing) {
		t.Errorf("before the first state: %v", err)
	}
	for want := 1; want <= 3; want++ {
		if want == 2 {
			s = session(t, dir)
		}
		if _, err := s.Redo(s.View().Revision); err != nil || onDisk(t, dir) != states[want] {
			t.Fatalf("forward to %d: %v", want, err)
		}
	}
	if _, err := s.Redo(s.View().Revision); !errors.Is(err, ErrNothing) {
		t.Errorf("after the last state: %v", err)
	}
	back(2)
	edit(t, s, set("title", "elsewhere"))
	if v := s.View(); v.Redo != 0 || v.Undo != 3 {
		t.Errorf("a new edit ends the way forward: %+v", v)
	}
	if _, err := s.Undo(5); !errors.Is(err, ErrStale) {
		t.Errorf("an old revision: %v", err)
	}
}

func TestWayForwardEndsWhenTheFileWasChangedOtherwise(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	s := session(t, dir)
	edit(t, s, set("title", "one"))
	if _, err := s.Undo(s.View().Revision); err != nil {
		t.Fatal(err)
	}
	if _, err := open(t, dir).Set("title", "by the command line"); err != nil {
		t.Fatal(err)
	}
	s = session(t, dir)
	if v := s.View(); v.Redo != 0 || v.Undo != 1 {
		t.Errorf("got undo %d, redo %d", v.Undo, v.Redo)
	}
}

// TestStepCutShortLeavesEveryState cuts Undo and Redo short after each of their
// writes and opens the folder again.
func TestStepCutShortLeavesEveryState(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	s := session(t, dir)
	zero := onDisk(t, dir)
	edit(t, s, set("title", "one"))
	one := onDisk(t, dir)

	// Undo killed after the state was kept for going forward.
	if err := s.keepRedo([]byte(one), []byte(zero)); err != nil {
		t.Fatal(err)
	}
	s = session(t, dir)
	if v := s.View(); v.Undo != 1 || v.Redo != 0 || onDisk(t, dir) != one {
		t.Errorf("undo cut short early: undo %d, redo %d", v.Undo, v.Redo)
	}
	// Undo killed after the file was written.
	if err := s.keepRedo([]byte(one), []byte(zero)); err != nil {
		t.Fatal(err)
	}
	if err := s.write([]byte(zero)); err != nil {
		t.Fatal(err)
	}
	s = session(t, dir)
	if v := s.View(); v.Undo != 0 || v.Redo != 1 {
		t.Errorf("undo cut short late: undo %d, redo %d", v.Undo, v.Redo)
	}
	// Redo killed after the state was kept for going back, then after the write.
	if err := s.p.keep([]byte(zero)); err != nil {
		t.Fatal(err)
	}
	s = session(t, dir)
	if v := s.View(); v.Undo != 0 || v.Redo != 1 {
		t.Errorf("redo cut short early: undo %d, redo %d", v.Undo, v.Redo)
	}
	if err := errors.Join(s.p.keep([]byte(zero)), s.write([]byte(one))); err != nil {
		t.Fatal(err)
	}
	s = session(t, dir)
	if v := s.View(); v.Undo != 1 || v.Redo != 0 || v.Project.Brief.Title != "one" {
		t.Errorf("redo cut short late: undo %d, redo %d", v.Undo, v.Redo)
	}
}

func writeOutside(t *testing.T, dir, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(dir, FileName), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	// Within one tick of the clock of a coarse file system.
	later := time.Now().Add(time.Duration(len(text)) * time.Millisecond)
	if err := os.Chtimes(filepath.Join(dir, FileName), later, later); err != nil {
		t.Fatal(err)
	}
}

func look(t *testing.T, s *Session) Look {
	t.Helper()
	l, err := s.Refresh()
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func TestOutsideEditIsTakenInAndCanBeUndone(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	s := session(t, dir)
	before := onDisk(t, dir)
	if l := look(t, s); l.Good || l.Broke {
		t.Errorf("nothing happened: %+v", l)
	}
	writeOutside(t, dir, strings.Replace(before, "title:", "title: changed by hand # ", 1))
	l := look(t, s)
	if !l.Good || l.Step.By != ByOutside || !slices.Equal(l.Step.Paths, []string{"title"}) || s.View().Project.Brief.Title != "changed by hand" {
		t.Fatalf("got %+v", l)
	}
	if _, err := s.Undo(l.Step.Revision); err != nil || onDisk(t, dir) != before {
		t.Errorf("undo of an outside edit: %v", err)
	}
	// An edit right after an outside one, before anyone looked.
	base := s.View().Revision
	writeOutside(t, dir, strings.Replace(before, "title:", "title: again # ", 1))
	st, err := s.Edit(Edit{Base: base, Ops: []Op{set("currency", "EUR"), set("choose.rank_by", "mass")}})
	if err != nil || !st.Merged || s.View().Project.Brief.Title != "again" || s.View().Project.Brief.Choose.RankBy != "mass" {
		t.Errorf("got %+v, %v", st, err)
	}
}

func TestBrokenOutsideEditKeepsTheLastGoodState(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	s := session(t, dir)
	before := onDisk(t, dir)
	writeOutside(t, dir, before+"nonsense: [")
	if l := look(t, s); l.Broke {
		t.Error("the first look may meet a file that is being written")
	}
	if l := look(t, s); !l.Broke {
		t.Fatal("the second look finds it broken")
	}
	v := s.View()
	if v.Broken == nil || len(v.Broken.List) == 0 || string(v.Project.Raw) != before {
		t.Fatalf("got %+v", v)
	}
	if _, err := s.Edit(Edit{Base: v.Revision, Ops: []Op{set("title", "x")}}); !errors.Is(err, ErrBroken) {
		t.Errorf("an edit: got %v", err)
	}
	writeOutside(t, dir, before)
	if l := look(t, s); !l.Mended || s.View().Undo != 0 {
		t.Errorf("mended by hand: %+v, undo %d", l, s.View().Undo)
	}
	writeOutside(t, dir, before+"nonsense: [ ")
	look(t, s)
	look(t, s)
	if _, err := s.Undo(s.View().Revision); err != nil || onDisk(t, dir) != before || s.View().Broken != nil {
		t.Errorf("gone back: %v, broken %v", err, s.View().Broken)
	}
	var wrong *check.Problems
	if _, err := s.Redo(s.View().Revision); !errors.As(err, &wrong) {
		t.Errorf("the broken text is kept and says its faults: got %v", err)
	}
	if err := os.Remove(filepath.Join(dir, FileName)); err != nil {
		t.Fatal(err)
	}
	look(t, s)
	if l := look(t, s); !l.Broke {
		t.Error("a file that is gone is noticed")
	}
	if _, err := s.Undo(s.View().Revision); err != nil || onDisk(t, dir) != before {
		t.Errorf("a file that is gone comes back: %v", err)
	}
}

func TestProjectIsMadeFromNothing(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "new", "cart")
	s := session(t, dir)
	if v := s.View(); v.Project != nil {
		t.Fatalf("got %+v", v)
	}
	if _, err := s.Edit(Edit{Ops: []Op{set("title", "x")}}); !errors.Is(err, ErrNoProject) {
		t.Errorf("an edit of nothing: %v", err)
	}
	var wrong *check.Problems
	if _, err := s.Create("Cart", []Op{set("donor.wheelbase", "2500")}); !errors.As(err, &wrong) {
		t.Errorf("a slip: %v", err)
	}
	if _, err := os.Stat(dir); !errors.Is(err, os.ErrNotExist) {
		t.Error("a refused project left a folder behind")
	}
	st, err := s.Create("Cart", []Op{set("donor.wheelbase", "98 in"), {Kind: OpDelete, Path: "invented"}})
	if err != nil || st.By != ByNew {
		t.Fatal(err)
	}
	if b := open(t, dir).Brief; b.Title != "Cart" || b.Invented || b.Donor.Wheelbase.Millimetres() < 2489.1 || b.Donor.Wheelbase.Millimetres() > 2489.3 {
		t.Errorf("got %+v", b.Donor)
	}
	if _, err := s.Create("Cart", nil); !errors.Is(err, ErrExists) {
		t.Errorf("twice: %v", err)
	}
}

func TestSessionServesManyAtOnce(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	s := session(t, dir)
	ledger(t, s)
	var wg sync.WaitGroup
	for i := range 4 {
		wg.Go(func() {
			for n := range 8 {
				base := s.View().Revision
				path := []string{"donor.removed[0].mass", "donor.removed[1].mass", "title", "donor.removed[0].name"}[i]
				text := []string{"1", "2", "cart", "engine"}[i] + strings.Repeat("1", n%3)
				if i < 2 {
					text += " kg"
				}
				if _, err := s.Edit(Edit{Base: base, Ops: []Op{set(path, text)}}); err != nil {
					t.Errorf("%s: %v", path, err)
				}
				s.View()
			}
		})
	}
	wg.Wait()
	if p := open(t, dir); string(p.Raw) != string(s.View().Project.Raw) {
		t.Error("the folder and the session differ")
	}
}

func TestValuesAreWrittenSoThatTheyReadBack(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"engine", "a: b", "# no", "null", "-", "-3 mm", "it's", `say "x"`, "[x]", "{", " lead", "trail ", "tab\tx", "line\nx", "ü ½ °", "yes", "~", "a #b", "@at", "12:30:00", "\u2028", "<&>"} {
		s := session(t, folder(t))
		value, _ := json.Marshal([]map[string]any{{"name": text, "mass": "1 kg", "at": []string{"0 mm", "0 mm", "500 mm"}}})
		_, err := s.Edit(Edit{Base: s.View().Revision, Ops: []Op{insert("donor.removed", string(value))}})
		if err != nil {
			t.Errorf("%q: %v", text, err)
			continue
		}
		if got := s.View().Project.Brief.Donor.Removed[0].Name; got != text {
			t.Errorf("%q was read back as %q", text, got)
		}
	}
}

func TestRoutesStayInTheFolder(t *testing.T) {
	t.Parallel()
	dir := folder(t)
	s := session(t, dir)
	const csv = "time_s,speed_km/h\n0,0\n5,30\n10,0\n"
	for _, name := range []string{"../x.csv", "a/b.csv", ".csv", "x.yaml", "", "x.csv/..", strings.Repeat("x", 100) + ".csv"} {
		if _, err := s.AddRoute(name, []byte(csv)); !errors.Is(err, ErrName) {
			t.Errorf("%q: got %v", name, err)
		}
	}
	var wrong *check.Problems
	if _, err := s.AddRoute("bad.csv", []byte("time_s,speed_km/h\n0,x\n")); !errors.As(err, &wrong) {
		t.Errorf("a table with a fault: %v", err)
	}
	if _, err := s.AddRoute("hill.csv", []byte(csv)); err != nil {
		t.Fatal(err)
	}
	p := s.View().Project
	if got := p.Routes(); !slices.Equal(got, []string{"routes/hill.csv"}) {
		t.Errorf("got %v", got)
	}
	if _, err := p.Route("routes/hill.csv"); err != nil {
		t.Error(err)
	}
	outside := filepath.Join(t.TempDir(), "out.csv")
	if err := errors.Join(os.WriteFile(outside, []byte(csv), 0o600), os.Symlink(outside, filepath.Join(dir, "routes", "link.csv"))); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{outside, "../x.csv", "routes/../../x.csv", "routes/link.csv", "routes/none.csv"} {
		if _, err := p.Route(name); err == nil {
			t.Errorf("%q was read", name)
		}
	}
}
