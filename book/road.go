package book

import (
	"fmt"

	"packyard/check"
	"packyard/document"
	"packyard/unit"
)

// cooling says how the pack is kept at temperature, and what the hottest day does.
func cooling(in *Input) []document.Section {
	s := document.Section{ID: "cooling", Title: "Cooling", NewPage: true}
	h := in.Heat
	if h == nil {
		s.Blocks = []document.Block{document.Paragraph{Text: "The temperatures of the pack were not worked out; the chapter on what is missing says why."}}
		return []document.Section{s}
	}
	entries := []document.Entry{
		{Name: "Cooling", Value: h.Cooling}, {Name: "Duty", Value: h.Duty}, {Name: "Outside", Value: of(in, h.Air)},
		{Name: "Hottest group", Value: of(in, h.Hottest.Temperature) + ", " + h.Hottest.Name},
		{Name: "Coldest group", Value: of(in, h.Coldest.Temperature) + ", " + h.Coldest.Name},
		{Name: "Largest spread", Value: of(in, h.Spread)},
	}
	if h.Flow > 0 {
		entries = append(entries, document.Entry{Name: "Coolant", Value: of(in, h.Flow) + " at a pump head of " + of(in, h.Head)})
	}
	s.Blocks = append(s.Blocks, document.Figures{Entries: entries})
	if h.Flow > 0 {
		s.Blocks = append(s.Blocks, in.coolantPath(), document.List{Numbered: true, Items: []string{
			"Press the dry circuit with air to 1.5 bar above the surroundings for 10 minutes and look for bubbles at every joint (common practice); a plate that leaks comes out.",
			"Fill with the coolant of the project, never with bare water; bleed at the highest point; run the pump and fill again.",
			"Read the flow or the pressure over the pump and write it down: it must be at the working point above.",
		}})
	}
	if len(h.Workings) > 0 {
		s.Blocks = append(s.Blocks, document.Workings{List: h.Workings})
	}
	return []document.Section{s}
}

func (in *Input) coolantPath() document.Block {
	t := document.Table{Title: "Way of the coolant", Empty: "The way of the coolant is not stated.", Columns: []document.Column{{Title: "Step", Right: true}, {Title: "Bays at this step, side by side"}}}
	path, err := in.Frame.CoolantPath(in.Placed)
	if err != nil {
		t.Empty = "The way of the coolant is not known: " + err.Error()
		return t
	}
	for i, step := range path {
		var names []string
		for _, b := range step {
			names = append(names, in.Frame.Brief.Bays[b].Name)
		}
		t.Rows = append(t.Rows, []string{fmt.Sprint(i + 1), joined(names)})
	}
	return t
}

// charging says what a charge from a socket takes.
func charging(in *Input) []document.Section {
	s := document.Section{ID: "charging", Title: "Charging"}
	c := in.Charge
	switch {
	case c == nil:
		s.Blocks = []document.Block{document.Paragraph{Text: "A charge was not worked out; the chapter on what is missing says why."}}
	case !c.Ran:
		var list []string
		for _, g := range c.Findings {
			list = append(list, g.Text(in.System))
		}
		s.Blocks = []document.Block{document.Paragraph{Text: "The pack cannot be charged as the project stands:"}, document.List{Items: list}}
	default:
		t := document.Table{Title: "From " + c.Supply, Empty: "no part of a charge was passed", Columns: []document.Column{{Title: "Usable charge"}, {Title: "Time", Right: true}, {Title: "Energy from the wall", Right: true}}}
		for _, x := range c.Spans {
			if x.Passed {
				t.Rows = append(t.Rows, []string{percent(x.From) + " to " + percent(x.To), of(in, x.Duration), of(in, x.Wall)})
			}
		}
		s.Blocks = []document.Block{
			document.Figures{Entries: []document.Entry{
				{Name: "Charger", Value: c.Charger}, {Name: "Greatest pack current", Value: of(in, c.CurrentMax)},
				{Name: "Voltage at the end", Value: of(in, c.VoltageEnd)}, {Name: "Ended by", Value: c.Ended},
			}},
			t, document.Workings{List: c.Workings},
		}
	}
	return []document.Section{s}
}

func percent(r unit.Ratio) string { return check.Percent(float64(r)) }

// road lists what is foretold and can be checked on the road.
func road(in *Input) []document.Section {
	a := in.Assess
	t := document.Table{
		Title: "Foretold, to be checked on the road", Empty: "nothing is foretold",
		Columns: []document.Column{{Title: "Figure"}, {Title: "Foretold", Right: true}, {Title: "Held back by"}, {Title: "Read", Write: true}},
	}
	row := func(name, value, by string) { t.Rows = append(t.Rows, []string{name, value, by, ""}) }
	row("range on "+a.New.Schedule, of(in, a.New.Range), a.New.EndedBy)
	row("consumption at the terminals", of(in, a.New.Terminals), "")
	row("consumption from the wall", of(in, a.New.Wall), "")
	row("greatest pack current over 10 s", of(in, a.New.Peak), "")
	row("lowest voltage under load", of(in, a.New.VoltageMin), "")
	if in.Pace != nil {
		for _, c := range in.Pace.Cases {
			at := fmt.Sprintf(" (charge %s, cells %s)", percent(c.Charge), of(in, c.Temperature))
			for _, sp := range c.Sprints {
				value := of(in, sp.Time)
				if !sp.Reached {
					value = "not reached"
				}
				row("0 to "+of(in, sp.To)+at, value, sp.By)
			}
			row("top speed"+at, of(in, c.TopSpeed), c.TopSpeedBy)
			row("hill start"+at, of(in, c.HillStart), c.HillStartBy)
		}
	}
	return []document.Section{{ID: "road", Title: "Predicted figures", NewPage: true, Blocks: []document.Block{
		document.Paragraph{Text: "Drive each on a dry, level, closed road with a helper, the pack warm and full unless said. A figure that is off by more than its spread is a reason to look for the cause before going on: dragging brakes, a wrong ratio, a weak group."},
		t,
	}}, {ID: "workings", Title: "How the headline figures came about", Deep: true, Blocks: []document.Block{document.Workings{List: a.Workings}}}}
}

// bill is the bill of materials.
func bill(in *Input) []document.Section {
	b := Bill(in)
	return []document.Section{{ID: "bill", Title: "Bill of materials", NewPage: true, Blocks: []document.Block{
		b, document.Paragraph{Text: "A price that is empty is not known to the project: it is missing in the sum, not nought."},
	}}}
}
