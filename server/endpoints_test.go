package server

import (
	"encoding/csv"
	"math"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"packyard/check/checktest"
	"packyard/design"
	"packyard/project"
	"packyard/search"
	"packyard/unit"
)

// requestFor returns a request of a path with what it needs in its query.
func requestFor(b *bench, path string) *http.Request {
	rank := get[OptionList](b, "/api/options").Report.Ranked
	q := url.Values{}
	if path == "/api/compare" {
		q.Set("a", rank[0].ID)
		q.Set("b", rank[len(rank)-1].ID)
	}
	r := httptest.NewRequest("GET", strings.Replace(path, "{id}", "x", 1)+"?"+q.Encode(), nil)
	r.SetPathValue("id", "prismatic-lfp-105")
	return r
}

func TestStateTellsWhatIsOpen(t *testing.T) {
	t.Parallel()
	b := reading(t)
	o := b.searched()
	s := get[State](b, "/api/state")
	if !s.Present || s.Project != "Cart" || s.Folder != "cart" || !s.Invented || s.Currency != "EUR" || s.RankBy != "range" || s.Schedule != "wltc-class3b" || s.Chosen != "" || s.Broken != nil {
		t.Errorf("got %+v", s)
	}
	h := s.Headline
	if h.Revision != s.Revision || h.Chosen || h.Option != o.Report.Ranked[0].ID || len(h.Budgets) != 4 || h.Range < 100000 || h.Verdict != "fits" || h.Micros == 0 {
		t.Errorf("headline %+v", h)
	}
	if s.Search.Fits != o.Report.Fits || s.Search.Candidates != o.Report.Candidates || s.Search.Fits == 0 {
		t.Errorf("search %+v", s.Search)
	}
	if s.Assumptions == 0 {
		t.Error("the template assumes nothing?")
	}
	if list := get[AssumptionList](b, "/api/assumptions").Assumptions; len(list) < s.Assumptions || list[0].SourceTitle == "" {
		t.Errorf("assumptions %d, state says %d", len(list), s.Assumptions)
	}
}

// TestAnswersAreThoseOfTheCommandLine: the server makes no number of its own.
func TestAnswersAreThoseOfTheCommandLine(t *testing.T) {
	t.Parallel()
	b := reading(t)
	got := b.searched()
	p, err := project.Open(b.dir)
	if err != nil {
		t.Fatal(err)
	}
	f, err := design.NewFrame(&p.Brief)
	if err != nil {
		t.Fatal(err)
	}
	res, err := search.Run(t.Context(), f, search.Options{})
	if err != nil {
		t.Fatal(err)
	}
	same(t, "options", got.Report, res.Report(f))
	o, err := search.Find(f, res.Packs[0].ID)
	if err != nil {
		t.Fatal(err)
	}
	as := get[AssessmentReply](b, "/api/assessment?option="+o.ID)
	want := f.Assess(search.Place(f, o))
	same(t, "assessment", as.Assessment, want)
	h := get[State](b, "/api/state").Headline
	same(t, "budgets", h.Budgets, want.Budgets)
	if h.Range != want.New.Range || h.RangeEnd != want.End.Range {
		t.Errorf("headline: ranges %v and %v, want %v and %v", h.Range, h.RangeEnd, want.New.Range, want.End.Range)
	}
}

// same compares two values by their JSON.
func same(t *testing.T, name string, got, want any) {
	t.Helper()
	a, b := encoded(t, got), encoded(t, want)
	if a != b {
		for i := range min(len(a), len(b)) {
			if a[i] != b[i] {
				t.Errorf("%s differs: got …%.120s want …%.120s", name, a[max(0, i-40):], b[max(0, i-40):])
				return
			}
		}
		t.Errorf("%s differs in length: %d and %d", name, len(a), len(b))
	}
}

