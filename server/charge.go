package server

import (
	"fmt"
	"net/http"

	"packyard/charge"
	"packyard/check"
	"packyard/design"
	"packyard/unit"
)

// ChargeReply is one charge of an option.
type ChargeReply struct {
	Revision int64     `json:"revision"`
	Run      ChargeRun `json:"run"`
	Rows     int       `json:"rows"`
	Columns  []Column  `json:"columns"` // none when the voltages do not go together
}

// ChargeRun is what a charge found. Charges are shares of what the builder uses.
type ChargeRun struct {
	Option      string           `json:"option"`
	Life        string           `json:"life"`
	Supply      string           `json:"supply"`
	Charger     string           `json:"charger"` // "" for direct current, or when none was given
	Heat        bool             `json:"heat"`    // temperatures are stepped along
	ChargeStart unit.Ratio       `json:"usable_charge_start"`
	ChargeEnd   unit.Ratio       `json:"usable_charge_end"`
	CellsEmpty  unit.Ratio       `json:"cells_charge_at_0"`
	CellsFull   unit.Ratio       `json:"cells_charge_at_1"`
	Ran         bool             `json:"ran"` // false: a finding of the voltages forbids it
	Ended       string           `json:"ended_by"`
	Limiter     string           `json:"held_by"`
	Group       int              `json:"held_by_group"` // from 1; 0: none
	Duration    unit.Time        `json:"duration_s"`
	Constant    unit.Time        `json:"at_equipment_limit_s"`
	Limited     unit.Time        `json:"held_by_pack_s"`
	Wall        unit.Energy      `json:"wall_j"`
	Pack        unit.Energy      `json:"pack_j"`
	Loads       unit.Energy      `json:"loads_j"`
	Stored      unit.Energy      `json:"stored_j"`
	Efficiency  unit.Ratio       `json:"wall_to_pack"`
	PowerMax    unit.Power       `json:"wall_power_max_w"`
	CurrentMax  unit.Current     `json:"pack_current_max_a"`
	VoltageEnd  unit.Voltage     `json:"voltage_end_v"`
	Hottest     unit.Temperature `json:"hottest_k"`
	Spans       []ChargeSpan     `json:"spans"`
	Events      []GroupEvent     `json:"events"`
	Findings    []check.Finding  `json:"findings"`
	Workings    []check.Working  `json:"workings"`
}

// ChargeSpan is a part of the charge, from one usable charge to another.
type ChargeSpan struct {
	From     unit.Ratio   `json:"from"`
	To       unit.Ratio   `json:"to"`
	Passed   bool         `json:"passed"` // false: it began above it or ended below it
	Duration unit.Time    `json:"duration_s"`
	Wall     unit.Energy  `json:"wall_j"`
	Cost     check.Figure `json:"cost"` // zero without a price
}

// chargeSpans are the parts of a charge that are told beside the whole. Source:
// common-practice.
func chargeSpans() [][2]unit.Ratio { return [][2]unit.Ratio{{0.1, 0.8}, {0.2, 0.8}} }

// supplyUsual is what a charge is drawn from unless said: a domestic socket of
// the smallest circuit that a vehicle is usually charged from. Source:
// common-practice.
const supplyUsual = "230 V 16 A"

// filling reads a charge from the query of a request. Errors: textError,
// errRequest.
func filling(r *http.Request) (*design.Fill, error) {
	q := r.URL.Query()
	text := q.Get("supply")
	if text == "" {
		text = supplyUsual
	}
	supply, err := charge.ParseSupply(text)
	if err != nil {
		return nil, textOf(err)
	}
	out := &design.Fill{Supply: supply, To: 1, Trace: &charge.Trace{}}
	if out.End, err = lifeOf(q); err != nil {
		return nil, err
	}
	share := bounds[unit.Ratio]{low: 0, high: 1}
	if err = quantityOf(q, "from", share, &out.From); err != nil {
		return nil, err
	}
	if err = quantityOf(q, "to", share, &out.To); err != nil {
		return nil, err
	}
	if out.From >= out.To {
		return nil, textError{fmt.Errorf("from %s to %s: a charge goes up", unit.Format(out.From, unit.SI), unit.Format(out.To, unit.SI))}
	}
	if err = quantityOf(q, "cells", cellTemperatures(), &out.Temperature); err != nil {
		return nil, err
	}
	for _, m := range []unit.Ratio{0.1, 0.2, 0.8} {
		if m >= out.From && m <= out.To {
			out.Marks = append(out.Marks, m)
		}
	}
	return out, nil
}

