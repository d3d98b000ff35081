package design

import (
	"packyard/check"
	"packyard/drive"
	"packyard/unit"
)

// HeatReport is one duty of an option as command and workbench tell it. Groups
// count from 1, string after string; 0 is the pack as a whole, or none.
type HeatReport struct {
	Option       string                `json:"option"`
	Life         string                `json:"life"` // LifeName
	Duty         string                `json:"duty"`
	Cooling      string                `json:"cooling"` // "passive" or "plates"
	Fidelity     string                `json:"fidelity"`
	Air          unit.Temperature      `json:"air_k"`
	Start        unit.Temperature      `json:"start_k"`
	Duration     unit.Time             `json:"duration_s"`
	Ended        string                `json:"ended_by"`
	Hottest      HeatExtreme           `json:"hottest"`
	Coldest      HeatExtreme           `json:"coldest"`
	Spread       unit.TemperatureDelta `json:"spread_max_k"`
	SpreadAt     unit.Time             `json:"spread_max_at_s"`
	Derated      bool                  `json:"derated"`
	DeratedFrom  unit.Time             `json:"derated_from_s"`
	DeratedBy    string                `json:"derated_by"`
	DeratedGroup int                   `json:"derated_group"`
	Power        unit.Power            `json:"power_w"`          // of a grade or full power, at the terminals
	GradeMost    unit.Slope            `json:"grade_held_share"` // of a grade: the steepest that the drive train holds
	Asked        unit.Energy           `json:"asked_j"`
	Given        unit.Energy           `json:"given_j"`
	CellHeat     unit.Energy           `json:"cell_heat_j"`
	ToAir        unit.Energy           `json:"to_surroundings_j"`
	Flow         unit.VolumeFlow       `json:"coolant_flow_m3_per_s"`
	Head         unit.Pressure         `json:"pump_head_pa"`
	HeaterEnergy unit.Energy           `json:"heater_j"`
	LoadEnergy   unit.Energy           `json:"cooling_load_j"`
	PreheatTime  unit.Time             `json:"preheat_s"`
	ChargeEnd    unit.Ratio            `json:"cells_charge_end_share"`
	Unclosed     float64               `json:"energy_open_share"` // share, dimensionless
	Trace        *HeatTrace            `json:"trace,omitempty"`   // where it is asked for
	Findings     []check.Finding       `json:"findings"`
	Workings     []check.Working       `json:"workings"`
	Assumed      []check.Assumption    `json:"cooling_assumptions"`
}

// HeatExtreme is the hottest or coldest group of a duty.
type HeatExtreme struct {
	Temperature unit.Temperature `json:"temperature_k"`
	Group       int              `json:"group"`
	Name        string           `json:"name"`
	At          unit.Time        `json:"at_s"`
}

// HeatTrace is a duty over time, columns of one length.
type HeatTrace struct {
	Time    []float64 `json:"time_s"`                // s
	Hottest []float64 `json:"hottest_k"`             // K
	Coldest []float64 `json:"coldest_k"`             // K
	Mean    []float64 `json:"mean_k"`                // K
	Inlet   []float64 `json:"coolant_in_k"`          // K, 0 without coolant
	Outlet  []float64 `json:"coolant_out_k"`         // K, 0 without coolant
	Flow    []float64 `json:"coolant_flow_m3_per_s"` // m³/s
	Head    []float64 `json:"pump_head_pa"`          // Pa
	Asked   []float64 `json:"asked_w"`               // W
	Given   []float64 `json:"given_w"`               // W
	Load    []float64 `json:"cooling_load_w"`        // W
	Charge  []float64 `json:"cells_charge_share"`    // 0…1, dimensionless
}

// HeatTraceOf returns the columns of a duty; they share their memory with it.
func HeatTraceOf(t *drive.DutyTrace) *HeatTrace {
	return &HeatTrace{Time: t.Time, Hottest: t.Hottest, Coldest: t.Coldest, Mean: t.Mean, Inlet: t.Inlet, Outlet: t.Outlet, Flow: t.Flow,
		Head: t.Head, Asked: t.Asked, Given: t.Given, Load: t.Load, Charge: t.Charge}
}

// HeatReport tells what a duty of an option found, without its trace.
func (f *Frame) HeatReport(option string, w *Warmed) *HeatReport {
	extreme := func(e drive.Extreme) HeatExtreme {
		return HeatExtreme{Temperature: e.Temperature, Group: e.Group + 1, Name: e.Name, At: e.At}
	}
	r := &HeatReport{
		Option: option, Life: LifeName(w.Aged), Duty: w.Name, Cooling: "passive", Fidelity: drive.FidelityGroups, Air: w.Air, Start: w.Start,
		Duration: w.Duration, Ended: string(w.End), Hottest: extreme(w.Hottest), Coldest: extreme(w.Coldest),
		Spread: w.Spread, SpreadAt: w.SpreadAt, Derated: w.Derated, DeratedFrom: w.DeratedFrom, DeratedBy: string(w.DeratedBy), DeratedGroup: w.DeratedGroup + 1,
		Power: w.Power, GradeMost: w.GradeMost, Asked: w.Asked, Given: w.Given, CellHeat: w.CellHeat, ToAir: w.Account.Left,
		Flow: w.FlowMax, Head: w.HeadMax, HeaterEnergy: w.HeaterEnergy, LoadEnergy: w.LoadEnergy, PreheatTime: w.PreheatTime,
		ChargeEnd: w.Charge, Unclosed: w.Account.Missing(),
		Findings: append([]check.Finding{}, w.Findings...), Workings: w.Workings(), Assumed: append([]check.Assumption{}, w.Assumed...),
	}
	if f.Brief.Cooling.Plates {
		r.Cooling = "plates"
	}
	return r
}
