package heat

import (
	"math"

	"packyard/unit"
)

// Duct is the inside of a tube or of a rectangular channel.
type Duct struct {
	Diameter      unit.Length // of a round tube; zero: rectangular
	Width, Height unit.Length // of a rectangular channel, in any order
	Length        unit.Length
	Roughness     unit.Length // of the wall; zero: smooth
}

// Area returns the cross-section.
func (d Duct) Area() unit.Area {
	if d.Diameter > 0 {
		return unit.Area(math.Pi / 4 * float64(d.Diameter*d.Diameter))
	}
	return unit.Area(d.Width * d.Height)
}

// Wetted returns the inner surface over the length.
func (d Duct) Wetted() unit.Area {
	if d.Diameter > 0 {
		return unit.Area(math.Pi * float64(d.Diameter*d.Length))
	}
	return unit.Area(2 * (d.Width + d.Height) * d.Length)
}

// HydraulicDiameter returns 4·A over the wetted perimeter.
// Source: incropera, ch. 8 (handbook 6.7).
func (d Duct) HydraulicDiameter() unit.Length {
	if d.Diameter > 0 {
		return d.Diameter
	}
	return 2 * d.Width * d.Height / (d.Width + d.Height)
}

// aspect returns short over long side.
func (d Duct) aspect() float64 {
	return float64(min(d.Width, d.Height) / max(d.Width, d.Height))
}

// Boundary says what the wall of a duct does.
type Boundary uint8

// Walls: one heat flux all along, as of cells that give off heat, or one
// temperature.
const (
	FluxFixed Boundary = iota
	WallFixed
)

// Reynolds returns v·Dh/ν of a fluid, dimensionless.
func (d Duct) Reynolds(p Properties, v unit.Speed) float64 {
	return float64(v) * float64(d.HydraulicDiameter()) / p.kinematic()
}

// Where laminar flow ends and where turbulent flow is taken as developed;
// between them the two are mixed by the share of the way.
// Source: gnielinski-2013 (from memory).
const (
	laminarEnd     = 2300.0
	turbulentBegin = 4000.0
)

// mixed returns laminar(re) below the border, turbulent(re) above it, and
// between them the straight line from laminar(2 300) to turbulent(4 000).
func mixed(re float64, laminar, turbulent func(re float64) float64) float64 {
	switch {
	case re <= laminarEnd:
		return laminar(re)
	case re >= turbulentBegin:
		return turbulent(re)
	}
	share := (re - laminarEnd) / (turbulentBegin - laminarEnd)
	return (1-share)*laminar(laminarEnd) + share*turbulent(turbulentBegin)
}

// Nusselt returns the Nusselt number of developed flow, dimensionless:
//
//	laminar      48/11 or 3.66 in a round tube; NusseltLaminar in a rectangular channel
//	turbulent    Gnielinski, with the friction of the duct
//
// The entry of a duct is better than that, so that the value is on the safe
// side where Duct.EntryThermal is long. It never falls below the laminar value.
// Source: gnielinski-1976; incropera, ch. 8 (handbook 6.8 to 6.16).
func (d Duct) Nusselt(re, prandtl float64, b Boundary) float64 {
	laminar := d.nusseltLaminar(b)
	return mixed(re, func(float64) float64 { return laminar }, func(re float64) float64 {
		return math.Max(laminar, Gnielinski(re, prandtl, d.Friction(re)))
	})
}

func (d Duct) nusseltLaminar(b Boundary) float64 {
	switch {
	case d.Diameter == 0:
		return NusseltLaminar(d.aspect(), b)
	case b == WallFixed:
		return 3.66
	}
	return 48.0 / 11
}

// NusseltLaminar returns the Nusselt number of laminar flow in a rectangular
// channel of aspect a, short over long side, 0…1, dimensionless:
//
//	flux fixed         8.235·(1 − 2.0421a + 3.0853a² − 2.4765a³ + 1.0578a⁴ − 0.1861a⁵)
//	temperature fixed  7.541·(1 − 2.610a + 4.970a² − 5.119a³ + 2.702a⁴ − 0.548a⁵)
//
// Source: shah-london-1978 (handbook 6.10, 6.11).
func NusseltLaminar(a float64, b Boundary) float64 {
	if b == WallFixed {
		return 7.541 * poly(a, 1, -2.610, 4.970, -5.119, 2.702, -0.548)
	}
	return 8.235 * poly(a, 1, -2.0421, 3.0853, -2.4765, 1.0578, -0.1861)
}

// FrictionLaminar returns f·Re of laminar flow in a rectangular channel of
// aspect a, 0…1, Darcy's f, dimensionless:
// 96·(1 − 1.3553a + 1.9467a² − 1.7012a³ + 0.9564a⁴ − 0.2537a⁵).
// Source: shah-london-1978 (handbook 6.12).
func FrictionLaminar(a float64) float64 {
	return 96 * poly(a, 1, -1.3553, 1.9467, -1.7012, 0.9564, -0.2537)
}

func poly(x float64, c ...float64) float64 {
	sum := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		sum = sum*x + c[i]
	}
	return sum
}

