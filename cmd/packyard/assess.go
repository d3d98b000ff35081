package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"packyard/check"
	"packyard/design"
	"packyard/project"
	"packyard/search"
	"packyard/unit"
)

func (a *app) assessCommand() *cobra.Command {
	var option string
	var explain bool
	c := &cobra.Command{
		Use:   "assess [PROJECT]",
		Short: "one option in full: budgets, places, findings and how each number came about",
		Long: "assess works out one option: the one that the project fixes under choose, or the one named with --option.\n" +
			"Names are printed by packyard options.",
		Args: cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error { return a.assess(folder(args), option, explain) },
	}
	c.Flags().StringVar(&option, "option", "", "name of the option, as packyard options prints it")
	c.Flags().BoolVar(&explain, "explain", false, "show the workings")
	c.Flags().BoolVar(&a.json, "json", false, "print JSON, SI numbers with the unit in the key")
	return c
}

// chosen opens a project and works out the option named, or the one it fixes.
func (a *app) chosen(dir, option string) (*design.Frame, *search.Option, error) {
	p, err := project.Open(dir)
	if err != nil {
		return nil, nil, err
	}
	if option == "" {
		option = p.Brief.Choose.Option
	}
	if option == "" {
		return nil, nil, usagef("no option: name one with --option, or fix one in packyard.yaml under choose; packyard options %s prints the names", dir)
	}
	f, err := design.NewFrame(&p.Brief)
	if err != nil {
		return nil, nil, err
	}
	o, err := search.Find(f, option)
	return f, o, err
}

func (a *app) assess(dir, option string, explain bool) error {
	f, o, err := a.chosen(dir, option)
	if err != nil {
		return err
	}
	as := f.Assess(search.Place(f, o))
	if a.json {
		if err := writeJSON(a.out, as); err != nil {
			return err
		}
	} else {
		a.printAssessment(as, explain)
	}
	if as.Verdict != "fits" {
		return errFindings
	}
	return nil
}

func (a *app) printAssessment(as *design.Assessment, explain bool) {
	title := as.Project
	if as.Invented {
		title += " (invented demonstration data)"
	}
	fmt.Fprintln(a.out, title)
	fmt.Fprintf(a.out, "%s: %s\n", as.Option, a.mark(as.Verdict, as.Verdict != "fits"))
	generic := ""
	if as.Cell.Generic {
		generic = ", generic curve"
	}
	fmt.Fprintf(a.out, "%s of %s cells %q (%s%s), %s\n", as.Topology, as.Form, as.Cell.ID, as.Cell.Title, generic, as.Source)

	a.heading("Budgets")
	t := newTable("budget", ">used", ">limit", ">left")
	for _, b := range as.Budgets {
		limit, left := "none stated", ""
		if b.Limit.SI != 0 {
			limit, left = b.Limit.Text(a.system), b.Left.Text(a.system)
		}
		t.add(b.Name, b.Used.Text(a.system), limit, left)
	}
	t.print(a.out)
	a.printWindow(as)
	a.printModules(as)
	a.printVehicle(as)
	a.printFindings(as)
	if explain {
		a.heading("Workings")
		for _, w := range as.Workings {
			for _, line := range strings.Split(strings.TrimRight(w.Text(a.system), "\n"), "\n") {
				fmt.Fprintln(a.out, "  "+line)
			}
		}
		a.printAssumed(as.Assumed)
	}
	fmt.Fprintln(a.out)
	for _, s := range as.Cautions {
		wrapped(a.out, "", s)
	}
}

func (a *app) printWindow(as *design.Assessment) {
	a.heading("Voltage window and range")
	w := as.Window
	fmt.Fprintf(a.out, "full %s, at the charge floor %s at rest and %s under load when cold and aged; %s by the name plate, which no limit is compared with\n",
		volts(w.Full), volts(w.Rest), volts(w.Lowest), volts(w.Nominal))
	t := newTable("", ">range", "on", ">usable", ">at the wheels", ">at the terminals", ">from the wall", ">peak 10 s", ">rms", "ended by")
	for _, l := range []struct {
		name string
		p    design.Performance
	}{{"as bought", as.New}, {"end of life", as.End}} {
		p := l.p
		on := p.Schedule
		if p.Capped {
			on += " (capped)"
		}
		t.add(l.name, a.length(p.Range), on, unit.Format(p.Usable, a.system), a.per(p.Wheels), a.per(p.Terminals), a.per(p.Wall),
			fmt.Sprintf("%.0f A", float64(p.Peak)), fmt.Sprintf("%.0f A", float64(p.RMS)), p.EndedBy)
	}
	t.print(a.out)
}

