package document

import (
	"fmt"
	"io"
	"strconv"
	"time"

	"github.com/xuri/excelize/v2"
)

// Workbook writes tables as a workbook of spreadsheets (ISO/IEC 29500), one
// sheet for each, in order: titles in the first row, kept in sight, and every
// cell of a column that is set to the right as a number where it is one. Equal
// tables give equal bytes. Errors: a table without a title or with one that
// another has, rows that do not match the columns, those of w.
func Workbook(w io.Writer, made time.Time, tables ...Table) error {
	f := excelize.NewFile()
	defer f.Close() // holds no file: nothing was opened
	stamp := made.UTC().Format(time.RFC3339)
	if err := f.SetDocProps(&excelize.DocProperties{Creator: "packyard", LastModifiedBy: "packyard", Created: stamp, Modified: stamp}); err != nil {
		return fmt.Errorf("workbook: %w", err)
	}
	for i := range tables {
		if err := spreadsheet(f, i, &tables[i]); err != nil {
			return fmt.Errorf("sheet %q: %w", tables[i].Title, err)
		}
	}
	if err := f.Write(w); err != nil {
		return fmt.Errorf("workbook: %w", err)
	}
	return nil
}

// sheetNameMost is the longest name of a sheet that spreadsheet programs take.
const sheetNameMost = excelize.MaxSheetNameLength

func spreadsheet(f *excelize.File, i int, t *Table) error {
	if err := t.sound(); err != nil {
		return err
	}
	name := t.Title
	if r := []rune(name); len(r) > sheetNameMost {
		name = string(r[:sheetNameMost])
	}
	if n, err := f.GetSheetIndex(name); err != nil {
		return err
	} else if n >= 0 {
		return fmt.Errorf("another sheet has the name %q", name)
	}
	if i == 0 {
		if err := f.SetSheetName(f.GetSheetName(0), name); err != nil {
			return err
		}
	} else if _, err := f.NewSheet(name); err != nil {
		return err
	}
	s, err := f.NewStreamWriter(name)
	if err != nil {
		return err
	}
	strongID, err := f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}})
	if err != nil {
		return err
	}
	for j := range t.Columns {
		if err := s.SetColWidth(j+1, j+1, columnWidth(t, j)); err != nil {
			return err
		}
	}
	if err := s.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	head := make([]any, len(t.Columns))
	for j, c := range t.Columns {
		head[j] = excelize.Cell{StyleID: strongID, Value: c.Title}
	}
	if err := s.SetRow("A1", head); err != nil {
		return err
	}
	for r, row := range t.Rows {
		if err := s.SetRow("A"+strconv.Itoa(r+2), cells(t, row)); err != nil {
			return err
		}
	}
	return s.Flush()
}

// cells returns the values of a row: numbers where a column of figures holds one.
func cells(t *Table, row []string) []any {
	out := make([]any, len(row))
	for j, text := range row {
		out[j] = text
		if t.Columns[j].Right {
			if x, err := strconv.ParseFloat(text, 64); err == nil {
				out[j] = x
			}
		}
	}
	return out
}

// columnWidth returns a width in characters, 8…60.
func columnWidth(t *Table, j int) float64 {
	n := len([]rune(t.Columns[j].Title))
	for _, r := range t.Rows {
		n = max(n, len([]rune(r[j])))
	}
	return float64(min(max(n+2, 8), 60))
}
