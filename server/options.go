package server

import (
	"fmt"
	"net/http"

	"packyard/check"
	"packyard/design"
	"packyard/search"
)

// OptionList is the newest finished search; its report is of search.revision,
// older than revision while a search runs.
type OptionList struct {
	Revision int64          `json:"revision"`
	Search   SearchState    `json:"search"`
	Report   *search.Report `json:"report"`
}

// newest returns the newest finished search, nil before the first.
func (l *live) newest() (*found, SearchState) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.options, l.status
}

func (s *Server) optionList(*http.Request) (any, error) {
	_, revision, err := s.present()
	if err != nil {
		return nil, err
	}
	f, status := s.live.newest()
	out := &OptionList{Revision: revision, Search: status}
	if f != nil {
		out.Report = f.report
	}
	return out, nil
}

// AssessmentReply is everything about one option.
type AssessmentReply struct {
	Revision   int64              `json:"revision"`
	Assessment *design.Assessment `json:"assessment"`
}

func (s *Server) assessment(r *http.Request) (any, error) {
	_, revision, a, err := s.needed(r)
	if err != nil {
		return nil, err
	}
	return &AssessmentReply{revision, a.report}, nil
}

// AssumptionList is what the project does not say and was filled in.
type AssumptionList struct {
	Revision    int64           `json:"revision"`
	Assumptions []AssumptionRow `json:"assumptions"`
}

// AssumptionRow is one value that was filled in.
type AssumptionRow struct {
	Subject     string       `json:"subject"`
	Value       check.Figure `json:"value"`
	Source      string       `json:"source"`
	SourceTitle string       `json:"source_title"`
}

func (s *Server) assumptions(*http.Request) (any, error) {
	snap, revision, err := s.present()
	if err != nil {
		return nil, err
	}
	// With the frame, which adds what it assumes; without one, what the reader did.
	_, _ = snap.frame()
	out := &AssumptionList{Revision: revision, Assumptions: []AssumptionRow{}}
	for _, a := range snap.brief.Assumed.List {
		out.Assumptions = append(out.Assumptions, AssumptionRow{a.Subject, a.Value, a.Source, check.SourceTitle(a.Source)})
	}
	return out, nil
}

// References lists where figures come from.
type References struct {
	Sources []check.Source `json:"sources"`
}

// Compare is two options beside each other: what differs.
type Compare struct {
	Revision int64        `json:"revision"`
	A        string       `json:"a"`
	B        string       `json:"b"`
	Same     int          `json:"same"` // rows that do not differ
	Rows     []CompareRow `json:"rows"`
}

// CompareRow is one figure, or word, that differs.
type CompareRow struct {
	Group      string        `json:"group"`
	Name       string        `json:"name"`
	A          *check.Figure `json:"a"`
	B          *check.Figure `json:"b"`
	Difference *check.Figure `json:"difference"` // b − a
	AText      string        `json:"a_text,omitempty"`
	BText      string        `json:"b_text,omitempty"`
}

func (s *Server) compare(r *http.Request) (any, error) {
	snap, revision, err := s.present()
	if err != nil {
		return nil, err
	}
	out := &Compare{Revision: revision, A: optionIn(r, "a"), B: optionIn(r, "b"), Rows: []CompareRow{}}
	if out.A == "" || out.B == "" {
		return nil, fmt.Errorf("%w: two options are compared, a and b", errRequest)
	}
	a, err := snap.assess(out.A)
	if err != nil {
		return nil, wrap(out.A, err)
	}
	b, err := snap.assess(out.B)
	if err != nil {
		return nil, wrap(out.B, err)
	}
	out.fill(facts(a.report), facts(b.report))
	return out, nil
}

// fact is one thing about an option: a figure, or a word.
type fact struct {
	group, name string
	figure      *check.Figure
	text        string
}

