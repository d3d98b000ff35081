package main

import (
	"context"
	"fmt"
	"math"
	"strings"

	"github.com/spf13/cobra"

	"packyard/charge"
	"packyard/check"
	"packyard/design"
	"packyard/search"
	"packyard/unit"
)

// chargeFlags are the choices of the charge command.
type chargeFlags struct {
	option, supply, from, to, start string
	price                           float64
	end, still, csv                 bool
}

func (a *app) chargeCommand() *cobra.Command {
	var fl chargeFlags
	c := &cobra.Command{
		Use:   "charge [PROJECT]",
		Short: "time, energy and cost of a charge from a socket, charging point or station",
		Long: "charge fills one option: what the supply gives, what the charger passes on, what the strongest group still takes.\n" +
			"A supply is \"230 V 16 A\", \"3 x 230 V 32 A\" (phase to neutral) or a station \"dc 50 kW 500 V 125 A\".\n" +
			"Charges are shares of what the builder uses: 0 % is the charge floor, 100 % the charge to which the pack is filled.",
		Args: atMostOneProject,
		RunE: func(c *cobra.Command, args []string) error { return a.charge(c.Context(), args, &fl) },
	}
	c.Flags().StringVar(&fl.option, "option", "", "name of the option (default: the one that the project fixes, else the first of packyard options)")
	c.Flags().StringVar(&fl.supply, "supply", "230 V 16 A", "where the energy comes from")
	c.Flags().StringVar(&fl.from, "from", "0 %", "charge at the start")
	c.Flags().StringVar(&fl.to, "to", "100 %", "charge at the end")
	c.Flags().StringVar(&fl.start, "cells", "", "temperature of the cells at the start, \"-5 °C\" (default: ambient of the range runs)")
	c.Flags().Float64Var(&fl.price, "price", 0, "price of a kWh from the supply, in the project's currency")
	yesFlag(c, &fl.end, "end-of-life", "with the cells at the planned end of life")
	yesFlag(c, &fl.still, "no-heat", "the cells stay at their temperature")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	yesFlag(c, &fl.csv, "csv", "print the charge over time as CSV, SI with the unit in the column name")
	return c
}

// ChargeReport is one charge in the form in which it is printed as JSON. Charges
// are of the usable part.
type ChargeReport struct {
	Option      string           `json:"option"`
	Life        string           `json:"life"` // "as bought" or "end of life"
	Supply      string           `json:"supply"`
	Heat        bool             `json:"heat"` // the cells warm up
	ChargeStart unit.Ratio       `json:"start_share"`
	ChargeEnd   unit.Ratio       `json:"end_share"`
	CellsEmpty  unit.Ratio       `json:"cells_empty_share"` // charge of the cells at usable 0
	CellsFull   unit.Ratio       `json:"cells_full_share"`  // at usable 1
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
	Cost        float64          `json:"price"` // 0: no price given
	Currency    string           `json:"currency"`
	Spans       []ChargeSpan     `json:"spans"`
	Findings    []check.Finding  `json:"findings"`
}

// ChargeSpan is a part of a charge that people compare by.
type ChargeSpan struct {
	From     unit.Ratio  `json:"from_share"`
	To       unit.Ratio  `json:"to_share"`
	Duration unit.Time   `json:"duration_s"`
	Wall     unit.Energy `json:"wall_j"`
}

// chargeMarks are the charges between which times are told. Source: common practice.
var chargeMarks = [...]unit.Ratio{0.1, 0.2, 0.8}

func (a *app) charge(ctx context.Context, args []string, fl *chargeFlags) error {
	if fl.csv && a.json {
		return usagef("--csv and --json do not go together")
	}
	fill, err := fl.fill()
	if err != nil {
		return err
	}
	f, o, err := a.chosen(ctx, args, fl.option)
	if err != nil {
		return err
	}
	fill.Wiring, fill.Figures = &o.Wiring, &o.Figures
	if !fl.still {
		system, err := f.Thermal(search.Place(f, o), design.ThermalOptions{})
		if err != nil {
			return fmt.Errorf("%w; --no-heat leaves the cells at their temperature", err)
		}
		fill.Thermal = system
	}
	filled, err := f.Charge(fill)
	if err != nil {
		return err
	}
	if fl.csv {
		if err := a.chargeTrace(fill.Trace); err != nil {
			return err
		}
		return verdict(filled.Findings)
	}
	r := chargeReport(f, o.ID, fl, fill, filled)
	if a.json {
		if err := writeJSON(a.out, r); err != nil {
			return err
		}
		return verdict(filled.Findings)
	}
	a.printCharge(f, r, fl, fill.Supply.Direct)
	return verdict(filled.Findings)
}

// fill reads the flags.
func (fl *chargeFlags) fill() (*design.Fill, error) {
	s, err := charge.ParseSupply(fl.supply)
	if err != nil {
		return nil, usagef("--supply: %w", err)
	}
	out := &design.Fill{Supply: s, End: fl.end}
	for _, x := range []struct {
		flag, text string
		to         *unit.Ratio
	}{{"from", fl.from, &out.From}, {"to", fl.to, &out.To}} {
		v, err := unit.Parse[unit.Ratio](x.text)
		if err != nil {
			return nil, usagef("--%s: %w", x.flag, err)
		}
		if !(v >= 0 && v <= 1) {
			return nil, usagef("--%s %q: a charge is from 0 %% to 100 %%", x.flag, x.text)
		}
		*x.to = v
	}
	if out.From >= out.To {
		return nil, usagef("--from %q, --to %q: a charge goes up", fl.from, fl.to)
	}
	if fl.start != "" {
		if out.Temperature, err = unit.Parse[unit.Temperature](fl.start); err != nil {
			return nil, usagef("--cells: %w", err)
		}
		if c := out.Temperature.Celsius(); !(c >= -60 && c <= 80) {
			return nil, usagef("--cells %q: cells from -60 °C to 80 °C are accepted", fl.start)
		}
	}
	if !(fl.price >= 0) || math.IsInf(fl.price, 0) {
		return nil, usagef("--price %g: a price is 0 or more", fl.price)
	}
	for _, m := range chargeMarks {
		if m >= out.From && m <= out.To {
			out.Marks = append(out.Marks, m)
		}
	}
	if fl.csv {
		out.Trace = &charge.Trace{}
	}
	return out, nil
}

