package server

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"packyard/check/checktest"
	"packyard/design"
	"packyard/project"
)

func TestEditReachesEveryOpenPage(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	one, two := b.page(""), b.page("")
	for _, p := range []*page{one, two} {
		if s, _ := wait[State](p, "state", nil); s.Project != "Smallest project" {
			t.Errorf("state %+v", s)
		}
	}
	b.searched()
	reply := b.edit(set("donor.weighed.front", "1420 lb"))
	for _, p := range []*page{one, two} {
		c, _ := wait[Change](p, "change", nil)
		if c.Revision != reply.Revision || c.By != "edit" || c.Client != "test" || !slices.Equal(c.Parts, []string{"donor"}) || !slices.Equal(c.Paths, []string{"donor.weighed.front"}) || c.Undo != 1 {
			t.Errorf("change %+v", c)
		}
		if h := p.headline(c); h.Revision != reply.Revision || len(h.Budgets) != 4 || h.Range == 0 {
			t.Errorf("headline %+v", h)
		}
		wait(p, "options", func(s SearchState) bool { return s.Revision == reply.Revision && s.Fits > 0 })
	}
	if o := get[OptionList](b, "/api/options"); o.Search.Revision != reply.Revision || o.Report == nil {
		t.Errorf("options %+v", o.Search)
	}
	if r := get[State](b, "/api/state"); r.Clients != 2 {
		t.Errorf("%d pages are open", r.Clients)
	}
}

func TestPageThatComesBackGetsWhatItMissed(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	p := b.page("")
	wait[State](p, "state", nil)
	b.edit(set("title", "one"))
	_, seen := wait(p, "change", func(c Change) bool { return c.Project == "one" })
	p.cancel()
	b.edit(set("title", "two"))
	b.edit(set("title", "three"))
	back := b.page(seen.id)
	for _, want := range []string{"two", "three"} {
		if c, _ := wait[Change](back, "change", nil); c.Project != want {
			t.Errorf("got %q, want %q", c.Project, want)
		}
	}
	for _, id := range []string{"other-5", "nonsense", b.start + "-999999", strings.Replace(seen.id, b.start, "1", 1)} {
		if s, _ := wait[State](b.page(id), "state", nil); s.Project != "three" {
			t.Errorf("after %q: got %+v", id, s)
		}
	}
	for i := range eventsKept + 5 {
		b.hub.publish("mended", i)
	}
	wait[State](b.page(seen.id), "state", nil)
}

func TestTwoPagesEditAtOnceAndNothingIsLost(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	base := b.session.View().Revision
	first := read[EditReply](b, 200, "POST", "/api/edits", EditRequest{Base: base, Client: "a", Ops: ops(set("title", "mine"))})
	second := read[EditReply](b, 200, "POST", "/api/edits", EditRequest{Base: base, Client: "b", Ops: ops(set("donor.weighed.front", "650 kg"))})
	if first.Merged || !second.Merged {
		t.Errorf("other places: %+v, %+v", first, second)
	}
	e := read[ErrorReply](b, 409, "POST", "/api/edits", EditRequest{Base: base, Client: "b", Ops: ops(set("title", "yours"))}).Error
	if e.Kind != "conflict" || len(e.Conflicts) != 1 || e.Revision != second.Revision {
		t.Fatalf("same place: %+v", e)
	}
	if c := e.Conflicts[0]; c.Path != "title" || *c.Base != "Smallest project" || *c.Theirs != "mine" || *c.Yours != "yours" {
		t.Errorf("conflict %+v", c)
	}
	read[EditReply](b, 200, "POST", "/api/edits", EditRequest{Base: base, Force: true, Ops: ops(set("title", "yours"))})

	const each = 10
	var wg sync.WaitGroup
	for _, path := range []string{"donor.weighed.front", "donor.weighed.rear"} {
		wg.Go(func() {
			base := b.session.View().Revision
			for i := range each {
				status, data := b.do("POST", "/api/edits", EditRequest{Base: base, Client: path, Ops: ops(set(path, fmt.Sprintf("%d kg", 600+i)))})
				if status != 200 {
					t.Errorf("%s: %d %s", path, status, data)
				}
				var r EditReply
				_ = json.Unmarshal(data, &r)
				if i%2 == 0 {
					base = r.Revision // else the page is behind
				}
			}
		})
	}
	wg.Wait()
	p, err := project.Open(b.dir)
	if err != nil {
		t.Fatal(err)
	}
	if d := p.Brief.Donor; d.WeighedFront != 609 || d.WeighedRear != 609 || p.Brief.Title != "yours" {
		t.Errorf("got %v and %v", d.WeighedFront, d.WeighedRear)
	}
	if v := b.session.View(); v.Undo != 3+2*each {
		t.Errorf("%d states are kept, want %d", v.Undo, 3+2*each)
	}
}

