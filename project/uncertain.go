package project

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"packyard/check"
	"packyard/design"
	"packyard/internal/sheet"
	"packyard/unit"
)

// setter puts the value v, SI, into a brief in which the input is was; at holds
// the indices of the path.
type setter func(b *design.Brief, v, was float64, at []int)

// uncertain lists what was written with a spread: in the project file, then in
// the files of parts. Every such value is listed; one that range and energy do
// not depend on says what becomes of its spread.
func (r *reader) uncertain() {
	leaves, _ := sheet.Leaves(&r.file)
	for i := range leaves {
		if l := &leaves[i]; l.Kind != unit.NoSpread {
			r.brief.Uncertain = append(r.brief.Uncertain, r.uncertainOf(l))
		}
	}
	for i := range r.partLeaves {
		r.brief.Uncertain = append(r.brief.Uncertain, r.uncertainPart(&r.partLeaves[i])...)
	}
}

// statedOf returns the distribution of a value. What was written is accepted,
// though it lie between an end that is taken out and its stand-in.
func statedOf(l *sheet.Leaf) check.Stated {
	s := check.Stated{Value: l.Value, Tol: l.Spread, Kind: l.Kind, Accepted: l.Ends}
	if s.Accepted != (check.Span{}) {
		s.Accepted.Low, s.Accepted.High = min(s.Accepted.Low, s.Value.SI), max(s.Accepted.High, s.Value.SI)
	}
	return s
}

var indexForm = regexp.MustCompile(`\[(\d+)\]`)

// patternOf takes the indices out of a path: "bays[2].box_mass" is
// "bays[].box_mass" with 2.
func patternOf(path string) (pattern string, at []int) {
	for _, m := range indexForm.FindAllStringSubmatch(path, -1) {
		n, err := strconv.Atoi(m[1])
		if err != nil {
			return path, nil
		}
		at = append(at, n)
	}
	return indexForm.ReplaceAllString(path, "[]"), at
}

func (r *reader) uncertainOf(l *sheet.Leaf) design.Uncertain {
	pattern, at := patternOf(l.Path)
	u := design.Uncertain{Path: l.Path, Text: l.Text, Pos: l.Pos, Stated: statedOf(l)}
	if u.Why = r.replaced(pattern); u.Why != "" {
		return u
	}
	was := l.Value.SI
	switch set, factor := setters()[pattern], factors()[pattern]; {
	case set != nil:
		u.Set = func(b *design.Brief, v float64) { set(b, v, was, at) }
	case factor != nil && was == 0:
		u.Why = "a factor that is stated as zero is taken as stated"
		return u
	case factor != nil:
		u.Set = func(b *design.Brief, v float64) { factor(b, v, was, at) }
	default:
		u.Why = whyNot(pattern)
		return u
	}
	switch {
	case strings.HasPrefix(pattern, "sources[]."):
		u.Source = at[0] + 1
	case strings.HasPrefix(pattern, "bays[]."):
		u.Bay = at[0] + 1
	case strings.HasPrefix(pattern, "targets.end_of_life."):
		u.Life = true
	case strings.HasPrefix(pattern, "drive.auxiliaries.loads[]."):
		at[0] += len(r.brief.Drive.Auxiliary.Loads) - len(r.file.Drive.Auxiliaries.Loads) // those of the table come first
	}
	return u
}

// replaced says what takes the place of a value that was written beside another.
func (r *reader) replaced(pattern string) string {
	f := &r.file
	weighed := f.Donor.Weighed.FrontLeft.IsGiven()
	switch {
	case pattern == "road.drag_coefficient" && f.Road.DragArea.IsGiven(), pattern == "road.frontal_area" && f.Road.DragArea.IsGiven():
		return "drag_area takes its place"
	case pattern == "donor.weighed.front" && weighed, pattern == "donor.weighed.rear" && weighed:
		return "the four wheels take its place"
	case pattern == "donor.weighed.total":
		return "it is compared with the axles and not computed with"
	case strings.HasPrefix(pattern, "drive.auxiliaries.") && pattern != "drive.auxiliaries.measured" && r.brief.Drive.Auxiliary.Measured > 0:
		return "the measured power takes its place"
	}
	return ""
}

