package server

import (
	"fmt"
	"math"
	"net/http"
	"net/url"
	"strconv"

	"packyard/design"
	"packyard/drive"
	"packyard/schedule"
)

// Drive is one run of an option on a schedule.
type Drive struct {
	Revision int64              `json:"revision"`
	Run      design.DriveReport `json:"run"`
	Rows     int                `json:"rows"`    // steps of the run
	Buckets  int                `json:"buckets"` // into which the columns are gathered; 0: not gathered
	Columns  []Column           `json:"columns"`
	Flow     Flow               `json:"flow"`
}

// Column is one quantity over the run. Gathered into buckets it keeps the least
// and the greatest value of each; time and distance are those at which a bucket
// begins.
type Column struct {
	Name   string    `json:"name"`
	Key    string    `json:"key"` // ends in the unit
	Symbol string    `json:"symbol"`
	Noun   string    `json:"noun"`
	Values []float64 `json:"values,omitempty"` // in the SI unit of Symbol
	Min    []float64 `json:"min,omitempty"`    // in the SI unit of Symbol
	Max    []float64 `json:"max,omitempty"`    // in the SI unit of Symbol
}

// trip is a run that was asked for.
type trip struct {
	a         *assessed
	f         *design.Frame
	sched     *schedule.Schedule
	end, once bool
}

// driven is what a trip found.
type driven struct {
	design.Driven
	trace   drive.Trace
	balance drive.Balance
}

// drive drives the trip; with traced also step by step and with its balance.
func (t *trip) drive(traced bool) (*driven, error) {
	out := &driven{}
	trip := design.Trip{Wiring: &t.a.placed.Wiring, Figures: &t.a.placed.Figures, Schedule: t.sched, End: t.end, Once: t.once}
	if traced {
		trip.Trace, trip.Balance = &out.trace, &out.balance
	}
	var err error
	if out.Driven, err = t.f.Drive(&trip); err != nil {
		return nil, fmt.Errorf("schedule %s: %w", t.sched.ID, err)
	}
	return out, nil
}

// tripOf reads a trip from the query of a request. The schedule is by default
// the wanted one.
func (s *Server) tripOf(r *http.Request) (*trip, *snapshot, int64, error) {
	snap, revision, a, err := s.needed(r)
	if err != nil {
		return nil, nil, revision, err
	}
	f, err := snap.frame()
	if err != nil {
		return nil, nil, revision, err
	}
	q := r.URL.Query()
	t := &trip{a: a, f: f, sched: snap.brief.Targets.Schedule, once: q.Get("once") == "1"}
	if t.end, err = lifeOf(q); err != nil {
		return nil, nil, revision, err
	}
	if name := q.Get("schedule"); name != "" {
		if t.sched, err = snap.route(name); err != nil {
			return nil, nil, revision, err
		}
	}
	return t, snap, revision, nil
}

func lifeOf(q url.Values) (end bool, err error) {
	switch q.Get("life") {
	case "", "new":
		return false, nil
	case "end":
		return true, nil
	}
	return false, fmt.Errorf("%w: life %q: new and end are accepted", errRequest, q.Get("life"))
}

// Buckets of a trace.
const (
	bucketsUsual = 1000
	bucketsMost  = 20000
)

