package design

import (
	"fmt"

	"packyard/charge"
	"packyard/drive"
	"packyard/heat"
	"packyard/pack"
	"packyard/unit"
)

// PackVariant tells of a variant what its range run does to the temperatures of
// the pack, and how long a charge of it takes. It costs some ten range runs.
//
// Heat: the circuit runs with every cell alike at the temperature of the start,
// as in a range run; of its current i and voltage at the cells u, per group,
//
//	q = i·(U(z) − u) − i·T·dU/dT
//
// warms every group alike through a minute at a time, in the network of the
// pack with the bays, holders and coolant of the frame. What the temperatures do
// back to the circuit, and what pump and fan draw, is left out; a test says what
// that is worth. Charge: one group at the temperature of the start stands for all,
// with its share of the power, in steps of half a minute.
//
// Source: bernardi-1985.
type PackVariant struct {
	*Variant
	supply charge.Supply
	groups *drive.GroupTable
	rated  unit.Charge // of the cell of groups
	trace  drive.Trace
	watts  []float64

	NoHeat   error // ErrHeat: why temperatures are left out; nil: they are not
	NoCharge bool  // a charge is left out: the equipment does not go with the voltage of the pack, or there is none
}

// PackRun is the outcome of PackVariant.Run.
type PackRun struct {
	Hottest unit.Temperature // hottest group of the range run; zero: left out
	Charge  unit.Time        // from empty to as full as the pack is filled; zero: left out
	Full    bool             // false: it took less than that, and Charge is PackChargeMost
}

// PackChargeMost is the longest charge; one that does not come to its end is
// counted as that long. Source: assumption.
const PackChargeMost = 72 * unit.Hour

// Steps of PackVariant. Source: assumption; cells follow in minutes.
const (
	packHeatStep   = 60.0 // s
	packChargeStep = 30 * unit.Second
)

// Packs makes a variant ready for Run. Errors: those of drive, cell and heat.
func (v *Variant) Packs(s charge.Supply) (*PackVariant, error) {
	out := &PackVariant{Variant: v, supply: s}
	c := v.frame.Brief.Sources[v.option.Wiring.Source].cellOf()
	var err error
	if out.groups, err = drive.NewGroupTable(c); err != nil {
		return nil, err
	}
	out.rated = c.Capacity
	_, out.NoHeat = out.network()
	p := v.pack
	rest := pack.Read(v.table.OCV, float64(p.SoCMin))
	w := charge.Window{Full: p.VoltageFull(), Rest: unit.Voltage(float64(p.Topology.Series) * rest)}
	for _, n := range out.equipment().Check(w) {
		out.NoCharge = out.NoCharge || n.Broken()
	}
	return out, nil
}

func (v *PackVariant) equipment() charge.Equipment {
	return charge.Equipment{Supply: v.supply, Charger: v.brief.Drive.Charger, Inlet: v.brief.Drive.Inlet}
}

// network returns the pack at the ambient temperature that is set. It is made
// anew for each run: one that was used holds coefficients that depend on what it
// went through, and an outcome may depend on nothing but the inputs.
func (v *PackVariant) network() (*heat.System, error) {
	return v.frame.Thermal(v.option, ThermalOptions{Air: v.brief.Road.Ambient, Speed: v.road.Figures().Mean})
}

// Run makes the range run with the inputs at the values x, SI, follows its heat and
// charges the pack again. Errors: those of Variant.Range, heat and charge.
func (v *PackVariant) Run(x []float64) (PackRun, error) {
	var out PackRun
	if _, err := v.rangeRun(x, &v.trace); err != nil {
		return out, err
	}
	var err error
	if v.NoHeat == nil {
		if out.Hottest, err = v.hottest(); err != nil {
			return out, fmt.Errorf("temperatures: %w", err)
		}
	}
	if !v.NoCharge {
		if out.Charge, out.Full, err = v.fillUp(); err != nil {
			return out, fmt.Errorf("charge: %w", err)
		}
	}
	return out, nil
}

// hottest follows the heat of the run in the trace.
func (v *PackVariant) hottest() (unit.Temperature, error) {
	t, p, start := &v.trace, &v.pack, v.brief.Road.Ambient
	system, err := v.network()
	if err == nil {
		err = system.Start(start)
	}
	if err != nil {
		return 0, err
	}
	if v.watts == nil {
		v.watts = make([]float64, system.Sources())
	}
	series, joints := float64(p.Topology.Series), float64(p.Resistance)
	count := float64(len(v.watts))
	hot, before, z0 := start, 0.0, float64(p.SoCMax)
	joules, long := 0.0, 0.0
	for k, at := range t.Time {
		dt, i, z1 := at-before, t.Current[k], t.SoC[k]
		z := (z0 + z1) / 2
		lost := i*series*(pack.Read(v.table.OCV, z)-float64(start)*pack.Read(v.table.DUDT, z)) - t.Power[k] - i*i*joints
		joules, long, before, z0 = joules+lost*dt, long+dt, at, z1
		if long < packHeatStep && k < len(t.Time)-1 {
			continue
		}
		for g := range v.watts {
			v.watts[g] = joules / long / count
		}
		if err := system.Step(v.watts, unit.Time(long)); err != nil {
			return 0, err
		}
		g, _ := system.Extremes()
		hot = max(hot, unit.Temperature(system.Temperatures()[g]))
		joules, long = 0, 0
	}
	return hot, nil
}

// fillUp charges the pack from its floor, at the temperature of the start.
func (v *PackVariant) fillUp() (unit.Time, bool, error) {
	one, life := v.pack, v.life()
	e, gives := v.equipment().OfOneGroup(one.Topology.Series)
	if !gives {
		return PackChargeMost, false, nil
	}
	one.Resistance /= unit.Resistance(one.Topology.Series)
	one.Topology.Series = 1
	c := v.brief.Sources[v.option.Wiring.Source].cellOf()
	life.CapacityShare *= unit.Ratio(c.Capacity / v.rated)
	g, err := drive.NewGroups(v.groups, &one, drive.GroupOptions{
		Step: packChargeStep, Charge: max(one.SoCMin, chargeLeast), Temperature: v.brief.Road.Ambient, Health: life, Derating: drive.Derating{Off: true},
	})
	if err != nil {
		return 0, false, err
	}
	r, err := charge.Run(g, e, charge.Options{To: one.SoCMax, Step: packChargeStep, TimeMax: PackChargeMost})
	if err != nil {
		return 0, false, err
	}
	if r.End != charge.EndFull && r.End != charge.EndWanted {
		return PackChargeMost, false, nil
	}
	return r.Duration, true, nil
}
