package server

import (
	"fmt"
	"net/http"
	"slices"
	"sort"

	"packyard/check"
	"packyard/design"
	"packyard/drive"
	"packyard/unit"
)

// GroupsReply is one run of an option with every series group by itself.
type GroupsReply struct {
	Revision int64      `json:"revision"`
	Run      GroupRun   `json:"run"`
	Rows     int        `json:"rows"`    // steps of the run
	Buckets  int        `json:"buckets"` // into which the columns are gathered; 0: not gathered
	Columns  []Column   `json:"columns"`
	Map      GroupMap   `json:"map"`
	Views    GroupViews `json:"views"`
}

// GroupRun is the outcome of a run per group. Groups count from 1, string after
// string; 0 is the pack as a whole.
type GroupRun struct {
	DriveRun
	Still       bool             `json:"temperatures_held"`
	Why         string           `json:"temperatures_held_because"`
	Drawn       bool             `json:"groups_drawn"`         // from what was stated of the source
	AlikeWhy    string           `json:"groups_alike_because"` // nothing says how they differ; "" when something does
	Groups      int              `json:"groups"`
	Fidelity    string           `json:"fidelity"`
	Empties     int              `json:"group_that_empties_first"`
	EmptiesName string           `json:"group_that_empties_first_name"`
	Weakest     int              `json:"weakest_group"`
	WeakestName string           `json:"weakest_group_name"`
	VoltageMin  unit.Voltage     `json:"weakest_group_v"`
	Strongest   int              `json:"strongest_group"`
	StrongName  string           `json:"strongest_group_name"`
	VoltageMax  unit.Voltage     `json:"strongest_group_v"`
	Hottest     int              `json:"hottest_group"`
	HottestName string           `json:"hottest_group_name"`
	HottestTemp unit.Temperature `json:"hottest_k"`
	Coldest     int              `json:"coldest_group"`
	ColdestName string           `json:"coldest_group_name"`
	ColdestTemp unit.Temperature `json:"coldest_k"`
	CellHeat    unit.Energy      `json:"cell_heat_j"`
	Left        unit.Energy      `json:"left_in_other_groups_j"`
	Limits      []GroupLimit     `json:"limits"`
	Events      []GroupEvent     `json:"events"` // the longest
	EventsInAll int              `json:"events_in_all"`
	LumpedRange unit.Length      `json:"range_every_cell_alike_m"`
}

// GroupLimit sums the times in which one group limited the pack.
type GroupLimit struct {
	Limiter  string    `json:"limiter"`
	Charging bool      `json:"charging"`
	Group    int       `json:"group"`
	Name     string    `json:"name"`
	Time     unit.Time `json:"time_s"`
	Times    int       `json:"times"`
	First    unit.Time `json:"first_s"`
}

// GroupEvent is a time in which one thing limited the pack without a break.
type GroupEvent struct {
	Limiter  string     `json:"limiter"`
	Charging bool       `json:"charging"`
	Group    int        `json:"group"`
	From     unit.Time  `json:"from_s"`
	To       unit.Time  `json:"to_s"`
	Wanted   unit.Power `json:"wanted_w"`
	Given    unit.Power `json:"given_w"`
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
	out.Run = t.groupRun(got, g, &out.Map)
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
	return t.list(eventsOf(got.Events))
}

func (t *trip) groupRun(d *design.GroupDriven, g *design.GroupTrip, m *GroupMap) GroupRun {
	plain := t.run(&driven{result: d.Result, demand: d.Demand})
	plain.Findings = append([]check.Finding{}, d.Findings(d.Demand)...)
	top := t.a.placed.Wiring.Topology
	out := GroupRun{
		DriveRun: plain, Still: d.Still, Why: d.Why, Drawn: g.Start != nil, Groups: top.Series * top.Strings, Fidelity: d.Fidelity,
		Empties: d.Empties + 1, Weakest: d.GroupMin + 1, VoltageMin: d.VoltageGroupMin, Strongest: d.GroupMax + 1, VoltageMax: d.VoltageGroupMax,
		Hottest: d.Hottest + 1, HottestTemp: d.TemperatureMax, Coldest: d.Coldest + 1, ColdestTemp: d.TemperatureMin, CellHeat: d.Heat, Left: d.Left,
		Limits: limitsOf(d.Events, m), Events: eventsOf(d.Events), EventsInAll: len(d.Events),
	}
	out.EmptiesName, out.WeakestName, out.StrongName = m.groupName(out.Empties), m.groupName(out.Weakest), m.groupName(out.Strongest)
	out.HottestName, out.ColdestName = m.groupName(out.Hottest), m.groupName(out.Coldest)
	if _, err := t.f.DrawGroups(t.a.placed, t.end, 0); err != nil {
		out.AlikeWhy = err.Error()
	}
	if lumped, err := t.drive(false); err == nil {
		out.LumpedRange = lumped.result.Distance
	}
	sort.SliceStable(out.Events, func(i, j int) bool {
		return out.Events[i].To-out.Events[i].From > out.Events[j].To-out.Events[j].From
	})
	out.Events = out.Events[:min(len(out.Events), eventsMost)]
	return out
}

func eventsOf(list []drive.LimitEvent) []GroupEvent {
	out := []GroupEvent{}
	for _, e := range list {
		out = append(out, GroupEvent{string(e.Limiter), e.Charging, e.Group + 1, e.From, e.To, e.Wanted, e.Given})
	}
	return out
}

// limitsOf sums events by limiter and group, the longest first.
func limitsOf(events []drive.LimitEvent, m *GroupMap) []GroupLimit {
	out := []GroupLimit{}
	for _, e := range events {
		i := slices.IndexFunc(out, func(l GroupLimit) bool {
			return l.Limiter == string(e.Limiter) && l.Charging == e.Charging && l.Group == e.Group+1
		})
		if i < 0 {
			i = len(out)
			out = append(out, GroupLimit{Limiter: string(e.Limiter), Charging: e.Charging, Group: e.Group + 1, Name: m.groupName(e.Group + 1), First: e.From})
		}
		out[i].Time += e.To - e.From
		out[i].Times++
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].Time > out[j].Time })
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
