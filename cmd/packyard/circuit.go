package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"packyard/check"
	"packyard/design"
	"packyard/part"
	"packyard/search"
)

// circuitFlags are the choices of the circuit command.
type circuitFlags struct {
	option       string
	csv, explain bool
}

func (a *app) circuitCommand() *cobra.Command {
	var fl circuitFlags
	c := &cobra.Command{
		Use:   "circuit [PROJECT]",
		Short: "fuses, contactors, precharge, cables and insulation of an option",
		Long: "circuit makes the high-voltage circuit of one option: fault currents, fuses, contactors, precharge, cables,\n" +
			"service disconnect, isolation, clearance and creepage, each with the part chosen or why none fits.\n" +
			"What is known of the circuit stands in the project under circuit; what is not stated there is left to packyard.\n" +
			"A safety finding can be acknowledged by name, under acknowledged, and stays in the list.",
		Args: atMostOneProject,
		RunE: func(c *cobra.Command, args []string) error { return a.circuit(c.Context(), args, &fl) },
	}
	c.Flags().StringVar(&fl.option, "option", "", "name of the option (default: the one that the project fixes, else the first of packyard options)")
	yesFlag(c, &fl.explain, "explain", "show the workings and what was assumed")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	yesFlag(c, &fl.csv, "csv", "print the cables as CSV, SI with the unit in the column name")
	return c
}

func (a *app) circuit(ctx context.Context, args []string, fl *circuitFlags) error {
	if fl.csv && a.json {
		return usagef("--csv and --json do not go together")
	}
	f, o, err := a.chosen(ctx, args, fl.option)
	if err != nil {
		return err
	}
	r, err := f.Circuit(search.Place(f, o))
	if err != nil {
		return err
	}
	switch {
	case fl.csv:
		err = a.circuitTable(r)
	case a.json:
		err = writeJSON(a.out, r)
	default:
		a.printCircuit(r, fl.explain)
	}
	if err == nil && r.Verdict != verdictFits {
		err = errFindings
	}
	return err
}

func (a *app) printCircuit(r *design.CircuitReport, explain bool) {
	fmt.Fprintln(a.out, titled(r.Project, r.Invented))
	fmt.Fprintf(a.out, "%s, %s: the circuit %s\n\n", r.Option, r.Topology, r.Verdict)
	t := newTable("for", ">pieces", "part", "chosen by")
	for _, x := range r.Items {
		switch {
		case x.Part != "":
			t.add(x.Subject, strings.TrimPrefix(strconv.Itoa(x.Count), "0"), x.Title, x.By)
		case x.None != "":
			t.add(x.Subject, "", "none", "")
		}
	}
	t.print(a.out)
	for _, x := range r.Items {
		if x.None != "" {
			fmt.Fprintf(a.out, "%s: %s\n", x.Subject, x.None)
		}
	}
	a.heading("short circuit")
	faults := newTable("at", ">highest", ">through one fuse", ">lowest", ">L/R|µs")
	for _, x := range r.Faults {
		faults.add(x.Place, of(a, x.Highest), of(a, x.ThroughFuse), of(a, x.Lowest), fixed(1e6*float64(x.Constant), 0))
	}
	faults.print(a.out)
	a.heading("cables")
	cables := newTable("cable", ">section", ">length", ">carries", ">may carry", "way")
	for _, c := range r.Cables {
		way := c.Label
		if c.Estimated {
			way += " (estimated)"
		}
		cables.add(c.ID, of(a, c.Section), of(a, c.Length), of(a, c.Current), of(a, c.Ampacity), way)
	}
	cables.print(a.out)
	a.circuitFindings(r.Findings, explain)
	if explain {
		a.circuitWorkings(r)
	}
	fmt.Fprintf(a.out, "\n%s open\n", check.Plural(r.Open, "safety finding"))
	for _, c := range r.Cautions {
		fmt.Fprintln(a.out, c)
	}
}

