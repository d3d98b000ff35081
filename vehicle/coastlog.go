package vehicle

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"packyard/check"
	"packyard/unit"
)

// Bounds of a coast-down log.
const (
	coastRowsMax  = 200_000 // five hours at ten rows a second
	coastBytesMax = 64 << 20
	coastLineMax  = 4096
	coastSpeedMax = 120.0 // m/s; above it the unit is likely wrong
)

// ReadCoastDown reads a coast-down log: text in columns separated by commas,
// semicolons or tabs, whichever the header line uses, with decimal points.
// Columns, in any order, the unit in brackets after the name:
//
//	time (s), speed (km/h), run, direction
//
// time and speed are required, with any spelling of their unit ("time [s]" and
// "time_s" are read too). run is any label and changes where a new run begins;
// without it there is one run. direction is "out" or "back" and must stay the
// same within a run; without it all runs are out. Lines that are empty or begin
// with # are passed over; other columns are not looked at. Limits: 64 MB,
// 200 000 rows, speeds from 0 to 120 m/s, times rising within a run.
//
// Errors: *check.Problems with file, line and column of everything found;
// other errors come from the reader.
func ReadCoastDown(r io.Reader, file string) ([]CoastRun, error) {
	c := coastReader{file: file, columns: map[string]int{}}
	limited := &io.LimitedReader{R: r, N: coastBytesMax + 1}
	scan := bufio.NewScanner(limited)
	scan.Buffer(make([]byte, 0, coastLineMax), coastLineMax)
	for scan.Scan() {
		c.line++
		text := strings.TrimSuffix(scan.Text(), "\r")
		if c.line == 1 {
			text = strings.TrimPrefix(text, "\ufeff")
		}
		if trimmed := strings.TrimSpace(text); trimmed == "" || strings.HasPrefix(trimmed, "#") {
			continue
		}
		if !c.headed {
			if c.header(text); c.problems.Any() {
				return nil, c.problems.Err()
			}
			continue
		}
		if c.row(text); c.problems.More > 0 || c.rows > coastRowsMax {
			break
		}
	}
	switch err := scan.Err(); {
	case errors.Is(err, bufio.ErrTooLong):
		c.line++
		c.add(1, "line", "a line of at most 4096 characters is accepted", "line is longer")
	case err != nil:
		return nil, fmt.Errorf("coast-down log %s: %w", file, err)
	}
	if limited.N == 0 || c.rows > coastRowsMax {
		c.add(1, "file", "at most 64 MB and 200 000 rows are accepted", "log is larger")
	}
	if !c.headed && !c.problems.Any() {
		c.line = 1
		c.add(1, "header", `the first line names the columns: "time (s),speed (km/h)"`, "log is empty")
	} else if c.rows == 0 && !c.problems.Any() {
		c.add(1, "rows", "rows of time and speed follow the header", "log has no rows")
	}
	return c.runs, c.problems.Err()
}

type coastReader struct {
	file        string
	separator   string
	line        int
	headed      bool
	columns     map[string]int
	width       int
	time, speed unit.Row
	rows        int
	label       string
	runs        []CoastRun
	problems    check.Problems
}

func (c *coastReader) add(col int, path, hint, format string, args ...any) {
	c.problems.Addf(check.Pos{File: c.file, Line: c.line, Col: col}, path, hint, format, args...)
}

// header reads the names and units of the columns.
func (c *coastReader) header(text string) {
	c.headed = true
	c.separator = ","
	if i := strings.IndexAny(text, ",;\t"); i >= 0 {
		c.separator = text[i : i+1]
	}
	fields, at := c.split(text)
	c.width = len(fields)
	for i, f := range fields {
		name, spelling := headerName(f)
		if !slices.Contains([]string{"time", "speed", "run", "direction"}, name) {
			continue
		}
		if _, twice := c.columns[name]; twice {
			c.add(at[i], name, "each column is named once", "column %q is there twice", name)
			continue
		}
		c.columns[name] = i
		switch name {
		case "time":
			c.time = columnUnit[unit.Time](c, at[i], name, spelling)
		case "speed":
			c.speed = columnUnit[unit.Speed](c, at[i], name, spelling)
		}
	}
	for _, name := range []string{"time", "speed"} {
		if _, ok := c.columns[name]; !ok {
			c.add(1, name, `the header names "time (s)" and "speed (km/h)"`, "column %q is missing", name)
		}
	}
}

