package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"packyard/cell"
	"packyard/check"
	"packyard/part"
	"packyard/schedule"
	"packyard/unit"
)

// listed is one built-in part as parts prints it.
type listed struct {
	Kind  string      `json:"kind"`
	ID    string      `json:"id"`
	Title string      `json:"title"`
	Key   string      `json:"key_figures"`
	Facts []cell.Fact `json:"facts"`
	more  []string
}

func (a *app) partsCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "parts [ID]",
		Short: "the built-in generic parts, or one of them with its sources",
		Args:  cobra.MaximumNArgs(1),
		RunE:  func(_ *cobra.Command, args []string) error { return a.parts(args) },
	}
	c.Flags().BoolVar(&a.json, "json", false, "print JSON")
	return c
}

func (a *app) parts(args []string) error {
	list := a.allParts()
	if len(args) == 1 {
		for _, p := range list {
			if p.ID == args[0] {
				if a.json {
					return writeJSON(a.out, p)
				}
				a.printPart(p)
				return nil
			}
		}
		return usagef("no built-in part %q; packyard parts lists them", args[0])
	}
	if a.json {
		return writeJSON(a.out, list)
	}
	t := newTable("kind", "id", "title", "figures")
	for _, p := range list {
		t.add(p.Kind, p.ID, p.Title, p.Key)
	}
	t.print(a.out)
	return nil
}

func (a *app) printPart(p listed) {
	fmt.Fprintf(a.out, "%s: %s (%s)\n%s\n", p.ID, p.Title, p.Kind, p.Key)
	for _, m := range p.more {
		fmt.Fprintln(a.out, m)
	}
	fmt.Fprintln(a.out)
	t := newTable("figure", "status", "source")
	for _, f := range p.Facts {
		t.add(f.Field, f.Status, check.SourceTitle(f.Source))
	}
	t.print(a.out)
}

// allParts lists cells, modules and what else is built in.
func (a *app) allParts() []listed {
	var out []listed
	c := cell.BuiltIn()
	for _, x := range c.Cells {
		key := fmt.Sprintf("%s %s, %.1f Ah, %.2f to %.2f V, %s, %s × %s × %s", x.Chemistry, x.Format, x.Capacity.AmpereHours(),
			float64(x.VoltageMin), float64(x.VoltageMax), unit.Format(x.Mass, a.system), a.small(x.Size.X), a.small(x.Size.Y), a.small(x.Size.Z))
		if x.Curves == nil {
			key += "; no sourced curve, not searched"
		} else if x.Curves.Generic {
			key += "; generic curve"
		}
		out = append(out, listed{Kind: "cell", ID: x.ID, Title: x.Title, Key: key, Facts: x.Facts})
	}
	for _, x := range c.Modules {
		kind := "module"
		if x.Hardware != nil {
			kind = "openable module"
		}
		key := fmt.Sprintf("%dS%dP in %s of %dS%dP, %s, %s × %s × %s", x.Groups*x.Slice.Series, x.SlicesParallel*x.Slice.Parallel,
			plural(x.Slices(), "slice"), x.Slice.Series, x.Slice.Parallel, unit.Format(x.Mass, a.system), a.small(x.Size.X), a.small(x.Size.Y), a.small(x.Size.Z))
		out = append(out, listed{Kind: kind, ID: x.ID, Title: x.Title, Key: key, Facts: x.Facts})
	}
	return append(out, a.driveParts()...)
}

