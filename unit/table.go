package unit

import "math"

// System says where a spelling is at home; the display preference follows it.
type System uint8

// Systems of units.
const (
	SI System = iota // SI and units accepted for use with it
	US               // inch, pound, mile, °F
)

// Row is one accepted spelling of a unit: SI value = number·Factor + Offset.
type Row struct {
	Spelling string  // as written after the number; "" never occurs
	Factor   float64 // SI per unit
	Offset   float64 // SI value at number zero, only for °C and °F
	System   System
	Alias    bool   // an ASCII or long spelling of another row, never printed
	Source   string // key of the definition
}

// toSI returns the SI value of number n of the unit. A unit that is a whole
// fraction of the SI unit is divided, not multiplied by the inexact 0.001, so
// that 35 mm are the float64 nearest to 0.035 m.
func (r Row) toSI(n float64) float64 {
	if inv := r.wholeInverse(); inv != 0 {
		return n/inv + r.Offset
	}
	return n*r.Factor + r.Offset
}

// fromSI returns the number of the unit that makes the SI value x.
func (r Row) fromSI(x float64) float64 {
	if inv := r.wholeInverse(); inv != 0 {
		return (x - r.Offset) * inv
	}
	return (x - r.Offset) / r.Factor
}

// wholeInverse returns 1/Factor if that is a whole number, else zero.
func (r Row) wholeInverse() float64 {
	if r.Factor >= 1 {
		return 0
	}
	if inv := math.Round(1 / r.Factor); inv < 1e15 && 1/inv == r.Factor {
		return inv
	}
	return 0
}

// Exact factors by definition. Source: NIST SP 811 Appendix B; NIST Handbook 44
// Appendix C; SI brochure.
const (
	inch     = 0.0254
	foot     = 0.3048
	mile     = 1609.344
	pound    = 0.45359237
	poundF   = 4.4482216152605
	psi      = poundF / (inch * inch)
	kmh      = 1.0 / 3.6
	mph      = 0.44704
	gravity  = 9.80665
	usGallon = 3.785411784e-3
	ukGallon = 4.54609e-3
)

func si(spelling string, factor float64) Row {
	return Row{Spelling: spelling, Factor: factor, Source: "si-brochure"}
}

func us(spelling string, factor float64) Row {
	return Row{Spelling: spelling, Factor: factor, System: US, Source: "nist-sp811"}
}

func alias(of Row, spellings ...string) []Row {
	out := []Row{of}
	for _, s := range spellings {
		a := of
		a.Spelling, a.Alias = s, true
		out = append(out, a)
	}
	return out
}

func join(parts ...[]Row) []Row {
	var out []Row
	for _, p := range parts {
		out = append(out, p...)
	}
	return out
}

func one(r ...Row) []Row { return r }

