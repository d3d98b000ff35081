package main

import (
	"encoding/csv"
	"io"
	"strconv"
)

// column is a series with its name, the unit at its end.
type column struct {
	name string
	x    []float64
}

// writeColumns writes series of one length as comma-separated values.
func writeColumns(out io.Writer, columns []column) error {
	w := csv.NewWriter(out)
	row := make([]string, len(columns))
	for i, c := range columns {
		row[i] = c.name
	}
	if err := w.Write(row); err != nil {
		return err
	}
	for k := range columns[0].x {
		for i, c := range columns {
			row[i] = strconv.FormatFloat(c.x[k], 'g', 7, 64)
		}
		if err := w.Write(row); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}
