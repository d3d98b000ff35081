package main

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"packyard/check"
	"packyard/design"
	"packyard/unit"
)

func (a *app) printAssessment(as *design.Assessment, explain bool) {
	fmt.Fprintln(a.out, titled(as.Project, as.Invented))
	fmt.Fprintf(a.out, "%s: %s\n", as.Option, a.mark(as.Verdict, as.Verdict != verdictFits))
	generic := ""
	if as.Cell.Generic {
		generic = "; generic curve"
	}
	wrapped(a.out, "", "  ", fmt.Sprintf("%s from the source %s, modules %s, cells %s (%s%s)", as.Topology, as.Source, as.Form, as.Cell.ID, as.Cell.Title, generic))

	a.heading("Budgets")
	t := newTable("budget", ">used", ">limit", ">left")
	for _, b := range as.Budgets {
		used, limit, left := a.figure(b.Used), "none stated", ""
		if b.Limit.SI != 0 {
			used, limit = a.apart(b.Used, b.Limit)
			left = a.figure(b.Left)
		}
		t.add(b.Name, used, limit, left)
	}
	t.print(a.out)
	a.printWindow(as)
	a.printModules(as)
	a.printVehicle(as)
	a.printFindings(as)
	if explain {
		a.printWorkings(as.Workings)
		a.printAssumed(as.Assumed)
	}
	fmt.Fprintln(a.out)
	for _, s := range as.Cautions {
		wrapped(a.out, "", "", s)
	}
}

// perUnit is the unit of energy per distance.
func (a *app) perUnit() string { return "Wh/" + a.farUnit() }

func (a *app) per(c unit.Consumption) string {
	return fixed(float64(c)/factor[unit.Consumption](a.perUnit()), 1)
}

// wall is per, empty without a charger.
func (a *app) wall(c unit.Consumption) string {
	if c == 0 {
		return ""
	}
	return a.per(c)
}

func (a *app) printWindow(as *design.Assessment) {
	a.heading("Voltage window")
	w := as.Window
	t := newTable(">full|V", ">lowest charge, at rest|V", ">lowest charge, under load, cold and aged|V", ">name plate, compared with no limit|V")
	v := func(x unit.Voltage) string { return fixed(float64(x), 1) }
	t.add(v(w.Full), v(w.Rest), v(w.Lowest), v(w.Nominal))
	t.print(a.out)

	capped := ""
	if as.New.Capped || as.End.Capped {
		capped = ", capped at what the vehicle can do"
	}
	a.heading("Range on %s%s", as.New.Schedule, capped)
	far, per := a.farUnit(), a.perUnit()
	t = newTable("", ">range|"+far, ">usable|kWh", ">wheels|"+per, ">terminals|"+per, ">wall|"+per, ">lowest|V", ">peak 10 s|A", ">rms|A", "ended by")
	for _, l := range []struct {
		name string
		p    *design.Performance
	}{{"as bought", &as.New}, {"end of life", &as.End}} {
		p := l.p
		t.add(l.name, a.far(p.Range), fixed(p.Usable.KilowattHours(), 2), a.per(p.Wheels), a.per(p.Terminals), a.wall(p.Wall),
			v(p.VoltageMin), fixed(float64(p.Peak), 0), fixed(float64(p.RMS), 0), p.EndedBy)
	}
	t.print(a.out)
}

func (a *app) printModules(as *design.Assessment) {
	a.heading("Modules")
	t := newTable("module", ">number", ">slices", ">length", ">width", ">height", ">mass", ">volts when handled, full")
	for _, m := range as.Modules {
		t.add(fmt.Sprintf("%dS%dP", m.Series, m.Parallel), check.Whole(m.Count), check.Whole(m.Slices), of(a, m.Length), of(a, m.Width), of(a, m.Height),
			of(a, m.Mass), fixed(float64(m.Handling), 1)+" V")
	}
	t.print(a.out)

	a.heading("Bays")
	t = newTable("bay", "modules", ">mass in it", ">limit")
	for _, b := range as.Bays {
		var n []string
		for k, m := range as.Modules {
			if b.Modules[k] > 0 {
				n = append(n, fmt.Sprintf("%d of %dS%dP", b.Modules[k], m.Series, m.Parallel))
			}
		}
		if len(n) == 0 {
			t.add(b.Name, "empty", "", "")
			continue
		}
		mass, limit := of(a, b.Mass), "none stated"
		if b.Limit > 0 {
			mass, limit = a.apart(check.Of(b.Mass), check.Of(b.Limit))
		}
		t.add(b.Name, strings.Join(n, " and "), mass, limit)
	}
	t.print(a.out)
}

func (a *app) printVehicle(as *design.Assessment) {
	kg, small := a.heavyUnit(), "mm"
	if a.system == unit.US {
		small = "in"
	}
	a.heading("Vehicle")
	t := newTable("state", ">mass|"+kg, ">front axle|"+kg, ">rear axle|"+kg, ">front left|"+kg, ">front right|"+kg, ">rear left|"+kg, ">rear right|"+kg,
		">CG behind axle|"+small, ">CG height|"+small)
	decimals := 0
	if small == "in" {
		decimals = 1
	}
	mm := func(l unit.Length) string { return fixed(float64(l)/factor[unit.Length](small), decimals) }
	for _, s := range as.Vehicle {
		t.add(s.Name, a.heavy(s.Mass), a.heavy(s.AxleFront), a.heavy(s.AxleRear), a.heavy(s.FrontLeft), a.heavy(s.FrontRight), a.heavy(s.RearLeft),
			a.heavy(s.RearRight), mm(s.CG[0]), mm(s.CG[2]))
	}
	t.print(a.out)
	fmt.Fprintln(a.out)
	t = newTable("", ">")
	for _, s := range as.Stability {
		t.add(s.Name, a.figure(s.Value))
	}
	t.body(a.out)
}

