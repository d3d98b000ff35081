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
	c.Flags().StringVar(&fl.supply, "supply", design.SupplyUsual, "where the energy comes from")
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
	r := f.ChargeReport(o.ID, fill, filled, fl.price)
	if a.json {
		if err := writeJSON(a.out, r); err != nil {
			return err
		}
		return verdict(filled.Findings)
	}
	a.printCharge(f, r, fl)
	return verdict(filled.Findings)
}

// fill reads the flags.
func (fl *chargeFlags) fill() (*design.Fill, error) {
	out, err := design.ChargeAsked{Supply: fl.supply, From: fl.from, To: fl.to, Cells: fl.start}.Read()
	if err != nil {
		return nil, askedUsage(err)
	}
	if !(fl.price >= 0) || math.IsInf(fl.price, 0) {
		return nil, usagef("--price %g: a price is 0 or more", fl.price)
	}
	out.End = fl.end
	if fl.csv {
		out.Trace = &charge.Trace{}
	}
	return out, nil
}

func (a *app) printCharge(f *design.Frame, r *design.ChargeReport, fl *chargeFlags) {
	fmt.Fprintln(a.out, titled(f.Brief.Title, f.Brief.Invented))
	from := "from " + r.Supply
	if r.Charger != "" {
		from += " by " + r.Charger
	}
	fmt.Fprintf(a.out, "%s, %s, %s\n", r.Option, r.Life, from)
	if r.Duration > 0 && r.Pack > 0 {
		a.chargeTable(r, fl)
	}
	a.chargeFindings(r.Findings)
}

// whole prints a charge in percent, to a tenth where it has one.
func whole(x unit.Ratio) string { return strings.TrimSuffix(fixed(100*float64(x), 1), ".0") + " %" }

func (a *app) chargeTable(r *design.ChargeReport, fl *chargeFlags) {
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
	for _, s := range r.Spans {
		if s.Passed {
			row(s.From, s.To, s.Duration, s.Wall)
		}
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
