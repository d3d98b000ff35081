package design

import (
	"packyard/bay"
	"packyard/check"
	"packyard/drive"
	"packyard/unit"
	"packyard/vehicle"
)

// Placed is a candidate with everything that was worked out about it: what
// Assess reads.
type Placed struct {
	ID        string
	Candidate Candidate
	Wiring    Wiring
	Modules   Modules
	Loading   Loading
	Places    [][]bay.Placement // by bay, in the bay frame
	Values    Values
	Figures   Figures
	New, End  drive.Result // complete range runs, as bought and at the planned end of life
}

// Assessment is everything found about one option. Its JSON form is a stable
// interface: numbers are SI, the key names the unit.
type Assessment struct {
	Option     string             `json:"option"`
	Project    string             `json:"project"`
	Invented   bool               `json:"invented_data"`
	Verdict    string             `json:"verdict"` // "fits" or "does not fit"
	Source     string             `json:"source"`
	Form       string             `json:"form"` // "regrouped" or "as built"
	Topology   string             `json:"topology"`
	Cell       CellLine           `json:"cell"`
	Modules    []ModuleLine       `json:"modules"`
	Bays       []BayLine          `json:"bays"`
	Window     Window             `json:"window"`
	Budgets    []Budget           `json:"budgets"`
	New        Performance        `json:"as_bought"`
	End        Performance        `json:"end_of_life"`
	Vehicle    []StateLine        `json:"vehicle"`
	Stability  []check.Input      `json:"stability"`
	Findings   []check.Finding    `json:"findings"`
	Workings   []check.Working    `json:"workings"`
	Assumed    []check.Assumption `json:"assumptions"`
	Resistance unit.Resistance    `json:"interconnect_resistance_ohm"`
	Cautions   []string           `json:"cautions"`
}

// CellLine says what the pack is made of.
type CellLine struct {
	ID        string          `json:"id"`
	Title     string          `json:"title"`
	Chemistry string          `json:"chemistry"`
	Capacity  unit.Charge     `json:"capacity_as"`
	Generic   bool            `json:"generic_curve"`
	Source    string          `json:"curve_source"`
	Health    HealthLine      `json:"health_as_bought"`
	HealthEnd HealthLine      `json:"health_end_of_life"`
	Pulse     unit.Resistance `json:"pulse_resistance_10s_ohm"` // as bought, half charge, at the temperature of the range runs
}

// HealthLine is a state of health.
type HealthLine struct {
	CapacityShare    unit.Ratio `json:"capacity_share"`
	ResistanceGrowth unit.Ratio `json:"resistance_growth"`
}

// ModuleLine is one module length of the pack.
type ModuleLine struct {
	Count    int          `json:"count"`
	Series   int          `json:"series"`
	Parallel int          `json:"parallel"`
	Slices   int          `json:"slices"`
	Length   unit.Length  `json:"length_m"` // along the stack
	Width    unit.Length  `json:"width_m"`
	Height   unit.Length  `json:"height_m"`
	Mass     unit.Mass    `json:"mass_kg"`
	Handling unit.Voltage `json:"handling_voltage_v"` // full
}

// BayLine is what stands in one bay.
type BayLine struct {
	Name    string      `json:"name"`
	Modules []int       `json:"modules"` // by module line
	Mass    unit.Mass   `json:"mass_kg"` // with box, cooling and fixed parts
	Limit   unit.Mass   `json:"mass_limit_kg,omitempty"`
	Places  []PlaceLine `json:"places"`
}

// PlaceLine is one module in its place: least corner and edges in the bay
// frame, centre in the vehicle frame.
type PlaceLine struct {
	Module      int            `json:"module"` // index of the module line
	X           unit.Length    `json:"x_m"`
	Y           unit.Length    `json:"y_m"`
	Z           unit.Length    `json:"z_m"`
	Length      unit.Length    `json:"size_x_m"`
	Width       unit.Length    `json:"size_y_m"`
	Height      unit.Length    `json:"size_z_m"`
	Orientation string         `json:"orientation"`
	Terminals   string         `json:"terminals"`
	Centre      [3]unit.Length `json:"centre_vehicle_m"`
}

