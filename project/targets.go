package project

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"strings"

	"packyard/cell"
	"packyard/check"
	"packyard/design"
	"packyard/internal/sheet"
	"packyard/schedule"
	"packyard/unit"
)

// Stand-ins for the targets.
const (
	stringsAssumed = 2
	// endCapacity is what a battery must hold for 5 years or 100 000 km.
	// Source: un-gtr-22.
	endCapacity = unit.Ratio(0.8)
	endGrowth   = unit.Ratio(1.5)
)

func (r *reader) targets() error {
	f, t := &r.file.Targets, &r.brief.Targets
	if f.Pos.IsZero() {
		return nil
	}
	*t = design.Targets{
		Range: f.Range.SI, RangeEnd: f.RangeEnd.SI, TopSpeed: f.TopSpeed.SI, Grade: f.Grade.SI, GradeSpeed: f.GradeSpeed.SI,
		PriceMax: r.price(f.PriceLimit, "targets.price_limit"), MassMax: f.MassLimit.SI, ChargeTime: f.ChargeTime.SI,
		HandlingVoltage: f.Handling.SI, MonitorChannels: f.Channels.Value, StringsMax: f.StringsMax.Value,
		// The days of the published cold and hot tests, 20 °F and 95 °F.
		Coldest: or(r, f.Coldest, "targets.coldest_day", unit.Celsius(-6.7), "lohse-busch-2013"),
		Hottest: or(r, f.Hottest, "targets.hottest_day", unit.Celsius(35), "lohse-busch-2013"),
		EndOfLife: cell.Health{
			CapacityShare:    or(r, f.EndOfLife.Capacity, "targets.end_of_life.capacity_share", endCapacity, "un-gtr-22"),
			ResistanceGrowth: or(r, f.EndOfLife.Growth, "targets.end_of_life.resistance_growth", endGrowth, "assumption"),
		},
	}
	if !f.StringsMax.IsGiven() {
		t.StringsMax = stringsAssumed
		r.brief.Assumed.Add(check.Assumption{Subject: "targets.strings_max", Value: check.Number(stringsAssumed, "strings"), Source: "assumption"})
	}
	r.targetsAgree()
	return r.schedule()
}

// targetsAgree looks for targets that contradict one another.
func (r *reader) targetsAgree() {
	f, t := &r.file.Targets, &r.brief.Targets
	written := func(a, b check.Pos) bool { return r.read(a) || r.read(b) }
	clean := (f.Coldest.Pos.IsZero() || ok(r, f.Coldest)) && (f.Hottest.Pos.IsZero() || ok(r, f.Hottest))
	if clean && written(f.Coldest.Pos, f.Hottest.Pos) && t.Coldest > t.Hottest {
		pos, at := f.Coldest.Pos, "targets.coldest_day"
		if pos.IsZero() {
			pos, at = f.Hottest.Pos, "targets.hottest_day"
		}
		r.probs.Addf(pos, at, "the coldest day is at most as warm as the hottest", "coldest day %.3g °C is above hottest day %.3g °C", t.Coldest.Celsius(), t.Hottest.Celsius())
	}
	if ok(r, f.Range) && ok(r, f.RangeEnd) && t.RangeEnd > t.Range {
		r.probs.Addf(f.RangeEnd.Pos, "targets.range_at_end_of_life", "at most range is accepted: a pack does not grow", "%q is above range, %q", f.RangeEnd.Text, f.Range.Text)
	}
	switch {
	case ok(r, f.Grade) && !f.GradeSpeed.IsGiven():
		r.missing(f.Grade.Pos, "targets", "grade_speed", "write the speed to be held on the grade, such as 40 km/h")
	case ok(r, f.GradeSpeed) && !f.Grade.IsGiven():
		r.missing(f.GradeSpeed.Pos, "targets", "grade", "write the grade to be held at that speed, such as 8 %")
	}
}

