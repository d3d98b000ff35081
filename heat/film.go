package heat

import (
	"math"

	"packyard/unit"
)

// stefanBoltzmann in W/(m²·K⁴). Source: codata-2018 (from memory).
const stefanBoltzmann = 5.670374419e-8

// FreePlate returns the Nusselt number of free convection at a vertical plate,
// dimensionless, by Rayleigh and Prandtl number, any Ra up to 1e12:
//
//	Nu = (0.825 + 0.387·Ra^(1/6)/(1 + (0.492/Pr)^(9/16))^(8/27))²
//
// Source: churchill-chu-1975 (handbook 6.24).
func FreePlate(rayleigh, prandtl float64) float64 {
	root := 0.825 + 0.387*math.Pow(rayleigh, 1.0/6)/math.Pow(1+math.Pow(0.492/prandtl, 9.0/16), 8.0/27)
	return root * root
}

// Rayleigh returns g·β·ΔT·L³/(ν·α) of a gas with β = 1/T, dimensionless, its
// properties those at the mean temperature of the film.
// Source: incropera, ch. 9.
func Rayleigh(p Properties, warm, cold unit.Temperature, height unit.Length) float64 {
	film := float64(warm+cold) / 2
	rise := math.Abs(float64(warm - cold))
	return gravity / film * rise * math.Pow(float64(height), 3) / (p.kinematic() * p.diffusivity())
}

// FilmFree returns the film coefficient of still air at a vertical surface of
// the height, with properties at the mean of both temperatures. It is used for
// all faces of a box: the top gives more, the bottom less.
// Source: churchill-chu-1975; the use for all faces is an assumption.
func FilmFree(surface, air unit.Temperature, height unit.Length, p unit.Pressure) unit.HeatTransferCoefficient {
	props := Air((surface+air)/2, p)
	nu := FreePlate(Rayleigh(props, surface, air, height), props.Prandtl())
	return unit.HeatTransferCoefficient(nu * float64(props.Conductivity) / float64(height))
}

// FilmStream returns the film coefficient of air that passes a flat surface of
// the length at speed v: 0.664·Re^½·Pr^⅓ below Re 5e5, 0.037·Re^0.8·Pr^⅓ above, as
// of a boundary layer that is turbulent from the start; zero at rest.
// Source: incropera, ch. 7 (from memory).
func FilmStream(v unit.Speed, air unit.Temperature, length unit.Length, p unit.Pressure) unit.HeatTransferCoefficient {
	if v <= 0 {
		return 0
	}
	props := Air(air, p)
	re := float64(v) * float64(length) / props.kinematic()
	nu := 0.664 * math.Sqrt(re)
	if re > 5e5 {
		nu = 0.037 * math.Pow(re, 0.8)
	}
	return unit.HeatTransferCoefficient(nu * math.Cbrt(props.Prandtl()) * float64(props.Conductivity) / float64(length))
}

// FilmRadiant returns the film coefficient that radiation between a grey
// surface and wide surroundings amounts to: ε·σ·(T² + T₀²)·(T + T₀).
// Source: incropera, eq. 1.9.
func FilmRadiant(emissivity unit.Ratio, surface, surroundings unit.Temperature) unit.HeatTransferCoefficient {
	a, b := float64(surface), float64(surroundings)
	return unit.HeatTransferCoefficient(float64(emissivity) * stefanBoltzmann * (a*a + b*b) * (a + b))
}

// Layer is a pad, plate or gap of the thickness between two surfaces.
type Layer struct {
	Thickness    unit.Length
	Conductivity unit.Conductivity
	// Contact is the conductance per area of each of its two contacts; zero: they
	// do not count.
	Contact unit.HeatTransferCoefficient
}

// Conductance returns that of the area: 1/(t/(k·A) + 2/(h_c·A)). A layer without
// thickness and contact has none to give and returns zero.
// Source: incropera, ch. 3 (handbook 6.25).
func (l Layer) Conductance(a unit.Area) unit.ThermalConductance {
	r := 0.0 // m²·K/W
	if l.Thickness > 0 {
		r = float64(l.Thickness) / float64(l.Conductivity)
	}
	if l.Contact > 0 {
		r += 2 / float64(l.Contact)
	}
	if r == 0 {
		return 0
	}
	return unit.ThermalConductance(float64(a) / r)
}

// Series returns the conductance of two in series; zero if either is.
func Series(a, b unit.ThermalConductance) unit.ThermalConductance {
	if a <= 0 || b <= 0 {
		return 0
	}
	return a * b / (a + b)
}

// FinEfficiency returns that of a straight fin with an insulated tip,
// dimensionless: tanh(m·L)/(m·L), m = √(2·h/(k·t)). A plate of which a strip of
// length L hangs over the coolant channel is such a fin.
// Source: incropera, ch. 3 (handbook 6.26).
func FinEfficiency(film unit.HeatTransferCoefficient, k unit.Conductivity, thickness, length unit.Length) float64 {
	ml := math.Sqrt(2*float64(film)/(float64(k)*float64(thickness))) * float64(length)
	if ml == 0 {
		return 1
	}
	return math.Tanh(ml) / ml
}

// Biot returns h·Lc/k, dimensionless; a body may be one node when it is below
// 0.1. Source: incropera, ch. 5 (handbook 6.21).
func Biot(film unit.HeatTransferCoefficient, characteristic unit.Length, k unit.Conductivity) float64 {
	return float64(film) * float64(characteristic) / float64(k)
}
