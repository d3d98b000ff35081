package server

import (
	"encoding/csv"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"packyard/check"
	"packyard/design"
)

// csv answers with one table, SI with the unit in the name of each column.
func (s *Server) csv(w http.ResponseWriter, r *http.Request) {
	name := r.PathValue("table")
	var t sheetOut
	s.answerWith(w, r, func() error {
		maker, ok := s.tables()[name]
		if !ok {
			return fmt.Errorf("table %q %w: there are %s", name, errNotFound, strings.Join(s.tableNames(), ", "))
		}
		return maker(r, &t)
	}, func() {
		w.Header().Set("Content-Type", "text/csv; charset=utf-8")
		w.Header().Set("Content-Disposition", `attachment; filename="`+name+`.csv"`)
		out := csv.NewWriter(w)
		_ = out.WriteAll(t.rows()) // a page that is gone needs no table
	})
}

// answerWith makes something in a slot and writes it, or the error.
func (s *Server) answerWith(w http.ResponseWriter, r *http.Request, do func() error, write func()) {
	select {
	case s.slots <- struct{}{}:
		defer func() { <-s.slots }()
	case <-r.Context().Done():
		return
	}
	if err := do(); err != nil {
		fail(w, r, err)
		return
	}
	write()
}

func (s *Server) tableNames() []string {
	var out []string
	for n := range s.tables() {
		out = append(out, n)
	}
	slices.Sort(out)
	return out
}

type tableMaker func(*http.Request, *sheetOut) error

// listed makes a table of the list that pick finds in an answer.
func listed[T any](answer func(*http.Request) (any, error), pick func(T) any) tableMaker {
	return func(r *http.Request, t *sheetOut) error {
		v, err := answer(r)
		if err != nil {
			return err
		}
		return t.list(pick(v.(T)))
	}
}

// tables are the tables that can be had.
func (s *Server) tables() map[string]tableMaker {
	return map[string]tableMaker{
		"ledger":      listed(s.donor, func(d *Donor) any { return ledgerLines(d) }),
		"states":      listed(s.donor, func(d *Donor) any { return d.States }),
		"bays":        listed(s.bays, func(b *Bays) any { return b.Bays }),
		"places":      listed(s.bays, func(b *Bays) any { return placeLines(b) }),
		"sources":     listed(s.sources, func(x *Sources) any { return x.Sources }),
		"parts":       listed(s.parts, func(x *Parts) any { return x.Parts }),
		"options":     s.reportTable(func(o *OptionList) any { return o.Report.Ranked }),
		"pareto":      s.reportTable(func(o *OptionList) any { return o.Report.Pareto }),
		"falls":       s.reportTable(func(o *OptionList) any { return o.Report.Falls }),
		"misses":      s.reportTable(func(o *OptionList) any { return missLines(o) }),
		"findings":    listed(s.assessment, func(a *AssessmentReply) any { return a.Assessment.Findings }),
		"workings":    listed(s.assessment, func(a *AssessmentReply) any { return workingLines(a.Assessment.Workings) }),
		"modules":     listed(s.assessment, func(a *AssessmentReply) any { return a.Assessment.Modules }),
		"budgets":     listed(s.assessment, func(a *AssessmentReply) any { return a.Assessment.Budgets }),
		"assumptions": listed(s.assumptions, func(a *AssumptionList) any { return a.Assumptions }),
		"compare":     listed(s.compare, func(c *Compare) any { return c.Rows }),
		"trace":       s.traceTable,
		"groups":      s.groupTable,
		"limits":      s.limitTable,
		"pace":        listed(s.pace, func(p *PaceReply) any { return paceLines(p) }),
		"spread":      s.spreadTable,
		"heat":        s.heatTable,
		"heat-groups": s.heatGroupsTable,
		"charge":      s.chargeTable,
		"ranges":      listed(s.ranges, func(x *Ranges) any { return x.Runs }),
		"schedules":   listed(s.schedules, func(x *Schedules) any { return x.Schedules }),
		"profile": func(r *http.Request, t *sheetOut) error {
			v, err := s.profile(r)
			if err != nil {
				return err
			}
			return t.columns(v.(*Profile).Columns)
		},
		"units":      func(_ *http.Request, t *sheetOut) error { return t.list(unitLines()) },
		"references": func(_ *http.Request, t *sheetOut) error { return t.list(check.Sources()) },
	}
}