// schedule finds the wanted schedule: a file of the project, a built-in one or
// a constant speed.
func (r *reader) schedule() error {
	t := r.file.Targets.Schedule
	if !r.read(t.Pos) {
		return nil
	}
	text := strings.TrimSpace(t.Value)
	if ext := strings.ToLower(path.Ext(text)); ext == ".csv" || ext == ".gpx" {
		return r.route(t, text, ext)
	}
	s, err := schedule.Parse(text)
	switch {
	case errors.Is(err, schedule.ErrUnknown):
		hint := "known are " + strings.Join(schedule.IDs(), ", ") + ", a constant speed such as constant 60 km/h, and files such as routes/hill.gpx"
		if near := sheet.Nearest(text, schedule.IDs()); near != "" {
			hint = "did you mean " + near + "?"
		}
		r.probs.Addf(t.Pos, "targets.schedule", hint, "%q is not a known schedule", text)
	case err != nil:
		r.probs.Addf(t.Pos, "targets.schedule", "", "%v", err)
	default:
		r.brief.Targets.Schedule = s
	}
	return nil
}

// route reads a schedule or a track of the project folder.
func (r *reader) route(t check.Text, text, ext string) error {
	const at = "targets.schedule"
	if !fs.ValidPath(text) || text != path.Clean(text) {
		r.probs.Addf(t.Pos, at, "a path inside the project folder is accepted, such as routes/hill.gpx", "%q leaves the project folder", text)
		return nil
	}
	info, err := fs.Stat(r.fsys, path.Join(r.dir, text)) // before opening, which would wait on a pipe
	if errors.Is(err, fs.ErrNotExist) {
		r.probs.Addf(t.Pos, at, r.routesThere(text), "%q is not there", text)
		return nil
	}
	if err != nil {
		return err
	}
	if !info.Mode().IsRegular() {
		r.probs.Addf(t.Pos, at, "a plain file is accepted", "%q is a %s", text, kindOf(info.Mode()))
		return nil
	}
	f, err := r.fsys.Open(path.Join(r.dir, text))
	if err != nil {
		return err
	}
	defer f.Close()
	s, err := readRoute(f, text, ext, r.file.Targets.Cruise.SI)
	var wrong *check.Problems
	if errors.As(err, &wrong) {
		for _, p := range wrong.List {
			r.probs.Add(p)
		}
		r.probs.More += wrong.More
		return nil
	}
	if err != nil {
		return fmt.Errorf("%s: %w", text, err)
	}
	r.brief.Targets.Schedule = s
	return nil
}

// readRoute reads a schedule or a track.
func readRoute(f io.Reader, name, ext string, cruise unit.Speed) (*schedule.Schedule, error) {
	if ext == ".csv" {
		return schedule.ReadCSV(f, name, schedule.CSVOptions{})
	}
	return schedule.ReadGPX(f, name, schedule.GPXOptions{Cruise: cruise})
}

// Schedule returns the schedule that text names: a built-in one, a constant
// speed such as "constant 60 km/h", or a file, looked for in the project folder
// dir first and then from where the program runs. Errors: schedule.ErrUnknown,
// *check.Problems when the file is wrong, what the file system said.
func Schedule(dir, text string) (*schedule.Schedule, error) {
	ext := strings.ToLower(path.Ext(text))
	if ext != ".csv" && ext != ".gpx" {
		return schedule.Parse(text)
	}
	name := filepath.Join(dir, filepath.FromSlash(text))
	info, err := os.Stat(name) // before opening, which would wait on a pipe
	if errors.Is(err, fs.ErrNotExist) || filepath.IsAbs(text) {
		name = text
		info, err = os.Stat(name)
	}
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() {
		probs := &check.Problems{}
		probs.Addf(check.Pos{File: text, Line: 1, Col: 1}, "file", "a plain file is accepted", "is a %s", kindOf(info.Mode()))
		return nil, probs.Err()
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return readRoute(f, text, ext, 0)
}

// routesThere lists the files that could have been meant.
func (r *reader) routesThere(text string) string {
	var there []string
	entries, err := fs.ReadDir(r.fsys, path.Join(r.dir, "routes"))
	if err != nil {
		return "put the file into the folder routes of the project"
	}
	for _, e := range entries {
		if ext := strings.ToLower(path.Ext(e.Name())); ext == ".csv" || ext == ".gpx" {
			there = append(there, "routes/"+e.Name())
		}
	}
	if near := sheet.Nearest(text, there); near != "" {
		return "did you mean " + near + "?"
	}
	if len(there) == 0 {
		return "put the file into the folder routes of the project"
	}
	return "there are " + strings.Join(there, ", ")
}