func TestFileShowsEveryValueWithItsText(t *testing.T) {
	t.Parallel()
	b := reading(t)
	f := get[FileReply](b, "/api/file")
	by := map[string]Field{}
	for _, x := range f.Fields {
		by[x.Path] = x
	}
	m := by["donor.removed[0].mass"]
	if m.Text != "125 kg" || !m.Given || *m.SI != 125 || m.Symbol != "kg" || m.Pos.Line == 0 || !slices.Contains(m.Spellings, "lb") || m.Range == "" {
		t.Errorf("got %+v", m)
	}
	if x := by["targets.mass_limit"]; x.Given || x.Text != "" || x.Doc == "" || x.SI != nil {
		t.Errorf("got %+v", x)
	}
	if x := by["bays[1].opens"]; !slices.Contains(x.OneOf, "rear") {
		t.Errorf("got %+v", x)
	}
	i := slices.IndexFunc(f.Lists, func(l ListForm) bool { return l.Path == "donor.added" })
	if i < 0 || f.Lists[i].Count != 2 || len(f.Lists[i].Item) != 5 {
		t.Errorf("lists %+v", f.Lists)
	}
	if !strings.Contains(f.Text, "title: Cart") {
		t.Error("the text of the file is missing")
	}
}

func TestDonorShowsLedgerAndLoadsBeforeAndAfter(t *testing.T) {
	t.Parallel()
	b := reading(t)
	d := get[Donor](b, "/api/donor")
	if len(d.Removed) != 3 || d.Removed[0].Text != "125 kg" || d.Removed[0].AtText != [3]string{"-200 mm", "0 mm", "550 mm"} || d.Removed[0].Path != "donor.removed[0]" || d.Removed[0].Pos.Line == 0 {
		t.Errorf("removed %+v", d.Removed)
	}
	names := []string{"donor as weighed", "converted without a pack", "converted, empty", "converted, driver and passenger"}
	for i, s := range d.States {
		if s.Name != names[i] {
			t.Errorf("state %d is %q, want %q", i, s.Name, names[i])
		}
		// statics: axle loads sum to the weight
		checktest.Near(t, s.Name+", axles in kg", s.AxleFront.Kilograms()+s.AxleRear.Kilograms(), s.Mass.Kilograms(), 1e-6, 0, "statics")
	}
	pack := 0.0
	for _, r := range d.Pack {
		pack += r.Mass.Kilograms()
	}
	checktest.Near(t, "pack in kg", d.States[2].Mass.Kilograms()-d.States[1].Mass.Kilograms(), pack, 1e-6, 0, "statics")
	if d.Room == nil || float64(*d.Room) < pack || len(d.Findings) != len(d.States) || len(d.Findings[3].Findings) == 0 || len(d.Stability) == 0 {
		t.Errorf("room %v, findings %+v", d.Room, d.Findings)
	}
	a := get[AssessmentReply](b, "/api/assessment").Assessment
	same(t, "converted, empty", d.States[2], a.Vehicle[1])
}

func TestBaysShowModulesInTheirPlaces(t *testing.T) {
	t.Parallel()
	b := up(t, projectDir(t, ""))
	b.edit(set("bays[1].yaw", "90 °"), set("bays[1].at[0]", "2900 mm"), set("bays[1].at[1]", "-300 mm"))
	b.searched()
	v := get[Bays](b, "/api/bays")
	if len(v.Bays) != 2 || v.Option == "" || len(v.Modules) == 0 {
		t.Fatalf("got %+v", v)
	}
	y := v.Bays[1]
	for i, want := range [][3]float64{{0, 1, 0}, {-1, 0, 0}, {0, 0, 1}} {
		for k := range 3 {
			checktest.Near(t, "axis of a bay turned by 90° to the left", y.Axes[i][k], want[k], 1e-12, 0, "geometry")
		}
	}
	places := 0
	for _, x := range v.Bays {
		if len(x.Room) != len(v.Modules) && v.Option != "" {
			t.Errorf("%s: room %+v", x.Name, x.Room)
		}
		for _, r := range x.Room {
			if r.Gap != r.Bound-r.Most || r.Gap < 0 || r.Placed > r.Most {
				t.Errorf("%s: %+v", x.Name, r)
			}
		}
		for _, p := range x.Places {
			places++
			mid := [3]float64{}
			for _, c := range p.Corners {
				for k := range mid {
					mid[k] += float64(c[k]) / 8
				}
			}
			for k := range mid {
				checktest.Near(t, "middle of the corners in m", mid[k], float64(p.Centre[k]), 1e-9, 0, "geometry")
			}
			if p.Terminals == "" {
				t.Error("no terminal side")
			}
		}
		if len(x.Places) > 0 && (x.Used <= 0 || x.Used >= x.Volume || x.Mass <= x.BoxMass) {
			t.Errorf("%s: used %v of %v, mass %v", x.Name, x.Used, x.Volume, x.Mass)
		}
	}
	want := 0
	for _, m := range v.Modules {
		want += m.Count
	}
	if places != want {
		t.Errorf("%d places, %d modules", places, want)
	}
}

