package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"packyard/bench"
	"packyard/cell"
	"packyard/check"
	"packyard/unit"
)

// BenchLine is one item as bench list prints it.
type BenchLine struct {
	Item       string          `json:"item"`
	Kind       bench.ItemKind  `json:"kind"`
	Source     string          `json:"source"`
	Lot        string          `json:"lot"`
	Part       string          `json:"part"`
	Position   string          `json:"position"`
	Tests      int             `json:"tests_count"`
	Capacity   unit.Charge     `json:"capacity_as"`    // zero: not measured
	Resistance unit.Resistance `json:"resistance_ohm"` // zero: not measured
	Health     unit.Ratio      `json:"health_share"`   // of the rated capacity; zero: not known
	Refused    []string        `json:"refused"`        // steps of the intake
	Lacking    []string        `json:"lacking"`
}

func (a *app) benchListCommand() *cobra.Command {
	var csv bool
	c := &cobra.Command{
		Use:   "list",
		Short: "all items with what is known of them",
		Args:  noArgument,
		RunE: func(c *cobra.Command, _ []string) error {
			return a.onBench(c.Context(), true, func(s *bench.Store, cells *cell.Catalogue) error {
				lines, err := benchLines(c.Context(), s, cells)
				if err != nil {
					return err
				}
				if a.json {
					return writeJSON(a.out, lines)
				}
				return a.printItems(lines, csv)
			})
		},
	}
	yesFlag(c, &csv, "csv", "print CSV")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	return c
}

func benchLines(ctx context.Context, s *bench.Store, cells *cell.Catalogue) ([]BenchLine, error) {
	list, err := s.Measure(ctx, cells)
	if err != nil {
		return nil, err
	}
	tests, err := s.Tests(ctx, "")
	if err != nil {
		return nil, err
	}
	n := map[string]int{}
	for _, t := range tests {
		n[t.Item]++
	}
	lines := []BenchLine{}
	for _, m := range list {
		l := BenchLine{Item: m.Item.Label, Kind: m.Item.Kind, Source: m.Item.Source, Lot: m.Item.Lot, Part: m.Item.Part, Position: m.Item.Position,
			Tests: n[m.Item.Label], Capacity: m.Capacity, Resistance: m.Resistance, Refused: m.Refused, Lacking: m.Lacking}
		if m.Rated > 0 {
			l.Health = unit.Ratio(m.Capacity / m.Rated)
		}
		lines = append(lines, l)
	}
	return lines, nil
}

func (a *app) printItems(lines []BenchLine, csv bool) error {
	head := []string{"item", "kind", "source", "lot", ">tests", ">capacity|Ah", ">resistance|mΩ", ">health|%", "position", "intake"}
	if csv {
		head = []string{"item", "kind", "source", "lot", "tests", "capacity_ah", "resistance_mohm", "health_percent", "position", "intake"}
	}
	t := newTable(head...)
	for _, l := range lines {
		intake := "complete"
		switch {
		case len(l.Refused) > 0:
			intake = "refused: " + strings.Join(l.Refused, ", ")
		case len(l.Lacking) == len(bench.Checklist()):
			intake = "none"
		case len(l.Lacking) > 0:
			intake = "lacks " + strings.Join(l.Lacking, ", ")
		}
		t.add(l.Item, string(l.Kind), l.Source, l.Lot, fmt.Sprint(l.Tests), figureOf(float64(l.Capacity), 3600, 3), figureOf(float64(l.Resistance), 1e-3, 3),
			figureOf(float64(l.Health), 0.01, 1), l.Position, intake)
	}
	if csv {
		return t.csv(a.out)
	}
	t.print(a.out)
	return nil
}

// ItemReport is one item as bench show prints it.
type ItemReport struct {
	Item    bench.Item     `json:"about"`
	Intake  []IntakeLine   `json:"intake"`
	Tests   []TestLine     `json:"tests"`
	Results []bench.Result `json:"results"`
}

// IntakeLine is one step of the intake with its newest record.
type IntakeLine struct {
	Step    string        `json:"step"`
	Asks    string        `json:"asks"`
	Limit   string        `json:"limit"`
	Verdict bench.Verdict `json:"verdict"` // empty: no record
	Words   string        `json:"words"`
	By      string        `json:"by"`
	At      string        `json:"at"`
}

// TestLine is one kept log.
type TestLine struct {
	Test     int64        `json:"test"`
	File     string       `json:"file"`
	Sum      string       `json:"file_sha256"`
	Rows     int          `json:"rows_count"`
	Duration unit.Time    `json:"duration_s"`
	VMin     unit.Voltage `json:"voltage_min_v"`
	VMax     unit.Voltage `json:"voltage_max_v"`
	Positive string       `json:"positive"`
	Because  string       `json:"positive_because"`
	Faults   []FaultLine  `json:"faults"`
}

