package bench

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"packyard/celltest"
	"packyard/check"
)

// Create makes a file of an export; name has slashes between folders.
type Create func(name string) (io.WriteCloser, error)

// Export writes all that is kept: tables as CSV, SI with the unit in the column name,
// each log as the text that was imported (raw/) and in the Battery Data Format
// (logs/), one file for each run of its clock.
//
// Errors: those of create and of the database.
func (s *Store) Export(ctx context.Context, create Create) error {
	for _, table := range []struct {
		name string
		rows func(context.Context) ([][]string, error)
	}{
		{"items.csv", s.itemRows}, {"intake.csv", s.intakeRows}, {"tests.csv", s.testRows}, {"results.csv", s.resultRows}, {"joints.csv", s.jointRows}, {"cell-maps.csv", s.mapRows},
	} {
		rows, err := table.rows(ctx)
		if err != nil {
			return err
		}
		if err := writeFile(create, table.name, func(w io.Writer) error { return csv.NewWriter(w).WriteAll(rows) }); err != nil {
			return err
		}
	}
	tests, err := s.Tests(ctx, "")
	if err != nil {
		return err
	}
	for i := range tests {
		if err := s.exportTest(ctx, create, &tests[i]); err != nil {
			return err
		}
	}
	return nil
}

func writeFile(create Create, name string, f func(io.Writer) error) error {
	w, err := create(name)
	if err != nil {
		return err
	}
	if err := errors.Join(f(w), w.Close()); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	return nil
}

// exportTest writes one log.
func (s *Store) exportTest(ctx context.Context, create Create, t *Test) error {
	ending := "csv"
	if t.Report.Layout.Delimiter == "\t" {
		ending = "tsv"
	}
	if err := writeFile(create, fmt.Sprintf("raw/%03d_%s.%s", t.ID, fileName(t.Item), ending), func(w io.Writer) error {
		text, err := s.Text(ctx, t.ID)
		if err != nil {
			return err
		}
		_, err = io.Copy(w, text)
		return err
	}); err != nil {
		return err
	}
	for run := 1; run <= t.Report.Runs; run++ {
		name := fmt.Sprintf("logs/bench__%s__%s_%03d.bdf.csv", fileName(t.Item), t.At.Format("20060102"), t.ID)
		if t.Report.Runs > 1 {
			name = fmt.Sprintf("logs/bench__%s__%s_%03d-%d.bdf.csv", fileName(t.Item), t.At.Format("20060102"), t.ID, run)
		}
		if err := writeFile(create, name, func(w io.Writer) error { return s.WriteBatteryData(ctx, w, t.ID, run) }); err != nil {
			return err
		}
	}
	return nil
}

// fileName leaves letters, digits, dots and dashes.
func fileName(label string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r >= '0' && r <= '9' || r == '-' || r == '.' {
			return r
		}
		return '-'
	}, label)
}

// WriteBatteryData writes one run of the clock of a log, from 1, in the Battery Data
// Format: preferred labels, SI and degrees Celsius, positive current charging. It is
// written row by row; the log need not fit into memory.
//
// Errors: ErrNoTest; those of celltest.Read, of w and of the database.
func (s *Store) WriteBatteryData(ctx context.Context, w io.Writer, test int64, run int) error {
	t, err := s.Test(ctx, test)
	if err != nil {
		return err
	}
	text, err := s.Text(ctx, test)
	if err != nil {
		return err
	}
	sign := 1.0
	if t.Report.Positive == celltest.Discharging {
		sign = -1
	}
	b := batteryWriter{w: w, sign: sign, heat: t.Report.HasHeat}
	o := t.reading()
	o.Ended = ctx.Err
	o.Rows = func(r *celltest.Rows) error {
		if r.Run != run {
			return nil
		}
		return b.rows(r)
	}
	_, err = celltest.Read(text, o)
	return err
}

type batteryWriter struct {
	w      io.Writer
	sign   float64
	heat   bool
	headed bool
	buf    []byte
}

func (b *batteryWriter) rows(r *celltest.Rows) error {
	const zeroCelsius, ampereHour = 273.15, 3600
	b.buf = b.buf[:0]
	if !b.headed {
		b.headed = true
		b.buf = append(b.buf, "Test Time / s,Voltage / V,Current / A"...)
		if r.Step != nil {
			b.buf = append(b.buf, ",Step ID"...)
		}
		if r.Charge != nil {
			b.buf = append(b.buf, ",Net Capacity / Ah"...)
		}
		if b.heat && r.Temperature != nil {
			b.buf = append(b.buf, ",Temperature T1 / degC"...)
		}
		b.buf = append(b.buf, '\n')
	}
	for i := range r.Line {
		b.number(r.Time[i], 0)
		b.number(r.Voltage[i], ',')
		b.number(b.sign*r.Current[i], ',')
		if r.Step != nil {
			b.number(r.Step[i], ',')
		}
		if r.Charge != nil {
			b.number(b.sign*r.Charge[i]/ampereHour, ',')
		}
		if b.heat && r.Temperature != nil {
			if r.Temperature[i] == 0 { // before the first reading
				b.buf = append(b.buf, ',')
			} else {
				b.number(r.Temperature[i]-zeroCelsius, ',')
			}
		}
		b.buf = append(b.buf, '\n')
	}
	_, err := b.w.Write(b.buf)
	return err
}