// headerName splits "speed (km/h)", "speed [km/h]" or "speed_kmh".
func headerName(field string) (name, spelling string) {
	field = strings.Trim(strings.TrimSpace(field), `"`)
	if i := strings.IndexAny(field, "([_"); i >= 0 {
		return strings.ToLower(strings.TrimSpace(field[:i])), strings.TrimSpace(strings.TrimRight(field[i+1:], ")] "))
	}
	return strings.ToLower(field), ""
}

func columnUnit[Q unit.Quantity](c *coastReader, col int, name, spelling string) unit.Row {
	var known []string
	for _, r := range unit.Rows[Q]() {
		if r.Spelling == spelling {
			return r
		}
		if !r.Alias {
			known = append(known, r.Spelling)
		}
	}
	hint := fmt.Sprintf("write %s (%s); units accepted: %s", name, known[0], strings.Join(known, ", "))
	if spelling == "" {
		c.add(col, name, hint, "column %q needs a unit", name)
	} else {
		c.add(col, name, hint, "%q is not a unit of %s", spelling, unit.Noun[Q]())
	}
	return unit.Row{Factor: 1}
}

// split returns the fields of a line and the column at which each begins, in
// characters from 1.
func (c *coastReader) split(text string) (fields []string, at []int) {
	col := 1
	for f := range strings.SplitSeq(text, c.separator) {
		fields, at = append(fields, f), append(at, col)
		col += len([]rune(f)) + 1
	}
	return fields, at
}

// row reads one line of numbers.
func (c *coastReader) row(text string) {
	fields, at := c.split(text)
	if len(fields) != c.width {
		c.add(1, "row", "the header says how many; numbers are written with a point, not a comma", "row has %d columns, the header %d", len(fields), c.width)
		return
	}
	before := len(c.problems.List) + c.problems.More
	t := c.number(fields, at, "time") * c.time.Factor
	v := c.number(fields, at, "speed") * c.speed.Factor
	back := c.direction(fields, at)
	if len(c.problems.List)+c.problems.More > before {
		return
	}
	if math.Abs(t) > 1e9 {
		c.add(at[c.columns["time"]], "time", "times up to 1e9 s are accepted", "time is %g s", t)
		return
	}
	if v < 0 || v > coastSpeedMax {
		c.add(at[c.columns["speed"]], "speed", "speeds from 0 to 120 m/s are accepted; is the unit of the column right?", "speed is %g m/s", v)
		return
	}
	label := "1"
	if i, ok := c.columns["run"]; ok {
		label = strings.TrimSpace(fields[i])
	}
	if len(c.runs) == 0 || label != c.label {
		c.runs, c.label = append(c.runs, CoastRun{Name: label, Back: back}), label
	}
	run := &c.runs[len(c.runs)-1]
	if n := len(run.Time); n > 0 {
		if t <= run.Time[n-1] {
			c.add(at[c.columns["time"]], "time", "times rise within a run; a new run has its own label in the column run", "time %g s follows %g s", t, run.Time[n-1])
			return
		}
		if back != run.Back {
			c.add(at[c.columns["direction"]], "direction", "a run goes one way; a new run has its own label in the column run", "direction changes within run %q", label)
			return
		}
	}
	c.rows++
	run.Time, run.Speed = append(run.Time, t), append(run.Speed, v)
}

func (c *coastReader) number(fields []string, at []int, name string) float64 {
	i := c.columns[name]
	text := strings.Trim(strings.TrimSpace(fields[i]), `"`)
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) || strings.ContainsAny(text, "xX_") {
		hint := "a decimal number such as 12.5 is accepted"
		if point := strings.Replace(text, ",", ".", 1); point != text {
			if _, err := strconv.ParseFloat(point, 64); err == nil {
				hint = "write " + point
			}
		}
		c.add(at[i], name, hint, "%.40q is not a number", text)
		return 0
	}
	return v
}

func (c *coastReader) direction(fields []string, at []int) (back bool) {
	i, ok := c.columns["direction"]
	if !ok {
		return false
	}
	switch text := strings.ToLower(strings.TrimSpace(fields[i])); text {
	case "out":
		return false
	case "back":
		return true
	default:
		c.add(at[i], "direction", "out or back is accepted", "%.40q is not a direction", text)
		return false
	}
}
