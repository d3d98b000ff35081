package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"packyard/check"
	"packyard/design"
	"packyard/search"
	"packyard/unit"
)

// legend explains the marks and words of the table of options.
const legend = "new: as bought, aged: at the planned end of life; lowest: under load at the lowest charge, cold and aged\n" +
	"* in the Pareto set: no other option is as good in range, mass, price and least margin at once"

func (a *app) printOptions(rep *search.Report, fl *optionsFlags) error {
	switch {
	case a.json:
		return writeJSON(a.out, rep)
	case fl.csv && fl.pareto:
		return csvRows(rep, rep.Pareto).csv(a.out)
	case fl.csv:
		return csvRows(rep, rep.Ranked).csv(a.out)
	}
	a.printHead(rep)
	switch {
	case rep.Fits == 0:
	case fl.pareto:
		a.heading("Pareto set over range, mass, price and least margin")
		a.rows(rep, rep.Pareto).print(a.out)
		fmt.Fprintln(a.out, legend)
	default:
		a.heading("Packs that fit, the best cut of each, by %s", rep.RankBy)
		a.rows(rep, rep.Ranked).print(a.out)
		if more := rep.Packs - len(rep.Ranked); more > 0 {
			fmt.Fprintf(a.out, "… and %s more; --top %d shows them\n", check.Plural(more, "pack"), min(rep.Packs, topMost))
		}
		fmt.Fprintln(a.out, legend)
	}
	a.printFalls(rep)
	a.printMisses(rep)
	a.printNext(rep)
	return nil
}

// titled returns the title of a project, with what has to be said of
// invented figures.
func titled(title string, invented bool) string {
	if invented {
		title += " (invented demonstration data)"
	}
	return title
}

func (a *app) printHead(rep *search.Report) {
	fmt.Fprintln(a.out, titled(rep.Project, rep.Invented))
	var parts, not []string
	for _, s := range rep.Sources {
		if s.NotSearched != "" {
			not = append(not, s.Name+" is not searched: "+s.NotSearched)
			continue
		}
		parts = append(parts, s.Name+" "+check.Whole(s.Candidates))
	}
	wrapped(a.out, "", "  ", check.Plural(rep.Candidates, "candidate")+" looked at: "+strings.Join(parts, ", "))
	for _, s := range not {
		wrapped(a.out, "", "  ", s)
	}
	if rep.Fits == 0 {
		fmt.Fprintln(a.out, a.mark("No option fits.", true))
	} else {
		verb := " fit"
		if rep.Fits == 1 {
			verb = " fits"
		}
		fmt.Fprintf(a.out, "%s%s, in %s; range on %s\n", check.Plural(rep.Fits, "option"), verb, check.Plural(rep.Packs, "pack"), rep.Schedule)
	}
	if rep.NotProven > 0 {
		wrapped(a.out, "", "  ", fmt.Sprintf("for %s neither a place for every module nor a proof against one was found; they count under %s",
			check.Plural(rep.NotProven, "candidate"), design.Space))
	}
}

// rows makes the table of options.
func (a *app) rows(rep *search.Report, list []search.Row) *table {
	far, heavy := a.farUnit(), a.heavyUnit()
	t := newTable(">#", "", "option", ">range|new, "+far, ">range|aged, "+far, ">usable|kWh", ">mass|"+heavy, ">price|"+rep.Currency, ">full|V", ">lowest|V",
		">least|margin", "|at", "modules|by bay")
	for i, r := range list {
		star := ""
		if r.Pareto {
			star = "*"
		}
		t.add(strconv.Itoa(i+1), star, r.ID, a.far(r.Range), a.far(r.RangeEnd), fixed(r.Usable.KilowattHours(), 1), a.heavy(r.Mass),
			check.Amount(r.Price, check.DigitsShown), fixed(float64(r.Full), 1), fixed(float64(r.Lowest), 1), check.Percent(r.Margin), r.MarginRule, joined(r.Bays, "+"))
	}
	return t
}

func fixed(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }

func joined(n []int, sep string) string {
	var out []string
	for _, x := range n {
		out = append(out, strconv.Itoa(x))
	}
	return strings.Join(out, sep)
}

// farUnit is the unit of a distance on the road.
func (a *app) farUnit() string {
	if a.system == unit.US {
		return "mi"
	}
	return "km"
}

// far prints a distance on the road in farUnit.
func (a *app) far(l unit.Length) string { return fixed(float64(l)/factor[unit.Length](a.farUnit()), 1) }

// heavyUnit is the unit of a mass in a table.
func (a *app) heavyUnit() string {
	if a.system == unit.US {
		return "lb"
	}
	return "kg"
}

// heavy prints a mass in heavyUnit.
func (a *app) heavy(m unit.Mass) string { return fixed(float64(m)/factor[unit.Mass](a.heavyUnit()), 1) }