// whyNot says why the spread of a value does not enter range and energy.
func whyNot(pattern string) string {
	switch {
	case strings.HasPrefix(pattern, "donor.load_cases[]."):
		return "it enters gross mass and axle loads, whose findings say whether they hold over it; the load of the range runs is road.driver"
	case strings.HasPrefix(pattern, "donor.ratings."), strings.HasPrefix(pattern, "drive.inverter_window."), strings.HasSuffix(pattern, "_max"), strings.HasSuffix(pattern, "_limit"):
		return "limits are taken as stated"
	case strings.HasPrefix(pattern, "bays[]."):
		return "places of modules are found with the stated sizes"
	case strings.HasPrefix(pattern, "targets."):
		return "wishes are taken as stated"
	}
	return "range and energy do not depend on it, or are computed with the stated value"
}

// partLeaf is a value of a file of parts.
type partLeaf struct {
	sheet.Leaf
	id string // of the entry that holds it
}

// partLeavesOf returns what was written with a spread in a file of parts.
func partLeavesOf(f *PartsFile) []partLeaf {
	leaves, _ := sheet.Leaves(f)
	ids := map[string]string{}
	for i := range leaves {
		if entry, found := strings.CutSuffix(leaves[i].Path, ".id"); found {
			ids[entry] = leaves[i].Text
		}
	}
	var out []partLeaf
	for i := range leaves {
		if l := leaves[i]; l.Kind != unit.NoSpread {
			entry, _, _ := strings.Cut(l.Path, ".")
			out = append(out, partLeaf{l, ids[entry]})
		}
	}
	return out
}

// uncertainPart returns an input for each use of a value of a part: one, or one
// for each source that a cell is in.
func (r *reader) uncertainPart(l *partLeaf) []design.Uncertain {
	pattern, _ := patternOf(l.Path)
	base := design.Uncertain{Path: "parts: " + l.id + indexForm.ReplaceAllString(strings.TrimPrefix(pattern, entryOf(pattern)), ""), Text: l.Text, Pos: l.Pos, Stated: statedOf(&l.Leaf)}
	var out []design.Uncertain
	add := func(source int, set func(b *design.Brief, v float64)) {
		u := base
		u.Source, u.Set = source, set
		out = append(out, u)
	}
	if set := deviceSetters()[pattern]; set != nil && l.id == deviceID(r.brief, entryOf(pattern)) {
		add(0, set)
	}
	if set := cellSetters()[pattern]; set != nil {
		for i := range r.brief.Sources {
			s := &r.brief.Sources[i]
			if loose := s.Cell != nil; loose && s.Cell.ID == l.id || !loose && pattern != "cells[].mass" && s.Module.Slice.Cell.ID == l.id {
				add(i+1, func(b *design.Brief, v float64) { set(b, v, i) })
			}
		}
	}
	if len(out) == 0 {
		base.Why = "range and energy do not depend on it, or the part is not in use; what a curve may be off is stated as resistance_growth and state_of_health of the source"
		out = append(out, base)
	}
	return out
}

// entryOf returns the list of a pattern, "cells[]".
func entryOf(pattern string) string {
	entry, _, _ := strings.Cut(pattern, ".")
	return entry
}

// deviceID returns the part of a list that the project uses.
func deviceID(b *design.Brief, list string) string {
	d := &b.Drive
	switch {
	case list == "chargers[]" && d.Charger != nil:
		return d.Charger.ID
	case list == "converters[]" && d.Converter != nil:
		return d.Converter.ID
	case list == "inverters[]":
		return d.Inverter.ID
	case list == "drive_units[]":
		return d.Unit.ID
	}
	return fmt.Sprint("none of ", list)
}
