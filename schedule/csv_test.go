package schedule

import (
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/google/go-cmp/cmp"

	"packyard/check"
	"packyard/unit"
)

func readCSV(text string) (*Schedule, error) {
	return ReadCSV(strings.NewReader(text), "routes/run.csv", CSVOptions{})
}

func TestCSVIsReadInEveryAcceptedForm(t *testing.T) {
	t.Parallel()
	want := []float64{0, 10, 5, 0} // m/s
	for name, text := range map[string]string{
		"comma":          "time_s,speed_kmh\n0,0\n1,36\n2,18\n3,0\n",
		"semicolon":      "time (s);speed (km/h)\n0;0\n1;36\n2;18\n3;0\n",
		"tab":            "time [s]\tspeed [m/s]\n0\t0\n1\t10\n2\t5\n3\t0\n",
		"mark and lines": "\ufeff# logged in May\r\n\r\ntime_s, speed_km/h\r\n0, 0\r\n# a remark\r\n1, 3.6e1\r\n2, 18.0\r\n3, +0\r\n",
		"quoted":         "\"Time (s)\",\"Speed (m/s)\"\n\"0\",\"0\"\n\"1\",\"10\"\n2,5\n3,0",
		"minutes":        "speed_m/s,time_min\n0,0\n10,0.016666666666666666\n5,0.03333333333333333\n0,0.05\n",
		"mph":            "t_s,v_mph\n0,0\n1,22.369362920544024\n2,11.184681460272012\n3,0\n",
	} {
		s, err := readCSV(text)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		for i := range want {
			if math.Abs(s.Speed[i]-want[i]) > 1e-12 || math.Abs(s.Time[i]-float64(i)) > 1e-12 {
				t.Errorf("%s: row %d is %g s %g m/s, want %d s %g m/s, source: NIST SP 811", name, i, s.Time[i], s.Speed[i], i, want[i])
			}
		}
		if s.ID != "run" || s.Source != "routes/run.csv" || s.Grade != nil || len(s.Notes) != 0 {
			t.Errorf("%s: ID %q, source %q, grade %v, notes %q", name, s.ID, s.Source, s.Grade, s.Notes)
		}
	}
}

func TestCSVTellsWhatItDidToTheTable(t *testing.T) {
	t.Parallel()
	s, err := readCSV("time_s,motor_rpm,speed_m/s,grade_%\n12,0,0,6\n13,900,10,6\n14,0,0,-6\n")
	if err != nil {
		t.Fatal(err)
	}
	notes := []string{"the time in the file begins at 12 s and is counted from there", "columns not read: motor_rpm"}
	if diff := cmp.Diff(notes, s.Notes); diff != "" {
		t.Error(diff)
	}
	if diff := cmp.Diff([]float64{0.06, 0.06, -0.06}, s.Grade); diff != "" {
		t.Error(diff)
	}
}

