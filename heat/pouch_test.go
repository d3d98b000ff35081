package heat_test

import (
	"math"
	"slices"
	"strconv"
	"testing"

	"packyard/cell"
	"packyard/check/checktest"
	"packyard/heat"
	"packyard/internal/num"
	"packyard/pack"
	"packyard/unit"
)

// pouchRun is one discharge of the large pouch with the rest after it, from the
// first row under load.
type pouchRun struct {
	name   string
	time   []float64 // s, length n
	heat   []float64 // W from a row to the next, length n
	kelvin []float64 // K, middle of the cell, length n
	peak   float64   // °C, as published
}

// readPouch takes the heat from the measured voltage against the open-circuit
// voltage of the same cell's pulse test, q = I·(U − V), with the charge of that
// test, 30.51 Ah. Entropy is left out: no sourced curve is known for this pair of
// electrodes.
func readPouch(t *testing.T, name string, peak float64) pouchRun {
	t.Helper()
	c := cell.BuiltIn().Cell("pouch-lmo-33")
	table, err := c.At(unit.Celsius(25), cell.Health{CapacityShare: unit.Ratio(30.51 * 3600 / float64(c.Capacity)), ResistanceGrowth: 1}, 401)
	if err != nil {
		t.Fatal(err)
	}
	records := checktest.Table(t, checktest.Reference(t, "celltests", "leaf33", name+".csv"))
	at := func(rec []string, column string) float64 {
		v, err := strconv.ParseFloat(rec[slices.Index(records[0], column)], 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	r := pouchRun{name: name, peak: peak}
	out, before := 0.0, 0.0 // A·s taken, A of the row before: it holds until the next row
	for _, rec := range records[1:] {
		now, current := at(rec, "time_s"), max(0, -at(rec, "current_a"))
		if len(r.time) == 0 && current < 1 {
			continue // the charge before
		}
		if n := len(r.time); n > 0 {
			out += before * (now - r.time[n-1])
		}
		q := 0.0
		if current > 1 {
			q = current * (pack.Read(table.OCV, 1-out/float64(table.Capacity)) - at(rec, "voltage_v"))
		}
		before = current
		r.time, r.heat = append(r.time, now), append(r.heat, q)
		r.kelvin = append(r.kelvin, float64(unit.Celsius(at(rec, "temperature_c"))))
	}
	return r
}

// pouch is the cell between its holder, pressed to both faces, in a chamber.
type pouch struct{ film, holder float64 } // W/(m²·K), J/K

const (
	pouchFaces   = 2 * 0.290 * 0.216 // m². Source: wiggins-2019
	pouchCell    = 0.799 * 913       // J/K. Source: wiggins-2019 (mass), bpx-2022 (specific heat of a pouch)
	pouchContact = 2000              // W/(m²·K) between pressed faces: an assumption; the two stay within 0.1 K
)

// follow returns the temperature of the cell at the rows, K.
func (p pouch) follow(t *testing.T, r pouchRun) []float64 {
	t.Helper()
	var n heat.Network
	body := n.Source("cell", pouchCell)
	chamber := n.Surroundings("chamber", unit.Celsius(25))
	if p.holder > 0 {
		holder := n.Mass("holder", unit.HeatCapacity(p.holder))
		n.Link(body, holder, pouchContact*pouchFaces)
		n.Link(holder, chamber, unit.ThermalConductance(p.film*pouchFaces))
	} else {
		n.Link(body, chamber, unit.ThermalConductance(p.film*pouchFaces))
	}
	if err := n.Start(unit.Temperature(r.kelvin[0])); err != nil {
		t.Fatal(err)
	}
	out := []float64{r.kelvin[0]}
	for i := 1; i < len(r.time); i++ {
		if err := n.Step(r.heat[i-1:i], unit.Time(r.time[i]-r.time[i-1])); err != nil {
			t.Fatal(err)
		}
		out = append(out, n.Temperatures()[0])
	}
	return out
}

// fitPouch finds film and, where asked, holder on a whole run; returns the root
// of the mean square of what is left, K.
func fitPouch(t *testing.T, r pouchRun, withHolder bool) (pouch, float64) {
	t.Helper()
	of := func(x []float64) pouch {
		p := pouch{film: math.Abs(x[0])}
		if withHolder {
			p.holder = math.Abs(x[1])
		}
		return p
	}
	residuals := func(x, res []float64, jac [][]float64) error {
		base := of(x).follow(t, r)
		for i := range res {
			res[i] = base[i] - r.kelvin[i]
		}
		for k := range x {
			y := slices.Clone(x)
			step := 1e-4 * y[k]
			y[k] += step
			for i, v := range of(y).follow(t, r) {
				jac[i][k] = (v - base[i]) / step
			}
		}
		return nil
	}
	start := []float64{15, 400}
	if !withHolder {
		start = start[:1]
	}
	fit, err := num.NonlinearLeastSquares(residuals, start, len(r.time))
	if err != nil {
		t.Fatal(err)
	}
	return of(fit.Coef), fit.Residual / math.Sqrt(float64(len(r.time)))
}

// Surface coefficient and heat capacity of the holder are fitted on the whole
// 3 C run; the peaks of 1 C and 2 C are then foretold. The result without a
// holder stands beside it (docs/method/heat.md).
func TestPouchPeaksFollowFromOneRun(t *testing.T) {
	t.Parallel()
	const source = "Wiggins, Allu, Wang: Battery cell data from a 2013 Nissan Leaf, 2019 (wiggins-2019)"
	fitted := readPouch(t, "discharge_3c", 42.8)
	with, rms := fitPouch(t, fitted, true)
	bare, bareRMS := fitPouch(t, fitted, false)
	t.Logf("3 C: film %.2f W/(m²·K), holder %.0f J/K, %.2f K rms; without holder %.2f W/(m²·K), %.2f K rms", with.film, with.holder, rms, bare.film, bareRMS)
	for _, r := range []pouchRun{readPouch(t, "discharge_1c", 29.2), readPouch(t, "discharge_2c", 35.3), fitted} {
		got := slices.Max(with.follow(t, r)) - 273.15
		alone := slices.Max(bare.follow(t, r)) - 273.15
		t.Logf("%s: peak %.2f °C measured, %.2f with holder, %.2f without", r.name, slices.Max(r.kelvin)-273.15, got, alone)
		checktest.Near(t, r.name+": published peak, °C", slices.Max(r.kelvin)-273.15, r.peak, 0.06, 0, source)
		checktest.Near(t, r.name+": peak, °C", got, r.peak, 2, 0, source)
	}
	if !(rms < bareRMS/2) {
		t.Errorf("the holder leaves %.2f K rms of %.2f K: it should explain the cooling after the load", rms, bareRMS)
	}
}