func bucketsOf(q url.Values) (int, error) {
	if q.Get("full") == "1" {
		return 0, nil
	}
	text := q.Get("points")
	if text == "" {
		return bucketsUsual, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 2 || n > bucketsMost {
		return 0, fmt.Errorf("%w: points %q: 2 to %d are accepted", errRequest, text, bucketsMost)
	}
	return n, nil
}

func (s *Server) drive(r *http.Request) (any, error) {
	n, err := bucketsOf(r.URL.Query())
	if err != nil {
		return nil, err
	}
	t, _, revision, err := s.tripOf(r)
	if err != nil {
		return nil, err
	}
	d, err := t.drive(true)
	if err != nil {
		return nil, err
	}
	out := &Drive{Revision: revision, Run: t.run(d), Rows: len(d.trace.Time), Flow: flowOf(&d.Result, &d.balance)}
	out.Columns, out.Buckets = gather(columnsOf(&d.trace), n)
	return out, nil
}

// run returns the outcome for printing.
func (t *trip) run(d *driven) design.DriveReport {
	return t.f.DriveReport(t.a.report.Option, t.sched, &d.Result, t.end, d.Findings())
}

// columnsOf returns the columns of a trace, time and distance first.
func columnsOf(t *drive.Trace) []Column {
	return []Column{
		{Name: "time", Key: "time_s", Symbol: "s", Noun: "time", Values: t.Time},
		{Name: "distance", Key: "distance_m", Symbol: "m", Noun: "length", Values: t.Distance},
		{Name: "speed", Key: "speed_m_per_s", Symbol: "m/s", Noun: "speed", Values: t.Speed},
		{Name: "wanted speed", Key: "speed_wanted_m_per_s", Symbol: "m/s", Noun: "speed", Values: t.SpeedWanted},
		{Name: "force at the wheels", Key: "wheel_force_n", Symbol: "N", Noun: "force", Values: t.Force},
		{Name: "power at the motor shaft", Key: "shaft_power_w", Symbol: "W", Noun: "power", Values: t.Shaft},
		{Name: "friction brakes", Key: "friction_brake_w", Symbol: "W", Noun: "power", Values: t.Friction},
		{Name: "power at the terminals", Key: "terminal_power_w", Symbol: "W", Noun: "power", Values: t.Power},
		{Name: "current", Key: "current_a", Symbol: "A", Noun: "current", Values: t.Current},
		{Name: "voltage", Key: "voltage_v", Symbol: "V", Noun: "voltage", Values: t.Voltage},
		{Name: "charge", Key: "state_of_charge", Symbol: "1", Noun: "ratio", Values: t.SoC},
	}
}

// axesFirst is how many columns are axes: time and distance.
const axesFirst = 2

// gather gathers columns into n buckets of equal numbers of rows, none lost:
// each keeps its least and greatest value. Fewer rows than buckets stay as they
// are, and 0 is returned.
func gather(columns []Column, n int) ([]Column, int) {
	rows := len(columns[0].Values)
	if n == 0 || rows <= n {
		return columns, 0
	}
	out := make([]Column, len(columns))
	for c, col := range columns {
		out[c] = Column{Name: col.Name, Key: col.Key, Symbol: col.Symbol, Noun: col.Noun}
		for b := range n {
			part := col.Values[b*rows/n : (b+1)*rows/n]
			if c < axesFirst {
				out[c].Values = append(out[c].Values, part[0])
				continue
			}
			lo, hi := math.Inf(1), math.Inf(-1)
			for _, v := range part {
				lo, hi = min(lo, v), max(hi, v)
			}
			out[c].Min, out[c].Max = append(out[c].Min, lo), append(out[c].Max, hi)
		}
	}
	return out, n
}

// Ranges are the runs of an option on every schedule.
type Ranges struct {
	Revision int64                `json:"revision"`
	Runs     []design.DriveReport `json:"runs"`
}

func (s *Server) ranges(r *http.Request) (any, error) {
	t, snap, revision, err := s.tripOf(r)
	if err != nil {
		return nil, err
	}
	out := &Ranges{Revision: revision, Runs: []design.DriveReport{}}
	add := func(name string, sched *schedule.Schedule, err error) {
		each := *t
		each.sched = sched
		var d *driven
		if err == nil {
			d, err = each.drive(false)
		}
		if err != nil {
			out.Runs = append(out.Runs, design.Undriven(t.a.report.Option, name, t.end, err))
			return
		}
		run := each.run(d)
		run.Schedule = name // of a file: as targets.schedule names it
		out.Runs = append(out.Runs, run)
	}
	for _, b := range schedule.BuiltIn() {
		if err := r.Context().Err(); err != nil {
			return nil, err
		}
		add(b.ID, b, nil)
	}
	for _, name := range snap.project.Routes() {
		sched, err := snap.project.Route(name)
		add(name, sched, err)
	}
	return out, nil
}