// Each fault with its place, what was found and what is accepted.
func TestCSVFaultsAreProblemsWithPlaceFindingAndRemedy(t *testing.T) {
	t.Parallel()
	const head = "time_s,speed_kmh\n"
	for name, c := range map[string]struct{ text, want string }{
		"empty":                 {"", `1:1: file: the file is empty: the first line names each column with its unit, as in "time_s,speed_kmh" or "time (s);speed (mph);grade (%)"`},
		"only remarks":          {"# nothing\n\n", "2:1: file: the file is empty: the first line names"},
		"no header":             {"0,0\n1,10\n", `1:1: header: the number "0" was found where the header belongs: the first line names`},
		"no unit":               {"time_s,speed\n0,0\n", `1:8: speed: the column "speed" needs a unit: accepted are m/s, km/h, kmh, mph, ft/s, as in "speed_kmh"`},
		"unknown unit":          {"time_s,speed_knots\n0,0\n", `1:8: speed: "knots" is not a unit of a speed: accepted are m/s, km/h`},
		"wrong dimension":       {"time_s,speed_kg\n0,0\n", `1:8: speed: "kg" is not a unit of a speed`},
		"no speed":              {"time_s,rpm\n0,0\n", `1:1: speed: no column of this name was found in "time_s,rpm": the first line names`},
		"two speeds":            {"time_s,speed_mph,speed_kmh\n", `1:18: speed: a second column "speed_kmh" was found: each quantity has one column`},
		"grade and elevation":   {"time_s,speed_mph,grade_%,elevation_m\n", "1:1: grade: both a grade and an elevation were found: give one of them"},
		"no rows":               {head, "1:1: file: 0 rows were found below the header: a schedule has at least two rows"},
		"one row":               {head + "0,5\n", "2:1: file: 1 row was found below the header"},
		"never moves":           {head + "0,0\n1,0\n", "3:1: speed: the speed is 0 in every row: some row has a speed above 0"},
		"gap":                   {head + "0,0\n1,5\n9,5\n", "4:1: time: a gap of 8 s was found, from 1 s to 9 s: rows are at most 5 s apart; add the rows that are missing"},
		"time back":             {head + "0,0\n2,5\n1,5\n", "4:1: time: the time goes back from 2 s to 1 s: time rises from row to row"},
		"time repeated":         {head + "0,0\n1,5\n1,6\n", "4:1: time: the time 1 s is repeated: time rises"},
		"text":                  {head + "0,0\n1,fast\n", `3:3: speed_kmh: "fast" is not a number: digits with a decimal point are accepted`},
		"NaN":                   {head + "0,0\n1,NaN\n", `3:3: speed_kmh: "NaN" is not a number`},
		"infinity":              {head + "0,0\n1,inf\n", `3:3: speed_kmh: "inf" is not a number`},
		"overflow":              {head + "0,0\n1,1e999\n", `3:3: speed_kmh: "1e999" is not a number`},
		"hexadecimal":           {head + "0,0\n1,0x10\n", `3:3: speed_kmh: "0x10" is not a number`},
		"nothing":               {head + "0,0\n1,\n", "3:3: speed_kmh: nothing was found: a number is needed"},
		"negative":              {head + "0,0\n1,-3\n", "3:3: speed_kmh: -3 is negative: a speed is 0 or more"},
		"slip of unit":          {"time_s,speed_m/s\n0,0\n1,90\n", "3:3: speed_m/s: 90 is 324 km/h: a speed is at most 300 km/h, look at the unit of the column"},
		"steep":                 {"time_s,speed_m/s,grade_1\n0,0,6\n", "2:5: grade_1: 6 is a grade of 600 %: a grade lies within ±40 %, look at the unit"},
		"high":                  {"time_s,speed_m/s,elevation_m\n0,0,66000\n", "2:5: elevation_m: 66000 is 66000 m: an elevation lies between -500 m and 6500 m"},
		"short route":           {"time_s,speed_m/s,elevation_m\n0,9,0\n1,9,0\n", "3:1: elevation: the route is 9.0 m long: a grade needs a route of at least 100 m; leave the column out"},
		"cut off":               {head + "0,0\n1,5\n2", "4:1: line: 1 field was found where the header has 2: every line has as many fields as the header; the line may be cut off"},
		"decimal comma":         {"time_s;speed_kmh\n0;0\n1;12,5\n", `3:3: speed_kmh: "12,5" has a comma: write the decimal point, 12.5, and no thousands separator`},
		"decimal comma, commas": {head + "0,0\n1,12,5\n", "3:1: line: 3 fields were found where the header has 2: every line has as many fields as the header; where a comma is the decimal mark, write a point instead"},
		"not UTF-8":             {head + "0,\xff\n", "2:1: line: the line holds bytes that are no UTF-8 text: save the file as UTF-8"},
		"long line":             {head + strings.Repeat("1", 70000), "2:1: line: the line is longer than 65536 bytes"},
		"column in characters":  {"time_s;höhe_m;speed_kmh\n0;ää;x\n", `2:6: speed_kmh: "x" is not a number`},
	} {
		s, err := readCSV(c.text)
		var problems *check.Problems
		if !errors.As(err, &problems) || s != nil {
			t.Errorf("%s: got %v, want problems and no schedule", name, err)
			continue
		}
		if want := "routes/run.csv:" + c.want; !strings.Contains(err.Error(), want) {
			t.Errorf("%s:\n got %s\nwant %s", name, err, want)
		}
	}
}

func TestCSVTellsAllFaultsAtOnce(t *testing.T) {
	t.Parallel()
	_, err := readCSV("time_s,speed_kmh\n0,0\n1,-1\n2,x\n1,5\n3,5\n20,5\n21\n")
	var problems *check.Problems
	if !errors.As(err, &problems) {
		t.Fatal(err)
	}
	var lines []int
	for _, p := range problems.List {
		lines = append(lines, p.Pos.Line)
	}
	if diff := cmp.Diff([]int{3, 4, 5, 7, 8}, lines); diff != "" {
		t.Errorf("lines of the problems: %s\n%v", diff, err)
	}
}

func TestCSVStepIsAnOption(t *testing.T) {
	t.Parallel()
	const text = "time_s,speed_kmh\n0,0\n20,36\n40,0\n"
	s, err := ReadCSV(strings.NewReader(text), "a.csv", CSVOptions{StepMax: 20})
	if err != nil || s.Figures().Distance != 200 {
		t.Errorf("got %v, %v, want 200 m", s, err)
	}
	for _, step := range []unit.Time{-1, 61, unit.Time(math.NaN())} {
		if _, err := ReadCSV(strings.NewReader(text), "a.csv", CSVOptions{StepMax: step}); err == nil || !contains(err.Error(), "at most 60 s") {
			t.Errorf("step %g: got %v, want the bounds", float64(step), err)
		}
	}
}

