package book

import (
	"packyard/check"
	"packyard/document"
	"packyard/drawing"
)

func topView(in *Input) *drawing.Sheet {
	v := in.View()
	v.Title.Prefix = "responders-"
	return drawing.TopView(v)
}

// findings lists all findings about the option.
func findings(in *Input) []document.Section {
	t := document.Table{
		Title: "Findings", Empty: "Nothing was found that breaks or nears a limit.",
		Columns: []document.Column{{Title: "Weight"}, {Title: "What"}, {Title: "Value", Right: true}, {Title: "Limit", Right: true}, {Title: "Margin", Right: true}, {Title: "Remedy"}, {Title: "Source"}},
	}
	for _, g := range in.allFindings() {
		value, limit, margin := in.figure(g.Value), "", ""
		if g.Value.IsZero() {
			value = ""
		}
		if !g.Limit.IsZero() {
			value, limit = check.Apart(g.Value, g.Limit, in.System)
			margin = check.Percent(g.Margin)
		}
		t.Rows = append(t.Rows, []string{g.Severity.String(), g.Subject, value, limit, margin, g.Remedy, check.SourceTitle(g.Source)})
	}
	return []document.Section{{ID: "findings", Title: "Findings", NewPage: true, Blocks: []document.Block{acknowledged(in), t}}}
}

// assumptions lists what was filled in for what the project does not say.
func assumptions(in *Input) []document.Section {
	t := document.Table{
		Title: "Filled in, since the project does not say", Empty: "The project states everything that was needed.",
		Columns: []document.Column{{Title: "What"}, {Title: "Value", Right: true}, {Title: "Source"}},
	}
	for _, a := range in.Assess.Assumed {
		t.Rows = append(t.Rows, []string{a.Subject, in.figure(a.Value), check.SourceTitle(a.Source)})
	}
	return []document.Section{{ID: "assumptions", Title: "Assumptions", Blocks: []document.Block{t}}}
}

func sources(*Input) []document.Section {
	return []document.Section{{ID: "sources", Title: "Sources of the workings", Blocks: []document.Block{document.Cited{}}}}
}
