package server

import (
	"net/http"

	"packyard/check"
	"packyard/design"
	"packyard/drive"
	"packyard/unit"
)

// HeatReply is one duty of an option, for its temperatures.
type HeatReply struct {
	Revision int64        `json:"revision"`
	Run      HeatRun      `json:"run"`
	Columns  []Column     `json:"columns"`
	Map      GroupMap     `json:"map"`
	Views    GroupViews   `json:"views"`
	Coolant  *CoolantPath `json:"coolant"` // null for a passive pack
}

// HeatRun is what a duty found.
type HeatRun struct {
	Option       string                `json:"option"`
	Life         string                `json:"life"`
	Duty         string                `json:"duty"`
	Cooling      string                `json:"cooling"` // "passive" or "plates"
	Fidelity     string                `json:"fidelity"`
	Air          unit.Temperature      `json:"air_k"`
	Start        unit.Temperature      `json:"start_k"`
	Duration     unit.Time             `json:"duration_s"`
	Ended        string                `json:"ended_by"`
	Hottest      GroupExtreme          `json:"hottest"`
	Coldest      GroupExtreme          `json:"coldest"`
	Spread       unit.TemperatureDelta `json:"spread_max_k"`
	SpreadAt     unit.Time             `json:"spread_max_at_s"`
	Derated      bool                  `json:"derated"`
	DeratedFrom  unit.Time             `json:"derated_from_s"`
	DeratedBy    string                `json:"derated_by"`
	DeratedGroup int                   `json:"derated_group"` // from 1; 0: the pack as a whole, or none
	Power        unit.Power            `json:"power_w"`       // of a grade or full power, at the terminals
	GradeMost    unit.Slope            `json:"grade_max"`     // of a grade: the steepest that the drive train holds
	Asked        unit.Energy           `json:"asked_j"`
	Given        unit.Energy           `json:"given_j"`
	CellHeat     unit.Energy           `json:"cell_heat_j"`
	ToAir        unit.Energy           `json:"to_surroundings_j"`
	Flow         unit.VolumeFlow       `json:"coolant_flow_m3_per_s"`
	Head         unit.Pressure         `json:"pump_head_pa"`
	HeaterEnergy unit.Energy           `json:"heater_j"`
	LoadEnergy   unit.Energy           `json:"cooling_load_j"`
	PreheatTime  unit.Time             `json:"preheat_s"`
	ChargeEnd    unit.Ratio            `json:"cells_charge_end"`
	Unclosed     float64               `json:"energy_not_closed"` // share, dimensionless
	Findings     []check.Finding       `json:"findings"`
	Workings     []check.Working       `json:"workings"`
	Assumed      []check.Assumption    `json:"cooling_assumptions"`
}

// GroupExtreme is the hottest or coldest group of a duty.
type GroupExtreme struct {
	Temperature unit.Temperature `json:"temperature_k"`
	Group       int              `json:"group"` // from 1, string after string
	Name        string           `json:"name"`
	At          unit.Time        `json:"at_s"`
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
	var w design.Warming
	var err error
	if w.End, err = lifeOf(q); err != nil {
		return w, err
	}
	text := q.Get("duty")
	if text == "" {
		text = string(drive.DutySchedule)
	}
	if w.Duty, err = drive.ParseDuty(text); err != nil {
		return w, textOf(err)
	}
	if w.Duty.Kind == drive.DutySchedule {
		w.Duty.Schedule = snap.brief.Targets.Schedule
		if name := q.Get("schedule"); name != "" {
			if w.Duty.Schedule, err = snap.route(name); err != nil {
				return w, err
			}
		}
	}
	if err = quantityOf(q, "ambient", cellTemperatures(), &w.Air); err != nil {
		return w, err
	}
	if err = quantityOf(q, "cells", cellTemperatures(), &w.Start); err != nil {
		return w, err
	}
	if err = quantityOf(q, "from", bounds[unit.Ratio]{low: 0, high: 1, above: true}, &w.Charge); err != nil {
		return w, err
	}
	if w.Duty.Kind != drive.DutySoak { // a soak says itself how long it lasts
		err = quantityOf(q, "for", bounds[unit.Time]{low: 0, high: 7 * 24 * unit.Hour, above: true}, &w.Duty.For)
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
	got, err := f.Heat(a.placed, w)
	if err != nil {
		return nil, nil, textOf(err)
	}
	out := &HeatReply{Revision: revision, Run: heatRun(a.report.Option, w.End, f.Brief.Cooling.Plates, &got), Columns: heatColumns(&got.Trace)}
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

func heatRun(id string, end, plates bool, w *design.Warmed) HeatRun {
	extreme := func(e drive.Extreme) GroupExtreme {
		return GroupExtreme{Temperature: e.Temperature, Group: e.Group + 1, Name: e.Name, At: e.At}
	}
	out := HeatRun{
		Option: id, Life: lifeName(end), Duty: dutyName(&w.Duty), Cooling: "passive", Fidelity: drive.FidelityGroups, Air: w.Air, Start: w.Start,
		Duration: w.Duration, Ended: string(w.End), Hottest: extreme(w.Hottest), Coldest: extreme(w.Coldest), Spread: w.Spread, SpreadAt: w.SpreadAt,
		Derated: w.Derated, DeratedFrom: w.DeratedFrom, DeratedBy: string(w.DeratedBy), DeratedGroup: w.DeratedGroup + 1,
		Power: w.Power, GradeMost: w.GradeMost, Asked: w.Asked, Given: w.Given, CellHeat: w.CellHeat, ToAir: w.Account.Left,
		Flow: w.FlowMax, Head: w.HeadMax, HeaterEnergy: w.HeaterEnergy, LoadEnergy: w.LoadEnergy, PreheatTime: w.PreheatTime, ChargeEnd: w.Charge,
		Unclosed: w.Account.Missing(), Findings: append([]check.Finding{}, w.Findings...), Workings: w.Workings(), Assumed: append([]check.Assumption{}, w.Assumed...),
	}
	if plates {
		out.Cooling = "plates"
	}
	return out
}

func dutyName(d *drive.Duty) string {
	if d.Kind == drive.DutySchedule {
		return "schedule " + d.Schedule.ID
	}
	return d.String()
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
