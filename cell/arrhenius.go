package cell

import (
	"fmt"
	"io"
	"math"
	"sync"

	"packyard/internal/num"
	"packyard/unit"
)

// gasConstant is R in J/(mol·K). Source: si-brochure (exact, N_A·k).
const gasConstant = 8.31446261815324

// referenceTemperature of the resistance classes, 25 °C. Source: cell-test-sets.
const referenceTemperature = 298.15

// arrhenius is resistance over temperature where nothing is measured:
//
//	R(T) = R(25 °C)·exp(E/R·(1/T − 1/298.15 K))
//
// with one energy below and one above 25 °C, each fitted to the published
// ratios of data/temperature_ratio.csv by least squares of ln(ratio) through
// the origin.
type arrhenius struct{ below, above float64 } // E, J/mol

// readRatios fits the two energies.
func readRatios(in io.Reader) (arrhenius, error) {
	n, _, err := readTable(in, "class,temperature_degC,ratio_1,duration_s,source", "class", "source")
	if err != nil {
		return arrhenius{}, err
	}
	var a arrhenius
	for _, side := range []struct {
		energy *float64
		name   string
		in     func(t float64) bool
	}{{&a.below, "below", func(t float64) bool { return t < referenceTemperature }},
		{&a.above, "above", func(t float64) bool { return t > referenceTemperature }}} {
		xy, xx := 0.0, 0.0
		for i, ratio := range n["ratio_1"] {
			t := float64(unit.Celsius(n["temperature_degC"][i]))
			if ratio <= 0 || t <= 0 {
				return arrhenius{}, fmt.Errorf("%w: ratio %g at %g K", ErrData, ratio, t)
			}
			if side.in(t) {
				x := 1/t - 1/referenceTemperature
				xy, xx = xy+x*math.Log(ratio), xx+x*x
			}
		}
		if xx == 0 {
			return arrhenius{}, fmt.Errorf("%w: no ratio %s 25 °C", ErrData, side.name)
		}
		*side.energy = gasConstant * xy / xx
	}
	return a, nil
}

// factor is R(to)/R(from) by the energies of the two sides of 25 °C.
func (a arrhenius) factor(from, to float64) float64 {
	return math.Exp(a.exponent(to) - a.exponent(from))
}

func (a arrhenius) exponent(t float64) float64 {
	e := a.below
	if t > referenceTemperature {
		e = a.above
	}
	return e / gasConstant * (1/t - 1/referenceTemperature)
}

// gridTemperatures are the rows of a surface: every 5 K from −30 to 60 °C, the
// span of the discharge limits with 10 K below (battery-trade-limits).
func gridTemperatures() []float64 {
	var out []float64
	for c := -30.0; c <= 60; c += 5 {
		out = append(out, float64(unit.Celsius(c)))
	}
	return out
}

// overTemperature extends measured rows v[k] at temperatures t[k] (rising, K) to
// temperature at: between two rows ln v is linear in 1/T, beyond them the
// energies of a are applied to the nearest row. A zero stays linear in T, since
// its logarithm does not exist.
func overTemperature(t, v []float64, at float64, a arrhenius) float64 {
	last := len(t) - 1
	switch {
	case at <= t[0]:
		return v[0] * a.factor(t[0], at)
	case at >= t[last]:
		return v[last] * a.factor(t[last], at)
	}
	i, s := num.Cell(t, at)
	if v[i] <= 0 || v[i+1] <= 0 {
		return v[i] + s*(v[i+1]-v[i])
	}
	s = (1/at - 1/t[i]) / (1/t[i+1] - 1/t[i])
	return v[i] * math.Pow(v[i+1]/v[i], s)
}

var ratios = sync.OnceValues(func() (arrhenius, error) { return openTable("temperature_ratio", readRatios) })

// TemperatureRatio returns the resistance at a temperature over that at 25 °C by
// the energies fitted to the published ratios of the chemistries, below and above
// 25 °C apart. Errors: ErrTemperature; ErrData if the table cannot be read.
// Source: cell-test-sets.
func TemperatureRatio(t unit.Temperature) (unit.Ratio, error) {
	if err := num.Finite(float64(t)); err != nil || t <= 0 {
		return 0, fmt.Errorf("%w: %g K, accepted is above 0 K", ErrTemperature, float64(t))
	}
	a, err := ratios()
	if err != nil {
		return 0, err
	}
	return unit.Ratio(a.factor(referenceTemperature, float64(t))), nil
}