// Window is the voltage window of the pack.
type Window struct {
	Full    unit.Voltage `json:"full_v"`
	Nominal unit.Voltage `json:"nominal_v"`       // a name plate; no limit is compared with it
	Rest    unit.Voltage `json:"floor_at_rest_v"` // at the charge floor, no current
	Lowest  unit.Voltage `json:"lowest_v"`        // at the charge floor under load, cold and aged
	Floor   unit.Voltage `json:"discharge_end_v"` // cells in series times end of discharge
}

// Budget is one of the four budgets: used, limit and left.
type Budget struct {
	Name  string       `json:"name"`
	Used  check.Figure `json:"used"`
	Limit check.Figure `json:"limit"` // zero: none stated
	Left  check.Figure `json:"left"`
}

// Performance is what a range run of one life found.
type Performance struct {
	Range      unit.Length      `json:"range_m"`
	Schedule   string           `json:"schedule"`
	EndedBy    string           `json:"ended_by"`
	Usable     unit.Energy      `json:"usable_energy_j"`
	Wheels     unit.Consumption `json:"wheels_j_per_m"`
	Terminals  unit.Consumption `json:"terminals_j_per_m"`
	Wall       unit.Consumption `json:"wall_j_per_m"`
	VoltageMin unit.Voltage     `json:"voltage_min_v"`
	VoltageMax unit.Voltage     `json:"voltage_max_v"`
	Peak       unit.Current     `json:"current_peak_10s_a"`
	RMS        unit.Current     `json:"current_rms_a"`
	ChargePeak unit.Current     `json:"current_charge_peak_10s_a"`
	Capped     bool             `json:"schedule_capped"`
	Fidelity   string           `json:"fidelity"`
}

// StateLine is the mass state of the vehicle in one case.
type StateLine struct {
	Name       string         `json:"name"`
	Mass       unit.Mass      `json:"mass_kg"`
	AxleFront  unit.Mass      `json:"axle_front_kg"`
	AxleRear   unit.Mass      `json:"axle_rear_kg"`
	FrontLeft  unit.Mass      `json:"wheel_front_left_kg"`
	FrontRight unit.Mass      `json:"wheel_front_right_kg"`
	RearLeft   unit.Mass      `json:"wheel_rear_left_kg"`
	RearRight  unit.Mass      `json:"wheel_rear_right_kg"`
	CG         [3]unit.Length `json:"cg_m"`
}

func stateLine(s vehicle.State) StateLine {
	return StateLine{
		Name: s.Name, Mass: s.Mass, AxleFront: s.AxleFront, AxleRear: s.AxleRear,
		FrontLeft: s.WheelFrontLeft, FrontRight: s.WheelFrontRight, RearLeft: s.WheelRearLeft, RearRight: s.WheelRearRight,
		CG: [3]unit.Length{s.CG.X, s.CG.Y, s.CG.Z},
	}
}

// cautions are said once in every assessment.
var cautions = []string{
	"High voltage, stored energy and fire can kill. Work on a pack above 60 V DC only with the training, insulated tools and second person that local rules ask for.",
	"All figures are engineering estimates for qualified people; local codes, vehicle inspection and licensed practice decide.",
}

// Assess gathers everything about a placed candidate.
func (f *Frame) Assess(p *Placed) *Assessment {
	b := f.Brief
	a := &Assessment{
		Option: p.ID, Project: b.Title, Invented: b.Invented, Verdict: "fits",
		Source: b.Sources[p.Candidate.Source].Name, Form: formName(p.Candidate.Form),
		Topology: p.Wiring.Topology.String(), Cell: f.cellLine(p), Modules: moduleLines(&p.Modules),
		Bays: f.bayLines(p), Window: f.window(p), Budgets: f.budgets(p),
		New: f.Performance(&p.New), End: f.Performance(&p.End),
		Resistance: p.Figures.Resistance, Assumed: append([]check.Assumption{}, b.Assumed.List...), Cautions: cautions,
	}
	if p.Values.Broken() != 0 {
		a.Verdict = "does not fit"
	}
	states := f.states(p)
	for _, s := range states {
		a.Vehicle = append(a.Vehicle, stateLine(s))
	}
	a.Stability = f.stability(states)
	a.Findings = f.findings(p, states)
	check.Acknowledge(a.Findings, b.Acknowledged)
	a.Workings = f.workings(p)
	return a
}

func formName(form Form) string {
	if form == AsBuilt {
		return "as built"
	}
	return "regrouped"
}