func TestUndoAndRedoSurviveARestartOfTheServer(t *testing.T) {
	t.Parallel()
	dir := smallDir(t)
	b := up(t, dir)
	b.edit(set("title", "one"))
	b.edit(set("title", "two"))
	step := func(path, want string) {
		t.Helper()
		read[EditReply](b, 200, "POST", "/api/"+path, StepRequest{Base: b.session.View().Revision})
		if s := get[State](b, "/api/state"); s.Project != want {
			t.Fatalf("%s: got %q, want %q", path, s.Project, want)
		}
	}
	step("undo", "one")
	old := b.session.View().Revision
	if err := b.stop(); err != nil {
		t.Fatal(err)
	}
	b = up(t, dir)
	if s := get[State](b, "/api/state"); s.Undo != 1 || s.Redo != 1 || s.Revision <= old {
		t.Errorf("after the restart: %+v", s)
	}
	step("redo", "two")
	step("undo", "one")
	step("undo", "Smallest project")
	if e := read[ErrorReply](b, 404, "POST", "/api/undo", StepRequest{Base: b.session.View().Revision}).Error; e.Kind != "notfound" {
		t.Errorf("got %+v", e)
	}
	if e := read[ErrorReply](b, 409, "POST", "/api/redo", StepRequest{Base: old}).Error; e.Kind != "conflict" {
		t.Errorf("got %+v", e)
	}
	if h := get[HistoryReply](b, "/api/history"); h.Undo != 0 || h.Redo != 2 || len(h.States) != 0 {
		t.Errorf("history %+v", h)
	}
	// A page from before the restart is told, not misled.
	e := read[ErrorReply](b, 409, "POST", "/api/edits", EditRequest{Base: old, Ops: ops(set("title", "stale"))}).Error
	if e.Kind != "conflict" || *e.Conflicts[0].Theirs != "Smallest project" {
		t.Errorf("got %+v", e)
	}
}