// factor returns the SI value of one unit of the spelling. It panics if the
// quantity does not accept it.
func factor[Q unit.Quantity](spelling string) float64 {
	q, err := unit.Parse[Q]("1 " + spelling)
	if err != nil {
		panic("packyard: " + err.Error())
	}
	return float64(q)
}

func csvRows(rep *search.Report, list []search.Row) *table {
	t := newTable("rank", "option", "range_km", "range_end_of_life_km", "usable_kwh", "mass_kg", "price_"+strings.ToLower(rep.Currency),
		"voltage_full_v", "voltage_lowest_v", "worst_margin", "worst_margin_rule", "cuts_that_fit", "modules_by_bay", "pareto")
	for i, r := range list {
		t.add(strconv.Itoa(i+1), r.ID, fixed(float64(r.Range)/1000, 3), fixed(float64(r.RangeEnd)/1000, 3), fixed(r.Usable.KilowattHours(), 3),
			fixed(r.Mass.Kilograms(), 2), fixed(r.Price, 2), fixed(float64(r.Full), 2), fixed(float64(r.Lowest), 2), fixed(r.Margin, 4), r.MarginRule,
			strconv.Itoa(r.Cuts), joined(r.Bays, " "), strconv.FormatBool(r.Pareto))
	}
	return t
}

func (a *app) printFalls(rep *search.Report) {
	if len(rep.Falls) == 0 {
		return
	}
	a.heading("Why the others fell")
	t := newTable("limit", ">alone", ">with others", "what is compared")
	for _, f := range rep.Falls {
		t.add(f.Rule, check.Whole(f.Alone), check.Whole(f.Others), f.Subject)
	}
	t.print(a.out)
}

func (a *app) printMisses(rep *search.Report) {
	if len(rep.Misses) > 0 {
		a.heading("Nearest misses: the smallest move of one limit that lets another pack through")
		for _, m := range rep.Misses {
			a.printMiss(rep, &m)
		}
	}
	if rep.Joint != nil {
		a.heading("No single move of a limit lets anything through. The smallest joint one:")
		a.printMiss(rep, rep.Joint)
	}
}

func (a *app) printMiss(rep *search.Report, m *search.MissRow) {
	t := newTable("", "")
	for _, l := range m.Limits {
		if l.Rule == design.Space.String() {
			t.add(l.Rule, a.roomFor(&l, m.Growth))
			continue
		}
		t.add(l.Rule, a.move(l))
	}
	t.indent = "  "
	t.body(a.out)
	o := m.Option
	wrapped(a.out, "    ", "  ", fmt.Sprintf("admits %s: %s, %s, %s", o.ID, a.far(o.Range)+" "+a.farUnit(), of(a, o.Mass),
		a.figure(check.Money(o.Price, rep.Currency))))
}

// growthDigits is how many digits the growth of a bay is read with.
const growthDigits = 3

// roomFor says which modules have no place and what would give them one.
func (a *app) roomFor(l *search.RelaxRow, g *search.GrowthRow) string {
	without := int(l.Limit.SI - l.Value.SI)
	verb := " have"
	if without == 1 {
		verb = " has"
	}
	s := fmt.Sprintf("%s of %d%s no place", check.Plural(without, "module"), int(l.Limit.SI), verb)
	if g == nil {
		return s
	}
	axis := map[string]string{"length": "longer", "width": "wider", "height": "higher"}[g.Axis]
	x, spelling := check.Of(g.By).In(check.Of(g.By), a.system)
	return fmt.Sprintf("%s; bay %q would have to be %s %s %s", s, g.Bay, check.Significant(toward(x, growthDigits, math.Ceil), growthDigits), spelling, axis)
}

const cautionShort = "Estimates for qualified people. High voltage, stored energy and fire can kill; local codes and licensed practice decide."

func (a *app) printNext(rep *search.Report) {
	a.heading("Where to look next")
	dir := quote(a.dir)
	switch {
	case len(rep.Ranked) > 0:
		id := quote(rep.Ranked[0].ID)
		fmt.Fprintf(a.out, "  packyard assess %s --option %s\n", dir, id)
		fmt.Fprintf(a.out, "  packyard options %s --explain %s\n", dir, id)
		fmt.Fprintf(a.out, "  packyard drive %s --option %s --schedule all\n", dir, id)
	case len(rep.Misses) > 0:
		fmt.Fprintf(a.out, "  packyard assess %s --option %s\n", dir, quote(rep.Misses[0].Option.ID))
	case rep.Joint != nil:
		fmt.Fprintf(a.out, "  packyard assess %s --option %s\n", dir, quote(rep.Joint.Option.ID))
	}
	fmt.Fprintln(a.out, cautionShort)
}
