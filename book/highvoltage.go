package book

import (
	"strconv"

	"packyard/check"
	"packyard/document"
	"packyard/drawing"
)

// highVoltage holds the parts of the high-voltage circuit, its cables, and how
// each was chosen.
func highVoltage(in *Input) []document.Section {
	c := in.Circuit
	if c == nil {
		return []document.Section{{ID: "circuit", Title: "High-voltage circuit", NewPage: true, Blocks: []document.Block{
			document.Paragraph{Text: "The circuit was not worked out; the chapter on what is missing says why."},
		}}}
	}
	chosen := document.Table{
		Title: "Parts", Empty: "No part was chosen.",
		Columns: []document.Column{{Title: "For"}, {Title: "Part, or why none fits"}, {Title: "Number", Right: true}, {Title: "Chosen by"}},
	}
	for _, x := range c.Items {
		title := x.Title
		if x.None != "" {
			title = x.None
		}
		if title == "" {
			continue
		}
		chosen.Rows = append(chosen.Rows, []string{x.Subject, title, number(x.Count), x.By})
	}
	faults := document.Table{
		Title: "Prospective fault currents", Empty: "No place of a fault was looked at.",
		Columns: []document.Column{{Title: "Place"}, {Title: "Highest", Right: true}, {Title: "Lowest", Right: true}, {Title: "Time constant", Right: true}},
	}
	for _, f := range c.Faults {
		faults.Rows = append(faults.Rows, []string{f.Place, of(in, f.Highest), of(in, f.Lowest), of(in, f.Constant)})
	}
	cables := document.Table{
		Title: "Cables", Empty: "No cable leaves a box.",
		Columns: []document.Column{{Title: "Cable"}, {Title: "Run"}, {Title: "Section", Right: true}, {Title: "Length", Right: true}, {Title: "Carries", Right: true}, {Title: "May carry", Right: true}, {Title: "Cut", Write: true}},
	}
	for _, w := range c.Cables {
		length := of(in, w.Length)
		if w.Estimated {
			length += " *"
		}
		cables.Rows = append(cables.Rows, []string{w.ID, w.Label, of(in, w.Section), length, of(in, w.Current), of(in, w.Ampacity), ""})
	}
	out := []document.Section{{ID: "circuit", Title: "High-voltage circuit", NewPage: true, Blocks: []document.Block{
		chosen,
		document.Picture{Sheet: drawing.TimeCurrent(drawing.CircuitPicture{Chart: c.Chart, Title: drawing.TitleOf(in.Assess, in.System)}), Caption: "Who opens what: a part bears what lies left of its line and below it. Every fault in the grey band has to be cleared by the fuse, full line, below the lines of cable and contactor."},
		faults, cables,
		document.Paragraph{Text: "* estimated from the places of the bays; measure on the vehicle before cutting."},
	}}}
	workings := document.Section{ID: "circuit-workings", Title: "How each part of the circuit was chosen", Deep: true}
	for _, x := range c.Items {
		if len(x.Workings) > 0 {
			workings.Blocks = append(workings.Blocks, document.Paragraph{Lead: x.Subject}, document.Workings{List: x.Workings})
		}
	}
	return append(out, workings)
}

// number prints a count; 0 is one that is not told.
func number(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// allFindings are those about the option, of every part of the book.
func (in *Input) allFindings() []check.Finding {
	out := append([]check.Finding{}, in.Assess.Findings...)
	if in.Circuit != nil {
		out = append(out, in.Circuit.Findings...)
	}
	return out
}

// acknowledged lists the safety findings that somebody answers for.
func acknowledged(in *Input) document.Block {
	t := document.Table{
		Title: "Acknowledged safety findings", Empty: "No safety finding was acknowledged.",
		Columns: []document.Column{{Title: "Finding"}, {Title: "By"}, {Title: "Date"}, {Title: "Reason"}},
	}
	for _, g := range in.allFindings() {
		if a := g.Acknowledged; a.By != "" {
			t.Rows = append(t.Rows, []string{g.Subject, a.By, a.Date, a.Reason})
		}
	}
	return t
}
