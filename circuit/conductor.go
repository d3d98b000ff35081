package circuit

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// ErrRange is returned for an input outside the range of a formula or table.
var ErrRange = errors.New("outside the range of the table")

// Constants of annealed copper.
const (
	copperInverse   = 234.5     // °C below zero at which the resistance would vanish. Source: iec-60949
	copperHeat      = 3.45e-3   // J/(K·mm³). Source: iec-60949
	copperRho       = 17.241e-6 // Ω·mm at 20 °C. Source: iec-60028
	rhoCopper       = 1.7241e-8 // Ω·m at 20 °C. Source: iec-60028
	aluminiumZero   = 228       // °C. Source: iec-60949
	aluminiumHeat   = 2.5e-3    // J/(K·mm³). Source: iec-60949
	aluminiumRho    = 28.264e-6 // Ω·mm at 20 °C. Source: iec-60949
	adiabaticMost   = 5.0       // s, to which the adiabatic formula holds. Source: iec-60364
	fusePerAmpacity = 1.45      // rated current of a fuse over the ampacity it protects. Source: iec-60364
)

// GaugeDiameter returns the diameter of American wire gauge n; 0 is 1/0, −1 is
// 2/0 and so on down to −3.
//
//	d = 0.127 mm · 92^((36 − n)/39)
//
// Source: astm-b258.
func GaugeDiameter(n int) unit.Length {
	return unit.Length(0.127e-3 * math.Pow(92, float64(36-n)/39))
}

// GaugeResistance returns the resistance at 20 °C of a length of solid annealed
// copper of American wire gauge n, R = ρ·l/A.
//
// Source: astm-b258, iec-60028.
func GaugeResistance(n int, l unit.Length) unit.Resistance {
	d := float64(GaugeDiameter(n))
	return unit.Resistance(rhoCopper * float64(l) / (math.Pi * d * d / 4))
}

// CopperAt returns the resistance at temperature t of a copper conductor that has
// r20 at 20 °C: R = R20·(234.5 + t)/254.5 with t in °C.
//
// Source: iec-60949.
func CopperAt(r20 unit.Resistance, t unit.Temperature) unit.Resistance {
	return unit.Resistance(float64(r20) * (copperInverse + t.Celsius()) / (copperInverse + 20))
}

// Metal is what a conductor is made of.
type Metal uint8

// Metals.
const (
	Copper Metal = iota
	Aluminium
)

// Heating is a conductor that warms from Start to End while a fault lasts.
type Heating struct {
	Metal      Metal
	Start, End unit.Temperature
}

// k returns the constant of the adiabatic formula in A·√s per square metre:
//
//	k = √(Q·(B + 20)/ρ · ln(1 + (T_end − T_start)/(B + T_start)))
//
// A bare number, since no type has that unit; over 1e6 it is the printed
// A·√s/mm². Errors: ErrRange when the conductor does not warm.
//
// Source: iec-60949; iec-60364, Annex A.
func (h Heating) k() (float64, error) {
	b, q, rho := copperInverse, copperHeat, copperRho
	if h.Metal == Aluminium {
		b, q, rho = aluminiumZero, aluminiumHeat, aluminiumRho
	}
	from, to := h.Start.Celsius(), h.End.Celsius()
	if !(to > from) || !(from > -b) {
		return 0, fmt.Errorf("a conductor from %g °C to %g °C: a rise is accepted: %w", from, to, ErrRange)
	}
	return 1e6 * math.Sqrt(q*(b+20)/rho*math.Log(1+(to-from)/(b+from))), nil
}

// Withstand returns the I²t that a conductor of section s bears, k²·S²; for
// faults up to five seconds.
//
// Source: iec-60364, 543.1.2. Errors: ErrRange when the conductor does not warm.
func (h Heating) Withstand(s unit.Area) (unit.SquareAmpereSecond, error) {
	c, err := h.k()
	return unit.SquareAmpereSecond(square(c * float64(s))), err
}

// SectionLeast returns the least section for an I²t, S = √(I²t)/k.
//
// Source: iec-60364, 543.1.2. Errors: ErrRange when the conductor does not warm.
func (h Heating) SectionLeast(letThrough unit.SquareAmpereSecond) (unit.Area, error) {
	c, err := h.k()
	if err != nil {
		return 0, err
	}
	return unit.Area(math.Sqrt(float64(letThrough)) / c), nil
}

func square(x float64) float64 { return x * x }

// Carried is an ampacity with the temperatures at which it stands.
type Carried struct {
	Current            unit.Current
	Conductor, Ambient unit.Temperature
}

// At carries an ampacity over to other temperatures of conductor and air by the
// heat balance, film coefficient unchanged, which is on the safe side:
//
//	I₂ = I₁·√((ΔT₂/ΔT₁)·(R₁/R₂)),  R at the temperature of the conductor
//
// Zero when the air is as hot as the conductor may be.
//
// Source: heat balance, handbook 1.19 (cable makers print the same form).
func (c Carried) At(conductor, ambient unit.Temperature) unit.Current {
	d1, d2 := float64(c.Conductor-c.Ambient), float64(conductor-ambient)
	if d1 <= 0 || d2 <= 0 {
		return 0
	}
	r := (copperInverse + c.Conductor.Celsius()) / (copperInverse + conductor.Celsius())
	return unit.Current(float64(c.Current) * math.Sqrt(d2/d1*r))
}

// AmbientFactor returns √((T_c − T_a)/(T_c − T_base)), the factor on an ampacity
// of which the conductor temperature stays.
//
// Source: nfpa-70, 310.15.
func AmbientFactor(conductor, base, ambient unit.Temperature) unit.Ratio {
	return unit.Ratio(math.Sqrt(math.Max(0, float64(conductor-ambient)) / float64(conductor-base)))
}

// Insulation is a temperature class of road-vehicle cable.
type Insulation struct {
	Class      string           // "A" to "H"
	Continuous unit.Temperature // upper limit, 3000 h
	Fault      unit.Temperature // at the end of a short circuit
}

// Insulations returns the classes. The final temperatures are those that the
// installation standard prints for the nearest materials: 160 °C for PVC, 250 °C
// for cross-linked polyethylene, 350 °C for silicone.
//
// Source: iso-19642 (classes), iec-60364 (final temperatures by material); which
// material a class is made of is an assumption.
func Insulations() []Insulation {
	c := unit.Celsius
	return []Insulation{
		{"A", c(85), c(160)}, {"B", c(100), c(160)}, {"C", c(125), c(250)}, {"D", c(150), c(250)},
		{"E", c(175), c(250)}, {"F", c(200), c(350)}, {"G", c(225), c(350)}, {"H", c(250), c(350)},
	}
}

// InsulationOf returns the class with the name.
func InsulationOf(class string) (Insulation, bool) {
	for _, i := range Insulations() {
		if i.Class == class {
			return i, true
		}
	}
	return Insulation{}, false
}

// Prospective returns the current of a bolted fault, I = U/R.
//
// Source: circuit-law. Errors: ErrRange without a resistance.
func Prospective(u unit.Voltage, r unit.Resistance) (unit.Current, error) {
	if !(r > 0) {
		return 0, fmt.Errorf("a fault over %g Ω: a resistance above zero is accepted: %w", float64(r), ErrRange)
	}
	return unit.Current(float64(u) / float64(r)), nil
}

// TimeConstant returns τ = L/R of a circuit.
//
// Source: circuit-law.
func TimeConstant(l unit.Inductance, r unit.Resistance) unit.Time {
	return unit.Time(float64(l) / float64(r))
}