func TestSourcesStandBesideEachOther(t *testing.T) {
	t.Parallel()
	b := reading(t)
	v := get[Sources](b, "/api/sources")
	if len(v.Sources) != 2 || v.Currency != "EUR" {
		t.Fatalf("got %+v", v)
	}
	cells, modules := v.Sources[0], v.Sources[1]
	if cells.Module != nil || modules.Module == nil || !modules.Module.Openable || *cells.Price != 60 || cells.Candidates == 0 || modules.Candidates == 0 {
		t.Errorf("got %+v and %+v", cells, modules)
	}
	// A cell of 105 Ah at about 3.2 V holds about 336 Wh.
	checktest.Near(t, "energy of a cell in Wh", cells.EnergyPiece.WattHours(), 105*3.2, 0, 0.05, "arithmetic: capacity times nominal voltage")
	checktest.Near(t, "price per kWh", *cells.PricePerKWh, 60/(float64(cells.EnergyPiece)/3.6e6), 1e-9, 0, "arithmetic")
	for _, s := range v.Sources {
		c := s.Curves
		if c == nil || len(c.Charge) != 101 || len(c.OCV) != 101 || !slices.IsSorted(c.OCV) || len(c.Resistance) != 6 {
			t.Fatalf("%s: curves %+v", s.Name, c)
		}
		if new, end := c.Resistance[0], c.Resistance[3]; new.Life != "as bought" || end.Life != "end of life" || end.Resistance[50] < new.Resistance[50] || new.Temperature > c.Resistance[1].Temperature {
			t.Errorf("%s: %v %v", s.Name, new.Life, end.Life)
		}
		if c.Resistance[0].Resistance[50] <= c.Resistance[2].Resistance[50] {
			t.Errorf("%s: resistance in the cold is not above that in the heat", s.Name)
		}
	}
	if c := get[CurveView](b, "/api/parts/prismatic-lfp-105/curves"); len(c.Resistance) != 4 || math.Abs(float64(c.Resistance[0].Temperature-unit.Celsius(25))) > 1e-9 {
		t.Errorf("curves of a part: %+v", c.Resistance)
	}
	if status, _ := b.do("GET", "/api/parts/none/curves", nil); status != http.StatusNotFound {
		t.Errorf("a part that is not there: %d", status)
	}
	kinds := map[string]int{}
	for _, p := range get[Parts](b, "/api/parts").Parts {
		kinds[p.Kind]++
		if p.Own {
			t.Errorf("%s is not of the workshop", p.ID)
		}
	}
	if len(kinds) != 9 {
		t.Errorf("kinds of parts %v", kinds)
	}
}

func TestCompareShowsOnlyWhatDiffers(t *testing.T) {
	t.Parallel()
	b := reading(t)
	rank := b.searched().Report.Ranked
	x, y := rank[0].ID, rank[len(rank)-1].ID
	v := get[Compare](b, "/api/compare?a="+x+"&b="+y)
	if len(v.Rows) == 0 || v.Same == 0 {
		t.Fatalf("got %+v", v)
	}
	for _, r := range v.Rows {
		if r.A != nil && r.B != nil && (*r.A == *r.B || r.Difference == nil && r.A.Symbol == r.B.Symbol || r.Difference != nil && r.Difference.SI != r.B.SI-r.A.SI) {
			t.Errorf("%s: %+v", r.Name, r)
		}
	}
	if v := get[Compare](b, "/api/compare?a="+x+"&b="+x); len(v.Rows) != 0 {
		t.Errorf("an option differs from itself: %+v", v.Rows)
	}
	for path, want := range map[string]int{"/api/compare?a=" + x: 400, "/api/compare?a=" + x + "&b=none": 404, "/api/assessment?option=none/1S1P/1x1S": 404} {
		if status, data := b.do("GET", path, nil); status != want {
			t.Errorf("%s: %d: %s", path, status, data)
		}
	}
}