func (f *Frame) cellLine(p *Placed) CellLine {
	l := p.Wiring.lot
	c := l.Slice.Cell
	health := func(s Life) HealthLine {
		return HealthLine{CapacityShare: s.Health.CapacityShare, ResistanceGrowth: s.Health.ResistanceGrowth}
	}
	return CellLine{
		ID: c.ID, Title: c.Title, Chemistry: string(c.Chemistry), Capacity: c.Capacity,
		Generic: c.Curves.Generic, Source: c.Curves.Source,
		Health: health(l.New), HealthEnd: health(l.End), Pulse: unit.Resistance(sourceAt(l.New.Ambient, 0.5, pulse).r),
	}
}

func moduleLines(m *Modules) []ModuleLine {
	var out []ModuleLine
	for i := range m.Stack {
		if m.Count[i] == 0 {
			continue
		}
		s := &m.Stack[i]
		out = append(out, ModuleLine{
			Count: m.Count[i], Series: s.Series(), Parallel: s.Parallel(), Slices: s.Groups * s.SlicesParallel,
			Length: s.Size.X, Width: s.Size.Y, Height: s.Size.Z, Mass: s.Mass,
			Handling: unit.Voltage(s.Series()) * s.Slice.Cell.VoltageMax,
		})
	}
	return out
}

// bayLines says what stands where; cooling and fixed parts are shared over the
// bays by the mass of their modules, as in the rules of mass.
func (f *Frame) bayLines(p *Placed) []BayLine {
	out := make([]BayLine, len(f.bays))
	spread := 1 + f.extra(&p.Wiring)/modulesMass(&p.Modules)
	lengths := len(moduleLines(&p.Modules))
	for i := range f.bays {
		b := &f.Brief.Bays[i]
		n := p.Loading.Count[i]
		out[i] = BayLine{Name: b.Name, Modules: n[:lengths], Limit: b.MassLimit, Places: []PlaceLine{}}
		if n[0]+n[1] == 0 {
			continue
		}
		in := f.bays[i].boxMass
		for k := range n {
			in += spread * float64(n[k]) * float64(p.Modules.Stack[k].Mass)
		}
		out[i].Mass = unit.Mass(in)
		if i < len(p.Places) {
			for _, pl := range p.Places[i] {
				out[i].Places = append(out[i].Places, placeLine(b, pl))
			}
		}
	}
	return out
}

func placeLine(b *bay.Bay, p bay.Placement) PlaceLine {
	at, s := p.Box.At, p.Box.Size
	c := b.ToVehicle(bay.Vec{X: at.X + s.X/2, Y: at.Y + s.Y/2, Z: at.Z + s.Z/2})
	return PlaceLine{
		Module: p.Kind, X: at.X, Y: at.Y, Z: at.Z, Length: s.X, Width: s.Y, Height: s.Z,
		Orientation: string(p.Orientation), Terminals: string(p.Terminals), Centre: [3]unit.Length{c.X, c.Y, c.Z},
	}
}

func (f *Frame) window(p *Placed) Window {
	w := &p.Wiring
	c := w.lot.Slice.Cell
	n := unit.Voltage(w.Topology.Series)
	return Window{
		Full: n * c.VoltageMax, Nominal: n * c.VoltageNominal, Floor: n * c.VoltageMin,
		Rest:   n * unit.Voltage(min(w.lot.New.floor.emf, w.lot.End.floor.emf)),
		Lowest: unit.Voltage(p.Values.Value[InverterLowest]),
	}
}

// Performance returns what a run found, for printing.
func (f *Frame) Performance(r *drive.Result) Performance {
	ended := string(r.End)
	if r.EndedBy != drive.LimitNone {
		ended += ", held back by: " + string(r.EndedBy)
	}
	return Performance{
		Range: r.Distance, Schedule: f.Brief.Targets.Schedule.ID, EndedBy: ended, Usable: r.Energy.Terminals,
		Wheels: r.Consumption.Wheels, Terminals: r.Consumption.Terminals, Wall: r.Consumption.Wall,
		VoltageMin: r.VoltageMin, VoltageMax: r.VoltageMax, Peak: r.CurrentPeak10s, RMS: r.CurrentRMS,
		ChargePeak: r.CurrentChargePeak10s, Capped: r.Capped.Steps > 0, Fidelity: r.Fidelity,
	}
}
