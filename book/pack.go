package book

import (
	"fmt"
	"strconv"
	"strings"

	"packyard/check"
	"packyard/design"
	"packyard/document"
	"packyard/drawing"
	"packyard/search"
)

// choice says which option this is, why, and what nearly fits.
func choice(in *Input) []document.Section {
	s, a := in.Search, in.Assess
	blocks := []document.Block{document.Paragraph{Text: in.why()}}
	if s != nil {
		rows := document.Table{
			Title: "The first of " + strconv.Itoa(s.Packs) + " packs that fit, ranked by " + s.RankBy,
			Empty: "No pack fits. The chosen one breaks limits, which the chapter on findings lists.",
			Columns: []document.Column{{Title: "Option"}, {Title: "Range", Right: true}, {Title: "End of life", Right: true}, {Title: "Mass", Right: true},
				{Title: "Price", Right: true}, {Title: "Least margin", Right: true}},
		}
		for _, r := range s.Ranked[:min(len(s.Ranked), RankedMost)] {
			name := r.ID
			if name == a.Option {
				name += " (this book)"
			}
			rows.Rows = append(rows.Rows, []string{name, of(in, r.Range), of(in, r.RangeEnd), of(in, r.Mass),
				in.figure(check.Money(r.Price, s.Currency)), check.Percent(r.Margin)})
		}
		blocks = append(blocks, rows, in.misses(s))
	}
	return []document.Section{{ID: "option", Title: "The option, and why", NewPage: true, Blocks: blocks}}
}

func (in *Input) why() string {
	a, b := in.Assess, in.Frame.Brief
	t := fmt.Sprintf("%s: %s of %s, %s, from the source %q.", a.Option, a.Topology, a.Cell.Title, a.Form, a.Source)
	if b.Choose.Option == a.Option {
		t += " The project fixes it."
	}
	if in.Search == nil {
		return t
	}
	for i, r := range in.Search.Ranked {
		if r.ID == a.Option {
			return t + fmt.Sprintf(" It is number %d of %d packs that fit, out of %d candidates, ranked by %s.", i+1, in.Search.Packs, in.Search.Candidates, in.Search.RankBy)
		}
	}
	return t + fmt.Sprintf(" It is not among the first %d of %d packs that fit, ranked by %s.", len(in.Search.Ranked), in.Search.Packs, in.Search.RankBy)
}

func (in *Input) misses(s *search.Report) document.Block {
	t := document.Table{
		Title: "Nearest misses: what one limit more would let through", Empty: "No limit, moved within reason, lets another pack through.",
		Columns: []document.Column{{Title: "Limit"}, {Title: "Is", Right: true}, {Title: "Would have to be", Right: true}, {Title: "Option it lets through"}, {Title: "Its range", Right: true}},
	}
	for _, m := range s.Misses {
		for _, l := range m.Limits {
			t.Rows = append(t.Rows, []string{l.Subject, in.figure(l.Limit), in.figure(l.Value), m.Option.ID, of(in, m.Option.Range)})
		}
	}
	return t
}

// placement says which module stands where.
func placement(in *Input) []document.Section {
	out := []document.Section{{ID: "places", Title: "Placement of the modules", NewPage: true, Blocks: []document.Block{
		document.Paragraph{Text: "Places are the least corner of a module in its bay, with its edges as it stands; x runs rearward, y to the left, z up, in the frame of the bay. Every place was checked against walls, clearances, other modules and the opening of the bay by a checker of its own."},
	}}}
	v := in.View()
	for i, b := range in.Assess.Bays {
		if len(b.Places) == 0 {
			continue
		}
		out = append(out, document.Section{ID: "bay-" + strconv.Itoa(i), Title: "Bay: " + b.Name, Deep: true, Blocks: []document.Block{
			in.places(&b),
			document.Picture{Sheet: drawing.BayViews(v, i), Caption: "Bay " + b.Name + " from the left, from above and from the front, with terminals and cooling faces."},
		}})
	}
	return out
}

func (in *Input) places(b *design.BayLine) document.Block {
	t := document.Table{
		Title: "Modules, " + of(in, b.Mass) + " with box, cooling and its share of fixed parts", Empty: "No module stands in this bay.",
		Columns: []document.Column{{Title: "Module"}, {Title: "Least corner, mm", Right: true}, {Title: "Edges, mm", Right: true}, {Title: "Stands"}, {Title: "Terminals"}},
	}
	for i, p := range b.Places {
		m := in.Assess.Modules[p.Module]
		t.Rows = append(t.Rows, []string{
			fmt.Sprintf("%d: %dS%dP", i+1, m.Series, m.Parallel),
			fmt.Sprintf("%.0f, %.0f, %.0f", p.X.Millimetres(), p.Y.Millimetres(), p.Z.Millimetres()),
			fmt.Sprintf("%.0f × %.0f × %.0f", p.Length.Millimetres(), p.Width.Millimetres(), p.Height.Millimetres()),
			p.Orientation, p.Terminals,
		})
	}
	return t
}

// modules says what each kind of module is made of, and where each group is.
func modules(in *Input) []document.Section {
	a := in.Assess
	kinds := document.Table{
		Title: "Kinds of module", Empty: "The pack has no modules.",
		Columns: []document.Column{{Title: "Number", Right: true}, {Title: "Cells"}, {Title: "Slices", Right: true}, {Title: "Size, mm", Right: true}, {Title: "Mass", Right: true}, {Title: "Voltage, full", Right: true}},
	}
	for _, m := range a.Modules {
		kinds.Rows = append(kinds.Rows, []string{strconv.Itoa(m.Count), fmt.Sprintf("%dS%dP", m.Series, m.Parallel), strconv.Itoa(m.Slices),
			fmt.Sprintf("%.0f × %.0f × %.0f", m.Length.Millimetres(), m.Width.Millimetres(), m.Height.Millimetres()), of(in, m.Mass), of(in, m.Handling)})
	}
	return []document.Section{
		{ID: "modules", Title: "Modules", NewPage: true, Blocks: []document.Block{
			document.Paragraph{Text: "Groups count from the plus end of each string. From one group of a module to the next the poles stand the other way round, so that short bars join them. Read the polarity of every slice with a meter before it is joined, and of every module before it is put into its box."},
			kinds,
		}},
		{ID: "cellmap", Title: "Cell map", Deep: true, Blocks: []document.Block{in.cellMap()}},
	}
}

// cellMap lists every series group once, with its place.
func (in *Input) cellMap() document.Block {
	t := document.Table{
		Title: "Every series group and its place", Empty: "The places of the groups are not known.",
		Columns: []document.Column{{Title: "String", Right: true}, {Title: "Groups", Right: true}, {Title: "Bay"}, {Title: "Module", Right: true}, {Title: "Poles"}, {Title: "Voltage read", Write: true}},
	}
	seats, err := in.Frame.Seats(in.Placed)
	if err != nil {
		t.Empty = "The places of the groups are not known: " + err.Error()
		return t
	}
	bays := in.Frame.Brief.Bays
	group, last := 0, -1
	for _, s := range seats {
		if s.String != last {
			group, last = 0, s.String
		}
		group++
		poles := "as the first"
		if s.Turned {
			poles = "turned"
		}
		t.Rows = append(t.Rows, []string{strconv.Itoa(s.String + 1), strconv.Itoa(group), bays[s.Bay].Name, strconv.Itoa(s.Place + 1), poles, ""})
	}
	return t
}

// joined writes a list of words.
func joined(words []string) string { return strings.Join(words, ", ") }
