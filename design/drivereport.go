package design

import (
	"slices"

	"packyard/check"
	"packyard/drive"
	"packyard/schedule"
	"packyard/unit"
)

// DriveReport is one run of an option on a schedule as command and workbench
// tell it.
type DriveReport struct {
	Option      string          `json:"option"`
	Life        string          `json:"life"` // LifeName
	Schedule    string          `json:"schedule"`
	Title       string          `json:"schedule_title"`
	Notes       []string        `json:"schedule_notes"`
	Error       string          `json:"error,omitempty"` // why the schedule could not be driven; all else is empty
	Performance *Performance    `json:"performance"`     // nil with an error
	Duration    unit.Time       `json:"duration_s"`
	Distance    unit.Length     `json:"distance_m"`
	Cycles      float64         `json:"cycles"` // schedules driven; dimensionless
	ChargeEnd   unit.Ratio      `json:"charge_end_share"`
	Traction    unit.Energy     `json:"traction_j"`
	Braking     unit.Energy     `json:"braking_j"`
	Recovered   unit.Energy     `json:"recovered_j"`
	Wheels      unit.Energy     `json:"wheels_j"`
	Motor       unit.Energy     `json:"motor_j"`
	Terminals   unit.Energy     `json:"terminals_j"`
	Chemical    unit.Energy     `json:"chemical_j"`
	Wall        unit.Energy     `json:"wall_j"`
	Held        []HeldBack      `json:"held_back"`
	CappedShare unit.Ratio      `json:"capped_share_of_time"`
	Findings    []check.Finding `json:"findings"`
}

// HeldBack counts the steps of a run in which something held the vehicle or its
// regeneration back.
type HeldBack struct {
	By    string `json:"by"` // one word, for programs
	Name  string `json:"name"`
	Steps int    `json:"step_count"` // of one second
}

// LifeName says whether cells are as bought or at their planned end of life.
func LifeName(end bool) string {
	if end {
		return "end of life"
	}
	return "as bought"
}

// DriveReport tells what a run of an option on a schedule found.
func (f *Frame) DriveReport(option string, s *schedule.Schedule, r *drive.Result, end bool, found []check.Finding) DriveReport {
	p := f.Performance(r)
	p.Schedule = s.ID
	l := r.Limited
	return DriveReport{
		Option: option, Life: LifeName(end), Schedule: s.ID, Title: s.Title, Notes: append([]string{}, s.Notes...), Performance: &p,
		Duration: r.Duration, Distance: r.Distance, Cycles: r.Cycles, ChargeEnd: r.SoCEnd,
		Traction: r.Energy.Traction, Braking: r.Energy.Braking, Recovered: r.Energy.Recovered, Wheels: r.Energy.Wheels, Motor: r.Energy.Motor,
		Terminals: r.Energy.Terminals, Chemical: r.Energy.Chemical, Wall: r.Energy.Wall, CappedShare: r.Capped.Share,
		Findings: append([]check.Finding{}, found...),
		Held: []HeldBack{
			{"voltage", "lowest voltage of the cells", l.Voltage}, {"current", "current of the cells or inverter", l.Current},
			{"power", "power of the pack", l.Power}, {"motor", "motor at this voltage, gears or grip", l.Motor},
			{"temperature", "temperature of the cells", l.Temperature},
			{"charge_voltage", "regeneration: highest voltage of the cells", l.ChargeVoltage},
			{"charge_current", "regeneration: current of the cells", l.ChargeCurrent}, {"charge_full", "regeneration: pack is full", l.ChargeFull},
			{"charge_temperature", "regeneration: temperature of the cells", l.ChargeTemperature},
		},
	}
}

// Undriven tells of a schedule that could not be driven, by its name.
func Undriven(option, name string, end bool, err error) DriveReport {
	return DriveReport{
		Option: option, Life: LifeName(end), Schedule: name, Title: name, Error: err.Error(), Notes: []string{}, Held: []HeldBack{}, Findings: []check.Finding{},
	}
}

