package design

import (
	"packyard/check"
	"packyard/unit"
)

// ChargeReport is one charge of an option as command and workbench tell it.
// Charges are of the usable part.
type ChargeReport struct {
	Option      string           `json:"option"`
	Life        string           `json:"life"` // LifeName
	Supply      string           `json:"supply"`
	Charger     string           `json:"charger"` // "" for direct current, or when none was given
	Heat        bool             `json:"heat"`    // the cells warm up
	ChargeStart unit.Ratio       `json:"start_share"`
	ChargeEnd   unit.Ratio       `json:"end_share"`
	CellsEmpty  unit.Ratio       `json:"cells_empty_share"` // charge of the cells at usable 0
	CellsFull   unit.Ratio       `json:"cells_full_share"`  // at usable 1
	Ran         bool             `json:"ran"`               // false: a finding of the voltages forbids it
	Ended       string           `json:"ended_by"`
	Limiter     string           `json:"limited_by"`
	Group       int              `json:"group"` // counted from 1; 0: none
	Duration    unit.Time        `json:"duration_s"`
	Constant    unit.Time        `json:"constant_s"`
	Limited     unit.Time        `json:"limited_s"`
	Wall        unit.Energy      `json:"wall_j"`
	Pack        unit.Energy      `json:"pack_j"`
	Loads       unit.Energy      `json:"loads_j"`
	Stored      unit.Energy      `json:"stored_j"`
	Efficiency  unit.Ratio       `json:"efficiency_share"` // wall to terminals
	PowerMax    unit.Power       `json:"wall_power_max_w"`
	CurrentMax  unit.Current     `json:"current_max_a"`
	VoltageEnd  unit.Voltage     `json:"voltage_end_v"`
	Hottest     unit.Temperature `json:"hottest_k"`
	Cost        float64          `json:"price"` // money, dimensionless here; 0: no price given
	Currency    string           `json:"currency"`
	Spans       []ChargeSpan     `json:"spans"` // the whole first
	Events      []GroupEvent     `json:"events"`
	Findings    []check.Finding  `json:"findings"`
	Workings    []check.Working  `json:"workings"`
}

// ChargeSpan is a part of a charge that people compare by.
type ChargeSpan struct {
	From     unit.Ratio   `json:"from_share"`
	To       unit.Ratio   `json:"to_share"`
	Passed   bool         `json:"passed"` // false: the charge began above it or ended below it
	Duration unit.Time    `json:"duration_s"`
	Wall     unit.Energy  `json:"wall_j"`
	Cost     check.Figure `json:"cost"` // zero without a price
}

// chargeSpans are the parts of a charge that are told beside the whole. Source:
// common-practice.
var chargeSpans = [...][2]unit.Ratio{{0.1, 0.8}, {0.2, 0.8}}

// ChargeReport tells what a charge of an option found. The price is that of one
// kWh in the currency of the brief; a bare number, since money is no quantity.
func (f *Frame) ChargeReport(option string, fill *Fill, c *Filled, price float64) *ChargeReport {
	r := &ChargeReport{
		Option: option, Life: LifeName(fill.End), Supply: fill.Supply.Text, Heat: fill.Thermal != nil, ChargeStart: c.ChargeStart, ChargeEnd: c.ChargeEnd,
		CellsEmpty: c.Usable[0], CellsFull: c.Usable[1], Ran: c.Duration > 0, Ended: string(c.End), Limiter: string(c.Limiter), Group: c.Group + 1,
		Duration: c.Duration, Constant: c.Constant, Limited: c.Limited, Wall: c.EnergyWall, Pack: c.EnergyPack, Loads: c.EnergyLoad,
		Stored: c.Stored, Efficiency: c.Efficiency(), PowerMax: c.PowerWallMax, CurrentMax: c.CurrentMax, VoltageEnd: c.VoltageEnd,
		Hottest: c.TemperatureMax, Cost: price * c.EnergyWall.KilowattHours(), Currency: f.Brief.Currency,
		Spans: []ChargeSpan{}, Events: GroupEvents(c.Events), Findings: append([]check.Finding{}, c.Findings...), Workings: []check.Working{},
	}
	if b := f.Brief.Drive.Charger; b != nil && !fill.Supply.Direct {
		r.Charger = b.Title
	}
	if !r.Ran {
		r.Group = 0
		return r
	}
	cost := func(e unit.Energy) check.Figure { return check.Money(price*e.KilowattHours(), f.Brief.Currency) }
	r.Spans = append(r.Spans, ChargeSpan{From: c.ChargeStart, To: c.ChargeEnd, Passed: true, Duration: c.Duration, Wall: c.EnergyWall, Cost: cost(c.EnergyWall)})
	for _, x := range chargeSpans {
		if x[0] == fill.From && x[1] == fill.To {
			continue // said already
		}
		d, e, ok := c.Between(x[0], x[1])
		r.Spans = append(r.Spans, ChargeSpan{From: x[0], To: x[1], Passed: ok, Duration: d, Wall: e, Cost: cost(e)})
	}
	r.Workings = chargeWorkings(fill, c)
	return r
}

// chargeWorkings show how the headline figures of a charge came about.
func chargeWorkings(fill *Fill, c *Filled) []check.Working {
	in := func(symbol, name string, v check.Figure, source string) check.Input {
		return check.Input{Symbol: symbol, Name: name, Value: v, Source: source}
	}
	s := &fill.Supply
	supply := check.Working{
		Name: "power of the supply", Formula: "P = n·U·I", Result: check.Of(s.PowerMax()), Source: "iec-61851-1",
		Inputs: []check.Input{in("U", "voltage to neutral", check.Of(s.Voltage), "given"), in("I", "current in each phase", check.Of(s.Current), "given"),
			in("n", "phases", check.Of(unit.Ratio(s.Phases)), "given")},
	}
	if s.Direct {
		supply.Formula = "P, as the station states it"
		supply.Inputs = []check.Input{in("P", "power of the station", check.Of(s.Power), "given")}
	}
	return []check.Working{supply, {
		Name: "share of the supply's energy that comes to the pack", Formula: "η = E_pack/E_supply", Result: check.Of(c.Efficiency()), Source: "computed",
		Inputs: []check.Input{in("E_pack", "into the terminals", check.Of(c.EnergyPack), "circuit-law"), in("E_supply", "from the supply", check.Of(c.EnergyWall), "computed")},
	}, {
		Name: "time of the charge", Formula: "t = t_equipment + t_pack", Result: check.Of(c.Duration), Source: "computed",
		Inputs: []check.Input{in("t_equipment", "at what the equipment gives", check.Of(c.Constant), "computed"), in("t_pack", "at less, held by the pack", check.Of(c.Limited), "computed")},
	}}
}