// The closed lists. The first row of a list is the SI unit itself.
var (
	rowsMass = join(one(si("kg", 1), si("g", 1e-3), si("mg", 1e-6), si("t", 1e3)),
		one(us("lb", pound), us("oz", pound/16)))
	rowsLength = join(one(si("m", 1), si("cm", 1e-2), si("mm", 1e-3), si("km", 1e3)), alias(si("µm", 1e-6), "um"),
		one(us("in", inch), us("ft", foot), us("yd", 3*foot), us("mi", mile)))
	rowsArea = join(alias(si("m²", 1), "m2"), alias(si("cm²", 1e-4), "cm2"), alias(si("mm²", 1e-6), "mm2"),
		alias(us("in²", inch*inch), "in2", "sq in"), alias(us("ft²", foot*foot), "ft2", "sq ft"))
	rowsVolume = join(alias(si("m³", 1), "m3"), one(si("L", 1e-3), Row{"l", 1e-3, 0, SI, true, "si-brochure"}, si("mL", 1e-6)),
		alias(si("cm³", 1e-6), "cm3"), alias(us("in³", inch*inch*inch), "in3"), alias(us("ft³", foot*foot*foot), "ft3"), one(us("gal(US)", usGallon), us("gal(UK)", ukGallon)))
	rowsTime  = one(si("s", 1), si("ms", 1e-3), si("min", 60), si("h", 3600), si("d", 86400), Row{"a", 365.25 * 86400, 0, SI, false, "iau-julian-year"})
	rowsSpeed = join(one(si("m/s", 1), si("km/h", kmh)), one(Row{"kmh", kmh, 0, SI, true, "si-brochure"}), one(us("mph", mph), us("ft/s", foot)))

	rowsAcceleration = join(alias(si("m/s²", 1), "m/s2"), one(Row{"gn", gravity, 0, SI, false, "cgpm-1901"}), alias(us("ft/s²", foot), "ft/s2"))
	rowsForce        = one(si("N", 1), si("kN", 1e3), us("lbf", poundF))
	rowsTorque       = join(alias(si("N·m", 1), "Nm", "N m"), alias(us("lbf·ft", poundF*foot), "lbf ft", "ft·lbf"), alias(us("lbf·in", poundF*inch), "lbf in"))
	rowsEnergy       = one(si("J", 1), si("kJ", 1e3), si("MJ", 1e6), si("Wh", 3600), si("kWh", 3.6e6))
	rowsPower        = join(one(si("W", 1), si("kW", 1e3), si("MW", 1e6)),
		one(Row{"hp(M)", 75 * gravity, 0, SI, false, "nist-sp811"}, us("hp(I)", 550*foot*poundF), us("hp(E)", 746)))
	rowsVoltage     = one(si("V", 1), si("mV", 1e-3), si("kV", 1e3))
	rowsCurrent     = join(one(si("A", 1), si("mA", 1e-3), si("kA", 1e3)), alias(si("µA", 1e-6), "uA"))
	rowsCharge      = one(si("C", 1), si("Ah", 3600), si("mAh", 3.6))
	rowsResistance  = join(alias(si("Ω", 1), "ohm"), alias(si("mΩ", 1e-3), "mohm"), alias(si("µΩ", 1e-6), "uohm"), alias(si("kΩ", 1e3), "kohm"), alias(si("MΩ", 1e6), "Mohm"))
	rowsCapacitance = join(one(si("F", 1), si("mF", 1e-3)), alias(si("µF", 1e-6), "uF"), one(si("nF", 1e-9), si("pF", 1e-12)))
	rowsTemperature = join(one(si("K", 1)), alias(Row{"°C", 1, 273.15, SI, false, "si-brochure"}, "degC", "C"),
		alias(Row{"°F", 1 / 1.8, 459.67 / 1.8, US, false, "nist-sp811"}, "degF", "F"))
	rowsTemperatureDelta        = join(one(si("K", 1)), alias(si("°C", 1), "degC", "C"), alias(us("°F", 1/1.8), "degF", "F"))
	rowsHeatCapacity            = one(si("J/K", 1), si("kJ/K", 1e3))
	rowsThermalConductance      = one(si("W/K", 1))
	rowsHeatTransferCoefficient = alias(si("W/(m²·K)", 1), "W/(m2·K)", "W/(m2 K)", "W/m2K")
	rowsConductivity            = alias(si("W/(m·K)", 1), "W/(m K)", "W/mK")
	rowsSpecificHeat            = join(alias(si("J/(kg·K)", 1), "J/(kg K)", "J/kgK"), alias(si("kJ/(kg·K)", 1e3), "kJ/(kg K)"))
	rowsDensity                 = join(alias(si("kg/m³", 1), "kg/m3"), alias(si("g/cm³", 1e3), "g/cm3"), one(si("kg/L", 1e3)), alias(us("lb/ft³", pound/(foot*foot*foot)), "lb/ft3"))
	rowsMassFlow                = one(si("kg/s", 1), si("g/s", 1e-3), si("kg/h", 1.0/3600))
	rowsVolumeFlow              = join(alias(si("m³/s", 1), "m3/s"), one(si("L/min", 1e-3/60), Row{"l/min", 1e-3 / 60, 0, SI, true, "si-brochure"}, us("gpm", usGallon/60)))
	rowsPressure                = one(si("Pa", 1), si("kPa", 1e3), si("hPa", 100), si("MPa", 1e6), si("bar", 1e5), si("mbar", 100), us("psi", psi))
	rowsAngularSpeed            = join(one(si("rad/s", 1)), alias(si("rpm", math.Pi/30), "1/min"))
	rowsAngle                   = join(one(si("rad", 1)), alias(si("°", math.Pi/180), "deg"))
	rowsInertia                 = join(alias(si("kg·m²", 1), "kg m2", "kg·m2", "kgm2"), alias(us("lb·ft²", pound*foot*foot), "lb ft2"))
	rowsInductance              = join(one(si("H", 1), si("mH", 1e-3)), alias(si("µH", 1e-6), "uH"))
	rowsEntropicCoefficient     = one(si("V/K", 1), si("mV/K", 1e-3))
	rowsSquareAmpereSecond      = alias(si("A²s", 1), "A2s", "A²·s")
	rowsRatio                   = one(si("1", 1), si("%", 0.01), Row{":1", 1, 0, SI, true, "common-practice"})
	rowsCRate                   = join(one(si("C", 1)), one(Row{"1/h", 1, 0, SI, true, "si-brochure"}))
	rowsSpecificEnergy          = one(si("J/kg", 1), si("kJ/kg", 1e3), si("Wh/kg", 3600))
	rowsConsumption             = one(si("J/m", 1), si("Wh/km", 3.6), si("kWh/100 km", 36), us("Wh/mi", 3600/mile))
	rowsSlope                   = one(si("1", 1), si("%", 0.01))
	rowsDamping                 = join(alias(si("N/(m/s)", 1), "N·s/m"), one(si("N/(km/h)", 3.6), us("lbf/mph", poundF/mph)))
	rowsAeroDrag                = join(alias(si("N/(m/s)²", 1), "N/(m/s)2", "N·s²/m²"), alias(si("N/(km/h)²", 12.96), "N/(km/h)2"), alias(us("lbf/mph²", poundF/(mph*mph)), "lbf/mph2"))
	rowsStiffness               = one(si("N/m", 1), si("N/mm", 1e3), si("kN/m", 1e3), us("lbf/in", poundF/inch))
)
