package bench

import (
	"context"
	"database/sql"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strings"

	"packyard/check"
	"packyard/unit"
)

// TableColumns are the columns that a table of items may have: what is said of them,
// their intake by the steps of the checklist, and figures that were measured
// elsewhere, with their unit.
func TableColumns() []string {
	out := []string{"item", "kind", "parent", "source", "lot", "origin", "part", "position", "photo", "note"}
	for _, s := range Checklist() {
		out = append(out, s.Name)
	}
	return append(out, "capacity", "resistance")
}

// tableMost bounds the rows of a table of items.
const tableMost = 100_000

// ImportTable reads a table of items as CSV whose first line names its columns, see
// TableColumns; aliases gives other names of columns, "item" to "cell". The cells of
// intake steps are what Judge accepts, those of capacity and resistance have a unit or
// a column name that ends in one: capacity_ah, resistance_mohm. It returns the number
// of items. All or nothing.
//
// Errors: *check.Problems for what is wrong in the table; those of the reader and of
// the database.
func (s *Store) ImportTable(ctx context.Context, name string, in io.Reader, aliases map[string]string) (int, error) {
	r := csv.NewReader(in)
	r.FieldsPerRecord = -1
	var probs check.Problems
	head, err := r.Read()
	if err != nil {
		probs.Addf(check.Pos{File: name, Line: 1}, "", "a first line that names the columns is accepted", "there is no header: %v", err)
		return 0, &probs
	}
	columns := tableHeader(name, head, aliases, &probs)
	n := 0
	err = inTx(ctx, s.db, func(tx *sql.Tx) error {
		for ; n < tableMost; n++ {
			row, err := r.Read()
			if errors.Is(err, io.EOF) {
				return probs.Err()
			}
			if err != nil {
				probs.Addf(check.Pos{File: name}, "", "", "%v", err)
				return &probs
			}
			line, _ := r.FieldPos(0)
			if len(row) != len(head) {
				probs.Addf(check.Pos{File: name, Line: line}, "", "", "the row has %d fields and the header %d", len(row), len(head))
				continue
			}
			if err := s.tableRow(ctx, tx, check.Pos{File: name, Line: line}, columns, row, &probs); err != nil {
				return err
			}
		}
		probs.Addf(check.Pos{File: name}, "", "", "more than %d rows", tableMost)
		return &probs
	})
	return n, err
}

// tableColumn is one column of a table: what it is and the unit of its name.
type tableColumn struct{ name, unit string }

func tableHeader(file string, head []string, aliases map[string]string, probs *check.Problems) []tableColumn {
	byHeader := map[string]string{}
	for to, from := range aliases {
		byHeader[from] = to
	}
	pos := check.Pos{File: file, Line: 1}
	out := make([]tableColumn, len(head))
	known := map[string]bool{}
	for _, c := range TableColumns() {
		known[c] = true
	}
	seen := map[string]bool{}
	for i, h := range head {
		h = strings.TrimSpace(strings.TrimPrefix(h, "\ufeff"))
		name := h
		for _, q := range []string{"capacity", "resistance"} {
			target := byHeader[h]
			if strings.HasPrefix(h, q+"_") || target == q {
				name = q
				_, out[i].unit, _ = cutLast(h, "_")
			}
		}
		if to, ok := byHeader[h]; ok {
			name = to
		}
		if !known[name] {
			continue // other columns are left alone
		}
		if seen[name] {
			probs.Addf(pos, name, "", "two columns hold it")
		}
		seen[name] = true
		out[i].name = name
	}
	if !seen["item"] {
		probs.Addf(pos, "item", "columns are "+strings.Join(TableColumns(), ", ")+"; name another one with --column item=NAME", "no column holds the label of the item")
	}
	return out
}

func cutLast(s, sep string) (before, after string, found bool) {
	if i := strings.LastIndex(s, sep); i >= 0 {
		return s[:i], s[i+len(sep):], true
	}
	return s, "", false
}

func (s *Store) tableRow(ctx context.Context, tx *sql.Tx, pos check.Pos, columns []tableColumn, row []string, probs *check.Problems) error {
	var it Item
	var records []Record
	var results []Result
	for i, c := range columns {
		v := strings.TrimSpace(row[i])
		if v == "" || c.name == "" {
			continue
		}
		if to := it.field(c.name); to != nil {
			*to = v
			continue
		}
		switch c.name {
		case "kind":
			it.Kind = ItemKind(v)
		case "capacity":
			results = append(results, given[unit.Charge](Capacity, v, c.unit, pos, probs)...)
		case "resistance":
			results = append(results, given[unit.Resistance](Resistance, v, c.unit, pos, probs)...)
		default:
			r, err := Judge(c.name, v)
			if err != nil {
				probs.Addf(pos, c.name, "", "%v", err)
				continue
			}
			records = append(records, r)
		}
	}
	if probs.Any() {
		return nil // all rows are looked at before it ends
	}
	id, err := s.putItem(ctx, tx, it)
	switch {
	case errors.Is(err, ErrRecord), errors.Is(err, ErrNoItem):
		probs.Addf(pos, "", "a module stands above its slices", "%v", err)
		return nil
	case err != nil:
		return err
	}
	for _, r := range records {
		if err := s.putRecord(ctx, tx, id, r); err != nil {
			return err
		}
	}
	for i := range results {
		results[i].Item = it.Label
		if err := s.putResult(ctx, tx, &results[i]); err != nil {
			return err
		}
	}
	return nil
}

// field returns the text of an item that a column fills, or nil.
func (it *Item) field(column string) *string {
	switch column {
	case "item":
		return &it.Label
	case "parent":
		return &it.Parent
	case "source":
		return &it.Source
	case "lot":
		return &it.Lot
	case "origin":
		return &it.Origin
	case "part":
		return &it.Part
	case "position":
		return &it.Position
	case "photo":
		return &it.Photo
	case "note":
		return &it.Note
	}
	return nil
}

// given reads a figure that was measured elsewhere. The name of its column may end
// in the unit, in small letters.
func given[Q unit.Quantity](q Quantity, v, spelled string, pos check.Pos, probs *check.Problems) []Result {
	text := v
	switch spelled {
	case "ah":
		text += " Ah"
	case "mah":
		text += " mAh"
	case "ohm":
		text += " Ω"
	case "mohm":
		text += " mΩ"
	}
	a, err := unit.Parse[Q](text)
	if err != nil || !(a > 0) {
		if err == nil {
			err = fmt.Errorf("%q is not above zero", v)
		}
		probs.Addf(pos, string(q), "", "%v", err)
		return nil
	}
	at := Condition{}
	if q == Resistance {
		at = GradeAt()
	}
	return []Result{{Quantity: q, Value: check.Of(a), At: at, Method: MethodGiven, Version: 1}}
}
