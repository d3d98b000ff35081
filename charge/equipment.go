package charge

import (
	"packyard/check"
	"packyard/part"
	"packyard/unit"
)

// Inlet is the vehicle's way in for direct current. The zero value: there is none.
type Inlet struct {
	VoltageMax unit.Voltage
	CurrentMax unit.Current
}

// Equipment is what stands between the supply and the pack.
type Equipment struct {
	Supply  Supply
	Charger *part.Charger // for alternating current
	Inlet   Inlet         // for direct current
}

// Window is what the pack's voltage does, for comparison with the equipment.
type Window struct {
	Full, Rest unit.Voltage // all groups full; at rest at the start of the charge
}

// Check compares the equipment with the voltages of the pack: the charger's bands
// and its start, or the inlet and the station. A broken finding means that there
// is no charge to speak of.
func (e Equipment) Check(w Window) []check.Finding {
	missing := func(rule, subject, remedy string) []check.Finding {
		return []check.Finding{{Rule: rule, Budget: "voltage", Subject: subject, Severity: check.Failure, Source: "given", Remedy: remedy, Margin: -1}}
	}
	switch {
	case !e.Supply.Direct && e.Charger == nil:
		return missing("charge.charger", "charger for alternating current, which the project does not name", "name charger under drive")
	case !e.Supply.Direct:
		return e.Charger.Check(w.Full, w.Rest)
	case e.Inlet.CurrentMax == 0:
		return missing("charge.inlet", "inlet for direct current, which the vehicle has not", "name dc_inlet under drive, or charge with alternating current")
	}
	find := func(subject string, limit unit.Voltage, remedy string) check.Finding {
		return check.Against[unit.Voltage]{Value: w.Full, Limit: limit}.Finding(check.Finding{
			Rule: "voltage.charge.direct", Budget: "voltage", Subject: subject, Source: "given", Remedy: remedy}, check.Failure)
	}
	return []check.Finding{
		find("pack voltage when full, at the station", e.Supply.Voltage, "a station of a higher voltage, or fewer groups in series"),
		find("pack voltage when full, at the inlet", e.Inlet.VoltageMax, "an inlet of a higher voltage, or fewer groups in series"),
	}
}

// limits returns what the equipment gives at most: power and current at the pack's
// terminals and, by wall, the power from the supply for a power at the terminals.
func (e Equipment) limits() (power, current float64, wall func(float64) float64) {
	if e.Supply.Direct {
		return float64(e.Supply.Power), float64(min(e.Supply.Current, e.Inlet.CurrentMax)), func(p float64) float64 { return p }
	}
	c := e.Charger
	power = float64(c.PackPower(e.Supply.PowerFor(max(1, c.Phases), c.SupplyCurrent)))
	return power, float64(c.CurrentMax), func(p float64) float64 { return float64(c.WallPower(unit.Power(p))) }
}

// OfOneGroup returns what one of n groups in series that are all alike sees of
// the equipment: direct current of the same strength and an n-th of the power at
// the terminals. A pack of them charges in the time in which it does; energies
// from the supply are not those of the equipment. False: the equipment gives
// nothing.
func (e Equipment) OfOneGroup(n int) (Equipment, bool) {
	power, current, _ := e.limits()
	s := Supply{Text: e.Supply.Text, Direct: true, Voltage: voltageDCMax, Current: unit.Current(current), Power: unit.Power(power / float64(n))}
	return Equipment{Supply: s, Inlet: Inlet{VoltageMax: s.Voltage, CurrentMax: s.Current}}, s.Check() == nil
}
