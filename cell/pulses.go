package cell

import (
	"fmt"
	"io"
	"math"

	"packyard/internal/num"
	"packyard/unit"
)

// pulseTable holds R0 and two RC pairs over charge at each measured
// temperature, resistances times capacity in Ω·A·s, time constants in s.
type pulseTable struct {
	temperature []float64   // K, rising
	soc         [][]float64 // per temperature, rising
	r           [3][][]float64
	tau         [2][]float64 // per temperature
	source      string
}

const pulseColumns = "temperature_degC,soc,r0_mohmAh,r1_mohmAh,tau1_s,r2_mohmAh,tau2_s,source"

// readPulses reads a pulse table: rows sorted by temperature, then charge; the
// time constants are one per temperature.
func readPulses(in io.Reader) (pulseTable, error) {
	n, w, err := readTable(in, pulseColumns, "source")
	if err != nil {
		return pulseTable{}, err
	}
	var p pulseTable
	for i, celsius := range n["temperature_degC"] {
		t := float64(unit.Celsius(celsius))
		k := len(p.temperature) - 1
		if k < 0 || p.temperature[k] != t {
			p.temperature = append(p.temperature, t)
			p.soc = append(p.soc, nil)
			for j := range p.r {
				p.r[j] = append(p.r[j], nil)
			}
			for j, column := range []string{"tau1_s", "tau2_s"} {
				p.tau[j] = append(p.tau[j], n[column][i])
			}
			k++
		}
		p.soc[k] = append(p.soc[k], n["soc"][i])
		for j, column := range []string{"r0_mohmAh", "r1_mohmAh", "r2_mohmAh"} {
			p.r[j][k] = append(p.r[j][k], n[column][i]*1e-3*3600)
		}
		if n["tau1_s"][i] != p.tau[0][k] || n["tau2_s"][i] != p.tau[1][k] {
			return pulseTable{}, fmt.Errorf("%w: time constants change within %g °C", ErrData, celsius)
		}
		p.source = w["source"][i]
	}
	if len(p.temperature) == 0 {
		return pulseTable{}, fmt.Errorf("%w: no rows", ErrData)
	}
	if err := num.StrictlyIncreasing(p.temperature); err != nil {
		return pulseTable{}, fmt.Errorf("%w: temperature: %w", ErrData, err)
	}
	for k := range p.soc {
		if err := num.StrictlyIncreasing(p.soc[k]); err != nil {
			return pulseTable{}, fmt.Errorf("%w: charge: %w", ErrData, err)
		}
	}
	return p, nil
}

// nearest25 is the index of the measured temperature nearest to 25 °C.
func (p pulseTable) nearest25() int {
	best := 0
	for k, t := range p.temperature {
		if math.Abs(t-referenceTemperature) < math.Abs(p.temperature[best]-referenceTemperature) {
			best = k
		}
	}
	return best
}

// at reads resistance j of measured temperature k at a charge. Beyond the
// levels that were measured at k the shape of the 25 °C row continues it:
//
//	R_k(s) = R_k(end)·R_25(s)/R_25(end)
//
// and beyond the levels of the 25 °C row the last value holds.
func (p pulseTable) at(j, k int, s float64) float64 {
	soc, r := p.soc[k], p.r[j][k]
	v := num.Linear(soc, r, s)
	if s >= soc[0] && s <= soc[len(soc)-1] {
		return v
	}
	end := soc[0]
	if s > end {
		end = soc[len(soc)-1]
	}
	warm := p.nearest25()
	base := num.Linear(p.soc[warm], p.r[j][warm], end)
	if base <= 0 {
		return v
	}
	return v * num.Linear(p.soc[warm], p.r[j][warm], s) / base
}

// surfaces fills R and tau of c on a common grid of charge (every 5 %) and
// temperature, extended as overTemperature says; time constants hold beyond
// the measured temperatures and are linear between them.
func (p pulseTable) surfaces(c *Curves, ratio arrhenius) {
	soc, grid := num.Even(0, 1, 21), gridTemperatures()
	c.ResistanceFrom = unit.Temperature(p.temperature[0])
	c.ResistanceTo = unit.Temperature(p.temperature[len(p.temperature)-1])
	for j, s := range []*Surface{&c.R0, &c.R1, &c.R2} {
		*s = Surface{SoC: soc, Temperature: grid}
		for _, t := range grid {
			row := make([]float64, len(soc))
			for i, charge := range soc {
				v := make([]float64, len(p.temperature))
				for k := range v {
					v[k] = p.at(j, k, charge)
				}
				row[i] = overTemperature(p.temperature, v, t, ratio)
			}
			s.Value = append(s.Value, row)
		}
	}
	for j, s := range []*Surface{&c.Tau1, &c.Tau2} {
		*s = Surface{SoC: soc, Temperature: grid}
		for _, t := range grid {
			row := make([]float64, len(soc))
			for i := range row {
				row[i] = num.Linear(p.temperature, p.tau[j], t)
			}
			s.Value = append(s.Value, row)
		}
	}
}
