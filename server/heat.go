package server

import (
	"net/http"

	"packyard/design"
	"packyard/drive"
)

// HeatReply is one duty of an option, for its temperatures.
type HeatReply struct {
	Revision int64             `json:"revision"`
	Run      design.HeatReport `json:"run"`
	Columns  []Column          `json:"columns"`
	Map      GroupMap          `json:"map"`
	Views    GroupViews        `json:"views"`
	Coolant  *CoolantPath      `json:"coolant"` // null for a passive pack
}

// CoolantPath is the way of the coolant: through the stages one after the other,
// in each through its bays side by side, then back through the radiator.
type CoolantPath struct {
	Fluid    string         `json:"fluid"`
	Pump     string         `json:"pump"` // "on its curve" or "held"
	Radiator bool           `json:"radiator"`
	Chiller  bool           `json:"chiller"`
	Heater   bool           `json:"heater"`
	Stages   []CoolantStage `json:"stages"`
	Time     []float64      `json:"time_s"`        // s, of the columns below
	In       []float64      `json:"coolant_in_k"`  // K, before the first stage
	Total    []float64      `json:"flow_m3_per_s"` // m³/s
	Head     []float64      `json:"pump_head_pa"`  // Pa
	Heating  []float64      `json:"heater_w"`      // W electric
	Chilling []float64      `json:"chilled_w"`     // W of heat
}

// CoolantStage is one stage of the way.
type CoolantStage struct {
	Branches []CoolantBranch `json:"branches"`
	Behind   []float64       `json:"behind_k"` // K, where the branches have come together again
}

// CoolantBranch is one bay of a stage.
type CoolantBranch struct {
	Bay  string    `json:"bay"`
	Flow []float64 `json:"flow_m3_per_s"` // m³/s
}

// warming reads a duty from the query of a request. Errors: textError,
// errRequest and those of snapshot.route.
func (s *Server) warming(r *http.Request, snap *snapshot) (design.Warming, error) {
	q := r.URL.Query()
	w, err := design.HeatAsked{Duty: q.Get("duty"), Ambient: q.Get("ambient"), Cells: q.Get("cells"), From: q.Get("from"), For: q.Get("for")}.Read()
	if err != nil {
		return w, textOf(err)
	}
	if w.End, err = lifeOf(q); err != nil {
		return w, err
	}
	if w.Duty.Kind == drive.DutySchedule {
		w.Duty.Schedule = snap.brief.Targets.Schedule
		if name := q.Get("schedule"); name != "" {
			w.Duty.Schedule, err = snap.route(name)
		}
	}
	return w, err
}

// heated runs the duty that a request asks for.
func (s *Server) heated(r *http.Request) (*HeatReply, *design.Warmed, error) {
	snap, revision, a, err := s.needed(r)
	if err != nil {
		return nil, nil, err
	}
	f, err := snap.frame()
	if err != nil {
		return nil, nil, err
	}
	w, err := s.warming(r, snap)
	if err != nil {
		return nil, nil, err
	}
	w.Halt = r.Context().Err // the page may no longer wait
	got, err := f.Heat(a.placed, w)
	if err != nil {
		return nil, nil, textOf(err)
	}
	out := &HeatReply{Revision: revision, Run: *f.HeatReport(a.report.Option, &got), Columns: heatColumns(&got.Trace)}
	out.Map = mapOf(f, a.placed)
	t := &got.Trace
	var picked [][]float64
	out.Views, picked = viewed(t.Time, t.Count, t.Group)
	out.Views.Temperature = rounded(picked[0], 0.01)
	if out.Coolant, err = coolantOf(f, a.placed, t); err != nil {
		return nil, nil, textOf(err)
	}
	return out, &got, nil
}

func (s *Server) heat(r *http.Request) (any, error) {
	out, _, err := s.heated(r)
	return out, err
}

func (s *Server) heatTable(r *http.Request, t *sheetOut) error {
	out, _, err := s.heated(r)
	if err != nil {
		return err
	}
	return t.columns(out.Columns)
}

// heatGroupsTable is every group over the duty.
func (s *Server) heatGroupsTable(r *http.Request, t *sheetOut) error {
	out, got, err := s.heated(r)
	if err != nil {
		return err
	}
	list := []Column{out.Columns[0]}
	n := got.Trace.Count
	for g := range n {
		c := plainColumn("", groupKey(g+1), "K", "temperature", make([]float64, len(got.Trace.Time)))
		for k := range c.Values {
			c.Values[k] = got.Trace.Group[k*n+g]
		}
		list = append(list, c)
	}
	return t.columns(list)
}

func heatColumns(t *drive.DutyTrace) []Column {
	span := make([]float64, len(t.Time))
	for i := range span {
		span[i] = t.Hottest[i] - t.Coldest[i]
	}
	out := []Column{
		plainColumn("time", "time_s", "s", "time", t.Time),
		plainColumn("hottest group", "hottest_k", "K", "temperature", t.Hottest),
		plainColumn("coldest group", "coldest_k", "K", "temperature", t.Coldest),
		plainColumn("mean of the groups", "mean_k", "K", "temperature", t.Mean),
		plainColumn("between hottest and coldest", "spread_k", "K", "temperature difference", span),
	}
	if t.Stages > 0 {
		out = append(out,
			plainColumn("coolant in", "coolant_in_k", "K", "temperature", t.Inlet),
			plainColumn("coolant out", "coolant_out_k", "K", "temperature", t.Outlet),
			plainColumn("coolant flow", "coolant_flow_m3_per_s", "m³/s", "volume flow", t.Flow),
			plainColumn("pump head", "pump_head_pa", "Pa", "pressure", t.Head))
	}
	return append(out,
		plainColumn("asked at the terminals", "asked_w", "W", "power", t.Asked),
		plainColumn("given at the terminals", "given_w", "W", "power", t.Given),
		plainColumn("pump, fan, heater, chiller", "cooling_load_w", "W", "power", t.Load),
		plainColumn("charge of the weakest group", "cells_charge", "1", "ratio", t.Charge))
}

// coolantOf returns the way of the coolant, nil for a passive pack.
func coolantOf(f *design.Frame, p *design.Placed, t *drive.DutyTrace) (*CoolantPath, error) {
	stages, err := f.CoolantPath(p)
	if err != nil || stages == nil || t.Stages == 0 {
		return nil, err
	}
	c := &f.Brief.Cooling
	out := &CoolantPath{
		Fluid: c.Fluid.Title, Pump: "held", Radiator: c.Radiator != nil, Chiller: c.Chiller != nil, Heater: c.Heater != nil,
		Stages: make([]CoolantStage, len(stages)), Time: []float64{},
	}
	if c.Pump != nil {
		out.Pump = "on its curve"
	}
	for _, k := range thinned(len(t.Time), viewsMost) {
		out.Time = append(out.Time, t.Time[k])
		out.In, out.Total, out.Head = append(out.In, t.Inlet[k]), append(out.Total, t.Flow[k]), append(out.Head, t.Head[k])
		out.Heating, out.Chilling = append(out.Heating, t.Heater[k]), append(out.Chilling, t.Chilled[k])
		way := 0
		for i, bays := range stages {
			st := &out.Stages[i]
			st.Behind = append(st.Behind, t.Behind[k*t.Stages+i])
			for j, b := range bays {
				if len(st.Branches) <= j {
					st.Branches = append(st.Branches, CoolantBranch{Bay: f.Brief.Bays[b].Name})
				}
				st.Branches[j].Flow = append(st.Branches[j].Flow, t.Branch[k*t.Ways+way])
				way++
			}
		}
	}
	return out, nil
}