func TestTracesKeepTheirExtremesWhenGathered(t *testing.T) {
	t.Parallel()
	b := reading(t)
	full := get[Drive](b, "/api/drive?full=1&once=1")
	some := get[Drive](b, "/api/drive?points=50&once=1")
	if full.Buckets != 0 || full.Rows != len(full.Columns[0].Values) || some.Buckets != 50 || some.Rows != full.Rows || len(full.Columns) != 11 {
		t.Fatalf("rows %d and %d, buckets %d", full.Rows, some.Rows, some.Buckets)
	}
	for i, c := range full.Columns {
		s := some.Columns[i]
		if i < axesFirst {
			if len(s.Values) != 50 || s.Values[0] != c.Values[0] {
				t.Errorf("%s: %d values", c.Key, len(s.Values))
			}
			continue
		}
		if slices.Min(s.Min) != slices.Min(c.Values) || slices.Max(s.Max) != slices.Max(c.Values) || len(s.Min) != 50 {
			t.Errorf("%s: extremes are lost", c.Key)
		}
	}
	for path, want := range map[string]int{"/api/drive?points=1": 400, "/api/drive?points=x": 400, "/api/drive?life=old": 400, "/api/drive?schedule=none": 400,
		"/api/drive?schedule=constant+60": 400, "/api/profile?schedule=constant+5+kg": 400,
		"/api/profile?schedule=constant+9000+km/h": 400, "/api/profile?schedule=routes/none.csv": 404, "/api/profile?schedule=/etc/none.csv": 400,
	} {
		if status, data := b.do("GET", path, nil); status != want {
			t.Errorf("%s: %d: %s", path, status, data)
		}
	}
	end := get[Drive](b, "/api/drive?life=end&points=10")
	if fresh := get[Drive](b, "/api/drive?points=10"); end.Run.Distance >= fresh.Run.Distance || end.Run.Life != "end of life" {
		t.Errorf("at the end of life %v, as bought %v", end.Run.Distance, fresh.Run.Distance)
	}
}

// TestEnergyFlowCloses: what comes into a stage leaves it, but for the residual
// of the balance of drive.
func TestEnergyFlowCloses(t *testing.T) {
	t.Parallel()
	b := reading(t)
	for _, path := range []string{"/api/drive?points=10", "/api/drive?points=10&once=1", "/api/drive?points=10&schedule=udds&life=end"} {
		v := get[Drive](b, path)
		sum := map[string]float64{}
		through := 0.0
		for _, l := range v.Flow.Links {
			sum[l.From] -= float64(l.Energy)
			sum[l.To] += float64(l.Energy)
			through = max(through, float64(l.Energy))
			if l.Energy < 0 {
				t.Errorf("%s: %s to %s is negative", path, l.From, l.To)
			}
		}
		for _, n := range v.Flow.Nodes {
			if n.Kind == "stage" && math.Abs(sum[n.ID]) > 1e-6*through {
				t.Errorf("%s: %s keeps %.4g J of %.4g J", path, n.ID, sum[n.ID], through)
			}
		}
		checktest.Near(t, "drawn from the wall, J", -sum["wall"], float64(v.Run.Wall), 1, 1e-9, "conservation of energy")
	}
}