// charged runs the charge that a request asks for.
func (s *Server) charged(r *http.Request) (*ChargeReply, error) {
	snap, revision, a, err := s.needed(r)
	if err != nil {
		return nil, err
	}
	f, err := snap.frame()
	if err != nil {
		return nil, err
	}
	price, err := priceOf(r.URL.Query())
	if err != nil {
		return nil, err
	}
	fill, err := filling(r)
	if err != nil {
		return nil, err
	}
	fill.Wiring, fill.Figures = &a.placed.Wiring, &a.placed.Figures
	still := r.URL.Query().Get("still") == "1"
	if !still {
		system, err := f.Thermal(a.placed, design.ThermalOptions{})
		if err != nil {
			return nil, textOf(err)
		}
		fill.Thermal = system
	}
	got, err := f.Charge(fill)
	if err != nil {
		return nil, textOf(err)
	}
	out := &ChargeReply{Revision: revision, Run: chargeRun(f, a.report.Option, fill, got, price), Rows: len(fill.Trace.Time), Columns: []Column{}}
	if out.Rows > 0 {
		out.Columns = chargeColumns(fill.Trace)
	}
	return out, nil
}

func (s *Server) charge(r *http.Request) (any, error) {
	n, err := bucketsOf(r.URL.Query())
	if err != nil {
		return nil, err
	}
	out, err := s.charged(r)
	if err != nil {
		return nil, err
	}
	if out.Rows > 0 {
		out.Columns, _ = gather(out.Columns, n)
	}
	return out, nil
}

func (s *Server) chargeTable(r *http.Request, t *sheetOut) error {
	out, err := s.charged(r)
	if err != nil {
		return err
	}
	if out.Rows == 0 {
		return fmt.Errorf("a charge %w: the voltages of supply, charger and pack do not go together", errNotFound)
	}
	return t.columns(out.Columns)
}

func chargeRun(f *design.Frame, id string, fill *design.Fill, c *design.Filled, price float64) ChargeRun {
	out := ChargeRun{
		Option: id, Life: lifeName(fill.End), Supply: fill.Supply.Text, Heat: fill.Thermal != nil, ChargeStart: c.ChargeStart, ChargeEnd: c.ChargeEnd,
		CellsEmpty: c.Usable[0], CellsFull: c.Usable[1], Ran: c.Duration > 0, Ended: string(c.End), Limiter: string(c.Limiter), Group: c.Group + 1,
		Duration: c.Duration, Constant: c.Constant, Limited: c.Limited, Wall: c.EnergyWall, Pack: c.EnergyPack, Loads: c.EnergyLoad, Stored: c.Stored,
		Efficiency: c.Efficiency(), PowerMax: c.PowerWallMax, CurrentMax: c.CurrentMax, VoltageEnd: c.VoltageEnd, Hottest: c.TemperatureMax,
		Spans: []ChargeSpan{}, Events: eventsOf(c.Events), Findings: append([]check.Finding{}, c.Findings...), Workings: []check.Working{},
	}
	if b := f.Brief.Drive.Charger; b != nil && !fill.Supply.Direct {
		out.Charger = b.Title
	}
	if !out.Ran {
		out.Group = 0
		return out
	}
	cost := func(e unit.Energy) check.Figure { return check.Money(price*e.KilowattHours(), f.Brief.Currency) }
	out.Spans = append(out.Spans, ChargeSpan{From: c.ChargeStart, To: c.ChargeEnd, Passed: true, Duration: c.Duration, Wall: c.EnergyWall, Cost: cost(c.EnergyWall)})
	for _, x := range chargeSpans() {
		if x[0] == fill.From && x[1] == fill.To {
			continue // said already
		}
		d, e, ok := c.Between(x[0], x[1])
		out.Spans = append(out.Spans, ChargeSpan{From: x[0], To: x[1], Passed: ok, Duration: d, Wall: e, Cost: cost(e)})
	}
	out.Workings = chargeWorkings(fill, c)
	return out
}

// chargeWorkings show how the headline figures of a charge came about.
func chargeWorkings(fill *design.Fill, c *design.Filled) []check.Working {
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

func chargeColumns(t *charge.Trace) []Column {
	return []Column{
		plainColumn("time", "time_s", "s", "time", t.Time),
		plainColumn("charge of the group that empties first", "state_of_charge", "1", "ratio", t.Charge),
		plainColumn("power from the supply", "supply_power_w", "W", "power", t.PowerWall),
		plainColumn("power into the pack", "pack_power_w", "W", "power", t.PowerPack),
		plainColumn("current into the pack", "current_a", "A", "current", t.Current),
		plainColumn("voltage of the pack", "voltage_v", "V", "voltage", t.Voltage),
		plainColumn("strongest group", "strongest_group_v", "V", "voltage", t.VoltageCell),
		plainColumn("hottest group", "hottest_k", "K", "temperature", t.Temperature),
	}
}