// fill lists what differs, in the order of a, then what only b has.
func (c *Compare) fill(a, b []fact) {
	type key struct{ group, name string }
	other := map[key]fact{}
	for _, f := range b {
		other[key{f.group, f.name}] = f
	}
	for _, f := range a {
		k := key{f.group, f.name}
		g := other[k]
		delete(other, k)
		row := CompareRow{Group: f.group, Name: f.name, A: f.figure, B: g.figure, AText: f.text, BText: g.text}
		if f.text == g.text && (f.figure == nil) == (g.figure == nil) && (f.figure == nil || *f.figure == *g.figure) {
			c.Same++
			continue
		}
		if f.figure != nil && g.figure != nil && f.figure.Symbol == g.figure.Symbol {
			d := check.Figure{SI: g.figure.SI - f.figure.SI, Symbol: f.figure.Symbol, Noun: f.figure.Noun}
			if d.Noun == "temperature" {
				d.Noun = "temperature difference"
			}
			row.Difference = &d
		}
		c.Rows = append(c.Rows, row)
	}
	for _, f := range b {
		if _, only := other[key{f.group, f.name}]; only {
			c.Rows = append(c.Rows, CompareRow{Group: f.group, Name: f.name, B: f.figure, BText: f.text})
		}
	}
}

// factList collects facts.
type factList struct {
	group string
	out   []fact
}

func (l *factList) word(name, text string) {
	l.out = append(l.out, fact{group: l.group, name: name, text: text})
}

func (l *factList) figure(name string, f check.Figure) {
	l.out = append(l.out, fact{group: l.group, name: name, figure: &f})
}

// facts lists what two options are compared by.
func facts(a *design.Assessment) []fact {
	l := &factList{group: "option"}
	l.word("verdict", a.Verdict)
	l.word("source", a.Source)
	l.word("form", a.Form)
	l.word("wiring", a.Topology)
	l.word("cell", a.Cell.Title)
	l.word("chemistry", a.Cell.Chemistry)
	l.figure("cell capacity", check.Of(a.Cell.Capacity))
	l.group = "budgets"
	for _, b := range a.Budgets {
		l.figure(b.Name+", used", b.Used)
		l.figure(b.Name+", left", b.Left)
	}
	l.group = "range"
	for _, p := range []struct {
		life string
		*design.Performance
	}{{"as bought", &a.New}, {"end of life", &a.End}} {
		l.figure("range, "+p.life, check.Of(p.Range))
		l.figure("usable energy, "+p.life, check.Of(p.Usable))
		l.figure("consumption at the terminals, "+p.life, check.Of(p.Terminals))
		l.figure("consumption from the wall, "+p.life, check.Of(p.Wall))
		l.figure("greatest current over 10 s, "+p.life, check.Of(p.Peak))
		l.word("ended by, "+p.life, p.EndedBy)
	}
	l.group = "voltage"
	l.figure("full", check.Of(a.Window.Full))
	l.figure("at the charge floor, at rest", check.Of(a.Window.Rest))
	l.figure("lowest, under load, cold and aged", check.Of(a.Window.Lowest))
	l.group = "modules"
	for i, m := range a.Modules {
		n := fmt.Sprintf("length %d: ", i+1)
		l.word(n+"modules", fmt.Sprintf("%d of %dS%dP", m.Count, m.Series, m.Parallel))
		l.figure(n+"along the stack", check.Of(m.Length))
		l.figure(n+"mass", check.Of(m.Mass))
		l.figure(n+"voltage when handled, full", check.Of(m.Handling))
	}
	l.group = "bays"
	for _, b := range a.Bays {
		n := 0
		for _, c := range b.Modules {
			n += c
		}
		l.figure(b.Name+": modules", check.Number(float64(n), "modules"))
		l.figure(b.Name+": mass", check.Of(b.Mass))
	}
	l.group = "vehicle"
	for _, s := range a.Vehicle {
		l.figure(s.Name+": mass", check.Of(s.Mass))
		l.figure(s.Name+": front axle", check.Of(s.AxleFront))
		l.figure(s.Name+": rear axle", check.Of(s.AxleRear))
	}
	for _, in := range a.Stability {
		l.figure(in.Name, in.Value)
	}
	l.group = "margins"
	for _, f := range a.Findings {
		l.figure(f.Subject, check.Figure{SI: f.Margin, Symbol: "1", Noun: "ratio"})
		l.word(f.Subject+": severity", f.Severity.String())
	}
	return l.out
}