func chargeReport(f *design.Frame, id string, fl *chargeFlags, fill *design.Fill, c *design.Filled) *ChargeReport {
	r := &ChargeReport{
		Option: id, Life: "as bought", Supply: fill.Supply.Text, Heat: !fl.still, ChargeStart: c.ChargeStart, ChargeEnd: c.ChargeEnd,
		CellsEmpty: c.Usable[0], CellsFull: c.Usable[1], Ended: string(c.End), Limiter: string(c.Limiter), Group: c.Group + 1,
		Duration: c.Duration, Constant: c.Constant, Limited: c.Limited, Wall: c.EnergyWall, Pack: c.EnergyPack, Loads: c.EnergyLoad,
		Stored: c.Stored, Efficiency: c.Efficiency(), PowerMax: c.PowerWallMax, CurrentMax: c.CurrentMax, VoltageEnd: c.VoltageEnd,
		Hottest: c.TemperatureMax, Cost: fl.price * c.EnergyWall.KilowattHours(), Currency: f.Brief.Currency,
		Spans: []ChargeSpan{}, Findings: append([]check.Finding{}, c.Findings...),
	}
	if fl.end {
		r.Life = "end of life"
	}
	for _, s := range [][2]unit.Ratio{{0.1, 0.8}, {0.2, 0.8}} {
		if d, e, ok := c.Between(s[0], s[1]); ok {
			r.Spans = append(r.Spans, ChargeSpan{From: s[0], To: s[1], Duration: d, Wall: e})
		}
	}
	return r
}

func (a *app) printCharge(f *design.Frame, r *ChargeReport, fl *chargeFlags, direct bool) {
	fmt.Fprintln(a.out, titled(f.Brief.Title, f.Brief.Invented))
	from := "from " + r.Supply
	if c := f.Brief.Drive.Charger; c != nil && !direct {
		from += " by " + c.Title
	}
	fmt.Fprintf(a.out, "%s, %s, %s\n", r.Option, r.Life, from)
	if r.Duration > 0 && r.Pack > 0 {
		a.chargeTable(r, fl)
	}
	a.chargeFindings(r.Findings)
}

// whole prints a charge in percent, to a tenth where it has one.
func whole(x unit.Ratio) string { return strings.TrimSuffix(fixed(100*float64(x), 1), ".0") + " %" }

func (a *app) chargeTable(r *ChargeReport, fl *chargeFlags) {
	fmt.Fprintln(a.out)
	t := newTable("usable charge", ">time|h", ">from the supply|kWh")
	if fl.price > 0 {
		t = newTable("usable charge", ">time|h", ">from the supply|kWh", ">cost|"+r.Currency)
	}
	row := func(from, to unit.Ratio, d unit.Time, e unit.Energy) {
		cells := []string{whole(from) + " to " + whole(to), fixed(d.Hours(), 2), fixed(e.KilowattHours(), 2)}
		if fl.price > 0 {
			cells = append(cells, fixed(fl.price*e.KilowattHours(), 2))
		}
		t.add(cells...)
	}
	row(r.ChargeStart, r.ChargeEnd, r.Duration, r.Wall)
	for _, s := range r.Spans {
		row(s.From, s.To, s.Duration, s.Wall)
	}
	t.print(a.out)
	fmt.Fprintf(a.out, "\n0 %% is %s of the cells' charge, 100 %% is %s\n", whole(r.CellsEmpty), whole(r.CellsFull))
	fmt.Fprintf(a.out, "into the pack %s kWh, of which %s stay; supply to pack %s\n", fixed(r.Pack.KilowattHours(), 2), fixed(r.Stored.KilowattHours(), 2),
		check.Percent(float64(r.Efficiency)))
	fmt.Fprintf(a.out, "at most %s from the supply and %s into the pack; %s at the end; hottest group %s\n",
		of(a, r.PowerMax), of(a, r.CurrentMax), of(a, r.VoltageEnd), of(a, r.Hottest))
	fmt.Fprintf(a.out, "%s h at what the equipment gives", fixed(r.Constant.Hours(), 2))
	if r.Limited > 0 {
		fmt.Fprintf(a.out, ", %s h at less, held by the %s", fixed(r.Limited.Hours(), 2), r.Limiter)
		if r.Group > 0 {
			fmt.Fprintf(a.out, " of group %d", r.Group)
		}
	}
	fmt.Fprintf(a.out, "\nended: %s\n", r.Ended)
}

// chargeFindings prints what is broken or near.
func (a *app) chargeFindings(list []check.Finding) {
	for i, n := range list {
		if i == 0 {
			fmt.Fprintln(a.out)
		}
		fmt.Fprintln(a.out, n.Text(a.system))
	}
}

// chargeTrace writes the columns of a charge.
func (a *app) chargeTrace(t *charge.Trace) error {
	return writeColumns(a.out, []column{
		{"time_s", t.Time}, {"supply_power_w", t.PowerWall}, {"pack_power_w", t.PowerPack}, {"current_a", t.Current}, {"voltage_v", t.Voltage},
		{"strongest_group_v", t.VoltageCell}, {"state_of_charge", t.Charge}, {"hottest_k", t.Temperature},
	})
}