func TestOutsideEditsAreShownAndBrokenOnesKeepTheLastGoodState(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	p := b.page("")
	wait[State](p, "state", nil)
	file := filepath.Join(b.dir, project.FileName)
	good, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	write := func(text string) {
		t.Helper()
		if err := os.WriteFile(file, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write(strings.Replace(string(good), "Smallest project", "By hand", 1))
	if c, _ := wait(p, "change", func(c Change) bool { return c.By == "outside" }); c.Project != "By hand" || !slices.Equal(c.Parts, []string{"title"}) {
		t.Errorf("got %+v", c)
	}
	write(strings.Replace(string(good), "2500 mm", "2500", 1))
	if l, _ := wait[ProblemList](p, "broken", nil); len(l.Problems) != 1 || l.Problems[0].Path != "donor.wheelbase" || l.Problems[0].Hint == "" {
		t.Errorf("got %+v", l)
	}
	s := get[State](b, "/api/state")
	if s.Project != "By hand" || s.Broken == nil || len(get[ProblemList](b, "/api/problems").Problems) != 1 {
		t.Errorf("got %+v", s)
	}
	if e := read[ErrorReply](b, 409, "POST", "/api/edits", EditRequest{Base: s.Revision, Ops: ops(set("title", "x"))}).Error; e.Kind != "broken" {
		t.Errorf("got %+v", e)
	}
	read[EditReply](b, 200, "POST", "/api/undo", StepRequest{Base: s.Revision})
	wait[struct{}](p, "mended", nil)
	if data, err := os.ReadFile(file); err != nil || !strings.Contains(string(data), "By hand") {
		t.Errorf("the last good state is not back: %v", err)
	}
}

func TestSlipsAreProblemsAndNothingIsWritten(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	before, err := os.ReadFile(filepath.Join(b.dir, project.FileName))
	if err != nil {
		t.Fatal(err)
	}
	rev := b.session.View().Revision
	for _, c := range []struct {
		op         project.Op
		status     int
		kind, path string
	}{
		{set("donor.wheelbase", "2500"), 422, "problems", "donor.wheelbase"},
		{set("donor.wheelbase", "2500 kg"), 422, "problems", "donor.wheelbase"},
		{set("donor.weighed.front", "640,5 kg"), 422, "problems", "donor.weighed.front"},
		{set("drive.unit", "none"), 422, "problems", "drive.unit"},
		{set("donor", "x"), 400, "request", ""},
		{set("donor..x", "x"), 400, "request", ""},
		{set("bays[99].name", "x"), 400, "request", ""},
		{project.Op{Kind: "delete", Path: "nothing"}, 400, "request", ""},
		{project.Op{Kind: "delete", Path: "donor"}, 422, "problems", "donor"},
		{project.Op{Kind: "paint", Path: "title"}, 400, "request", ""},
		{project.Op{Kind: "insert", Path: "bays", Value: json.RawMessage(`[]`)}, 400, "request", ""},
		{project.Op{Kind: "insert", Path: "bays", Value: json.RawMessage(`{"name":5}`)}, 400, "request", ""},
	} {
		for _, path := range []string{"/api/edits", "/api/check"} {
			e := read[ErrorReply](b, c.status, "POST", path, EditRequest{Base: rev, Ops: ops(c.op)}).Error
			if e.Kind != c.kind || c.path != "" && e.Problems[0].Path != c.path || e.Message == "" {
				t.Errorf("%+v: got %+v", c.op, e)
			}
		}
	}
	for _, text := range []string{"", "{", "[]", `{"base":1}`, `{"base":1,"ops":[],"more":1}`, `{"base":1,"ops":[{}]}{}`, `{"base":"1","ops":[]}`} {
		if status, data := b.do("POST", "/api/edits", text); status != 400 && status != 409 {
			t.Errorf("%q: %d %s", text, status, data)
		}
	}
	if ok := read[CheckReply](b, 200, "POST", "/api/check", EditRequest{Base: rev, Ops: ops(set("donor.wheelbase", "98 in"))}); !ok.OK {
		t.Error("a good value is refused")
	}
	after, err := os.ReadFile(filepath.Join(b.dir, project.FileName))
	if err != nil || string(after) != string(before) || b.session.View().Revision != rev {
		t.Error("something was written")
	}
}

func TestProjectIsMadeFromAFormAndAnOptionChosen(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "goat cart")
	b := up(t, dir)
	p := b.page("")
	if s, _ := wait[State](p, "state", nil); s.Present || s.Folder != "goat cart" || s.Headline != nil {
		t.Errorf("state %+v", s)
	}
	for _, path := range []string{"/api/file", "/api/donor", "/api/options", "/api/assessment"} {
		if e := read[ErrorReply](b, 409, "GET", path, nil).Error; e.Kind != "noproject" {
			t.Errorf("%s: %+v", path, e)
		}
	}
	if f := get[FileReply](b, "/api/template"); !strings.Contains(f.Text, "title: goat cart") {
		t.Error("the template has another title")
	}
	if e := read[ErrorReply](b, 422, "POST", "/api/project", NewRequest{Title: "Cart", Ops: ops(set("donor.wheelbase", "2.5"))}).Error; e.Kind != "problems" {
		t.Errorf("got %+v", e)
	}
	read[EditReply](b, 200, "POST", "/api/project", NewRequest{Title: "Cart", Ops: ops(set("donor.wheelbase", "2.5 m"), set("sources[0].count", "100"), project.Op{Kind: "delete", Path: "sources[1]"})})
	if c, _ := wait[Change](p, "change", nil); c.By != "new" || c.Project != "Cart" {
		t.Errorf("change %+v", c)
	}
	rank := b.searched().Report.Ranked
	last := rank[len(rank)-1].ID
	r := b.edit(set("choose.option", last))
	c, _ := wait(p, "change", func(c Change) bool { return c.Revision == r.Revision })
	h := p.headline(c)
	if !h.Chosen || h.Option != last {
		t.Errorf("headline %+v", h)
	}
	if e := read[ErrorReply](b, 409, "POST", "/api/project", NewRequest{Title: "Again"}).Error; e.Kind != "exists" {
		t.Errorf("got %+v", e)
	}
}

func TestBriefThatCannotBeComputedSaysWhy(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	b.searched()
	p := b.page("")
	wait[State](p, "state", nil)
	var many []project.Op
	for i := range 12 {
		many = append(many, project.Op{Kind: "insert", Path: "bays", Value: json.RawMessage(fmt.Sprintf(`{"name":"b%d","at":["2100 mm","-500 mm","350 mm"],"size":["800 mm","1000 mm","400 mm"]}`, i))})
	}
	b.edit(many...)
	f, _ := wait[Failed](p, "failed", nil)
	if f.Message == "" || get[State](b, "/api/state").Headline != nil {
		t.Errorf("got %+v", f)
	}
}

func TestNewerEditCancelsTheSearch(t *testing.T) {
	t.Parallel()
	b := up(t, projectDir(t, "orchard-truck"))
	p := b.page("")
	first := b.edit(set("title", "one"))
	wait(p, "progress", func(x Progress) bool { return x.Revision == first.Revision })
	second := b.edit(set("targets.price_limit", "9000 EUR"))
	wait(p, "progress", func(x Progress) bool { return x.Revision == second.Revision })
	if status, _ := b.do("DELETE", "/api/search", nil); status != http.StatusNoContent {
		t.Errorf("stopping: %d", status)
	}
	s, _ := wait[SearchState](p, "options", nil)
	if s.Running || s.Error == "" || s.Revision == first.Revision {
		t.Errorf("got %+v", s)
	}
	for end := time.Now().Add(20 * time.Second); get[State](b, "/api/state").Search.Running; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("the search was not stopped")
		}
	}
}