func (s *Server) reportTable(pick func(*OptionList) any) tableMaker {
	return func(r *http.Request, t *sheetOut) error {
		v, err := s.optionList(r)
		if err != nil {
			return err
		}
		o := v.(*OptionList)
		if o.Report == nil {
			return fmt.Errorf("a finished search %w yet", errNotFound)
		}
		return t.list(pick(o))
	}
}

func (s *Server) traceTable(r *http.Request, t *sheetOut) error {
	trip, _, _, err := s.tripOf(r)
	if err != nil {
		return err
	}
	d, err := trip.drive(true)
	if err != nil {
		return err
	}
	return t.columns(columnsOf(&d.trace))
}

// ledgerLine is a line of the ledger with the list it is in.
type ledgerLine struct {
	List string `json:"list"`
	LedgerRow
}

func ledgerLines(d *Donor) []ledgerLine {
	var out []ledgerLine
	add := func(list string, rows []LedgerRow) {
		for _, r := range rows {
			out = append(out, ledgerLine{list, r})
		}
	}
	add("removed", d.Removed)
	add("added", d.Added)
	add("pack", d.Pack)
	for _, c := range d.LoadCases {
		add("load case: "+c.Name, c.Items)
	}
	return out
}

type bayPlace struct {
	Bay string `json:"bay"`
	design.PlaceLine
}

func placeLines(b *Bays) []bayPlace {
	var out []bayPlace
	for _, x := range b.Bays {
		for _, p := range x.Places {
			out = append(out, bayPlace{x.Name, p.PlaceLine})
		}
	}
	return out
}

// missLine is one limit of a nearest miss.
type missLine struct {
	Option string       `json:"option"`
	Rule   string       `json:"rule"`
	Value  check.Figure `json:"value"`
	Limit  check.Figure `json:"limit"`
	By     check.Figure `json:"by"`
	Share  float64      `json:"share"` // dimensionless
	Bay    string       `json:"bay"`   // that would have to grow
	Axis   string       `json:"axis"`
	Growth float64      `json:"growth_m"`
}

func missLines(o *OptionList) []missLine {
	var out []missLine
	for _, m := range o.Report.Misses {
		for _, l := range m.Limits {
			x := missLine{Option: m.Option.ID, Rule: l.Rule, Value: l.Value, Limit: l.Limit, By: l.By, Share: l.Share}
			if m.Growth != nil {
				x.Bay, x.Axis, x.Growth = m.Growth.Bay, m.Growth.Axis, float64(m.Growth.By)
			}
			out = append(out, x)
		}
	}
	return out
}

// workingLine is one input of a working.
type workingLine struct {
	Working string       `json:"working"`
	Formula string       `json:"formula"`
	Result  check.Figure `json:"result"`
	Symbol  string       `json:"symbol"`
	Input   string       `json:"input"`
	Value   check.Figure `json:"value"`
	Source  string       `json:"source"`
}

func workingLines(list []check.Working) []workingLine {
	var out []workingLine
	for _, w := range list {
		for _, in := range w.Inputs {
			out = append(out, workingLine{w.Name, w.Formula, w.Result, in.Symbol, in.Name, in.Value, in.Source})
		}
	}
	return out
}

type unitLine struct {
	Noun string `json:"noun"`
	UnitRow
}

func unitLines() []unitLine {
	var out []unitLine
	for _, q := range unitTable().Quantities {
		for _, r := range q.Spellings {
			out = append(out, unitLine{q.Noun, r})
		}
	}
	return out
}
