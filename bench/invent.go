package bench

import (
	"bufio"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strconv"

	"packyard/cell"
	"packyard/unit"
)

// InventOptions are the choices of Invent; the zero value is the default.
type InventOptions struct {
	Part   string // module or cell of the catalogue; needed
	Source string // name of the source in the project that the items belong to
	Count  int    // items; zero: 24
	Seed   uint64
}

// inventDefault is how many items a lot has.
const inventDefault = 24

// What an invented lot is like. All assumptions: the mean and spread are in the
// range of the graded tables of retired cells that the tests read.
const (
	inventShare  = 0.85  // mean capacity over rated
	inventSpread = 0.025 // its deviation
	inventGrowth = 1.25  // mean resistance over new
	inventOhms   = 0.06  // its deviation
	inventWeak   = 0.62  // capacity of the one weak item
	inventAged   = 2.6   // resistance of the one aged item
	inventNoise  = 2e-4  // V, deviation of a reading of one cell
)

// Invent makes a salvaged lot up: a table of items with their intake (items.csv) and a
// log of each (logs/), as if each had been rested, discharged at C/3, charged, brought
// to half charge and pulsed for 30 s. One item is weak, one has aged, one failed at the
// intake and has no log, and the log of one breaks off in its last line. Every file
// says that it is invented. The same seed makes the same files.
//
// Errors: ErrRecord for a part that is not in the catalogue or has no curves; those
// of create.
func Invent(c *cell.Catalogue, o InventOptions, create Create) error {
	if o.Count == 0 {
		o.Count = inventDefault
	}
	p, ok := PartOf(c, o.Part, Slice)
	if !ok || p.Cell.Curves == nil {
		return fmt.Errorf("%w: part %q: a cell or module of the catalogue with curves is accepted", ErrRecord, o.Part)
	}
	if o.Count < 6 || o.Count > 10_000 {
		return fmt.Errorf("%w: %d items: 6 to 10000 are accepted", ErrRecord, o.Count)
	}
	kind := string(Slice)
	if c.Cell(o.Part) != nil {
		kind = string(Cell)
	}
	rng := rand.New(rand.NewPCG(o.Seed, 20))
	rows := [][]string{{"item", "kind", "source", "lot", "origin", "part", "position", "note", StepVisual, StepDate, StepWater, StepInsulation, StepSpread, StepQuarantine, StepCharge, StepTransport}}
	var shown []cell.Health // of the items with a log
	for i := range o.Count {
		label := fmt.Sprintf("S-%02d", i+1)
		visual, insulation := "good", fmt.Sprintf("%d MΩ", 40+rng.IntN(160))
		if i == 4 {
			visual = "bad swollen"
		}
		rows = append(rows, []string{label, kind, o.Source, "invented", "invented, no vehicle", o.Part, fmt.Sprintf("shelf %d", i/8+1), "invented, not measured",
			visual, "2014-" + fmt.Sprintf("%02d", 1+rng.IntN(6)), "good", insulation, fmt.Sprintf("%d mV", 2+rng.IntN(15)), fmt.Sprintf("%.2f mV", 0.05+0.2*rng.Float64()), fmt.Sprintf("%d %%", 35+rng.IntN(15)), "good"})
		health := cell.Health{CapacityShare: unit.Ratio(inventShare + inventSpread*rng.NormFloat64()), ResistanceGrowth: unit.Ratio(inventGrowth + inventOhms*rng.NormFloat64())}
		switch i {
		case 2:
			health.CapacityShare = inventWeak
		case 3:
			health.ResistanceGrowth = inventAged
		case 4:
			continue
		}
		if err := writeFile(create, "logs/invented__"+label+"__20260301_001.csv", func(w io.Writer) error {
			out := bufio.NewWriter(w)
			b := inventor{out: out, part: p, health: health, rng: rng, seed: o.Seed, charge: 1, cut: i == 5}
			if err := b.log(); err != nil {
				return err
			}
			return out.Flush()
		}); err != nil {
			return err
		}
		shown = append(shown, health)
	}
	if err := inventCurves(p, o.Seed, shown[0], create); err != nil {
		return err
	}
	return writeFile(create, "items.csv", func(w io.Writer) error { return csv.NewWriter(w).WriteAll(rows) })
}

// inventCurves makes the longer test of the first item up, from which its curves
// can be taken: a discharge and a charge at C/20, then pulses of 30 s at every
// tenth of the charge.
func inventCurves(p Part, seed uint64, h cell.Health, create Create) error {
	return writeFile(create, "logs/invented__S-01__20260308_002.csv", func(w io.Writer) error {
		out := bufio.NewWriter(w)
		b := inventor{out: out, part: p, health: h, rng: rand.New(rand.NewPCG(seed, 21)), seed: seed, charge: 1}
		if err := b.curves(); err != nil {
			return err
		}
		return out.Flush()
	})
}