// per prints energy per distance, in Wh/km or Wh/mi.
func (a *app) per(c unit.Consumption) string {
	if a.system == unit.US {
		return fmt.Sprintf("%.0f Wh/mi", float64(c)*1609.344/3600)
	}
	return fmt.Sprintf("%.1f Wh/km", float64(c)/3.6)
}

func (a *app) printModules(as *design.Assessment) {
	a.heading("Modules and their places")
	t := newTable(">n", "module", ">slices", ">length", ">width", ">height", ">mass", ">handled at")
	for _, m := range as.Modules {
		t.add(count(m.Count), fmt.Sprintf("%dS%dP", m.Series, m.Parallel), count(m.Slices), a.small(m.Length), a.small(m.Width), a.small(m.Height),
			unit.Format(m.Mass, a.system), volts(m.Handling))
	}
	t.print(a.out)
	fmt.Fprintln(a.out)
	t = newTable("bay", "modules", ">mass in it", ">limit")
	for _, b := range as.Bays {
		var n []string
		for k, m := range as.Modules {
			if b.Modules[k] > 0 {
				n = append(n, fmt.Sprintf("%d of %dS", b.Modules[k], m.Series))
			}
		}
		limit := "none stated"
		if b.Limit > 0 {
			limit = unit.Format(b.Limit, a.system)
		}
		if len(n) == 0 {
			n = []string{"empty"}
		}
		t.add(b.Name, strings.Join(n, " and "), unit.Format(b.Mass, a.system), limit)
	}
	t.print(a.out)
}

// small prints a dimension of a part in mm or in.
func (a *app) small(l unit.Length) string {
	if a.system == unit.US {
		return fmt.Sprintf("%.2f in", float64(l)/0.0254)
	}
	return fmt.Sprintf("%.0f mm", l.Millimetres())
}

func (a *app) printVehicle(as *design.Assessment) {
	a.heading("Vehicle")
	kg := func(m unit.Mass) string { return unit.Format(m, a.system) }
	t := newTable("state", ">mass", ">front axle", ">rear axle", ">front left", ">front right", ">rear left", ">rear right", ">CG behind front axle", ">CG height")
	for _, s := range as.Vehicle {
		t.add(s.Name, kg(s.Mass), kg(s.AxleFront), kg(s.AxleRear), kg(s.FrontLeft), kg(s.FrontRight), kg(s.RearLeft), kg(s.RearRight),
			a.small(s.CG[0]), a.small(s.CG[2]))
	}
	t.print(a.out)
	for _, s := range as.Stability {
		fmt.Fprintf(a.out, "  %s: %s\n", s.Name, s.Value.Text(a.system))
	}
}

func (a *app) printFindings(as *design.Assessment) {
	a.heading("Findings")
	t := newTable("", "rule", ">value", ">limit", ">margin", "what is compared")
	for _, f := range as.Findings {
		t.add(a.mark(f.Severity.String(), f.Severity == check.Failure || f.Severity == check.Safety), f.Rule,
			f.Value.Text(a.system), f.Limit.Text(a.system), percent(f.Margin), f.Subject)
	}
	t.print(a.out)
	for _, f := range as.Findings {
		if f.Severity > check.Note && f.Remedy != "" {
			wrapped(a.out, "  ", fmt.Sprintf("%s: %s [%s]", f.Rule, f.Remedy, check.SourceTitle(f.Source)))
		}
	}
}

func (a *app) printAssumed(list []check.Assumption) {
	if len(list) == 0 {
		return
	}
	a.heading("Taken because the project does not say")
	t := newTable("subject", ">value", "source")
	for _, s := range list {
		t.add(s.Subject, s.Value.Text(a.system), check.SourceTitle(s.Source))
	}
	t.print(a.out)
}
