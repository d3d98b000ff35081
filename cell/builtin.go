package cell

import (
	"fmt"
	"io"
	"sync"

	"packyard/internal/num"
	"packyard/unit"
)

// curveSet names the tables that make the curves of a chemistry.
type curveSet struct {
	id         string
	ocv        string // file data/ocv_<>.csv
	pulse      string // file data/pulse_<>.csv
	entropic   string // file data/entropic_<>.csv, empty: no sourced figure
	resistance string // what the pulse table was measured on
}

// curveSets are the sets that a cell entry may name. A cell without a named
// set gets that of its chemistry, see chemistrySet.
var curveSets = [...]curveSet{
	{"nca", "nca", "nickel-rich", "", "one new 18650 energy cell"},
	{"nmc-nickel-rich", "nmc-nickel-rich", "nickel-rich", "", "one new 18650 energy cell"},
	{"nmc111", "nmc111", "nmc", "nmc111", "26 retired pouch cells of 21 Ah"},
	{"lfp", "lfp", "lfp", "lfp", "28 retired prismatic cells of 35 Ah"},
	{"lmo", "lmo", "lmo", "", "48 retired pouch cells of 10 Ah"},
	{"lmo-nickel", "lmo-nickel", "lmo-nickel", "", "one used pouch cell of 33 Ah"},
}

// chemistrySet is the set of a chemistry; a chemistry that is not in it has no
// sourced open-circuit curve.
var chemistrySet = map[Chemistry]string{"NCA": "nca", "NMC": "nmc111", "LFP": "lfp", "LMO": "lmo"}

// CurveSets returns the names of the built-in curve sets.
func CurveSets() []string {
	var out []string
	for _, s := range curveSets {
		out = append(out, s.id)
	}
	return out
}

// builtSet is a curve set read from its files, resistances times capacity.
type builtSet struct {
	curves Curves // R in Ω·A·s
	facts  []Fact
}

var builtSets = sync.OnceValues(func() (map[string]builtSet, error) {
	ratio, err := ratios()
	if err != nil {
		return nil, err
	}
	out := map[string]builtSet{}
	for _, s := range curveSets {
		b, err := s.build(ratio)
		if err != nil {
			return nil, fmt.Errorf("curve set %s: %w", s.id, err)
		}
		out[s.id] = b
	}
	return out, nil
})

// openTable reads the embedded file data/<name>.csv.
func openTable[T any](name string, read func(io.Reader) (T, error)) (T, error) {
	f, err := files.Open("data/" + name + ".csv")
	if err != nil {
		var zero T
		return zero, fmt.Errorf("%s: %w", name, err)
	}
	defer f.Close()
	v, err := read(f)
	if err != nil {
		return v, fmt.Errorf("%s: %w", name, err)
	}
	return v, nil
}

type sourcedLine struct {
	Line
	source string
}

func lineReader(column string, factor float64) func(io.Reader) (sourcedLine, error) {
	return func(in io.Reader) (sourcedLine, error) {
		l, source, err := readLine(in, column, factor)
		return sourcedLine{l, source}, err
	}
}

func (s curveSet) build(ratio arrhenius) (builtSet, error) {
	ocv, err := openTable("ocv_"+s.ocv, lineReader("ocv_V", 1))
	if err != nil {
		return builtSet{}, err
	}
	var b builtSet
	b.curves.Source = ocv.source
	b.curves.OCV.SoC = ocv.SoC
	value, change, err := num.Isotonic(ocv.Value, nil)
	if err != nil {
		return builtSet{}, err
	}
	b.curves.OCV.Value, b.curves.OCVChange = value, unit.Voltage(change)
	b.facts = append(b.facts, Fact{"open-circuit voltage", ocv.source, "generic curve"})
	if s.entropic != "" {
		d, err := openTable("entropic_"+s.entropic, lineReader("dudt_mV_K", 1e-3))
		if err != nil {
			return builtSet{}, err
		}
		b.curves.DUDT = d.Line
		b.facts = append(b.facts, Fact{"entropic coefficient", d.source, "generic curve"})
	} else {
		b.facts = append(b.facts, Fact{"entropic coefficient", "assumption", "no sourced figure, taken as zero"})
	}
	p, err := openTable("pulse_"+s.pulse, readPulses)
	if err != nil {
		return builtSet{}, err
	}
	p.surfaces(&b.curves, ratio)
	b.facts = append(b.facts, Fact{"resistance", p.source, "generic curve"})
	return b, b.curves.Check()
}

// GenericCurves returns the curves of a built-in set for a cell of the given
// capacity: resistances are the class values (resistance times capacity)
// divided by the capacity. Errors: ErrNoCurves for a set that does not exist,
// ErrCapacity for a capacity that is not above zero.
func GenericCurves(set string, capacity unit.Charge) (*Curves, error) {
	sets, err := builtSets()
	if err != nil {
		return nil, err
	}
	b, ok := sets[set]
	if !ok {
		return nil, fmt.Errorf("%w: no curve set %q", ErrNoCurves, set)
	}
	if !(capacity > 0) {
		return nil, fmt.Errorf("%w: %g Ah", ErrCapacity, capacity.AmpereHours())
	}
	c := b.curves
	c.Generic = true
	c.Facts = append([]Fact(nil), b.facts...)
	c.scale(1 / float64(capacity))
	return &c, nil
}

// scale multiplies all resistances, on copies of the surfaces.
func (c *Curves) scale(factor float64) {
	for _, s := range []*Surface{&c.R0, &c.R1, &c.R2} {
		rows := make([][]float64, len(s.Value))
		for i, row := range s.Value {
			rows[i] = make([]float64, len(row))
			for j, v := range row {
				rows[i][j] = v * factor
			}
		}
		s.Value = rows
	}
}
