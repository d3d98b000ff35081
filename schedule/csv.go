package schedule

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"packyard/check"
	"packyard/unit"
)

// StepMax is the longest time between two rows of a schedule file that is not
// taken for a gap. Source: assumption.
const StepMax = 5 * unit.Second

// GradeMax is the steepest grade that is taken for a road, 40 %; the steepest
// public streets are near 35 %. Source: assumption.
const GradeMax = 0.40

// Limits of a foreign file. Source: assumption; a week at ten rows a second and
// a line of any logger stay far below.
const (
	fileBytesMax = 256 << 20
	lineBytesMax = 64 << 10
	fileRowsMax  = 6_100_000
)

// Lowest and highest elevation in m that is taken for a road. Source:
// assumption, the Dead Sea shore and the highest passes with room to spare.
const (
	elevationMin = -500.0
	elevationMax = 6500.0
)

// CSVOptions are the choices of ReadCSV; the zero value is the default.
type CSVOptions struct {
	StepMax         unit.Time   // longest step that is no gap; 0: StepMax. Accepted: above 0, up to 1 min
	ElevationWindow unit.Length // smoothing of an elevation column, see GPXOptions
}

// ReadCSV reads a schedule from a text table. The first line that is neither
// empty nor a comment (#) is the header; each column is named with its unit:
//
//	time_s,speed_kmh            time (min); speed (mph); grade (%)
//	time_s,speed_m/s,elevation_m
//
// in the spellings of package unit, with comma, semicolon or tab between
// columns and a point as decimal mark. A byte order mark and columns of other
// names are accepted; the latter are named in a note. Elevation is smoothed
// over the distance driven and made a grade; a note says so.
//
// Nothing is mended: a gap, a text, NaN, a negative speed, a time that repeats
// or goes back, a line with too few or too many fields is a check.Problem with
// line and column, and all of them (as check.Problems) are the error. name is
// the file name used in it. A failure of r comes back wrapped.
func ReadCSV(r io.Reader, name string, opt CSVOptions) (*Schedule, error) {
	if opt.StepMax == 0 {
		opt.StepMax = StepMax
	}
	if !(opt.StepMax > 0 && opt.StepMax <= unit.Minute) {
		return nil, fmt.Errorf("%s: longest step of %g s: it must be above 0 and at most 60 s", name, float64(opt.StepMax))
	}
	var err error
	if opt.ElevationWindow, err = resolveWindow(name, opt.ElevationWindow); err != nil {
		return nil, err
	}
	t := &csvTable{name: name, opt: opt}
	if err := t.read(r); err != nil {
		return nil, err
	}
	if err := t.problems.Err(); err != nil {
		return nil, err
	}
	return t.schedule()
}

// csvColumn is what a column holds.
type csvColumn uint8

const (
	columnOther csvColumn = iota
	columnTime
	columnSpeed
	columnGrade
	columnElevation
	columnKinds
)

// csvColumnNames are the accepted names, the first one is used in messages.
var csvColumnNames = [columnKinds][]string{
	columnTime:      {"time", "t"},
	columnSpeed:     {"speed", "velocity", "v"},
	columnGrade:     {"grade", "gradient", "slope"},
	columnElevation: {"elevation", "altitude", "ele"},
}

const (
	csvHeaderHint = `the first line names each column with its unit, as in "time_s,speed_kmh" or "time (s);speed (mph);grade (%)"`
	csvFieldsHint = "every line has as many fields as the header"
)

// csvTable is a schedule file while it is read.
type csvTable struct {
	name     string
	opt      CSVOptions
	problems check.Problems

	line      int
	delimiter rune
	columns   []csvColumn // per field
	labels    []string    // per field, as written
	factors   []float64   // per field, SI per unit
	ignored   []string

	time, speed, grade, elevation []float64 // SI, as read
	lines                         []int     // line of each row
	timeLast                      float64   // last good time, for the comparison with the next
	timeAny                       bool
}

func (t *csvTable) pos(col int) check.Pos { return check.Pos{File: t.name, Line: t.line, Col: col} }

func (t *csvTable) read(r io.Reader) error {
	limited := &io.LimitedReader{R: r, N: fileBytesMax + 1}
	scan := bufio.NewScanner(limited)
	scan.Buffer(make([]byte, 0, 4096), lineBytesMax)
	for scan.Scan() {
		t.line++
		line := scan.Text()
		if t.line == 1 {
			line = strings.TrimPrefix(line, "\ufeff")
		}
		line = strings.TrimSuffix(line, "\r")
		if trimmed := strings.TrimSpace(line); trimmed == "" || trimmed[0] == '#' {
			continue
		}
		if !utf8.ValidString(line) {
			t.problems.Addf(t.pos(1), "line", "save the file as UTF-8", "the line holds bytes that are no UTF-8 text")
			return nil
		}
		if t.columns == nil {
			if !t.header(line) {
				return nil
			}
			continue
		}
		if len(t.lines) >= fileRowsMax {
			t.problems.Addf(t.pos(1), "line", fmt.Sprintf("at most %d rows are read", fileRowsMax), "the file has more rows")
			return nil
		}
		t.row(line)
	}
	switch err := scan.Err(); {
	case errors.Is(err, bufio.ErrTooLong):
		t.line++
		t.problems.Addf(t.pos(1), "line", csvHeaderHint, "the line is longer than %d bytes", lineBytesMax)
		return nil
	case err != nil:
		return fmt.Errorf("%s: %w", t.name, err)
	}
	if limited.N <= 0 {
		t.problems.Addf(t.pos(1), "file", "a schedule of a week in one-second rows has under 20 MB", "the file is larger than %d MB", fileBytesMax>>20)
	}
	t.finish()
	return nil
}