func (a *app) benchShowCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "show ITEM",
		Short: "one item: its intake, its logs and its results",
		Args:  oneItem,
		RunE: func(c *cobra.Command, args []string) error {
			return a.onBench(c.Context(), true, func(s *bench.Store, _ *cell.Catalogue) error { return a.showItem(c.Context(), s, args[0]) })
		},
	}
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	return c
}

func oneItem(_ *cobra.Command, args []string) error {
	if len(args) != 1 {
		return usagef("%d arguments: the label of one item is accepted", len(args))
	}
	return nil
}

func (a *app) showItem(ctx context.Context, s *bench.Store, label string) error {
	it, err := s.Item(ctx, label)
	if err != nil {
		return err
	}
	r := ItemReport{Item: it, Tests: []TestLine{}, Results: []bench.Result{}}
	if r.Intake, err = intakeOf(ctx, s, label); err != nil {
		return err
	}
	tests, err := s.Tests(ctx, label)
	if err != nil {
		return err
	}
	for _, t := range tests {
		p := &t.Report
		r.Tests = append(r.Tests, TestLine{t.ID, t.File, t.FileSum, p.Rows, p.Duration, p.VoltageMin, p.VoltageMax, string(p.Positive), p.SignFrom, faultLines(p.Faults)})
	}
	results, err := s.Results(ctx, label)
	if err != nil {
		return err
	}
	r.Results = append(r.Results, results...)
	if a.json {
		return writeJSON(a.out, r)
	}
	a.printItem(&r)
	return nil
}

func intakeOf(ctx context.Context, s *bench.Store, label string) ([]IntakeLine, error) {
	records, err := s.Records(ctx, label)
	if err != nil {
		return nil, err
	}
	latest, _ := bench.Latest(records, label)
	var out []IntakeLine
	for _, st := range bench.Checklist() {
		l := IntakeLine{Step: st.Name, Asks: st.Asks, Limit: st.Limit}
		for _, r := range latest {
			if r.Step == st.Name {
				l.Verdict, l.Words, l.By, l.At = r.Verdict, r.Words, r.By, r.At.Format("2006-01-02 15:04")
			}
		}
		out = append(out, l)
	}
	return out, nil
}

func (a *app) printItem(r *ItemReport) {
	it := &r.Item
	fmt.Fprintf(a.out, "%s, %s\n", it.Label, it.Kind)
	t := newTable("", "")
	for _, f := range [][2]string{{"module", it.Parent}, {"source", it.Source}, {"lot", it.Lot}, {"origin", it.Origin}, {"part", it.Part}, {"position", it.Position}, {"photo", it.Photo}, {"note", it.Note}} {
		if f[1] != "" {
			t.add(f[0], f[1])
		}
	}
	t.body(a.out)
	a.heading("Intake")
	a.printIntake(r.Intake)
	if len(r.Tests) > 0 {
		a.heading("Logs")
		t = newTable(">test", "file", ">rows", ">hours", ">lowest|V", ">highest|V", "positive current", "what is to be known")
		for _, x := range r.Tests {
			var said []string
			for _, f := range x.Faults {
				said = append(said, f.Text)
			}
			t.add(fmt.Sprint(x.Test), x.File, check.Whole(x.Rows), fixed(float64(x.Duration)/3600, 2), fixed(float64(x.VMin), 3), fixed(float64(x.VMax), 3), x.Positive, strings.Join(said, "; "))
		}
		t.print(a.out)
	}
	if len(r.Results) > 0 {
		a.heading("Results")
		a.printResults(r.Results, false)
	}
}

func (a *app) printIntake(lines []IntakeLine) {
	t := newTable("step", "verdict", "entered", "limit", "on", "what is looked at")
	for _, l := range lines {
		v := string(l.Verdict)
		if v == "" {
			v = "-"
		}
		t.add(l.Step, a.mark(v, l.Verdict == bench.Bad), l.Words, l.Limit, l.At, l.Asks)
	}
	t.print(a.out)
}

func (a *app) printResults(list []bench.Result, items bool) {
	head := []string{"item", "quantity", ">value", ">charge|%", ">temperature|°C", ">after|s", ">test", "method"}
	if !items {
		head = head[1:]
	}
	t := newTable(head...)
	for i := range list {
		r := &list[i]
		warm, test := "", ""
		if r.At.Temperature > 0 {
			warm = fixed(float64(r.At.Temperature)-273.15, 1)
		}
		if r.Test > 0 {
			test = fmt.Sprint(r.Test)
		}
		row := []string{r.Item, string(r.Quantity), resultText(r), figureOf(float64(r.At.Charge), 0.01, 1), warm, figureOf(float64(r.At.Time), 1, 1), test, fmt.Sprintf("%s, version %d", r.Method, r.Version)}
		if !items {
			row = row[1:]
		}
		t.add(row...)
	}
	t.print(a.out)
}
