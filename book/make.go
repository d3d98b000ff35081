package book

import (
	"fmt"

	"packyard/check"
	"packyard/document"
	"packyard/unit"
)

// notCleared stands on every page until each safety finding is acknowledged.
const notCleared = "not cleared: safety findings are open"

// Make turns what was gathered into the build book.
func Make(in *Input) *document.Document {
	a := in.Assess
	d := &document.Document{
		Title: "Build book: " + a.Project, Subtitle: "option " + a.Option,
		Stamp: in.stamp(), Cover: in.cover(), Warnings: append([]string{}, a.Cautions...),
	}
	if a.Invented {
		d.Warnings = append(d.Warnings, "Invented data: a demonstration. No such vehicle is to be built from this book.")
	}
	if n := len(in.Open()); n > 0 {
		d.Notice = notCleared
		d.Warnings = append(d.Warnings, fmt.Sprintf("Not cleared. %d safety findings are not acknowledged; they stand in the chapter on findings. Until they are, this book is a draft.", n))
	}
	for _, part := range []func(*Input) []document.Section{
		cautions, missing, masses, choice, placement, modules, highVoltage, cooling, charging, road, bill, commissioning, inspection, responders, findings, assumptions, sources,
	} {
		d.Sections = append(d.Sections, part(in)...)
	}
	return d
}

func (in *Input) stamp() string {
	s := in.Assess.Option
	if in.Date != "" {
		s = in.Date + ", " + s
	}
	if in.Hash != "" {
		s += ", project " + in.Hash
	}
	return s
}

// Open returns the safety findings that nobody has acknowledged.
func (in *Input) Open() []check.Finding {
	var out []check.Finding
	for _, g := range in.allFindings() {
		if g.Severity == check.Safety && g.Acknowledged.By == "" {
			out = append(out, g)
		}
	}
	return out
}

func (in *Input) cover() []document.Entry {
	a := in.Assess
	w := a.Vehicle[len(a.Vehicle)-1]
	out := []document.Entry{
		{Name: "Pack", Value: fmt.Sprintf("%s of %s, %s", a.Topology, a.Cell.Title, a.Form)},
		{Name: "Voltage, full to lowest", Value: of(in, a.Window.Full) + " to " + of(in, a.Window.Lowest)},
		{Name: "Usable energy, as bought", Value: of(in, a.New.Usable)},
		{Name: "Range on " + a.New.Schedule, Value: of(in, a.New.Range) + " as bought, " + of(in, a.End.Range) + " at the planned end of life"},
		{Name: "Mass, " + w.Name, Value: fmt.Sprintf("%s (front axle %s, rear axle %s)", of(in, w.Mass), of(in, w.AxleFront), of(in, w.AxleRear))},
	}
	for _, b := range a.Budgets {
		text := in.figure(b.Used)
		if !b.Limit.IsZero() && b.Limit.SI != 0 {
			text += " of " + in.figure(b.Limit)
		}
		out = append(out, document.Entry{Name: "Budget of " + b.Name, Value: text})
	}
	out = append(out, document.Entry{Name: "Verdict", Value: a.Verdict})
	if in.Date != "" {
		out = append(out, document.Entry{Name: "Made", Value: in.Date})
	}
	if in.Hash != "" {
		out = append(out, document.Entry{Name: "State of the project", Value: in.Hash})
	}
	return out
}

func cautions(in *Input) []document.Section {
	return []document.Section{{ID: "cautions", Title: "Before any work", NewPage: true, Blocks: []document.Block{
		document.Caution{Text: "Parts of this pack are live as soon as two cells are joined, and no switch changes that. Above 60 V DC work only as class B of ISO 6469-3 asks: trained people, insulated tools and gloves, eye protection, a second person who can help, no rings, no watch."},
		document.Caution{Text: "Never join what differs in voltage by more than the equalising step of this book allows. Never work on a pack that smells, hisses, is warm without reason or has been wet: go away, call the fire service, say that it is a lithium battery."},
		document.Caution{Text: "Figures here are engineering estimates for qualified people. Local codes, vehicle inspection and licensed practice come first wherever they say more or something else."},
		document.List{Items: []string{
			"Open the service disconnect, take it out, keep it with you. Wait the discharge time that stands on the label. Then measure with a two-pole tester that was tried on a known source before and after.",
			"Cover what is not being worked on. Fit the last joint of each string last, in its box, with the disconnect open.",
			"Keep a fire blanket and water within reach, the way out free, and cells away from what burns.",
			"Write readings into this book as they are read. A field that is left empty was not checked.",
		}},
	}}}
}

// missing says what the book lacks.
func missing(in *Input) []document.Section {
	if len(in.Missing) == 0 {
		return nil
	}
	var rows [][]string
	for _, g := range in.Missing {
		rows = append(rows, []string{g.Part, g.Why})
	}
	return []document.Section{{ID: "missing", Title: "What is missing in this book", Blocks: []document.Block{
		document.Table{Title: "Parts that could not be worked out", Columns: []document.Column{{Title: "Part"}, {Title: "Why, and what it takes"}}, Rows: rows},
	}}}
}

// mass prints a mass, empty for zero.
func (in *Input) mass(m unit.Mass) string {
	if m == 0 {
		return ""
	}
	return of(in, m)
}
