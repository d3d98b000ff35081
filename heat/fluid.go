package heat

import (
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
	"sync"

	"packyard/internal/num"
	"packyard/unit"
)

//go:embed data/coolants.csv
var coolantsCSV string

// ErrFluid is returned for a name that is no fluid of this package.
var ErrFluid = errors.New("is no known fluid")

// Properties are what a fluid is at one temperature.
type Properties struct {
	Density      unit.Density
	SpecificHeat unit.SpecificHeat
	Conductivity unit.Conductivity
	viscosity    float64 // dynamic, Pa·s
}

// Prandtl returns µ·cp/k, dimensionless.
func (p Properties) Prandtl() float64 {
	return p.viscosity * float64(p.SpecificHeat) / float64(p.Conductivity)
}

// kinematic returns µ/ρ in m²/s.
func (p Properties) kinematic() float64 { return p.viscosity / float64(p.Density) }

// diffusivity returns k/(ρ·cp) in m²/s.
func (p Properties) diffusivity() float64 {
	return float64(p.Conductivity) / (float64(p.Density) * float64(p.SpecificHeat))
}

// Fluid is a coolant with its properties over temperature.
type Fluid struct {
	Name     string // "glycol-50"
	Title    string
	From, To unit.Temperature // of its table
	Freezes  unit.Temperature // zero: not stated
	kelvin   []float64
	columns  [4][]float64 // density, specific heat, conductivity in SI; natural logarithm of the viscosity in Pa·s
}

// fluidTitles names the fluids of the table and where they freeze.
// Source: ashrae-fundamentals (−37 °C, handbook 6.1 to 6.4).
func fluidTitles() map[string]Fluid {
	return map[string]Fluid{
		"glycol-50": {Title: "ethylene glycol in water, 50 % by volume, inhibited", Freezes: unit.Celsius(-37)},
		"water":     {Title: "water", Freezes: unit.Celsius(0)},
	}
}

var fluidTable = sync.OnceValue(func() map[string]*Fluid {
	table, err := readFluids(coolantsCSV)
	if err != nil {
		panic("heat: embedded coolants: " + err.Error()) // held by a test
	}
	return table
})

func readFluids(text string) (map[string]*Fluid, error) {
	records, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	table := map[string]*Fluid{}
	titles := fluidTitles()
	for _, rec := range records[1:] {
		f := table[rec[0]]
		if f == nil {
			t, known := titles[rec[0]]
			if !known {
				return nil, fmt.Errorf("%q %w", rec[0], ErrFluid)
			}
			f = &t
			f.Name = rec[0]
			table[rec[0]] = f
		}
		var v [5]float64
		for i := range v {
			if v[i], err = strconv.ParseFloat(rec[1+i], 64); err != nil {
				return nil, err
			}
		}
		f.kelvin = append(f.kelvin, float64(unit.Celsius(v[0])))
		for i, x := range []float64{v[1], v[2], v[3], math.Log(v[4] * 1e-3)} {
			f.columns[i] = append(f.columns[i], x)
		}
	}
	for _, f := range table {
		if err := num.StrictlyIncreasing(f.kelvin); err != nil {
			return nil, fmt.Errorf("%s: %w", f.Name, err)
		}
		f.From, f.To = unit.Temperature(f.kelvin[0]), unit.Temperature(f.kelvin[len(f.kelvin)-1])
	}
	return table, nil
}

// FluidOf returns the coolant with the name. Error: ErrFluid with the names
// that are known.
func FluidOf(name string) (*Fluid, error) {
	if f, ok := fluidTable()[name]; ok {
		return f, nil
	}
	return nil, fmt.Errorf("%q %w: accepted are %s", name, ErrFluid, strings.Join(FluidNames(), ", "))
}

// FluidNames returns the coolants of the package, sorted.
func FluidNames() []string { return []string{"glycol-50", "water"} }

// At returns the properties at t: linear between the rows of the table, the
// viscosity in its logarithm; outside the table its nearest row holds, see From
// and To. Source: ashrae-fundamentals; nbs-iapws-steam.
func (f *Fluid) At(t unit.Temperature) Properties {
	i, share := num.Cell(f.kelvin, float64(t))
	read := func(c []float64) float64 {
		if share == 0 {
			return c[i]
		}
		return c[i] + share*(c[i+1]-c[i])
	}
	return Properties{
		Density: unit.Density(read(f.columns[0])), SpecificHeat: unit.SpecificHeat(read(f.columns[1])),
		Conductivity: unit.Conductivity(read(f.columns[2])), viscosity: math.Exp(read(f.columns[3])),
	}
}

// Air returns dry air at t, 150 to 1 000 K, and pressure p:
//
//	ρ = p/(R·T),  µ = 1.458e-6·T^1.5/(T + 110.4) Pa·s
//	k = 2.64638e-3·T^1.5/(T + 245.4·10^(−12/T)) W/(m·K)
//	cp = 1 002.5 + 275e-6·(T − 200)² J/(kg·K)
//
// Source: iso-2533 (from memory), the specific heat from-memory; held against
// air of Incropera ex. 9.2 by a test.
func Air(t unit.Temperature, p unit.Pressure) Properties {
	k := min(max(float64(t), 150), 1000)
	return Properties{
		Density:      unit.Density(float64(p) / (airGas * k)),
		SpecificHeat: unit.SpecificHeat(1002.5 + 275e-6*(k-200)*(k-200)),
		Conductivity: unit.Conductivity(2.64638e-3 * k * math.Sqrt(k) / (k + 245.4*math.Pow(10, -12/k))),
		viscosity:    1.458e-6 * k * math.Sqrt(k) / (k + 110.4),
	}
}

const (
	airGas  = 287.05287 // J/(kg·K). Source: iso-2533
	airHeat = 1006.0    // J/(kg·K) at 40 °C, of the streams of radiators. Source: from-memory
	// PressureSea is the pressure of the standard atmosphere at sea level.
	// Source: iso-2533.
	PressureSea = 101325 * unit.Pascal
	gravity     = 9.80665 // m/s². Source: cgpm-1901
)
