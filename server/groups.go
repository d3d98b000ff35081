package server

import (
	"fmt"
	"net/http"
	"sort"

	"packyard/design"
	"packyard/drive"
	"packyard/unit"
)

// GroupsReply is one run of an option with every series group by itself.
type GroupsReply struct {
	Revision int64              `json:"revision"`
	Report   design.GroupReport `json:"report"`
	Rows     int                `json:"rows"`    // steps of the run
	Buckets  int                `json:"buckets"` // into which the columns are gathered; 0: not gathered
	Columns  []Column           `json:"columns"`
	Map      GroupMap           `json:"map"`
	Views    GroupViews         `json:"views"`
}

// Bounds of a run per group.
const (
	seedMost   = 1 << 30
	viewEvery  = 30 * unit.Second // between two views of all groups, before they are thinned
	eventsMost = 200
)

// groupTrip reads a run per group from the query of a request and drives it.
func (s *Server) groupTrip(r *http.Request) (*trip, *design.GroupTrip, *design.GroupDriven, int64, error) {
	t, _, revision, err := s.tripOf(r)
	if err != nil {
		return nil, nil, nil, revision, err
	}
	q := r.URL.Query()
	g := &design.GroupTrip{
		Schedule: t.sched, End: t.end, Once: t.once, Still: q.Get("still") == "1",
		Trace: &drive.Trace{}, Groups: &drive.GroupTrace{Every: viewEvery},
		Halt: r.Context().Err, // the page may no longer wait
	}
	if q.Get("draw") != "" {
		seed, err := wholeOf(q, "draw", 0, 0, seedMost)
		if err != nil {
			return nil, nil, nil, revision, err
		}
		if g.Start, err = t.f.DrawGroups(t.a.placed, t.end, uint64(seed)); err != nil {
			return nil, nil, nil, revision, textOf(err)
		}
	}
	got, err := t.f.DriveGroups(t.a.placed, g)
	if err != nil {
		return nil, nil, nil, revision, textOf(fmt.Errorf("schedule %s: %w", t.sched.ID, err))
	}
	return t, g, &got, revision, nil
}

func (s *Server) groups(r *http.Request) (any, error) {
	n, err := bucketsOf(r.URL.Query())
	if err != nil {
		return nil, err
	}
	t, g, got, revision, err := s.groupTrip(r)
	if err != nil {
		return nil, err
	}
	out := &GroupsReply{Revision: revision, Rows: len(g.Trace.Time), Map: mapOf(t.f, t.a.placed), Views: viewsOfRun(g.Groups)}
	out.Report = t.groupReport(got, g)
	columns := groupColumns(g.Trace, g.Groups)
	if n > 0 {
		columns = columns[:len(columns)-whichColumns] // which group it is has no least and greatest
	}
	out.Columns, out.Buckets = gather(columns, n)
	return out, nil
}

func (s *Server) groupTable(r *http.Request, t *sheetOut) error {
	_, g, _, _, err := s.groupTrip(r)
	if err != nil {
		return err
	}
	return t.columns(groupColumns(g.Trace, g.Groups))
}

// limitTable is every time in which something limited the pack.
func (s *Server) limitTable(r *http.Request, t *sheetOut) error {
	_, _, got, _, err := s.groupTrip(r)
	if err != nil {
		return err
	}
	return t.list(design.GroupEvents(got.Events))
}

// groupReport tells what a run per group found, with the longest of its events.
func (t *trip) groupReport(d *design.GroupDriven, g *design.GroupTrip) design.GroupReport {
	out := t.f.GroupReport(t.a.report.Option, t.a.placed, g, d)
	out.Drawn = g.Start != nil
	sort.SliceStable(out.Events, func(i, j int) bool {
		return out.Events[i].To-out.Events[i].From > out.Events[j].To-out.Events[j].From
	})
	out.Events = out.Events[:min(len(out.Events), eventsMost)]
	return out
}

// whichColumns is how many columns at the end say which group it is.
const whichColumns = 4

func groupColumns(t *drive.Trace, g *drive.GroupTrace) []Column {
	n := min(len(t.Time), len(g.Time))
	number := func(list []int) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = float64(list[i] + 1)
		}
		return out
	}
	which := func(name, key string, list []int) Column { return plainColumn(name, key, "1", "group", number(list)) }
	return append(columnsOf(t),
		plainColumn("weakest group", "weakest_group_v", "V", "voltage", g.VoltageMin),
		plainColumn("strongest group", "strongest_group_v", "V", "voltage", g.VoltageMax),
		plainColumn("hottest group", "hottest_k", "K", "temperature", g.TemperatureMax),
		plainColumn("coldest group", "coldest_k", "K", "temperature", g.TemperatureMin),
		plainColumn("heat of the cells", "cell_heat_w", "W", "power", g.Heat),
		which("which is weakest", "weakest_group", g.GroupMin), which("which is strongest", "strongest_group", g.GroupMax),
		which("which is hottest", "hottest_group", g.Hottest), which("which is coldest", "coldest_group", g.Coldest))
}

// groupKey names the column of a group.
func groupKey(group int) string { return fmt.Sprintf("group_%d_k", group) }