func TestFailingReaderIsNoProblemOfTheFile(t *testing.T) {
	t.Parallel()
	broken := errors.New("disk on fire")
	half := func(text string) io.Reader {
		return io.MultiReader(strings.NewReader(text), iotest.ErrReader(broken))
	}
	_, errCSV := ReadCSV(half("time_s,speed_kmh\n0,0\n1,1\n"), "a.csv", CSVOptions{})
	_, errGPX := ReadGPX(half(`<gpx version="1.1"><trk>`), "a.gpx", GPXOptions{})
	for _, err := range []error{errCSV, errGPX} {
		var problems *check.Problems
		if !errors.Is(err, broken) || errors.As(err, &problems) {
			t.Errorf("got %v, want the failure of the reader", err)
		}
	}
}

// A road of constant grade: the slope over the driven distance is a sine.
func TestCSVElevationOfAConstantGradeGivesThatGrade(t *testing.T) {
	t.Parallel()
	var text strings.Builder
	text.WriteString("time_s,speed_m/s,elevation_m\n")
	sine := sineOf(0.08)
	for i := range 121 {
		fmt.Fprintf(&text, "%d,15,%.9f\n", i, 300+15*sine*float64(i))
	}
	s, err := readCSV(text.String())
	if err != nil {
		t.Fatal(err)
	}
	for i, g := range s.Grade {
		// Elevations are written to 1e-9 m over steps of 10 m.
		if math.Abs(g-0.08) > 1e-9 {
			t.Fatalf("row %d: grade %.12f, want 0.08, source: closed form", i, g)
		}
	}
	near(t, "climb", float64(s.Figures().Climb), 15*120*sine, 1e-9, "closed form")
	near(t, "climb as recorded", float64(s.ClimbRaw), 15*120*sine, 1e-9, "closed form")
	if !contains(strings.Join(s.Notes, "\n"), "smoothed by a straight line fitted over 200 m") {
		t.Errorf("notes %q do not tell the smoothing", s.Notes)
	}
}

func TestCSVElevationThatChangesAtRestIsAveraged(t *testing.T) {
	t.Parallel()
	// A level road with a stop during which the recorder drifts by 8 m.
	var text strings.Builder
	text.WriteString("time_s,speed_m/s,elevation_m\n")
	for i := range 241 {
		speed, elevation := 10.0, 100.0
		if i >= 100 && i <= 140 {
			speed, elevation = 0, 100+8*math.Sin(float64(i-100)/40*2*math.Pi)
		}
		fmt.Fprintf(&text, "%d,%g,%g\n", i, speed, elevation)
	}
	s, err := readCSV(text.String())
	if err != nil {
		t.Fatal(err)
	}
	if c := float64(s.Figures().Climb); c > 0.2 {
		t.Errorf("climb %g m on a level road, %g m as recorded", c, float64(s.ClimbRaw))
	}
	if s.ClimbRaw < 15 {
		t.Errorf("climb as recorded %g m, want that of the drift", float64(s.ClimbRaw))
	}
}

func TestCSVWrittenFromABuiltInScheduleReadsBackTheSame(t *testing.T) {
	t.Parallel()
	for _, s := range BuiltIn() {
		var text strings.Builder
		text.WriteString("time_s,speed_m/s\n")
		for i, v := range s.Speed {
			fmt.Fprintf(&text, "%v,%v\n", s.Time[i], v)
		}
		got, err := readCSV(text.String())
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(s.Speed, got.Speed); diff != "" {
			t.Errorf("%s: %s", s.ID, diff)
		}
	}
}

func FuzzReadCSV(f *testing.F) {
	for _, text := range []string{
		"", "time_s,speed_kmh\n0,0\n1,36\n2,0\n", "\ufefftime (s);speed (mph);grade (%)\r\n0;0;1\r\n1;12,5;2\r\n",
		"time [min]\tspeed [ft/s]\televation [ft]\n0\t0\t0\n0.05\t90\t30\n0.1\t90\t60\n0.15\t90\t20\n", "# x\n\ntime_s,speed_m/s,x\n5,1,a\n6,2,b\n4,NaN,c\n7",
		"time_s,speed_m/s,elevation_m\n0,50,0\n4,50,6000\n8,50,-400\n",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		s, err := ReadCSV(strings.NewReader(string(text)), "f.csv", CSVOptions{})
		heldByReader(t, s, err)
	})
}

// heldByReader is what every reader promises whatever it was given.
func heldByReader(t *testing.T, s *Schedule, err error) {
	t.Helper()
	if err == nil {
		if err := s.Validate(); err != nil {
			t.Fatal(err)
		}
		for i, g := range s.Grade {
			if math.Abs(g) > GradeMax*(1+1e-9) {
				t.Fatalf("row %d: grade %g", i, g)
			}
		}
		return
	}
	if s != nil {
		t.Fatal("a schedule comes with an error")
	}
	var problems *check.Problems
	if !errors.As(err, &problems) {
		t.Fatalf("not told as problems of the file: %v", err)
	}
	for _, p := range problems.List {
		if p.Pos.Line < 1 || p.Pos.Col < 1 || p.Message == "" {
			t.Fatalf("problem without a place or a finding: %+v", p)
		}
	}
}