func (a *app) driveParts() []listed {
	var out []listed
	c := part.BuiltIn()
	bands := func(b part.Bands) string {
		return fmt.Sprintf("full function %.0f to %.0f V, works %.0f to %.0f V, never above %.0f V",
			float64(b.FullMin), float64(b.FullMax), float64(b.ReducedMin), float64(b.ReducedMax), float64(b.NeverExceed))
	}
	for _, u := range c.DriveUnits {
		p := listed{Kind: "drive unit", ID: u.ID, Title: u.Title, Facts: u.Facts,
			Key: fmt.Sprintf("%s peak, %s continuous, %s, at %.0f V, to %.0f rpm, reduction %.3g, %s", unit.Format(u.PowerPeak, a.system),
				unit.Format(u.PowerContinuous, a.system), unit.Format(u.TorquePeak, a.system), float64(u.VoltageRef), u.SpeedMax.RevolutionsPerMinute(),
				max(u.Ratio, 1), unit.Format(u.Mass, a.system))}
		for _, e := range u.EfficiencyPoints() {
			p.more = append(p.more, fmt.Sprintf("  efficiency %s at %s and %.0f rpm", percent(float64(e.Efficiency)),
				unit.Format(e.Torque, a.system), e.Speed.RevolutionsPerMinute()))
		}
		out = append(out, p)
	}
	for _, x := range c.Inverters {
		out = append(out, listed{Kind: "inverter", ID: x.ID, Title: x.Title, Facts: x.Facts, Key: bands(x.Bands)})
	}
	for _, x := range c.Chargers {
		out = append(out, listed{Kind: "charger", ID: x.ID, Title: x.Title, Facts: x.Facts,
			Key: fmt.Sprintf("%s into the pack, starts from %.0f V, %s", unit.Format(x.PowerMax, a.system), float64(x.StartMin), bands(x.Bands))})
	}
	for _, x := range c.Converters {
		out = append(out, listed{Kind: "12 V converter", ID: x.ID, Title: x.Title, Facts: x.Facts,
			Key: fmt.Sprintf("%s, %s", unit.Format(x.PowerMax, a.system), bands(x.Bands))})
	}
	for _, x := range c.StageKinds {
		out = append(out, listed{Kind: "driveline stage", ID: x.ID, Title: x.Title, Facts: x.Facts,
			Key: fmt.Sprintf("efficiency %s to %s", percent(float64(x.EfficiencyLow)), percent(float64(x.EfficiencyHigh)))})
	}
	return out
}

// scheduleLine is one built-in schedule as schedules prints it.
type scheduleLine struct {
	ID       string      `json:"id"`
	Title    string      `json:"title"`
	Source   string      `json:"source"`
	Distance unit.Length `json:"distance_m"`
	Duration unit.Time   `json:"duration_s"`
	Mean     unit.Speed  `json:"mean_m_per_s"`
	Max      unit.Speed  `json:"max_m_per_s"`
	Stops    int         `json:"stops"`
}

func (a *app) schedulesCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "schedules",
		Short: "the built-in driving schedules with their figures",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			var list []scheduleLine
			for _, s := range schedule.BuiltIn() {
				g := s.Figures()
				list = append(list, scheduleLine{s.ID, s.Title, check.SourceTitle(s.Source), g.Distance, g.Duration, g.Mean, g.Max, g.Stops})
			}
			if a.json {
				return writeJSON(a.out, list)
			}
			t := newTable("schedule", ">distance", ">duration", ">mean", ">highest", ">stops", "title", "source")
			for _, s := range list {
				t.add(s.ID, a.road(s.Distance), fmt.Sprintf("%.0f s", float64(s.Duration)), a.speed(s.Mean), a.speed(s.Max), count(s.Stops), s.Title, s.Source)
			}
			t.print(a.out)
			fmt.Fprintln(a.out, "also: \"constant 60 km/h\", and CSV or GPX files in a project's routes folder")
			return nil
		},
	}
	c.Flags().BoolVar(&a.json, "json", false, "print JSON, SI numbers with the unit in the key")
	return c
}

// road prints the length of a schedule, with more digits than a range.
func (a *app) road(l unit.Length) string {
	if a.system == unit.US {
		return fmt.Sprintf("%.3f mi", float64(l)/1609.344)
	}
	return fmt.Sprintf("%.3f km", float64(l)/1000)
}

func (a *app) speed(v unit.Speed) string {
	if a.system == unit.US {
		return fmt.Sprintf("%.2f mph", float64(v)/0.44704)
	}
	return fmt.Sprintf("%.2f km/h", v.KilometresPerHour())
}

func (a *app) unitsCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "units",
		Short: "every unit that is accepted, with its factor and source",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			if a.json {
				return writeJSON(a.out, unit.Kinds())
			}
			fmt.Fprint(a.out, check.UnitsPage())
			return nil
		},
	}
	c.Flags().BoolVar(&a.json, "json", false, "print JSON")
	return c
}

func (a *app) sourcesCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "sources",
		Short: "where the built-in figures come from",
		Args:  cobra.NoArgs,
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
	c.Flags().BoolVar(&a.json, "json", false, "print JSON")
	return c
}

func parens(s string) string {
	if s == "" {
		return ""
	}
	return "(" + s + ")"
}