func TestRoutesAreTakenInAndDriven(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	p := b.page("")
	b.searched()
	data, err := os.ReadFile(firstGPX(t))
	if err != nil {
		t.Fatal(err)
	}
	line := read[ScheduleLine](b, 200, "PUT", "/api/routes/ridge.gpx?client=tablet", string(data))
	if line.ID != "routes/ridge.gpx" || !line.File || line.Climb <= 0 {
		t.Errorf("got %+v", line)
	}
	if c, _ := wait(p, "change", func(c Change) bool { return slices.Contains(c.Parts, "routes") }); c.By != "edit" || c.Client != "tablet" {
		t.Errorf("got %+v", c)
	}
	if status, data := b.do("PUT", "/api/routes/bad.gpx", "<gpx/>"); status != 422 {
		t.Errorf("a track with a fault: %d %s", status, data)
	}
	prof := get[Profile](b, "/api/profile?schedule=routes/ridge.gpx")
	dist, height := prof.Columns[1].Values, prof.Columns[4].Values
	checktest.Near(t, "distance in m", dist[len(dist)-1], float64(line.Distance), 0.1, 0, "the figures of the schedule")
	climb := 0.0
	for i := 1; i < len(height); i++ {
		climb += max(0, height[i]-height[i-1])
	}
	checktest.Near(t, "climb in m", climb, float64(line.Climb), 0.1, 0, "the figures of the schedule")
	runs := get[Ranges](b, "/api/ranges").Runs
	i := slices.IndexFunc(runs, func(r design.DriveReport) bool { return r.Schedule == "routes/ridge.gpx" })
	if i < 0 || runs[i].Distance <= 0 || len(runs) < 9 {
		t.Errorf("runs %+v", runs)
	}
	b.edit(set("targets.schedule", "routes/ridge.gpx"))
	if s := get[State](b, "/api/state"); s.Schedule == "udds" {
		t.Errorf("schedule %q", s.Schedule)
	}
	list := get[Schedules](b, "/api/schedules").Schedules
	if last := list[len(list)-1]; last.ID != "routes/ridge.gpx" || list[0].SourceTitle == "" {
		t.Errorf("schedules %+v", list)
	}
}

func firstGPX(t *testing.T) string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(checktest.Root(t), "examples", "orchard-truck", "routes", "*.gpx"))
	if err != nil || len(found) == 0 {
		t.Fatal("the orchard truck has no track")
	}
	return found[0]
}

func TestEveryTableComesAsCSV(t *testing.T) {
	t.Parallel()
	b := reading(t)
	rank := b.searched().Report.Ranked
	for _, name := range b.tableNames() {
		status, data := b.do("GET", "/api/csv/"+name+"?a="+rank[0].ID+"&b="+rank[len(rank)-1].ID, nil)
		if status != 200 {
			t.Errorf("%s: %d: %s", name, status, data)
			continue
		}
		rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
		if err != nil || len(rows) == 0 || len(rows[0]) < 2 || len(rows) < 2 && name != "misses" && name != "limits" {
			t.Errorf("%s: %v, %d rows: %.200s", name, err, len(rows), data)
			continue
		}
		if seen := slices.Sorted(slices.Values(rows[0])); len(slices.Compact(seen)) != len(rows[0]) {
			t.Errorf("%s: a column twice: %v", name, rows[0])
		}
	}
	_, data := b.do("GET", "/api/csv/options", nil)
	rows, _ := csv.NewReader(strings.NewReader(string(data))).ReadAll()
	if i := slices.Index(rows[0], "range_m"); i < 0 || rows[1][i] != plainNumber(float64(rank[0].Range)) || len(rows) != len(rank)+1 {
		t.Errorf("options: %v", rows[:2])
	}
	if status, _ := b.do("GET", "/api/csv/none", nil); status != 404 {
		t.Errorf("a table that is not there: %d", status)
	}
	if got := plainCell(valueOf("=1+1")); got != "'=1+1" {
		t.Errorf("a formula: %q", got)
	}
	if got := plainCell(valueOf("-12")); got != "-12" {
		t.Errorf("a number: %q", got)
	}
}

func TestListsOfTheProgramAreAnswered(t *testing.T) {
	t.Parallel()
	b := reading(t)
	if n := len(get[UnitTable](b, "/api/units").Quantities); n != len(unit.Kinds()) {
		t.Errorf("%d quantities", n)
	}
	if n := len(get[References](b, "/api/references").Sources); n < 50 {
		t.Errorf("%d sources", n)
	}
	if p := get[ProblemList](b, "/api/problems"); len(p.Problems) != 0 {
		t.Errorf("%+v", p)
	}
	if f := get[FileReply](b, "/api/template"); len(f.Fields) < 50 {
		t.Errorf("%d fields", len(f.Fields))
	}
	if status, _ := b.do("GET", "/api/nothing", nil); status != 404 {
		t.Errorf("nothing: %d", status)
	}
	if status, _ := b.do("POST", "/api/state", "{}"); status != 404 {
		t.Errorf("state is not written: %d", status)
	}
}