// inventor writes one log.
type inventor struct {
	out    *bufio.Writer
	part   Part
	health cell.Health
	rng    *rand.Rand
	seed   uint64
	run    *cell.Run
	charge float64 // of the own capacity
	time   float64 // s
	heat   float64 // K above the chamber
	step   int
	cut    bool // the last line breaks off
	last   string
}

const (
	chamber   = 298.15 // K
	sinkTime  = 1800.0 // s; source: assumption, a slice on a bench comes to the air's temperature in half an hour
	warmPerIR = 3.0    // K per W of one cell; source: assumption
)

// begin writes the head of a log.
func (b *inventor) begin() (err error) {
	b.run, err = b.part.Cell.NewRun()
	fmt.Fprintf(b.out, "# Invented by packyard bench invent with seed %d: made up by a program, not measured on any cell\n", b.seed)
	b.out.WriteString("Test Time / s,Step ID,Voltage / V,Current / A,Temperature T1 / degC\n")
	return err
}

// curves writes the longer test.
func (b *inventor) curves() error {
	if err := b.begin(); err != nil {
		return err
	}
	c := b.part.Cell
	third := float64(c.Capacity) / 3600 / 3 // A of one cell
	slow := third * 3 / 20
	b.hold(0, 3600, 60, nil)
	b.hold(slow, 30*3600, 60, func(v float64) bool { return v <= float64(c.VoltageMin) || b.charge <= 0 })
	b.hold(0, 3600, 60, nil)
	b.hold(-slow, 30*3600, 60, func(v float64) bool { return v >= float64(c.VoltageMax) || b.charge >= 1 })
	for level := 0.9; level > 0.05; level -= 0.1 {
		b.hold(0, 3600, 60, nil)
		b.hold(third, 6*3600, 30, func(float64) bool { return b.charge <= level })
		b.hold(0, 3600, 60, nil)
		b.hold(3*third, 30, 0.5, nil)
		b.hold(0, 600, 5, nil)
	}
	b.out.WriteString(b.last)
	return nil
}

func (b *inventor) log() error {
	if err := b.begin(); err != nil {
		return err
	}
	c := b.part.Cell
	third := float64(c.Capacity) / 3600 / 3 // A of one cell
	b.hold(0, 1200, 60, nil)
	b.hold(third, 6*3600, 30, func(v float64) bool { return v <= float64(c.VoltageMin) })
	b.hold(0, 1800, 60, nil)
	b.hold(-third, 6*3600, 30, func(v float64) bool { return v >= float64(c.VoltageMax) || b.charge >= 1 })
	b.hold(0, 3600, 60, nil)
	b.hold(third, 6*3600, 30, func(float64) bool { return b.charge <= 0.5 })
	b.hold(0, 3600, 60, nil)
	b.hold(3*third, 30, 0.5, nil)
	b.hold(0, 600, 5, nil)
	if b.cut {
		b.last = b.last[:len(b.last)*2/3]
	}
	b.out.WriteString(b.last)
	return nil
}

// hold keeps a current of one cell, positive on discharge, for a time or until the
// voltage of one cell says stop.
func (b *inventor) hold(amps, long, dt float64, stop func(v float64) bool) {
	b.step++
	capacity := float64(b.part.Cell.Capacity) * float64(b.health.CapacityShare)
	growth := float64(b.health.ResistanceGrowth)
	for elapsed := 0.0; elapsed < long; elapsed += dt {
		b.charge = min(max(b.charge-amps*dt/capacity, 0), 1)
		b.time += dt
		m := b.run.Step(unit.Current(amps), unit.Time(dt), unit.Ratio(b.charge), unit.Temperature(chamber+b.heat))
		drop := growth * float64(m.OCV-m.Voltage)
		v := float64(m.OCV) - drop
		b.heat += dt * (warmPerIR*amps*drop - b.heat) / sinkTime
		b.write(v, amps)
		if stop != nil && stop(v) {
			return
		}
	}
}

// write puts the line before out and keeps this one, so that the last can be cut.
func (b *inventor) write(v, amps float64) {
	b.out.WriteString(b.last)
	s, p := float64(b.part.Series), float64(b.part.Parallel)
	taps := float64(b.part.Taps) * amps * p
	volts := s*(v+inventNoise*b.rng.NormFloat64()) - taps
	line := strconv.AppendFloat(nil, b.time, 'f', 1, 64)
	line = fmt.Appendf(line, ",%d,%.4f,%.3f,%.2f\n", b.step, volts, 0-amps*p, chamber-273.15+b.heat+0.02*math.Abs(b.rng.NormFloat64()))
	b.last = string(line)
}
