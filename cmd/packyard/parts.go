package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"packyard/cell"
	"packyard/check"
	"packyard/internal/sheet"
	"packyard/part"
	"packyard/unit"
)

// PartLine is one built-in part as parts prints it as JSON.
type PartLine struct {
	Kind    string     `json:"kind"`
	ID      string     `json:"id"`
	Title   string     `json:"title"`
	Figures []string   `json:"figures"` // in words with units
	Facts   []FactLine `json:"facts"`
}

// FactLine says where a figure of a part comes from.
type FactLine struct {
	Figure string `json:"figure"`
	Status string `json:"status"` // "confirmed", "assumption", …
	Source string `json:"source"` // source key
}

// partGroup is the parts of one kind with their table.
type partGroup struct {
	kind  string
	table *table
	lines []PartLine
}

// add enters a part: cells under the headings of the table behind the ID. The
// figures of the part are the cells with their headings, and more.
func (g *partGroup) add(id, title string, facts []cell.Fact, more []string, cells ...string) {
	g.table.add(append([]string{id}, cells...)...)
	p := PartLine{Kind: g.kind, ID: id, Title: title, Facts: []FactLine{}}
	for _, f := range facts {
		p.Facts = append(p.Facts, FactLine{f.Field, f.Status, f.Source})
	}
	for i, c := range cells {
		if c != "" {
			p.Figures = append(p.Figures, strings.TrimSpace(g.table.head[i+1]+" "+c+" "+g.table.units[i+1]))
		}
	}
	p.Figures = append(p.Figures, more...)
	g.lines = append(g.lines, p)
}

func (a *app) partsCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "parts [ID]",
		Short: "the built-in generic parts, or one of them with its sources",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usagef("%d arguments: the id of one part is accepted, or none for all", len(args))
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error { return a.parts(args) },
	}
	yesFlag(c, &a.json, "json", "print JSON, figures in words with their units")
	return c
}

func (a *app) parts(args []string) error {
	groups := a.allParts()
	var all []PartLine
	for _, g := range groups {
		all = append(all, g.lines...)
	}
	if len(args) == 1 {
		for _, p := range all {
			if p.ID == args[0] {
				return a.onePart(p)
			}
		}
		return usagef("%q is not a built-in part%s", args[0], nearestPart(args[0], all))
	}
	if a.json {
		return writeJSON(a.out, all)
	}
	for i, g := range groups {
		if i == 0 {
			fmt.Fprintln(a.out, g.kind)
		} else {
			a.heading("%s", g.kind)
		}
		g.table.print(a.out)
	}
	fmt.Fprintln(a.out, "\nGeneric parts with typical published figures; packyard parts ID shows where each comes from.")
	return nil
}

// nearestPart names the part that was meant, or those that hold the text in
// their name.
func nearestPart(text string, all []PartLine) string {
	var ids, like []string
	for _, p := range all {
		ids = append(ids, p.ID)
		if text != "" && strings.Contains(p.ID, text) {
			like = append(like, p.ID)
		}
	}
	if near := sheet.Nearest(text, ids); near != "" {
		return ": did you mean " + near + "?"
	}
	const most = 8
	if len(like) == 0 || len(like) > most {
		return ": packyard parts lists them"
	}
	return ": there are " + listed(like)
}

func (a *app) onePart(p PartLine) error {
	if a.json {
		return writeJSON(a.out, p)
	}
	fmt.Fprintf(a.out, "%s: %s\n%s\n\n", p.ID, p.Kind, p.Title)
	for _, f := range p.Figures {
		fmt.Fprintln(a.out, "  "+f)
	}
	fmt.Fprintln(a.out)
	t := newTable("figure", "status", "source")
	for _, f := range p.Facts {
		t.add(f.Figure, f.Status, check.SourceTitle(f.Source))
	}
	t.print(a.out)
	return nil
}

