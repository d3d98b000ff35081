package server

import (
	"net/http"
	"slices"

	"packyard/cell"
	"packyard/check"
	"packyard/part"
	"packyard/unit"
)

// Parts are all parts that a project can name, built in and its own.
type Parts struct {
	Parts []PartView `json:"parts"`
}

// PartView is one part.
type PartView struct {
	Kind    string        `json:"kind"`
	ID      string        `json:"id"`
	Title   string        `json:"title"`
	Own     bool          `json:"own"` // of the workshop, from the folder parts
	Mass    unit.Mass     `json:"mass_kg,omitempty"`
	Figures []NamedFigure `json:"figures"`
	Facts   []Fact        `json:"facts"`
}

// NamedFigure is a figure with what it is.
type NamedFigure struct {
	Name  string       `json:"name"`
	Value check.Figure `json:"value"`
}

// partList collects parts; builtIn holds the ids of the built-in ones.
type partList struct {
	builtIn []string
	out     []PartView
}

func (l *partList) add(kind, id, title string, mass unit.Mass, facts []cell.Fact, figures ...NamedFigure) {
	l.out = append(l.out, PartView{
		Kind: kind, ID: id, Title: title, Own: !slices.Contains(l.builtIn, id), Mass: mass, Figures: append([]NamedFigure{}, figures...), Facts: factsOf(facts),
	})
}

func (s *Server) parts(*http.Request) (any, error) {
	cells, others := cell.BuiltIn(), part.BuiltIn()
	l := &partList{builtIn: append(cells.IDs(), others.IDs()...)}
	if _, snap := s.live.now(); snap != nil {
		cells, others = snap.project.Cells, snap.project.Parts
	}
	l.cells(cells)
	l.drive(others)
	return &Parts{Parts: l.out}, nil
}

func figure[Q unit.Quantity](name string, q Q) NamedFigure { return NamedFigure{name, check.Of(q)} }

func number(name string, n int, noun string) NamedFigure {
	return NamedFigure{name, check.Number(float64(n), noun)}
}

func (l *partList) cells(c *cell.Catalogue) {
	for _, x := range c.Cells {
		l.add("cell", x.ID, x.Title, x.Mass, x.Facts, figure("capacity", x.Capacity), figure("full voltage", x.VoltageMax),
			figure("nominal voltage", x.VoltageNominal), figure("end of discharge", x.VoltageMin),
			figure("thickness", x.Size.X), figure("width", x.Size.Y), figure("height", x.Size.Z))
	}
	for _, x := range c.Modules {
		kind := "module"
		if x.Hardware != nil {
			kind = "openable module"
		}
		l.add(kind, x.ID, x.Title, x.Mass, x.Facts, number("cells in series", x.Groups*x.Slice.Series, "cells"),
			number("cells in parallel", x.SlicesParallel*x.Slice.Parallel, "cells"), number("slices", x.Slices(), "slices"),
			figure("length", x.Size.X), figure("width", x.Size.Y), figure("height", x.Size.Z))
	}
	for _, x := range c.Hardware {
		l.add("hardware", x.ID, x.Title, 0, x.Facts, figure("longest stack", x.StackMax), figure("end plates, both", x.EndPlates),
			figure("mass of the end plates", x.EndPlatesMass), number("fewest slices", x.SlicesMin, "slices"))
	}
}

func (l *partList) drive(c *part.Catalogue) {
	for _, x := range c.DriveUnits {
		l.add("drive unit", x.ID, x.Title, x.Mass, x.Facts, figure("peak power", x.PowerPeak), figure("continuous power", x.PowerContinuous),
			figure("peak torque", x.TorquePeak), figure("continuous torque", x.TorqueContinuous), figure("at voltage", x.VoltageRef),
			figure("highest speed", x.SpeedMax), NamedFigure{"reduction", check.Number(max(x.Ratio, 1), "ratio")})
	}
	for _, x := range c.Inverters {
		l.add("inverter", x.ID, x.Title, x.Mass, x.Facts, append(bandFigures(x.Bands), figure("largest current", x.CurrentMax))...)
	}
	for _, x := range c.Chargers {
		l.add("charger", x.ID, x.Title, x.Mass, x.Facts, append(bandFigures(x.Bands), figure("power into the pack", x.PowerMax), figure("starts from", x.StartMin))...)
	}
	for _, x := range c.Converters {
		l.add("converter", x.ID, x.Title, x.Mass, x.Facts, append(bandFigures(x.Bands), figure("power", x.PowerMax))...)
	}
	for _, x := range c.StageKinds {
		l.add("stage", x.ID, x.Title, 0, x.Facts, figure("efficiency, low", x.EfficiencyLow), figure("efficiency, high", x.EfficiencyHigh))
	}
}

func bandFigures(b part.Bands) []NamedFigure {
	return []NamedFigure{
		figure("full function from", b.FullMin), figure("full function to", b.FullMax), figure("works from", b.ReducedMin),
		figure("works to", b.ReducedMax), figure("never above", b.NeverExceed),
	}
}
