package cell

import (
	"embed"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"packyard/internal/num"
)

//go:embed data/*.csv data/*.yaml
var files embed.FS

// ErrData says that a data table is not of the wanted form.
var ErrData = errors.New("data table is not of the wanted form")

// tableMax bounds the rows of a data table.
const tableMax = 100_000

// readTable reads a CSV table whose first line must name exactly the wanted
// columns, the last of them the source key. It returns one column of numbers
// per name and the texts of the columns that words names.
func readTable(in io.Reader, columns string, words ...string) (numbers map[string][]float64, texts map[string][]string, err error) {
	r := csv.NewReader(in)
	r.ReuseRecord = true
	head, err := r.Read()
	if err != nil {
		return nil, nil, fmt.Errorf("%w: line 1: %w", ErrData, err)
	}
	if got := strings.Join(head, ","); got != columns {
		return nil, nil, fmt.Errorf("%w: line 1: columns are %q, wanted are %q", ErrData, clip(got), columns)
	}
	names := strings.Split(columns, ",")
	isWord := map[string]bool{}
	for _, w := range words {
		isWord[w] = true
	}
	numbers, texts = map[string][]float64{}, map[string][]string{}
	for row := 0; ; row++ {
		rec, err := r.Read()
		if errors.Is(err, io.EOF) {
			return numbers, texts, nil
		}
		if err != nil {
			return nil, nil, fmt.Errorf("%w: %w", ErrData, err)
		}
		line, _ := r.FieldPos(0)
		if row >= tableMax {
			return nil, nil, fmt.Errorf("%w: line %d: more than %d rows", ErrData, line, tableMax)
		}
		for i, name := range names {
			if isWord[name] {
				texts[name] = append(texts[name], strings.Clone(rec[i]))
				continue
			}
			v, err := strconv.ParseFloat(rec[i], 64)
			if err == nil {
				err = num.Finite(v)
			}
			if err != nil {
				return nil, nil, fmt.Errorf("%w: line %d: %s is %q, wanted is a number", ErrData, line, name, clip(rec[i]))
			}
			numbers[name] = append(numbers[name], v)
		}
	}
}

func clip(s string) string {
	if len(s) > 60 {
		return s[:60] + "…"
	}
	return s
}

// readLine reads a table of a quantity over charge; factor turns it into SI.
func readLine(in io.Reader, column string, factor float64) (l Line, source string, err error) {
	n, w, err := readTable(in, "soc,"+column+",source", "source")
	if err != nil {
		return Line{}, "", err
	}
	l = Line{SoC: n["soc"], Value: n[column]}
	for i := range l.Value {
		l.Value[i] *= factor
	}
	if err := l.check(column); err != nil {
		return Line{}, "", err
	}
	return l, w["source"][0], nil
}