// allParts lists cells, modules and what else is built in.
func (a *app) allParts() []*partGroup {
	c := cell.BuiltIn()
	cells := &partGroup{kind: "cell", table: newTable("id", "chemistry", "format", ">charge|Ah", ">voltage", ">mass", ">size", "voltage curve")}
	for _, x := range c.Cells {
		curve := "own"
		if x.Curves == nil {
			curve = "none sourced: not searched"
		} else if x.Curves.Generic {
			curve = "generic"
		}
		cells.add(x.ID, x.Title, x.Facts, nil, string(x.Chemistry), string(x.Format), check.Significant(x.Capacity.AmpereHours(), check.DigitsShown),
			check.Significant(float64(x.VoltageMin), check.DigitsShown)+" to "+check.Significant(float64(x.VoltageMax), check.DigitsShown)+" V", of(a, x.Mass), a.size(x.Size), curve)
	}
	modules := &partGroup{kind: "module", table: newTable("id", "opens", ">cells", ">slices", ">mass", ">size")}
	for _, x := range c.Modules {
		opens := "no"
		if x.Hardware != nil {
			opens = "yes"
		}
		modules.add(x.ID, x.Title, x.Facts, nil, opens, fmt.Sprintf("%dS%dP", x.Groups*x.Slice.Series, x.SlicesParallel*x.Slice.Parallel),
			fmt.Sprintf("%d of %dS%dP", x.Slices(), x.Slice.Series, x.Slice.Parallel), of(a, x.Mass), a.size(x.Size))
	}
	p := part.BuiltIn()
	return append(append([]*partGroup{cells, modules, a.driveUnits(p)}, a.devices(p)...), a.protection()...)
}

// size prints the three edges of a part.
func (a *app) size(s cell.Size) string {
	var out []string
	_, spelling := check.Of(s.X).In(check.Of(s.X), a.system)
	for _, l := range []unit.Length{s.X, s.Y, s.Z} {
		out = append(out, check.Significant(float64(l)/factor[unit.Length](spelling), check.DigitsShown))
	}
	return strings.Join(out, " × ") + " " + spelling
}

func (a *app) driveUnits(c *part.Catalogue) *partGroup {
	g := &partGroup{kind: "drive unit", table: newTable("id", ">peak", ">continuous", ">torque", ">at|V", ">to|rpm", ">reduction", ">mass")}
	for _, u := range c.DriveUnits {
		var more []string
		for _, e := range u.EfficiencyPoints() {
			more = append(more, fmt.Sprintf("efficiency %s at %s and %.0f rpm", check.Percent(float64(e.Efficiency)), of(a, e.Torque), e.Speed.RevolutionsPerMinute()))
		}
		g.add(u.ID, u.Title, u.Facts, more, of(a, u.PowerPeak), of(a, u.PowerContinuous), of(a, u.TorquePeak), check.Significant(float64(u.VoltageRef), check.DigitsShown),
			fixed(u.SpeedMax.RevolutionsPerMinute(), 0), check.Significant(max(u.Ratio, 1), check.DigitsShown), of(a, u.Mass))
	}
	return g
}

// devices are what has voltage bands, and the stages of a driveline.
func (a *app) devices(c *part.Catalogue) []*partGroup {
	span := func(from, to unit.Voltage) string {
		return check.Significant(float64(from), check.DigitsShown) + " to " + check.Significant(float64(to), check.DigitsShown)
	}
	bands := func(b part.Bands) []string {
		return []string{span(b.FullMin, b.FullMax), span(b.ReducedMin, b.ReducedMax), check.Significant(float64(b.NeverExceed), check.DigitsShown)}
	}
	banded := []string{">full function|V", ">works|V", ">never above|V"}
	inverters := &partGroup{kind: "inverter", table: newTable(append([]string{"id"}, banded...)...)}
	for _, x := range c.Inverters {
		inverters.add(x.ID, x.Title, x.Facts, nil, bands(x.Bands)...)
	}
	chargers := &partGroup{kind: "charger", table: newTable(append([]string{"id", ">into the pack", ">starts from|V"}, banded...)...)}
	for _, x := range c.Chargers {
		chargers.add(x.ID, x.Title, x.Facts, nil, append([]string{of(a, x.PowerMax), check.Significant(float64(x.StartMin), check.DigitsShown)}, bands(x.Bands)...)...)
	}
	converters := &partGroup{kind: "12 V converter", table: newTable(append([]string{"id", ">power"}, banded...)...)}
	for _, x := range c.Converters {
		converters.add(x.ID, x.Title, x.Facts, nil, append([]string{of(a, x.PowerMax)}, bands(x.Bands)...)...)
	}
	stages := &partGroup{kind: "driveline stage", table: newTable("id", ">efficiency")}
	for _, x := range c.StageKinds {
		stages.add(x.ID, x.Title, x.Facts, nil, check.Significant(100*float64(x.EfficiencyLow), 3)+" to "+percentOf(float64(x.EfficiencyHigh)))
	}
	return []*partGroup{inverters, chargers, converters, stages}
}

// percentOf prints a ratio with three significant digits.
func percentOf(x float64) string { return check.Significant(100*x, 3) + " %" }
