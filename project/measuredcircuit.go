package project

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"

	"packyard/bench"
	"packyard/cell"
	"packyard/design"
	"packyard/unit"
)

// CircuitName is the file with the measured curves of the sources: open-circuit
// voltage over charge, and R0 with two RC pairs over charge and temperature, of one
// cell as it was measured. It is written by packyard bench and is a plain table.
const CircuitName = "measured-curves.csv"

const circuitColumns = "source,charge_share,ocv_v,temperature_k,r0_ohm,r1_ohm,tau1_s,r2_ohm,tau2_s,resistance_growth"

// WriteCircuits writes the measured curves of sources.
func WriteCircuits(w io.Writer, list []bench.LotCircuit) error {
	rows := [][]string{strings.Split(circuitColumns, ",")}
	text := func(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
	for _, l := range list {
		growth := ""
		if l.Curves.Growth > 0 {
			growth = text(float64(l.Curves.Growth))
		}
		for i, q := range l.Curves.OCV.SoC {
			rows = append(rows, []string{l.Source, text(q), text(l.Curves.OCV.Value[i]), "", "", "", "", "", "", ""})
		}
		for _, p := range l.Curves.Points {
			rows = append(rows, []string{l.Source, text(float64(p.Charge)), "", text(float64(p.Temperature)),
				text(float64(p.R0)), text(float64(p.R1)), text(float64(p.Tau1)), text(float64(p.R2)), text(float64(p.Tau2)), growth})
		}
	}
	return csv.NewWriter(w).WriteAll(rows)
}

func (r *reader) circuitTable() benchTable {
	return benchTable{CircuitName, circuitColumns, "packyard bench fit --use", r}
}

// circuits reads the measured curves of the sources, if there are any. A row
// that does not read is a problem and leaves its source without them.
func (r *reader) circuits() map[string]*cell.Measured {
	t := r.circuitTable()
	out, broken := map[string]*cell.Measured{}, map[string]bool{}
	for i, row := range t.rows() {
		m := out[row[0]]
		if m == nil {
			m = &cell.Measured{}
			out[row[0]] = m
		}
		if err := circuitRow(m, row[1:]); err != nil {
			t.bad(i+2, "%v", err)
			broken[row[0]] = true
		}
	}
	for name := range broken {
		delete(out, name)
	}
	return out
}

// circuitRow reads a row behind the name of its source.
func circuitRow(m *cell.Measured, row []string) error {
	v := make([]float64, len(row))
	for i, text := range row {
		if text == "" {
			continue
		}
		x, err := strconv.ParseFloat(text, 64)
		if err != nil || !(x >= 0 && x < 1e6) {
			return fmt.Errorf("%q: a number from 0 on is accepted, in the unit that the column names", text)
		}
		v[i] = x
	}
	switch {
	case row[0] == "" || v[0] > 1:
		return fmt.Errorf("a charge of %q: 0 to 1 is accepted", row[0])
	case row[1] != "":
		m.OCV.SoC, m.OCV.Value = append(m.OCV.SoC, v[0]), append(m.OCV.Value, v[1])
	default:
		m.Growth = unit.Ratio(v[8])
		m.Points = append(m.Points, cell.MeasuredPoint{
			Charge: unit.Ratio(v[0]), Temperature: unit.Temperature(v[2]), R0: unit.Resistance(v[3]),
			R1: unit.Resistance(v[4]), Tau1: unit.Time(v[5]), R2: unit.Resistance(v[6]), Tau2: unit.Time(v[7]),
		})
	}
	return nil
}

// sourceCurves puts the measured curves of a source in the place of those of its
// part. Where the growth of the measured items is not known, they are taken to be
// like the source as bought.
func (r *reader) sourceCurves(s *design.Source) {
	m, ok := r.curves[s.Name]
	if !ok {
		return
	}
	own := *m
	if own.Growth < growthLeast {
		own.Growth = max(s.Health.ResistanceGrowth, growthLeast)
	}
	base := s.Cell
	if s.Module != nil {
		base = s.Module.Slice.Cell
	}
	c, err := base.WithMeasured(own)
	if err != nil {
		r.circuitTable().bad(0, "source %q: %v", s.Name, err)
		return
	}
	if s.Module == nil {
		s.Cell = c
		return
	}
	module := *s.Module
	module.Slice.Cell = c
	s.Module = &module
}

// growthLeast keeps a growth that was read as zero, since it was faulty, from
// dividing by it; the fault is told where it stands.
const growthLeast = 0.5
