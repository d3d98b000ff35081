package design

import (
	"errors"
	"fmt"
	"math"

	"packyard/cell"
	"packyard/charge"
	"packyard/check"
	"packyard/drive"
	"packyard/pack"
	"packyard/unit"
)

// ErrCharge says that an option cannot be charged as asked.
var ErrCharge = errors.New("charge cannot be computed")

// Fill is one charge of an option. Charges are of the usable part: 0 is the
// charge floor, 1 the charge to which the builder fills the pack.
type Fill struct {
	Wiring      *Wiring
	Figures     *Figures
	Supply      charge.Supply
	From, To    unit.Ratio         // usable charge; zero To: full
	End         bool               // at the planned end of life
	Temperature unit.Temperature   // of the cells at the start; zero: ambient of the range runs
	Start       []drive.GroupStart // of unequal groups; nil: all alike
	Thermal     drive.Thermal      // nil: the cells stay at their temperature
	Marks       []unit.Ratio       // usable charges of which time and energy are told, rising
	Trace       *charge.Trace
}

// Filled is the outcome of a charge. Charges in it are usable ones.
type Filled struct {
	charge.Result
	Usable   [2]unit.Ratio // charge of the cells at usable 0 and 1
	Findings []check.Finding
}

// Charge fills an option from a supply, with the charger of the brief. A broken
// finding of the voltages means that the charge is not run. Errors: ErrCharge,
// ErrHeat and those of charge.
func (f *Frame) Charge(c *Fill) (*Filled, error) {
	p := f.Pack(c.Wiring, c.Figures)
	out := &Filled{Usable: [2]unit.Ratio{p.SoCMin, p.SoCMax}}
	cells := func(usable unit.Ratio) unit.Ratio { return p.SoCMin + usable*(p.SoCMax-p.SoCMin) }
	if c.To == 0 {
		c.To = 1
	}
	if !(c.From >= 0 && c.From < c.To && c.To <= 1) {
		return nil, fmt.Errorf("%w: from a usable charge of %g to %g: it must rise within 0 to 1", ErrCharge, float64(c.From), float64(c.To))
	}
	e := charge.Equipment{Supply: c.Supply, Charger: f.Brief.Drive.Charger, Inlet: f.Brief.Drive.Inlet}
	g, err := f.filledGroups(c, p, cells(max(c.From, chargeLeast)))
	if err != nil {
		return nil, err
	}
	rest := 0.0
	for _, u := range g.Voltages()[:p.Topology.Series] {
		rest += u
	}
	out.Findings = e.Check(charge.Window{Full: p.VoltageFull(), Rest: unit.Voltage(rest)})
	for _, b := range out.Findings {
		if b.Broken() {
			return out, nil
		}
	}
	o := charge.Options{To: cells(c.To), Thermal: c.Thermal, Trace: c.Trace}
	for _, m := range c.Marks {
		o.Marks = append(o.Marks, cells(m))
	}
	if out.Result, err = charge.Run(g, e, o); err != nil {
		return nil, err
	}
	usable := func(z unit.Ratio) unit.Ratio { return (z - p.SoCMin) / (p.SoCMax - p.SoCMin) }
	out.ChargeStart, out.ChargeEnd = usable(out.ChargeStart), usable(out.ChargeEnd)
	for i := range out.Marks {
		out.Marks[i].Charge = c.Marks[i]
	}
	out.Findings = append(out.Findings, f.chargeFindings(c, &out.Result)...)
	return out, nil
}

// chargeLeast is the usable charge from which a charge to be told from empty is
// begun: groups of no charge at all cannot be started.
const chargeLeast = 1e-9

func (f *Frame) filledGroups(c *Fill, p *pack.Pack, from unit.Ratio) (*drive.Groups, error) {
	life := &c.Wiring.lot.New
	if c.End {
		life = &c.Wiring.lot.End
	}
	if c.Temperature == 0 {
		c.Temperature = f.Brief.Road.Ambient
	}
	table, err := drive.NewGroupTable(p.Cell)
	if err != nil {
		return nil, err
	}
	if c.Thermal != nil {
		if err := c.Thermal.Start(c.Temperature); err != nil {
			return nil, fmt.Errorf("%w: %w", ErrHeat, err)
		}
	}
	return drive.NewGroups(table, p, drive.GroupOptions{
		Step: 10, Start: c.Start, Charge: from, Temperature: c.Temperature, Health: life.Health, Derating: drive.Derating{Off: true},
	})
}

// chargeFindings are what a charge that was run says about the design.
func (f *Frame) chargeFindings(c *Fill, r *charge.Result) []check.Finding {
	var out []check.Finding
	if r.End == charge.EndBlocked {
		n := check.Finding{Rule: "charge.blocked", Budget: "current", Severity: check.Failure, Source: "given",
			Subject: "temperature of the cells, at which no charging current is allowed", Value: check.Of(c.Temperature),
			Remedy: "warm the pack before it is charged, or cells that take charge in the cold"}
		if t, ok := coldestCharge(c.Wiring.lot.Slice.Cell, c.Temperature); ok {
			n.Limit, n.Margin = check.Of(t), float64(c.Temperature-t)/max(1, math.Abs(marginFrom-float64(t)))
		}
		out = append(out, n)
	}
	if r.End == charge.EndPower {
		out = append(out, check.Finding{Rule: "charge.power", Budget: "current", Severity: check.Failure, Source: "given",
			Subject: "power of the supply, of which nothing is left for the pack", Value: check.Of(c.Supply.PowerMax()),
			Remedy: "a supply of more current"})
	}
	if want := f.Brief.Targets.ChargeTime; want > 0 && r.ChargeStart < 0.01 && r.ChargeEnd > 0.99 {
		out = append(out, check.Against[unit.Time]{Value: r.Duration, Limit: want}.Finding(check.Finding{
			Rule: "charge.time.run", Budget: "current", Subject: "time of this charge, empty to full", Source: "given",
			Remedy: "a stronger supply or charger"}, check.Warning))
	}
	return out
}

// marginFrom is the temperature in K from which margins of temperatures are
// counted: 25 °C, at which cells are rated. Source: common practice.
const marginFrom = 298.15

// coldestCharge returns the lowest temperature above a given one at which the cell
// may be charged, to one kelvin.
func coldestCharge(c *cell.Cell, from unit.Temperature) (unit.Temperature, bool) {
	const warmest = 333.15 // K
	for t := from; t < warmest; t++ {
		if drive.LimitsOf(c, t).ChargeContinuous > 0 {
			return t, true
		}
	}
	return 0, false
}