func TestRelaxationLetsInWhatItsMissPromises(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	b := up(t, smallDir(t))
	report := b.searched().Report
	if len(report.Misses) < 2 {
		t.Fatalf("%d nearest misses", len(report.Misses))
	}
	rev := b.session.View().Revision
	for _, m := range report.Misses {
		q := RelaxRequest{Option: m.Option.ID, Top: rankedMost}
		for _, l := range m.Limits {
			q.Limits = append(q.Limits, RelaxLimit{Rule: l.Rule, To: l.Value.SI})
		}
		if m.Growth != nil {
			q.Growth = &RelaxGrowth{Bay: m.Growth.Bay, Axis: m.Growth.Axis, By: m.Growth.By}
		} else if m.Limits[0].Rule == design.Space.String() {
			continue // no bay that grows within bounds was found
		}
		v := read[Relaxation](b, 200, "POST", "/api/relaxation", q)
		pack := packOf(m.Option.ID)
		if !slices.ContainsFunc(v.Report.Ranked, func(r searchRow) bool { return packOf(r.ID) == pack }) {
			t.Errorf("%s to %v: %s is not let in", m.Limits[0].Rule, m.Limits[0].Value, pack)
		}
		if v.FitsMore <= 0 || len(v.Changes) == 0 {
			t.Errorf("%s: %d more fit, changes %+v", m.Limits[0].Rule, v.FitsMore, v.Changes)
		}
		if len(v.Ops) == 0 {
			t.Logf("%s: no value of the file moves it", m.Limits[0].Rule)
			continue
		}
		// The edits that it names do what it shows.
		p, err := b.session.Check(project.Edit{Base: rev, Ops: v.Ops})
		if err != nil {
			t.Errorf("%s: %+v: %v", m.Limits[0].Rule, v.Ops, err)
			continue
		}
		if got := reportOfBrief(t, &p.Brief); got.Fits != v.Report.Fits {
			t.Errorf("%s: the preview has %d that fit, the edit %d", m.Limits[0].Rule, v.Report.Fits, got.Fits)
		}
	}
	if b.session.View().Revision != rev {
		t.Error("a preview wrote something")
	}
	for _, q := range []RelaxRequest{
		{Option: "none", Limits: []RelaxLimit{{Rule: "money.pack", To: 1}}},
		{Option: report.Ranked[0].ID},
		{Option: report.Ranked[0].ID, Limits: []RelaxLimit{{Rule: "none", To: 1}}},
		{Option: report.Ranked[0].ID, Limits: []RelaxLimit{{Rule: "space.bays", To: 1}}},
		{Option: report.Ranked[0].ID, Limits: []RelaxLimit{{Rule: "mass.bay", To: 1}}},
		{Option: report.Ranked[0].ID, Growth: &RelaxGrowth{Bay: "none", Axis: "length", By: 0.1}},
		{Option: report.Ranked[0].ID, Growth: &RelaxGrowth{Bay: "rear", Axis: "up", By: 0.1}},
		{Option: report.Ranked[0].ID, Growth: &RelaxGrowth{Bay: "rear", Axis: "length", By: 1000}},
	} {
		if status, data := b.do("POST", "/api/relaxation", q); status != 400 && status != 404 {
			t.Errorf("%+v: %d %s", q, status, data)
		}
	}
}
