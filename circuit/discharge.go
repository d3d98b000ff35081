package circuit

import (
	"fmt"
	"math"

	"packyard/unit"
)

// VoltageTouch is the highest voltage that may be touched, the border of voltage
// class B. Source: un-r100.
const VoltageTouch = 60 * unit.Volt

// energyTouch is low energy, which may be touched. Source: iso-6469-3.
const energyTouch = 0.2 // J

// Precharge is a capacitor that is filled through a resistor.
type Precharge struct {
	Voltage     unit.Voltage
	Capacitance unit.Capacitance
	Resistance  unit.Resistance
}

// At returns u(t) = U·(1 − e^(−t/RC)).
//
// Source: circuit-law.
func (p Precharge) At(t unit.Time) unit.Voltage {
	return unit.Voltage(float64(p.Voltage) * -math.Expm1(-float64(t)/p.tau()))
}

func (p Precharge) tau() float64 { return float64(p.Resistance) * float64(p.Capacitance) }

// TimeConstant returns τ = R·C.
func (p Precharge) TimeConstant() unit.Time { return unit.Time(p.tau()) }

// TimeTo returns t = −R·C·ln(1 − q). Errors: ErrRange for q outside 0…1.
//
// Source: circuit-law.
func (p Precharge) TimeTo(q unit.Ratio) (unit.Time, error) {
	if !(q >= 0 && q < 1) {
		return 0, fmt.Errorf("precharge to %g: 0 to below 1 is accepted: %w", float64(q), ErrRange)
	}
	return unit.Time(-p.tau() * math.Log1p(-float64(q))), nil
}

// Energy returns what the resistor takes until the share q is reached,
// ½·C·U²·(1 − (1 − q)²), whatever the resistance.
//
// Source: circuit-law.
func (p Precharge) Energy(q unit.Ratio) unit.Energy {
	return unit.Energy(float64(Stored(p.Capacitance, p.Voltage)) * (1 - square(1-float64(q))))
}

// CurrentPeak returns U/R.
func (p Precharge) CurrentPeak() unit.Current {
	return unit.Current(float64(p.Voltage) / float64(p.Resistance))
}

// PowerPeak returns U²/R.
func (p Precharge) PowerPeak() unit.Power {
	return unit.Power(square(float64(p.Voltage)) / float64(p.Resistance))
}

// Stored returns ½·C·U².
//
// Source: circuit-law.
func Stored(c unit.Capacitance, u unit.Voltage) unit.Energy {
	return unit.Energy(float64(c) * square(float64(u)) / 2)
}

// CapacitanceMost returns the largest capacitance that stays below an energy,
// C = 2·W/(U² − U_floor²); a floor of zero counts all of the energy, one of 60 V
// that above the voltage which may be touched.
//
// Source: iso-6469-3; un-r100 and the crash regulations (from memory).
func CapacitanceMost(w unit.Energy, u, floor unit.Voltage) unit.Capacitance {
	return unit.Capacitance(2 * float64(w) / (square(float64(u)) - square(float64(floor))))
}

// Bleed is a resistor across the capacitor of the circuit.
type Bleed struct {
	Voltage     unit.Voltage // full
	Capacitance unit.Capacitance
	Resistance  unit.Resistance
}

// TimeTo60 returns the time from the full voltage to 60 V, R·C·ln(U/60 V), zero
// below it.
//
// Source: circuit-law.
func (b Bleed) TimeTo60() unit.Time {
	if b.Voltage <= VoltageTouch {
		return 0
	}
	return unit.Time(float64(b.Resistance) * float64(b.Capacitance) * math.Log(float64(b.Voltage/VoltageTouch)))
}

// BleedFor returns the resistance that brings the circuit to 60 V in time t,
// R = t/(C·ln(U/60 V)). Errors: ErrRange without capacitance or at or below 60 V.
//
// Source: circuit-law.
func BleedFor(u unit.Voltage, c unit.Capacitance, t unit.Time) (unit.Resistance, error) {
	if !(c > 0) || !(u > VoltageTouch) || !(t > 0) {
		return 0, fmt.Errorf("bleed of %g F from %g V: a capacitance and a voltage above 60 V are accepted: %w", float64(c), float64(u), ErrRange)
	}
	return unit.Resistance(float64(t) / (float64(c) * math.Log(float64(u/VoltageTouch)))), nil
}