// GroupReport is one run with every series group by itself as command and
// workbench tell it. Groups count from 1, string after string; 0 is the pack as
// a whole.
type GroupReport struct {
	Run           DriveReport      `json:"run"`
	Held          bool             `json:"temperatures_held"`
	Why           string           `json:"temperatures_held_because"`
	Drawn         bool             `json:"groups_drawn"`         // from what was stated of the source
	Alike         string           `json:"groups_alike_because"` // nothing says how they differ; "" when something does
	Matched       string           `json:"cell_map_file"`        // empty: none
	Groups        int              `json:"groups"`
	Empties       int              `json:"group_that_empties_first"`
	EmptiesName   string           `json:"group_that_empties_first_name"`
	GroupMin      int              `json:"weakest_group"`
	GroupMinName  string           `json:"weakest_group_name"`
	VoltageMin    unit.Voltage     `json:"weakest_group_v"`
	GroupMax      int              `json:"strongest_group"`
	GroupMaxName  string           `json:"strongest_group_name"`
	VoltageMax    unit.Voltage     `json:"strongest_group_v"`
	Hottest       int              `json:"hottest_group"`
	HottestName   string           `json:"hottest_group_name"`
	HottestTemp   unit.Temperature `json:"hottest_k"`
	Coldest       int              `json:"coldest_group"`
	ColdestName   string           `json:"coldest_group_name"`
	ColdestTemp   unit.Temperature `json:"coldest_k"`
	Heat          unit.Energy      `json:"cell_heat_j"`
	Left          unit.Energy      `json:"left_in_other_groups_j"`
	DistanceAlike unit.Length      `json:"distance_every_cell_alike_m"` // 0: not driven
	Limits        []GroupLimit     `json:"limits"`
	Events        []GroupEvent     `json:"events"`
	EventsInAll   int              `json:"event_count"`
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

// GroupReport tells what a run per group found, beside the same run with every
// cell alike.
func (f *Frame) GroupReport(option string, p *Placed, t *GroupTrip, d *GroupDriven) GroupReport {
	name := f.groupNames(p)
	out := GroupReport{
		Run:  f.DriveReport(option, t.Schedule, &d.Result, t.End, d.Findings(d.Demand)),
		Held: d.Still, Why: d.Why, Groups: p.Wiring.Topology.Series * p.Wiring.Topology.Strings,
		Empties: d.Empties + 1, EmptiesName: name(d.Empties), GroupMin: d.GroupMin + 1, GroupMinName: name(d.GroupMin), VoltageMin: d.VoltageGroupMin,
		GroupMax: d.GroupMax + 1, GroupMaxName: name(d.GroupMax), VoltageMax: d.VoltageGroupMax,
		Hottest: d.Hottest + 1, HottestName: name(d.Hottest), HottestTemp: d.TemperatureMax,
		Coldest: d.Coldest + 1, ColdestName: name(d.Coldest), ColdestTemp: d.TemperatureMin, Heat: d.Heat, Left: d.Left,
		Limits: groupLimits(d.Events, name), Events: GroupEvents(d.Events), EventsInAll: len(d.Events),
	}
	if _, err := f.DrawGroups(p, t.End, 0); err != nil {
		out.Alike = err.Error()
	}
	if r, err := f.Drive(&Trip{Wiring: &p.Wiring, Figures: &p.Figures, Schedule: t.Schedule, End: t.End, Once: t.Once}); err == nil {
		out.DistanceAlike = r.Distance
	}
	return out
}

// GroupEvents lists who limited a pack and when, in order of time.
func GroupEvents(list []drive.LimitEvent) []GroupEvent {
	out := []GroupEvent{}
	for _, e := range list {
		out = append(out, GroupEvent{string(e.Limiter), e.Charging, e.Group + 1, e.From, e.To, e.Wanted, e.Given})
	}
	return out
}

// groupLimits sums the events by limiter and group, the longest first.
func groupLimits(events []drive.LimitEvent, name func(int) string) []GroupLimit {
	out := []GroupLimit{}
	for _, e := range events {
		i := slices.IndexFunc(out, func(l GroupLimit) bool {
			return l.Limiter == string(e.Limiter) && l.Charging == e.Charging && l.Group == e.Group+1
		})
		if i < 0 {
			i = len(out)
			out = append(out, GroupLimit{Limiter: string(e.Limiter), Charging: e.Charging, Group: e.Group + 1, Name: name(e.Group), First: e.From})
		}
		out[i].Time += e.To - e.From
		out[i].Times++
	}
	slices.SortStableFunc(out, func(a, b GroupLimit) int {
		switch {
		case a.Time > b.Time:
			return -1
		case a.Time < b.Time:
			return 1
		}
		return 0
	})
	return out
}
