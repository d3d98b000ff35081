package pack

import (
	"errors"
	"math"

	"packyard/unit"
)

// ErrPower is returned when a source cannot give the power asked for.
var ErrPower = errors.New("more power than the source can give")

// settled returns what an RC pair adds to the resistance after d seconds.
func settled(r, tau []float64, z, d float64) float64 {
	if len(r) == 0 {
		return 0
	}
	rr := Read(r, z)
	if rr == 0 {
		return 0
	}
	return -rr * math.Expm1(-d/Read(tau, z))
}

// Source is an electromotive force behind a resistance.
type Source struct {
	EMF        unit.Voltage
	Resistance unit.Resistance
}

// Current returns the current that gives power w at the terminals, discharge
// positive, and the voltage there:
//
//	I = 2·W/(E + √(E² − 4·R·W)),  U = E − R·I
//
// Of the two solutions it is the one with the smaller current. When the source
// cannot give w it returns the current of the greatest power, E/(2·R), and
// ErrPower. Source: Ohm's law, models section 2.
func (s Source) Current(w unit.Power) (unit.Current, unit.Voltage, error) {
	e, r, p := float64(s.EMF), float64(s.Resistance), float64(w)
	root := e*e - 4*r*p
	if root < 0 {
		return unit.Current(e / (2 * r)), unit.Voltage(e / 2), ErrPower
	}
	i := 2 * p / (e + math.Sqrt(root))
	return unit.Current(i), unit.Voltage(e - r*i), nil
}

// PowerMax returns the greatest power of the source, E²/(4·R), at half its
// electromotive force; infinite when the resistance is zero is not a value that
// crosses a package border, so a source without resistance panics: that is a
// programmer's mistake.
func (s Source) PowerMax() unit.Power {
	if s.Resistance <= 0 {
		panic("pack: PowerMax of a source without resistance")
	}
	e := float64(s.EMF)
	return unit.Power(e * e / (4 * float64(s.Resistance)))
}

// PowerAt returns the power of the source when its terminals are held at
// voltage u: W = u·(E − u)/R, discharge positive. With u the lowest allowed
// voltage it is the power capability of a pulse test.
// Source: USABC test manuals (handbook 3.18).
func (s Source) PowerAt(u unit.Voltage) unit.Power {
	return unit.Power(float64(u) * (float64(s.EMF) - float64(u)) / float64(s.Resistance))
}

// Share returns the current of each of the sources in parallel that together
// give i, discharge positive, and their common terminal voltage:
//
//	U = (Σ E_j/R_j − I)/Σ 1/R_j,  I_j = (E_j − U)/R_j
//
// It panics if there is no source or one without resistance.
// Source: circuit law (handbook 3.2).
func Share(sources []Source, i unit.Current) ([]unit.Current, unit.Voltage) {
	if len(sources) == 0 {
		panic("pack: Share of no source")
	}
	sumEG, sumG := 0.0, 0.0
	for _, s := range sources {
		if s.Resistance <= 0 {
			panic("pack: Share with a source without resistance")
		}
		sumEG += float64(s.EMF) / float64(s.Resistance)
		sumG += 1 / float64(s.Resistance)
	}
	u := (sumEG - float64(i)) / sumG
	out := make([]unit.Current, len(sources))
	for k, s := range sources {
		out[k] = unit.Current((float64(s.EMF) - u) / float64(s.Resistance))
	}
	return out, unit.Voltage(u)
}