// Gnielinski returns the Nusselt number of turbulent flow, dimensionless:
//
//	Nu = (f/8)·(Re − 1000)·Pr/(1 + 12.7·√(f/8)·(Pr^(2/3) − 1))
//
// for 3 000 < Re < 5e6 and 0.5 < Pr < 2 000. Source: gnielinski-1976 (handbook 6.15).
func Gnielinski(re, prandtl, friction float64) float64 {
	return friction / 8 * (re - 1000) * prandtl / (1 + 12.7*math.Sqrt(friction/8)*(math.Cbrt(prandtl*prandtl)-1))
}

// DittusBoelter returns the Nusselt number of turbulent flow, dimensionless:
// 0.023·Re^0.8·Pr^n with n 0.4 where the fluid is heated, else 0.3; Re > 10 000.
// Here for comparison only, it is some 10 % off. Source: incropera, eq. 8.60
// (handbook 6.14).
func DittusBoelter(re, prandtl float64, w Warming) float64 {
	n := 0.4
	if w == Cooled {
		n = 0.3
	}
	return 0.023 * math.Pow(re, 0.8) * math.Pow(prandtl, n)
}

// Warming says whether a wall heats or cools the fluid.
type Warming uint8

// The fluid is heated or cooled.
const (
	Heated Warming = iota
	Cooled
)

// Friction returns Darcy's friction factor, dimensionless: 64/Re or
// FrictionLaminar/Re when laminar; turbulent Petukhov's for a smooth wall,
// Haaland's for a rough one. Source: handbook 6.8, 6.12, 6.16, 6.18.
func (d Duct) Friction(re float64) float64 {
	per := 64.0
	if d.Diameter == 0 {
		per = FrictionLaminar(d.aspect())
	}
	return mixed(re, func(re float64) float64 { return per / re }, func(re float64) float64 {
		if d.Roughness > 0 {
			return Haaland(re, float64(d.Roughness/d.HydraulicDiameter()))
		}
		return Petukhov(re)
	})
}

// Petukhov returns the friction factor of a smooth tube, dimensionless,
// (0.790·ln Re − 1.64)^−2. Source: petukhov-1970 (handbook 6.16).
func Petukhov(re float64) float64 { return math.Pow(0.790*math.Log(re)-1.64, -2) }

// Haaland returns the friction factor of a wall of relative roughness e/D,
// dimensionless: (−1.8·log10(((e/D)/3.7)^1.11 + 6.9/Re))^−2.
// Source: haaland-1983 (handbook 6.18).
func Haaland(re, roughness float64) float64 {
	return math.Pow(-1.8*math.Log10(math.Pow(roughness/3.7, 1.11)+6.9/re), -2)
}

// Colebrook returns the friction factor, dimensionless, that solves
// 1/√f = −2·log10((e/D)/3.7 + 2.51/(Re·√f)), by fixed point from Haaland's; it
// gains a digit or more a pass. Source: colebrook-1939 (handbook 6.17).
func Colebrook(re, roughness float64) float64 {
	x := 1 / math.Sqrt(Haaland(re, roughness))
	for range 30 {
		x = -2 * math.Log10(roughness/3.7+2.51*x/re)
	}
	return 1 / (x * x)
}

// PressureLoss returns f·(L/Dh)·ρ·v²/2 at mean speed v; zero for a fluid at
// rest. Source: handbook 6.19, the law of Darcy and Weisbach.
func (d Duct) PressureLoss(p Properties, v unit.Speed) unit.Pressure {
	if v <= 0 {
		return 0
	}
	f := d.Friction(d.Reynolds(p, v))
	return unit.Pressure(f * float64(d.Length/d.HydraulicDiameter()) * float64(p.Density) * float64(v) * float64(v) / 2)
}

// Film returns the film coefficient Nu·k/Dh at mean speed v; at rest that of
// laminar flow, conduction through the fluid being of that size.
// Source: handbook 6.2.
func (d Duct) Film(p Properties, v unit.Speed, b Boundary) unit.HeatTransferCoefficient {
	nu := d.Nusselt(d.Reynolds(p, v), p.Prandtl(), b)
	return unit.HeatTransferCoefficient(nu * float64(p.Conductivity) / float64(d.HydraulicDiameter()))
}

// EntryThermal returns the thermal entry length of laminar flow, 0.05·Re·Pr·Dh.
// Source: incropera, ch. 8 (handbook 6.13).
func (d Duct) EntryThermal(p Properties, v unit.Speed) unit.Length {
	return unit.Length(0.05*d.Reynolds(p, v)*p.Prandtl()) * d.HydraulicDiameter()
}

// Exchange returns what a stream W along a wall of conductance G = h·A takes
// over its temperature at the inlet, K = W·(1 − e^(−G/W)); zero without flow.
// Source: incropera, ch. 8 (one wall temperature).
func Exchange(flow, g unit.ThermalConductance) unit.ThermalConductance {
	if flow <= 0 {
		return 0
	}
	return flow * unit.ThermalConductance(-math.Expm1(-float64(g/flow)))
}
