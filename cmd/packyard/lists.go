package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"packyard/check"
	"packyard/schedule"
	"packyard/unit"
)

// ScheduleLine is one built-in schedule as schedules prints it.
type ScheduleLine struct {
	ID       string      `json:"id"`
	Title    string      `json:"title"`
	Source   string      `json:"source"`
	Distance unit.Length `json:"distance_m"`
	Duration unit.Time   `json:"duration_s"`
	Mean     unit.Speed  `json:"mean_m_per_s"`
	Max      unit.Speed  `json:"max_m_per_s"`
	Stops    int         `json:"stops"`
	Phases   []PhaseLine `json:"phases"`
	Notes    []string    `json:"notes"`
}

// PhaseLine is one phase of a schedule.
type PhaseLine struct {
	Name string    `json:"name"`
	From unit.Time `json:"from_s"`
	To   unit.Time `json:"to_s"`
}

func (a *app) schedulesCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "schedules",
		Short: "the built-in driving schedules with their figures",
		Args:  noArgument,
		RunE:  func(*cobra.Command, []string) error { return a.schedules() },
	}
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	return c
}

func (a *app) schedules() error {
	var list []ScheduleLine
	for _, s := range schedule.BuiltIn() {
		g := s.Figures()
		line := ScheduleLine{
			ID: s.ID, Title: s.Title, Source: s.Source, Distance: g.Distance, Duration: g.Duration, Mean: g.Mean, Max: g.Max,
			Stops: g.Stops, Phases: []PhaseLine{}, Notes: append([]string{}, s.Notes...),
		}
		for _, p := range s.Phases {
			line.Phases = append(line.Phases, PhaseLine{p.Name, p.From, p.To})
		}
		list = append(list, line)
	}
	if a.json {
		return writeJSON(a.out, list)
	}
	far := a.farUnit()
	speed := map[string]string{"km": "km/h", "mi": "mph"}[far]
	t := newTable("schedule", ">distance|"+far, ">duration|s", ">mean|"+speed, ">highest|"+speed, ">stops")
	v := func(v unit.Speed) string { return fixed(float64(v)/factor[unit.Speed](speed), 2) }
	for _, s := range list {
		t.add(s.ID, fixed(float64(s.Distance)/factor[unit.Length](far), 3), fixed(float64(s.Duration), 0), v(s.Mean), v(s.Max), check.Whole(s.Stops))
	}
	t.print(a.out)
	a.heading("Titles, sources, phases and notes")
	t = newTable("schedule", "note")
	for _, s := range list {
		name := s.ID
		for _, n := range append(append([]string{s.Title, check.SourceTitle(s.Source)}, phases(s.Phases)...), s.Notes...) {
			t.add(name, n)
			name = ""
		}
	}
	t.body(a.out)
	fmt.Fprintln(a.out, "\nA schedule is also a constant speed, such as \"constant 60 km/h\", or a CSV or GPX file in the folder routes of a project.")
	return nil
}

// phases names the phases of a schedule with their times in one line.
func phases(list []PhaseLine) []string {
	if len(list) == 0 {
		return nil
	}
	var parts []string
	for _, p := range list {
		parts = append(parts, fmt.Sprintf("%s %.0f to %.0f s", p.Name, float64(p.From), float64(p.To)))
	}
	return []string{"phases: " + strings.Join(parts, ", ")}
}

// QuantityLine is one quantity as units prints it as JSON.
type QuantityLine struct {
	Quantity string     `json:"quantity"`
	Symbol   string     `json:"symbol"` // SI; "1" for a number
	Units    []UnitLine `json:"units"`
}

// UnitLine is one spelling of a unit: SI value = number·factor + offset.
type UnitLine struct {
	Spelling string  `json:"spelling"`
	Factor   float64 `json:"factor"` // in the SI unit of the quantity
	Offset   float64 `json:"offset"` // in the SI unit of the quantity
	System   string  `json:"system"` // "si" or "us"
	Alias    bool    `json:"alias"`  // another spelling of the unit before it
	Source   string  `json:"source"` // source key
}

func quantities() []QuantityLine {
	var out []QuantityLine
	for _, k := range unit.Kinds() {
		q := QuantityLine{Quantity: k.Noun, Symbol: k.Symbol}
		for _, r := range k.Rows {
			system := "si"
			if r.System == unit.US {
				system = "us"
			}
			q.Units = append(q.Units, UnitLine{r.Spelling, r.Factor, r.Offset, system, r.Alias, r.Source})
		}
		out = append(out, q)
	}
	return out
}

func (a *app) unitsCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "units",
		Short: "every unit that is accepted, with its factor and source",
		Args:  noArgument,
		RunE: func(*cobra.Command, []string) error {
			if a.json {
				return writeJSON(a.out, quantities())
			}
			fmt.Fprint(a.out, check.UnitsPage())
			return nil
		},
	}
	yesFlag(c, &a.json, "json", "print JSON")
	return c
}

func (a *app) sourcesCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "sources",
		Short: "where the built-in figures come from",
		Args:  noArgument,
		RunE: func(*cobra.Command, []string) error {
			if a.json {
				return writeJSON(a.out, check.Sources())
			}
			t := newTable("key", "status", "source")
			for _, s := range check.Sources() {
				t.add(s.Key, s.Status, strings.TrimSpace(s.Title+" "+parens(s.Note)))
			}
			t.print(a.out)
			return nil
		},
	}
	yesFlag(c, &a.json, "json", "print JSON")
	return c
}

func parens(s string) string {
	if s == "" {
		return ""
	}
	return "(" + s + ")"
}
