package project

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"strconv"
	"strings"

	"packyard/bench"
	"packyard/check"
	"packyard/drive"
	"packyard/unit"
)

// MeasuredName is the file with the measured health of the sources, and CellMapName
// that with the groups of a matched pack. Both are written by packyard bench and are
// plain tables, so that the project can be read without the database.
const (
	MeasuredName = "measured.csv"
	CellMapName  = "cell-map.csv"
)

const measuredColumns = "source,items,capacity_share,resistance_growth"

// WriteMeasured writes the measured health of sources.
func WriteMeasured(w io.Writer, list []bench.LotHealth) error {
	rows := [][]string{strings.Split(measuredColumns, ",")}
	for _, l := range list {
		growth := ""
		if l.ResistanceGrowth > 0 {
			growth = strconv.FormatFloat(float64(l.ResistanceGrowth), 'g', 6, 64)
		}
		rows = append(rows, []string{l.Source, strconv.Itoa(l.Items), strconv.FormatFloat(float64(l.CapacityShare), 'g', 6, 64), growth})
	}
	return csv.NewWriter(w).WriteAll(rows)
}

// benchTable is a plain table that packyard bench writes beside the project.
type benchTable struct {
	name, columns string
	writer        string // command that writes it
	r             *reader
}

// bad records a fault of a line; 0: of the whole table.
func (t benchTable) bad(line int, format string, args ...any) {
	t.r.probs.Addf(check.Pos{File: t.name, Line: line}, "", t.writer+" writes it anew", format, args...)
}

// rows reads the lines below the head, nil when there is no such table.
func (t benchTable) rows() [][]string {
	data, err := readFile(t.r.fsys, path.Join(t.r.dir, t.name), t.name, &t.r.probs)
	if errors.Is(err, fs.ErrNotExist) || errors.Is(err, fs.ErrInvalid) {
		return nil
	}
	if err != nil {
		t.bad(0, "cannot be read: %v", err)
		return nil
	}
	rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
	if err != nil || len(rows) == 0 || strings.Join(rows[0], ",") != t.columns {
		t.bad(1, "is no table with the columns %s", t.columns)
		return nil
	}
	return rows[1:]
}

// measured reads the measured health of the sources, if there is any.
func (r *reader) measured() map[string]bench.LotHealth {
	t := benchTable{MeasuredName, measuredColumns, "packyard bench grade --use", r}
	out := map[string]bench.LotHealth{}
	for i, row := range t.rows() {
		share, err := strconv.ParseFloat(row[2], 64)
		growth := 0.0
		if row[3] != "" {
			var e error
			growth, e = strconv.ParseFloat(row[3], 64)
			err = errors.Join(err, e)
		}
		if err != nil || !(share >= 0.2 && share <= 1.1) || row[3] != "" && !(growth >= 0.5 && growth <= 100) {
			t.bad(i+2, "a capacity share of %q and a resistance growth of %q: 0.2 to 1.1 and 0.5 to 100 are accepted", row[2], row[3])
			continue
		}
		out[row[0]] = bench.LotHealth{Source: row[0], CapacityShare: unit.Ratio(share), ResistanceGrowth: unit.Ratio(growth)}
	}
	return out
}

// ErrCellMap says that a cell map cannot be used.
var ErrCellMap = errors.New("cell map cannot be used")

// WriteCellMap writes a cell map as CSV.
func WriteCellMap(w io.Writer, m *bench.CellMap) error {
	return csv.NewWriter(w).WriteAll(append([][]string{bench.MapColumns()}, m.Rows()...))
}

// cellMapMost bounds the groups of a map.
const cellMapMost = 10_000

// ReadCellMap reads the groups of a cell map as CSV, in the order of the pack.
//
// Errors: ErrCellMap with the line.
func ReadCellMap(in io.Reader) ([]bench.MapGroup, error) {
	r := csv.NewReader(in)
	head, err := r.Read()
	if err != nil || strings.Join(head, ",") != strings.Join(bench.MapColumns(), ",") {
		return nil, fmt.Errorf("%w: line 1: columns %s are accepted", ErrCellMap, strings.Join(bench.MapColumns(), ","))
	}
	var out []bench.MapGroup
	for {
		row, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%w: %w", ErrCellMap, err)
		}
		g := bench.MapGroup{Items: strings.Split(row[2], ";")}
		var errs [4]error
		g.Group, errs[0] = strconv.Atoi(row[1])
		var capacity float64
		capacity, errs[1] = strconv.ParseFloat(row[3], 64)
		g.Capacity = unit.Charge(capacity)
		g.CapacityShare, errs[2] = shareOf(row[5], 0.05, 1.2)
		g.ResistanceGrowth, errs[3] = shareOf(row[6], 0.5, 100)
		if err := errors.Join(errs[:]...); err != nil || g.Group != len(out)+1 || len(out) == cellMapMost {
			line, _ := r.FieldPos(0)
			return nil, fmt.Errorf("%w: line %d: group %q with a share of %q and a growth of %q: groups count from 1, shares run from 0.05 to 1.2 and growths from 0.5 to 100", ErrCellMap, line, row[1], row[5], row[6])
		}
		out = append(out, g)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%w: there is no group", ErrCellMap)
	}
	return out, nil
}

// shareOf reads a share; an empty field is zero: not known.
func shareOf(s string, low, high float64) (unit.Ratio, error) {
	if s == "" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(s, 64)
	if err == nil && !(v >= low && v <= high) {
		err = strconv.ErrRange
	}
	return unit.Ratio(v), err
}

// GroupStarts turns the groups of a map into the groups of a run. A slice with
// several cells in series stands for as many groups, all as the slice was measured.
//
// Errors: ErrCellMap when the map has not the groups of the pack.
func GroupStarts(groups []bench.MapGroup, sliceSeries, packGroups int) ([]drive.GroupStart, error) {
	if len(groups)*sliceSeries != packGroups {
		return nil, fmt.Errorf("%w: it has %d groups of %d in series, and the pack has %d", ErrCellMap, len(groups), sliceSeries, packGroups)
	}
	out := make([]drive.GroupStart, 0, packGroups)
	for _, g := range groups {
		if g.CapacityShare == 0 {
			return nil, fmt.Errorf("%w: the capacity share of group %d is not known: name the part of the items", ErrCellMap, g.Group)
		}
		for range sliceSeries {
			out = append(out, drive.GroupStart{CapacityShare: g.CapacityShare, ResistanceGrowth: g.ResistanceGrowth})
		}
	}
	return out, nil
}

// WriteFile writes a file of a project folder so that at every moment the old or the
// new one is there in full.
func WriteFile(path string, data []byte) error { return writeAtomic(path, data, 0o644) }