// finish looks at what only the whole file shows.
func (t *csvTable) finish() {
	t.line = max(t.line, 1)
	switch {
	case t.columns == nil:
		t.problems.Addf(t.pos(1), "file", csvHeaderHint, "the file is empty")
	case t.problems.Any():
	case len(t.lines) < 2:
		t.problems.Addf(t.pos(1), "file", "a schedule has at least two rows", "%s found below the header", counted(len(t.lines), "row"))
	case slices.Max(t.speed) == 0:
		t.problems.Addf(t.pos(1), "speed", "some row has a speed above 0", "the speed is 0 in every row")
	}
}

// header reads the names of the columns; it reports whether rows can follow.
func (t *csvTable) header(line string) bool {
	t.delimiter = ','
	for _, d := range "\t;" {
		if strings.ContainsRune(line, d) {
			t.delimiter = d
			break
		}
	}
	var seen [columnKinds]bool
	for _, f := range splitFields(line, t.delimiter) {
		kind, factor := columnOther, 1.0
		if _, err := decimal(f.text); err == nil {
			t.problems.Addf(t.pos(f.col), "header", csvHeaderHint, "the number %q was found where the header belongs", f.text)
			return false
		}
		name, spelling := splitLabel(f.text)
		for k := columnTime; k < columnKinds; k++ {
			if slices.Contains(csvColumnNames[k], name) {
				kind = k
			}
		}
		if kind == columnOther {
			t.ignored = append(t.ignored, f.text)
		} else if seen[kind] {
			t.problems.Addf(t.pos(f.col), csvColumnNames[kind][0], "each quantity has one column", "a second column %q was found", f.text)
		} else {
			factor = t.unitOf(kind, f, spelling)
		}
		seen[kind] = true
		t.columns, t.labels, t.factors = append(t.columns, kind), append(t.labels, f.text), append(t.factors, factor)
	}
	for _, k := range []csvColumn{columnTime, columnSpeed} {
		if !seen[k] {
			t.problems.Addf(t.pos(1), csvColumnNames[k][0], csvHeaderHint, "no column of this name was found in %q", line)
		}
	}
	if seen[columnGrade] && seen[columnElevation] {
		t.problems.Addf(t.pos(1), "grade", "give one of them", "both a grade and an elevation were found")
	}
	return !t.problems.Any()
}

// unitOf returns SI per unit of a column.
func (t *csvTable) unitOf(kind csvColumn, f csvField, spelling string) float64 {
	find := map[csvColumn]func(string) (unit.Row, error){
		columnTime: unitRow[unit.Time], columnSpeed: unitRow[unit.Speed],
		columnGrade: unitRow[unit.Ratio], columnElevation: unitRow[unit.Length],
	}[kind]
	name := csvColumnNames[kind][0]
	row, err := find(spelling)
	if err == nil {
		return row.Factor
	}
	if spelling == "" {
		_, err = find("?")
		_, accepted, _ := strings.Cut(err.Error(), ": ")
		t.problems.Addf(t.pos(f.col), name, accepted+`, as in "speed_kmh" or "grade (%)"`, "the column %q needs a unit", f.text)
		return 1
	}
	t.problems.Addf(t.pos(f.col), name, "", "%s", err)
	return 1
}

// labelForm is "name_unit", "name (unit)" or "name [unit]".
var labelForm = regexp.MustCompile(`^(.*?)\s*(?:_([^_]+)|\(([^()]+)\)|\[([^\[\]]+)\])$`)

func splitLabel(text string) (name, spelling string) {
	if m := labelForm.FindStringSubmatch(text); m != nil {
		return strings.ToLower(strings.TrimSpace(m[1])), strings.TrimSpace(m[2] + m[3] + m[4])
	}
	return strings.ToLower(text), ""
}

// csvField is one field and the column, in characters from 1, where it begins.
type csvField struct {
	text string
	col  int
}

// splitFields cuts a line; spaces and one pair of quotes around a field go.
func splitFields(line string, delimiter rune) []csvField {
	var out []csvField
	col := 1
	for part := range strings.SplitSeq(line, string(delimiter)) {
		text := strings.TrimSpace(part)
		if len(text) >= 2 && text[0] == '"' && text[len(text)-1] == '"' {
			text = strings.TrimSpace(text[1 : len(text)-1])
		}
		lead := len(part) - len(strings.TrimLeft(part, " \t"))
		out = append(out, csvField{text: text, col: col + lead})
		col += utf8.RuneCountInString(part) + 1
	}
	return out
}