// circuitFindings prints what is more than a note, and all with explain.
func (a *app) circuitFindings(list []check.Finding, all bool) {
	first := true
	for _, n := range list {
		if !all && n.Severity == check.Note {
			continue
		}
		if first {
			a.heading("findings")
			first = false
		}
		fmt.Fprintln(a.out, n.Text(a.system))
	}
}

func (a *app) circuitWorkings(r *design.CircuitReport) {
	for _, x := range r.Items {
		if len(x.Workings) == 0 {
			continue
		}
		a.heading("%s", x.Subject)
		for _, w := range x.Workings {
			fmt.Fprint(a.out, w.Text(a.system))
		}
	}
	a.heading("assumed")
	for _, s := range r.Assumed {
		fmt.Fprintf(a.out, "%s = %s (%s)\n", s.Subject, s.Value.Text(a.system), check.SourceTitle(s.Source))
	}
}

// circuitTable writes the cables.
func (a *app) circuitTable(r *design.CircuitReport) error {
	w := csv.NewWriter(a.out)
	rows := [][]string{{"cable", "label", "part", "section_m2", "length_m", "estimated", "current_a", "ampacity_a", "resistance_ohm", "insulation_class"}}
	si := func(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }
	for _, c := range r.Cables {
		rows = append(rows, []string{c.ID, c.Label, c.Part, si(float64(c.Section)), si(float64(c.Length)), strconv.FormatBool(c.Estimated),
			si(float64(c.Current)), si(float64(c.Ampacity)), si(float64(c.Resistance)), c.Class})
	}
	return w.WriteAll(rows)
}

// protection are the parts that switch, protect and join.
func (a *app) protection() []*partGroup {
	c := part.BuiltIn()
	fuses := &partGroup{kind: "fuse", table: newTable("id", ">rated", ">to", ">breaks from", ">breaks to", ">clearing")}
	for _, x := range c.Fuses {
		fuses.add(x.ID, x.Title, x.Facts, nil, of(a, x.Current), of(a, x.Voltage), of(a, x.BreakingMin), of(a, x.Breaking), of(a, x.Clearing))
	}
	contactors := &partGroup{kind: "contactor", table: newTable("id", ">carries", ">to", ">breaks", ">against the direction", ">coil")}
	for _, x := range c.Contactors {
		contactors.add(x.ID, x.Title, x.Facts, nil, of(a, x.Current), of(a, x.Voltage), of(a, x.Break), of(a, x.BreakReverse), of(a, x.CoilHold))
	}
	cables := &partGroup{kind: "cable", table: newTable("id", ">section", ">resistance of 1 km", ">free air", ">conductor")}
	for _, x := range c.Cables {
		cables.add(x.ID, x.Title, x.Facts, nil, of(a, x.Section), of(a, x.ResistanceKm), of(a, x.AmpacityFree), of(a, x.ConductorTemp))
	}
	disconnects := &partGroup{kind: "service disconnect", table: newTable("id", ">rated", ">to")}
	for _, x := range c.Disconnects {
		disconnects.add(x.ID, x.Title, x.Facts, nil, of(a, x.Current), of(a, x.Voltage))
	}
	monitors := &partGroup{kind: "isolation monitor", table: newTable("id", ">to", ">tells from", ">tells to", ">within")}
	for _, x := range c.Monitors {
		monitors.add(x.ID, x.Title, x.Facts, nil, of(a, x.Voltage), of(a, x.RangeLow), of(a, x.RangeHigh), of(a, x.Response))
	}
	resistors := &partGroup{kind: "precharge resistor", table: newTable("id", ">resistance", ">power", ">pulse", ">to")}
	for _, x := range c.Resistors {
		resistors.add(x.ID, x.Title, x.Facts, nil, of(a, x.Resistance), of(a, x.Power), of(a, x.Pulse), of(a, x.Voltage))
	}
	return []*partGroup{fuses, contactors, cables, disconnects, monitors, resistors}
}
