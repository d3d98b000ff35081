package part

import (
	"packyard/unit"
)

// Cabin is what heating and cooling of the cabin draw from the pack.
//
//	heating  P = (UA·(T_cabin − T_ambient) − gains)/COP        0 … HeatMax
//	cooling  P = CoolPower·(T_ambient − CoolFrom)/(CoolAt − CoolFrom)   0 … CoolMax
type Cabin struct {
	Conductance unit.ThermalConductance // UA, cabin to outside, fresh air included
	Comfort     unit.Temperature        // T_cabin when heating
	Gains       unit.Power              // sun and occupants when heating
	HeatCOP     float64                 // heat over electricity; dimensionless, 1 for a resistive heater
	HeatMax     unit.Power              // electric, largest; zero: no heater
	CoolFrom    unit.Temperature        // no cooling below
	CoolAt      unit.Temperature        // ambient of CoolPower
	CoolPower   unit.Power              // electric, at CoolAt; zero: no air-conditioning
	CoolMax     unit.Power              // electric, largest
}

// HeatPumpCOP is the cautious coefficient of performance of a heat pump:
// published figures run from 1.9 (whole system) to 3.3 and contradict each
// other. Assumption. Source: catalogue sources C6.8.
const HeatPumpCOP = 2.0

// DefaultCabin returns the cabin of a compact converted vehicle with a
// resistive heater and a car's air-conditioning.
//
// UA 110 W/K is the middle of 100 to 120 (C6.9; 114 W/K follows from
// argonne-2013-01-1462 by C6.4); 22 °C and the 5 kW element are of the same
// test. Gains are zero because C6.4 holds them already. 1.4 kW at 35 °C is the
// middle of 1.3 to 1.5 (adac-2024, C6.6). That cooling starts at 25 °C and ends
// at 2.2 kW (4 kW of cold at the COP of 1.8 of C6.8) is an assumption.
func DefaultCabin() Cabin {
	const kelvin0 = 273.15
	return Cabin{
		Conductance: 110, Comfort: kelvin0 + 22, HeatCOP: 1, HeatMax: 5 * unit.Kilowatt,
		CoolFrom: kelvin0 + 25, CoolAt: kelvin0 + 35, CoolPower: 1400, CoolMax: 2200,
	}
}

// The ends of the ambient temperatures that a cabin curve covers, °C.
const ambientMinC, ambientMaxC = -50.0, 60.0

// Curve returns the power at the pack over the ambient temperature in °C,
// from −50 to 60 °C. The kinks of the law are points of the curve, so that
// reading it linearly is exact.
func (c Cabin) Curve() Curve {
	var out Curve
	add := func(x, y float64) {
		if n := len(out.X); n == 0 || x > out.X[n-1]+1e-9 {
			out.X, out.Y = append(out.X, x), append(out.Y, y)
		}
	}
	if ua := float64(c.Conductance); ua > 0 && c.HeatMax > 0 && c.HeatCOP > 0 {
		zero := celsius(c.Comfort) - float64(c.Gains)/ua
		full := zero - float64(c.HeatMax)*c.HeatCOP/ua
		if full > ambientMinC {
			add(ambientMinC, float64(c.HeatMax))
			add(full, float64(c.HeatMax))
		} else {
			add(ambientMinC, (zero-ambientMinC)*ua/c.HeatCOP)
		}
		add(zero, 0)
	} else {
		add(ambientMinC, 0)
	}
	if c.CoolPower <= 0 || c.CoolAt <= c.CoolFrom {
		add(ambientMaxC, 0)
		return out
	}
	slope := float64(c.CoolPower) / float64(c.CoolAt-c.CoolFrom)
	from := celsius(c.CoolFrom)
	add(from, 0)
	if end := from + float64(c.CoolMax)/slope; end < ambientMaxC {
		add(end, float64(c.CoolMax))
		add(ambientMaxC, float64(c.CoolMax))
	} else {
		add(ambientMaxC, slope*(ambientMaxC-from))
	}
	return out
}