// number writes v with nine decimals at most: more than any instrument has, and few
// enough that going to SI and back leaves no trace.
func (b *batteryWriter) number(v float64, before byte) {
	if before != 0 {
		b.buf = append(b.buf, before)
	}
	start := len(b.buf)
	b.buf = strconv.AppendFloat(b.buf, v, 'f', 9, 64)
	for b.buf[len(b.buf)-1] == '0' {
		b.buf = b.buf[:len(b.buf)-1]
	}
	if b.buf[len(b.buf)-1] == '.' {
		b.buf = b.buf[:len(b.buf)-1]
	}
	if string(b.buf[start:]) == "-0" {
		b.buf = append(b.buf[:start], '0')
	}
}

func (s *Store) itemRows(ctx context.Context) ([][]string, error) {
	items, err := s.Items(ctx)
	rows := [][]string{{"item", "kind", "parent", "source", "lot", "origin", "part", "position", "photo", "note", "made"}}
	for _, i := range items {
		rows = append(rows, []string{i.Label, string(i.Kind), i.Parent, i.Source, i.Lot, i.Origin, i.Part, i.Position, i.Photo, i.Note, stamp(i.Made)})
	}
	return rows, err
}

func (s *Store) intakeRows(ctx context.Context) ([][]string, error) {
	list, err := s.Records(ctx, "")
	rows := [][]string{{"item", "step", "verdict", "reading_si", "unit", "words", "by", "at"}}
	for _, r := range list {
		rows = append(rows, append([]string{r.Item, r.Step, string(r.Verdict)}, append(figureCells(r.Reading), r.Words, r.By, stamp(r.At))...))
	}
	return rows, err
}

func (s *Store) testRows(ctx context.Context) ([][]string, error) {
	list, err := s.Tests(ctx, "")
	rows := [][]string{{"test", "item", "file", "file_sha256", "text_sha256", "rows", "duration_s", "positive", "faults", "at"}}
	for _, t := range list {
		var faults []string
		for _, f := range t.Report.Faults {
			faults = append(faults, f.Text())
		}
		rows = append(rows, []string{strconv.FormatInt(t.ID, 10), t.Item, t.File, t.FileSum, t.TextSum, strconv.Itoa(t.Report.Rows), plain(float64(t.Report.Duration)), string(t.Report.Positive), strings.Join(faults, "; "), stamp(t.At)})
	}
	return rows, err
}

func (s *Store) resultRows(ctx context.Context) ([][]string, error) {
	list, err := s.Results(ctx, "")
	rows := [][]string{{"item", "test", "quantity", "value_si", "unit", "deviation_si", "charge_share", "temperature_k", "time_s", "method", "version", "note", "at"}}
	for _, r := range list {
		test := ""
		if r.Test != 0 {
			test = strconv.FormatInt(r.Test, 10)
		}
		rows = append(rows, []string{r.Item, test, string(r.Quantity), plain(r.Value.SI), r.Value.Symbol, orEmpty(r.Deviation.SI),
			orEmpty(float64(r.At.Charge)), orEmpty(float64(r.At.Temperature)), orEmpty(float64(r.At.Time)), r.Method, strconv.Itoa(r.Version), r.Note, stamp(r.Made)})
	}
	return rows, err
}

func (s *Store) jointRows(ctx context.Context) ([][]string, error) {
	list, err := s.Joints(ctx)
	rows := [][]string{{"module", "place", "resistance_ohm", "torque_nm", "by", "note", "at"}}
	for _, j := range list {
		rows = append(rows, []string{j.Module, j.Place, plain(float64(j.Resistance)), plain(float64(j.Torque)), j.By, j.Note, stamp(j.At)})
	}
	return rows, err
}

func (s *Store) mapRows(ctx context.Context) ([][]string, error) {
	list, err := s.CellMaps(ctx)
	rows := [][]string{MapColumns()}
	for i := range list {
		rows = append(rows, list[i].Rows()...)
	}
	return rows, err
}

// MapColumns are the columns of a cell map as CSV.
func MapColumns() []string {
	return []string{"source", "group", "items", "capacity_as", "resistance_ohm", "capacity_share", "resistance_growth"}
}

// Rows returns the map as rows of CSV: one for each group, its items in one field
// with semicolons between them.
func (m *CellMap) Rows() [][]string {
	var rows [][]string
	for _, g := range m.Groups {
		rows = append(rows, []string{m.Source, strconv.Itoa(g.Group), strings.Join(g.Items, ";"), plain(float64(g.Capacity)), orEmpty(float64(g.Resistance)),
			orEmpty(float64(g.CapacityShare)), orEmpty(float64(g.ResistanceGrowth))})
	}
	return rows
}

func figureCells(f check.Figure) []string {
	if f.IsZero() {
		return []string{"", ""}
	}
	return []string{plain(f.SI), f.Symbol}
}

func plain(v float64) string { return strconv.FormatFloat(v, 'g', 10, 64) }

func orEmpty(v float64) string {
	if v == 0 {
		return ""
	}
	return plain(v)
}

func stamp(t time.Time) string { return t.UTC().Format(time.RFC3339) }