// row reads one line below the header.
func (t *csvTable) row(line string) {
	fields := splitFields(line, t.delimiter)
	if n := len(t.columns); len(fields) != n {
		hint := csvFieldsHint
		if len(fields) > n && t.delimiter == ',' {
			hint += "; where a comma is the decimal mark, write a point instead"
		} else if len(fields) < n {
			hint += "; the line may be cut off"
		}
		t.problems.Addf(t.pos(1), "line", hint, "%s found where the header has %d", counted(len(fields), "field"), n)
		return
	}
	var value [columnKinds]float64
	good := true
	for i, f := range fields {
		kind := t.columns[i]
		if kind == columnOther {
			continue
		}
		v, err := decimal(f.text)
		if err == nil {
			err = t.plausible(kind, v*t.factors[i], f.text)
		}
		if err != nil {
			t.problems.Addf(t.pos(f.col), t.labels[i], "", "%s", err)
			good = false
			continue
		}
		value[kind] = v * t.factors[i]
		if kind == columnTime {
			good = t.follows(value[kind], f.col) && good
		}
	}
	if !good {
		return
	}
	t.lines = append(t.lines, t.line)
	t.time, t.speed = append(t.time, value[columnTime]), append(t.speed, value[columnSpeed])
	if slices.Contains(t.columns, columnGrade) {
		t.grade = append(t.grade, value[columnGrade])
	}
	if slices.Contains(t.columns, columnElevation) {
		t.elevation = append(t.elevation, value[columnElevation])
	}
}

// plausible says what is wrong with a value in SI, as written in text.
func (t *csvTable) plausible(kind csvColumn, v float64, text string) error {
	switch kind {
	case columnSpeed:
		if v < 0 {
			return fmt.Errorf("%s is negative: a speed is 0 or more", text)
		}
		if v > float64(SpeedMax) {
			return fmt.Errorf("%s is %.0f km/h: a speed is at most %.0f km/h, look at the unit of the column", text, v*3.6, SpeedMax.KilometresPerHour())
		}
	case columnGrade:
		if math.Abs(v) > GradeMax {
			return fmt.Errorf("%s is a grade of %.0f %%: a grade lies within ±%.0f %%, look at the unit of the column", text, v*100, GradeMax*100)
		}
	case columnElevation:
		if v < elevationMin || v > elevationMax {
			return fmt.Errorf("%s is %.0f m: an elevation lies between %.0f m and %.0f m, look at the unit of the column", text, v, elevationMin, elevationMax)
		}
	}
	return nil
}

// follows reports whether a time may come after the one before it. The time of
// a faulty row counts, so that one fault is not told twice as a gap.
func (t *csvTable) follows(time float64, col int) bool {
	before := t.timeLast
	first := !t.timeAny
	t.timeLast, t.timeAny = time, true
	step := time - before
	switch {
	case first:
		return true
	case step == 0:
		t.problems.Addf(t.pos(col), "time", "time rises from row to row", "the time %g s is repeated", time)
	case step < 0:
		t.problems.Addf(t.pos(col), "time", "time rises from row to row", "the time goes back from %g s to %g s", before, time)
	case step > float64(t.opt.StepMax)*(1+1e-9):
		t.problems.Addf(t.pos(col), "time", fmt.Sprintf("rows are at most %g s apart; add the rows that are missing", float64(t.opt.StepMax)),
			"a gap of %g s was found, from %g s to %g s", step, before, time)
	default:
		return true
	}
	return false
}

// schedule makes the rows a Schedule.
func (t *csvTable) schedule() (*Schedule, error) {
	id := baseName(t.name)
	s := &Schedule{ID: id, Title: id, Source: t.name, Time: t.time, Speed: t.speed, Grade: t.grade}
	if first := s.Time[0]; first != 0 {
		for i := range s.Time {
			s.Time[i] -= first
		}
		s.Notes = append(s.Notes, fmt.Sprintf("the time in the file begins at %g s and is counted from there", first))
	}
	if len(t.ignored) > 0 {
		s.Notes = append(s.Notes, "columns not read: "+strings.Join(t.ignored, ", "))
	}
	if t.elevation != nil {
		if whole := float64(s.Figures().Distance); whole < routeLengthMin {
			t.problems.Addf(t.pos(1), "elevation", fmt.Sprintf("a grade needs a route of at least %g m; leave the column out", routeLengthMin), "the route is %.1f m long", whole)
			return nil, t.problems.Err()
		}
		s.setElevation(t.elevation, t.opt.ElevationWindow)
	}
	if err := s.Validate(); err != nil {
		return nil, fmt.Errorf("%s: %w", t.name, err)
	}
	return s, nil
}

// baseName is the file name without folders and ending.
func baseName(name string) string {
	name = name[strings.LastIndexAny(name, `/\`)+1:]
	if i := strings.LastIndexByte(name, '.'); i > 0 {
		name = name[:i]
	}
	return name
}

// counted is "1 row was" or "2 rows were".
func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun + " was"
	}
	return fmt.Sprintf("%d %ss were", n, noun)
}
