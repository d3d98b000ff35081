package unit

import (
	"math"
	"slices"
)

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
	Offset   float64 // SI value at the number zero of the unit, only for °C and °F
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
	btu      = 1055.05585262 // International Table
	rankine  = 1 / 1.8       // K per °F of difference
)

func si(spelling string, factor float64) Row {
	return Row{Spelling: spelling, Factor: factor, Source: "si-brochure"}
}

func us(spelling string, factor float64) Row {
	return Row{Spelling: spelling, Factor: factor, System: US, Source: "nist-sp811"}
}

// metric is a unit that is neither SI nor accepted for use with it, but at home
// beside it, as the kilogram-force.
func metric(spelling string, factor float64) Row {
	return Row{Spelling: spelling, Factor: factor, Source: "nist-sp811"}
}

// also lists a row and further spellings of the same unit.
func also(of Row, spellings ...string) []Row {
	out := []Row{of}
	for _, s := range spellings {
		a := of
		a.Spelling, a.Alias = s, true
		out = append(out, a)
	}
	return out
}

// The closed lists. The first row of a list is the SI unit itself. The lists
// are never changed.
var (
	rowsMass = slices.Concat(also(si("kg", 1)), also(si("g", 1e-3)), also(si("mg", 1e-6)), also(si("t", 1e3)),
		also(us("lb", pound)), also(us("oz", pound/16)))
	rowsLength = slices.Concat(also(si("m", 1)), also(si("cm", 1e-2)), also(si("mm", 1e-3)), also(si("km", 1e3)),
		also(si("µm", 1e-6), "um"), also(us("in", inch)), also(us("ft", foot)), also(us("yd", 3*foot)), also(us("mi", mile)), also(us("mil", inch/1000)))
	rowsArea = slices.Concat(also(si("m²", 1), "m2"), also(si("cm²", 1e-4), "cm2"), also(si("mm²", 1e-6), "mm2"),
		also(us("in²", inch*inch), "in2", "sq in"), also(us("ft²", foot*foot), "ft2", "sq ft"), also(us("kcmil", math.Pi/4*inch*inch/1000)))
	rowsVolume = slices.Concat(also(si("m³", 1), "m3"), also(si("L", 1e-3), "l", "dm³", "dm3"), also(si("mL", 1e-6), "ml"),
		also(si("cm³", 1e-6), "cm3"), also(si("mm³", 1e-9), "mm3"), also(us("in³", inch*inch*inch), "in3"), also(us("ft³", foot*foot*foot), "ft3"),
		also(us("gal(US)", usGallon)), also(us("gal(UK)", ukGallon)))
	rowsTime = slices.Concat(also(si("s", 1)), also(si("ms", 1e-3)), also(si("µs", 1e-6), "us"), also(si("min", 60)), also(si("h", 3600)), also(si("d", 86400)),
		also(Row{"a", 365.25 * 86400, 0, SI, false, "iau-julian-year"}))
	rowsSpeed        = slices.Concat(also(si("m/s", 1)), also(si("km/h", kmh), "kmh"), also(us("mph", mph)), also(us("ft/s", foot)))
	rowsAcceleration = slices.Concat(also(si("m/s²", 1), "m/s2"), also(Row{"gn", gravity, 0, SI, false, "cgpm-1901"}, "g"), also(us("ft/s²", foot), "ft/s2"))
	rowsForce        = slices.Concat(also(si("N", 1)), also(si("kN", 1e3)), also(si("daN", 10)), also(metric("kgf", gravity)), also(us("lbf", poundF)))
	rowsTorque       = slices.Concat(also(si("N·m", 1), "Nm", "N m"), also(si("kN·m", 1e3), "kNm", "kN m"), also(metric("kgf·m", gravity), "kgf m"),
		also(us("lbf·ft", poundF*foot), "lbf ft", "ft·lbf", "ft lbf"), also(us("lbf·in", poundF*inch), "lbf in", "in·lbf", "in lbf"))
	rowsEnergy = slices.Concat(also(si("J", 1)), also(si("kJ", 1e3)), also(si("MJ", 1e6)), also(si("Wh", 3600)), also(si("kWh", 3.6e6)), also(si("MWh", 3.6e9)),
		also(us("Btu(IT)", btu)))
	rowsPower = slices.Concat(also(si("W", 1)), also(si("mW", 1e-3)), also(si("kW", 1e3)), also(si("MW", 1e6)), also(metric("hp(M)", 75*gravity), "PS"),
		also(us("hp(I)", 550*foot*poundF)), also(us("hp(E)", 746)), also(us("Btu(IT)/h", btu/3600)))
	rowsVoltage     = slices.Concat(also(si("V", 1)), also(si("mV", 1e-3)), also(si("µV", 1e-6), "uV"), also(si("kV", 1e3)))
	rowsCurrent     = slices.Concat(also(si("A", 1)), also(si("mA", 1e-3)), also(si("µA", 1e-6), "uA"), also(si("kA", 1e3)))
	rowsCharge      = slices.Concat(also(si("C", 1), "A·s", "As"), also(si("Ah", 3600), "A·h"), also(si("mAh", 3.6)))
	rowsResistance  = slices.Concat(also(si("Ω", 1), "ohm"), also(si("mΩ", 1e-3), "mohm"), also(si("µΩ", 1e-6), "uohm"), also(si("kΩ", 1e3), "kohm"), also(si("MΩ", 1e6), "Mohm"), also(si("GΩ", 1e9), "Gohm"))
	rowsCapacitance = slices.Concat(also(si("F", 1)), also(si("mF", 1e-3)), also(si("µF", 1e-6), "uF"), also(si("nF", 1e-9)), also(si("pF", 1e-12)))
	rowsTemperature = slices.Concat(also(si("K", 1)), also(Row{"°C", 1, 273.15, SI, false, "si-brochure"}, "degC", "C"),
		also(Row{"°F", rankine, 459.67 / 1.8, US, false, "nist-sp811"}, "degF", "F"))
	rowsTemperatureDelta   = slices.Concat(also(si("K", 1)), also(si("°C", 1), "degC", "C"), also(us("°F", rankine), "degF", "F"))
	rowsHeatCapacity       = slices.Concat(also(si("J/K", 1), "J/°C"), also(si("kJ/K", 1e3), "kJ/°C"), also(si("Wh/K", 3600)), also(us("Btu(IT)/°F", btu/rankine)))
	rowsThermalConductance = slices.Concat(also(si("W/K", 1), "W/°C"), also(si("mW/K", 1e-3)), also(si("kW/K", 1e3)), also(us("Btu(IT)/(h·°F)", btu/3600/rankine)))

	rowsHeatTransferCoefficient = slices.Concat(also(si("W/(m²·K)", 1), "W/(m2·K)", "W/(m2 K)", "W/m2K"), also(si("kW/(m²·K)", 1e3), "kW/(m2 K)"),
		also(si("W/(cm²·K)", 1e4), "W/(cm2 K)"), also(us("Btu(IT)/(h·ft²·°F)", btu/3600/(foot*foot)/rankine), "Btu(IT)/(h ft2 degF)"))
	rowsConductivity = slices.Concat(also(si("W/(m·K)", 1), "W/(m K)", "W/mK"), also(si("mW/(m·K)", 1e-3), "mW/(m K)"), also(si("W/(cm·K)", 100), "W/(cm K)"),
		also(us("Btu(IT)/(h·ft·°F)", btu/3600/foot/rankine), "Btu(IT)/(h ft degF)"))
	rowsSpecificHeat = slices.Concat(also(si("J/(kg·K)", 1), "J/(kg K)", "J/kgK"), also(si("kJ/(kg·K)", 1e3), "kJ/(kg K)", "kJ/kgK"), also(si("J/(g·K)", 1e3), "J/(g K)", "J/gK"),
		also(us("Btu(IT)/(lb·°F)", btu/pound/rankine), "Btu(IT)/(lb degF)"))
	rowsDensity = slices.Concat(also(si("kg/m³", 1), "kg/m3"), also(si("g/cm³", 1e3), "g/cm3"), also(si("kg/L", 1e3), "kg/l"), also(si("t/m³", 1e3), "t/m3"),
		also(us("lb/ft³", pound/(foot*foot*foot)), "lb/ft3"), also(us("lb/in³", pound/(inch*inch*inch)), "lb/in3"))
	rowsMassFlow   = slices.Concat(also(si("kg/s", 1)), also(si("g/s", 1e-3)), also(si("kg/min", 1.0/60)), also(si("kg/h", 1.0/3600)), also(us("lb/s", pound)), also(us("lb/min", pound/60)))
	rowsVolumeFlow = slices.Concat(also(si("m³/s", 1), "m3/s"), also(si("m³/h", 1.0/3600), "m3/h"), also(si("L/s", 1e-3), "l/s"), also(si("L/min", 1e-3/60), "l/min"), also(si("L/h", 1e-3/3600), "l/h"),
		also(us("gal(US)/min", usGallon/60), "gpm"), also(us("ft³/min", foot*foot*foot/60), "ft3/min", "cfm"))
	rowsPressure = slices.Concat(also(si("Pa", 1)), also(si("hPa", 100)), also(si("kPa", 1e3)), also(si("MPa", 1e6), "N/mm²", "N/mm2"), also(si("bar", 1e5)), also(si("mbar", 100)),
		also(metric("atm", 101325)), also(metric("kgf/cm²", gravity*1e4), "kgf/cm2"), also(metric("mH2O", 1e3*gravity)), also(metric("mmHg", 13595.1*gravity/1e3)),
		also(us("psi", psi)), also(us("inH2O", 1e3*gravity*inch)), also(us("inHg", 13595.1*gravity*inch)))
	rowsAngularSpeed        = slices.Concat(also(si("rad/s", 1)), also(metric("rpm", math.Pi/30), "1/min"), also(si("°/s", math.Pi/180), "deg/s"))
	rowsAngle               = slices.Concat(also(si("rad", 1)), also(si("mrad", 1e-3)), also(si("°", math.Pi/180), "deg"))
	rowsInertia             = slices.Concat(also(si("kg·m²", 1), "kg m2", "kg·m2", "kgm2"), also(si("kg·cm²", 1e-4), "kg cm2", "kg·cm2"), also(us("lb·ft²", pound*foot*foot), "lb ft2"), also(us("lb·in²", pound*inch*inch), "lb in2"))
	rowsInductance          = slices.Concat(also(si("H", 1)), also(si("mH", 1e-3)), also(si("µH", 1e-6), "uH"), also(si("nH", 1e-9)))
	rowsEntropicCoefficient = slices.Concat(also(si("V/K", 1)), also(si("mV/K", 1e-3), "mV/°C"), also(si("µV/K", 1e-6), "uV/K"))
	rowsSquareAmpereSecond  = slices.Concat(also(si("A²s", 1), "A2s", "A²·s"), also(si("kA²s", 1e6), "kA2s"))
	rowsRatio               = slices.Concat(also(si("1", 1), ":1"), also(si("%", 0.01)), also(si("‰", 1e-3)))
	rowsCRate               = slices.Concat(also(Row{"C", 1, 0, SI, false, "common-practice"}, "1/h"))
	rowsSpecificEnergy      = slices.Concat(also(si("J/kg", 1)), also(si("kJ/kg", 1e3)), also(si("MJ/kg", 1e6)), also(si("Wh/kg", 3600)), also(si("kWh/kg", 3.6e6)), also(us("Wh/lb", 3600/pound)))
	rowsConsumption         = slices.Concat(also(si("J/m", 1)), also(si("MJ/km", 1e3)), also(si("Wh/km", 3.6)), also(si("kWh/km", 3.6e3)), also(si("kWh/100 km", 36)), also(us("Wh/mi", 3600/mile)), also(us("kWh/100 mi", 36e3/mile)))
	rowsSlope               = slices.Concat(also(si("1", 1)), also(si("%", 0.01)), also(si("‰", 1e-3)))
	rowsDamping             = slices.Concat(also(si("N/(m/s)", 1), "N·s/m", "Ns/m"), also(si("N/(km/h)", 3.6)), also(us("lbf/mph", poundF/mph)))
	rowsAeroDrag            = slices.Concat(also(si("N/(m/s)²", 1), "N/(m/s)2", "N·s²/m²"), also(si("N/(km/h)²", 12.96), "N/(km/h)2"), also(us("lbf/mph²", poundF/(mph*mph)), "lbf/mph2"))
	rowsStiffness           = slices.Concat(also(si("N/m", 1)), also(si("N/mm", 1e3)), also(si("kN/m", 1e3)), also(metric("kgf/mm", gravity*1e3)), also(us("lbf/in", poundF/inch)))
)
