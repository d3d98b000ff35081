package circuit

import (
	"errors"
	"fmt"

	"packyard/check"
	"packyard/part"
	"packyard/unit"
)

// ErrInput is returned for an input that is no circuit.
var ErrInput = errors.New("no circuit can be made")

// Result is the circuit with everything that was found about it.
type Result struct {
	Faults   []FaultSpan
	Items    []Choice
	Cables   []Cable
	Net      Net
	Chart    Chart
	Findings []check.Finding // of all items
	Assumed  []check.Assumption
}

// FaultSpan is the span of the current of a bolted short circuit at one place.
type FaultSpan struct {
	Place       string       `json:"place"`
	Highest     unit.Current `json:"highest_a"` // full, warm, as bought
	Lowest      unit.Current `json:"lowest_a"`  // at the charge floor, cold, at the end of life
	ThroughFuse unit.Current `json:"highest_through_fuse_a"`
	Constant    unit.Time    `json:"time_constant_s"` // L/R of the highest
}

// Choice is one question that was answered: how it was worked out, what was
// chosen, and what there is to say about it.
type Choice struct {
	Subject  string          `json:"subject"` // "fuse of each string"
	Part     string          `json:"part"`    // id in the catalogue; "" when none is chosen
	Title    string          `json:"title"`
	Count    int             `json:"count"`
	By       string          `json:"chosen_by"` // "builder", "packyard", "" when none is
	None     string          `json:"none"`      // "none fits, because …"; "" when one does, or none is asked for
	Workings []check.Working `json:"workings"`
	Findings []check.Finding `json:"findings"`
}

// Chart is the coordination of fuse, cable and contactor in time over current,
// of one string.
type Chart struct {
	Curves  []ChartCurve `json:"curves"`
	Points  []DutyPoint  `json:"points"`
	Lowest  unit.Current `json:"fault_lowest_a"`
	Highest unit.Current `json:"fault_highest_a"`
	Break   unit.Current `json:"contactor_break_a"` // zero: no contactor
}

// CurveKind is what a curve of the chart stands for.
type CurveKind string

// Kinds of curve.
const (
	CurveMelting  CurveKind = "fuse, melts at the earliest"
	CurveClearing CurveKind = "fuse, has cleared at the latest"
	CurveCable    CurveKind = "cable, bears at the longest"
	CurveCarries  CurveKind = "contactor, carries at the longest"
)

// ChartCurve is a series of one length.
type ChartCurve struct {
	Kind    CurveKind `json:"kind"`
	Name    string    `json:"name"`      // of the part
	Current []float64 `json:"current_a"` // A, rising
	Time    []float64 `json:"time_s"`    // s
}

// DutyPoint is a current that flows in service, and for how long.
type DutyPoint struct {
	Name    string       `json:"name"`
	Current unit.Current `json:"current_a"`
	Time    unit.Time    `json:"time_s"`
}

// need is one demand on a part, with how it was worked out.
type need struct {
	finding check.Finding
	working check.Working
}

func (n need) holds() bool { return n.finding.Margin >= 0 }

// limit makes a need of a value that is held against a limit. The severity of f
// is that of a broken one.
func limit[Q unit.Quantity](a check.Against[Q], f check.Finding, w check.Working) need {
	broken := f.Severity
	f.Severity = check.Note
	f.Budget = "safety"
	g := a.Finding(f, broken)
	if a.Holds() {
		g.Remedy = ""
	}
	w.Name, w.Source = f.Subject, f.Source
	return need{finding: g, working: w}
}

// in is one input of a working.
func in(symbol, name string, v check.Figure, source string) check.Input {
	return check.Input{Symbol: symbol, Name: name, Value: v, Source: source}
}

// chosen is what a choice came to.
type chosen[P any] struct {
	part  *P
	needs []need
	by    string
	none  string
}

// choose returns the part that the builder named, else the first of the list, the
// smallest in front, that meets every need; else the first that meets all but
// those whose breach is a warning; else none, with the reason of the nearest.
func choose[P any](list []*P, named *P, title func(*P) string, needs func(*P) []need) chosen[P] {
	if named != nil {
		return chosen[P]{part: named, needs: needs(named), by: "builder"}
	}
	var nearest, warned chosen[P]
	most := 0.0
	for _, p := range list {
		n := needs(p)
		worst, hard := worstOf(n)
		switch {
		case worst == nil:
			return chosen[P]{part: p, needs: n, by: "packyard"}
		case hard == nil && warned.part == nil:
			warned = chosen[P]{part: p, needs: n, by: "packyard"}
		case hard != nil && (nearest.none == "" || hard.finding.Margin > most):
			most = hard.finding.Margin
			value, lim := check.Apart(hard.finding.Value, hard.finding.Limit, unit.SI)
			nearest = chosen[P]{needs: n, none: fmt.Sprintf("none fits, because of the nearest one, %s: %s: %s against a limit of %s", title(p), hard.finding.Subject, value, lim)}
		}
	}
	if warned.part != nil {
		return warned
	}
	if nearest.none == "" {
		nearest.none = "none fits, because the catalogue holds none"
	}
	return nearest
}

// worstOf returns the need that is broken most, and that of those whose breach is
// more than a warning.
func worstOf(list []need) (worst, hard *need) {
	for i := range list {
		n := &list[i]
		if n.holds() {
			continue
		}
		if worst == nil || n.finding.Margin < worst.finding.Margin {
			worst = n
		}
		if n.finding.Severity > check.Warning && (hard == nil || n.finding.Margin < hard.finding.Margin) {
			hard = n
		}
	}
	return worst, hard
}

// item makes an item of a choice.
func (c *chosen[P]) item(subject string, count int, id, title func(*P) string) Choice {
	out := Choice{Subject: subject, Count: count, By: c.by, None: c.none, Workings: []check.Working{}, Findings: []check.Finding{}}
	if c.part != nil {
		out.Part, out.Title = id(c.part), title(c.part)
	}
	for _, n := range c.needs {
		out.add(n)
	}
	return out
}

func (t *Choice) add(n need) {
	if n.working.Formula != "" {
		t.Workings = append(t.Workings, n.working)
	}
	n.finding.Subject = t.Subject + ": " + n.finding.Subject
	t.Findings = append(t.Findings, n.finding)
}

// say adds a finding that compares nothing with a limit.
func (t *Choice) say(f check.Finding) {
	f.Budget = "safety"
	f.Subject = t.Subject + ": " + f.Subject
	t.Findings = append(t.Findings, f)
}

func newChoice(subject string) Choice {
	return Choice{Subject: subject, Workings: []check.Working{}, Findings: []check.Finding{}}
}

func fuseID(p *part.Fuse) string           { return p.ID }
func fuseTitle(p *part.Fuse) string        { return p.Title }
func switchID(p *part.Contactor) string    { return p.ID }
func switchTitle(p *part.Contactor) string { return p.Title }
func cableID(p *part.CableSize) string     { return p.ID }
func cableTitle(p *part.CableSize) string  { return p.Title }
