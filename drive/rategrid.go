package drive

import (
	"math"
	"slices"

	"packyard/cell"
	"packyard/unit"
)

// rateGrid is a limit of current of one cell over temperature in one direction,
// read every quarter of a kelvin from its first temperature on: rates that bend
// at other temperatures than those are off by a quarter of a kelvin of their
// slope at most. Outside its temperatures nothing is allowed.
type rateGrid struct {
	from, to   float64   // K
	peak, cont []float64 // 1/h
	best       float64   // 1/h, largest continuous one at any temperature
}

// ratesPerKelvin is how finely a rateGrid is read.
const ratesPerKelvin = 4

func newRateGrid(points []cell.LimitPoint, rate func(unit.Temperature, unit.Time) unit.CRate) rateGrid {
	from, to := bordersOf(points)
	g := rateGrid{from: float64(from), to: float64(to)}
	if len(points) == 0 {
		return g
	}
	n := int(math.Ceil((g.to-g.from)*ratesPerKelvin)) + 1
	for i := range n {
		t := unit.Temperature(math.Min(g.from+float64(i)/ratesPerKelvin, g.to))
		peak := float64(rate(t, durationPeak))
		g.peak = append(g.peak, peak)
		g.cont = append(g.cont, math.Min(float64(rate(t, durationContinuous)), peak))
	}
	g.best = slices.Max(g.cont)
	return g
}

// at returns ten-second and continuous rate at t kelvin, lowered in a straight
// line to zero over the last ramp kelvin before the hottest temperature.
func (g *rateGrid) at(t, ramp float64) (peak, cont float64) {
	if !(t >= g.from && t <= g.to) || len(g.peak) == 0 {
		return 0, 0
	}
	x := (t - g.from) * ratesPerKelvin
	i := min(int(x), len(g.peak)-1)
	peak, cont = g.peak[i], g.cont[i]
	if i+1 < len(g.peak) {
		f := x - float64(i)
		peak, cont = peak+f*(g.peak[i+1]-peak), cont+f*(g.cont[i+1]-cont)
	}
	if left := g.to - t; left < ramp {
		peak, cont = peak*left/ramp, cont*left/ramp
	}
	return peak, cont
}
