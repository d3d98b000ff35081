package part

import (
	"slices"

	"packyard/unit"
)

// kelvin0 is 0 °C in K. Source: si-brochure.
const kelvin0 = 273.15

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
// lohse-busch-2013 by C6.4); 22 °C and the 5 kW element are of the same
// test. Gains are zero because C6.4 holds them already. 1.4 kW at 35 °C is the
// middle of 1.3 to 1.5 (adac-2020s, C6.6). That cooling starts at 25 °C and ends
// at 2.2 kW (4 kW of cold at the COP of 1.8 of C6.8) is an assumption.
func DefaultCabin() Cabin {
	return Cabin{
		Conductance: 110, Comfort: kelvin0 + 22, HeatCOP: 1, HeatMax: 5 * unit.Kilowatt,
		CoolFrom: kelvin0 + 25, CoolAt: kelvin0 + 35, CoolPower: 1400, CoolMax: 2200,
	}
}

// The ends of the ambient temperatures that a cabin curve covers, °C.
const ambientMinC, ambientMaxC = -50.0, 60.0

// PowerAt returns the electric power at the ambient temperature, see Cabin.
// Where the cabin is to be warmer than CoolFrom, cooling begins where heating
// ends.
func (c Cabin) PowerAt(ambient unit.Temperature) unit.Power {
	warm, from := c.heatingEnds(), max(float64(c.CoolFrom), c.heatingEnds())
	t := float64(ambient)
	switch {
	case t < warm:
		return unit.Power(min((warm-t)*float64(c.Conductance)/c.HeatCOP, float64(c.HeatMax)))
	case t > from && c.CoolPower > 0:
		return unit.Power(min((t-from)*c.coolingSlope(), float64(c.CoolMax)))
	}
	return 0
}

// heatingEnds returns the ambient temperature from which no heat is needed, K.
func (c Cabin) heatingEnds() float64 {
	if c.Conductance <= 0 || c.HeatMax <= 0 || c.HeatCOP <= 0 {
		return 0
	}
	return float64(c.Comfort) - float64(c.Gains)/float64(c.Conductance)
}

// coolingSlope returns the electric power of cooling per kelvin; a cabin whose
// CoolAt is not above CoolFrom needs all of it within one kelvin.
func (c Cabin) coolingSlope() float64 {
	return float64(c.CoolPower) / max(float64(c.CoolAt-c.CoolFrom), 1)
}

// Curve returns PowerAt over the ambient temperature in °C, from −50 to 60 °C.
// The kinks of the law are points of the curve, so that reading it linearly
// is exact.
func (c Cabin) Curve() Curve {
	warm := c.heatingEnds()
	from := max(float64(c.CoolFrom), warm)
	kinks := []float64{warm, from}
	if warm > 0 {
		kinks = append(kinks, warm-float64(c.HeatMax)*c.HeatCOP/float64(c.Conductance))
	}
	if c.CoolPower > 0 {
		kinks = append(kinks, from+float64(c.CoolMax)/c.coolingSlope())
	}
	points := []float64{ambientMinC, ambientMaxC}
	for _, k := range kinks {
		if x := k - kelvin0; x > ambientMinC && x < ambientMaxC {
			points = append(points, x)
		}
	}
	slices.Sort(points)
	points = slices.Compact(points)
	out := Curve{X: points, Y: make([]float64, len(points))}
	for i, x := range points {
		out.Y[i] = float64(c.PowerAt(unit.Temperature(x + kelvin0)))
	}
	return out
}