// printFindings lists what was found: what breaks first, and among equals what
// is nearest to its limit.
func (a *app) printFindings(as *design.Assessment) {
	list := append([]check.Finding(nil), as.Findings...)
	sort.SliceStable(list, func(i, j int) bool {
		x, y := &list[i], &list[j]
		if x.Severity != y.Severity {
			return severityRank(x.Severity) < severityRank(y.Severity)
		}
		return x.Margin < y.Margin
	})
	a.heading("Findings")
	t := newTable("", "rule", ">value", ">limit", ">margin", "what is compared")
	for i := range list {
		f := &list[i]
		value, limit := a.apart(f.Value, f.Limit)
		margin := ""
		if f.Limit.SI != 0 {
			margin = check.Percent(f.Margin)
		}
		subject := f.Subject
		switch f.Over {
		case check.Partly:
			subject += "; holds over a part of the stated spread only"
		case check.Never:
			subject += "; broken over the whole stated spread"
		}
		t.add(a.mark(f.Severity.String(), f.Severity >= check.Failure), f.Rule, value, side(f)+limit, margin, subject)
	}
	t.print(a.out)
	first := true
	for _, f := range list {
		if f.Severity == check.Note || f.Remedy == "" {
			continue
		}
		if first {
			a.heading("What would help")
			first = false
		}
		wrapped(a.out, "", "  ", fmt.Sprintf("%s: %s [%s]", f.Rule, f.Remedy, check.SourceTitle(f.Source)))
	}
}

// severityRank orders severities for reading: failures, safety, warnings, notes.
func severityRank(s check.Severity) int {
	switch s {
	case check.Failure:
		return 0
	case check.Safety:
		return 1
	case check.Warning:
		return 2
	}
	return 3
}

// side says whether the limit of a finding is the most or the least allowed,
// empty where value and limit do not tell, or
// there is none.
func side(f *check.Finding) string {
	if r, ok := design.RuleNamed(f.Rule); ok && f.Subject == r.Info().Subject {
		if r.Info().Sense == design.AtLeast {
			return "≥ "
		}
		return "≤ "
	}
	switch above := f.Value.SI > f.Limit.SI; {
	case f.Limit.IsZero(), f.Value.SI == f.Limit.SI, f.Margin == 0, math.IsNaN(f.Margin):
		return ""
	case above == (f.Margin > 0):
		return "≥ "
	}
	return "≤ "
}

// printWorkings shows how the headline numbers came about: the result, the
// formula, each input with where it came from, the source of the method.
// Published sources are numbered and listed at the end.
func (a *app) printWorkings(list []check.Working) {
	a.heading("Workings")
	var cited citations
	for i := range list {
		w := &list[i]
		if i > 0 {
			fmt.Fprintln(a.out)
		}
		fmt.Fprintf(a.out, "%s = %s\n", w.Name, a.figure(w.Result))
		wrapped(a.out, "    ", "  ", w.Formula)
		t := newTable("", ">", "", "")
		t.indent = "      "
		for _, in := range w.Inputs {
			t.add(in.Symbol+" =", in.Text(a.system), in.Name, cited.origin(&in))
		}
		t.body(a.out)
		fmt.Fprintf(a.out, "    method: %s\n", cited.title(w.Source))
	}
	if len(cited.Citations) == 0 {
		return
	}
	a.heading("Sources of the workings")
	t := newTable("", "")
	for i, key := range cited.Citations {
		t.add(fmt.Sprintf("[%d]", i+1), check.SourceTitle(key))
	}
	t.body(a.out)
}

// citations are the sources cited so far, as they stand in a line.
type citations struct{ check.Citations }

// within says where an input comes from that is neither published nor worked
// out in another working.
var within = map[string]string{
	"option":    "of the option",
	"catalogue": "of the part",
	"placement": "of the places in the bays",
	"drive":     "of the runs on the schedule",
}

// origin says in words where an input of a working came from.
func (c *citations) origin(in *check.Input) string {
	return in.Origin(c.title, func(key string) string {
		if words, ok := within[key]; ok {
			return words
		}
		return "working " + key
	})
}

// wordsMost is the length of a title that is short enough to stand in the line.
const wordsMost = 30

// title returns the title of a source, or its number in the list.
func (c *citations) title(key string) string {
	if title := check.SourceTitle(key); len(title) <= wordsMost {
		return title
	}
	return c.Number(key)
}

func (a *app) printAssumed(list []check.Assumption) {
	if len(list) == 0 {
		return
	}
	a.heading("Taken because the project does not say")
	t := newTable("subject", ">value", "source")
	for _, s := range list {
		t.add(s.Subject, a.figure(s.Value), check.SourceTitle(s.Source))
	}
	t.print(a.out)
}
