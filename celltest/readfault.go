package celltest

import (
	"fmt"
	"slices"

	"packyard/check"
)

// FaultKind names a kind of thing that can be wrong with a log.
type FaultKind string

// Kinds of faults. Those of the first group keep a file, or a row, from being read;
// the others are told, and the rows are as they stand in the file.
const (
	FaultForm      FaultKind = "form"       // no table of text: empty, binary, no rows
	FaultHeader    FaultKind = "header"     // columns that are missing, doubled or not known
	FaultFields    FaultKind = "fields"     // a line with another number of fields than the header
	FaultText      FaultKind = "text"       // text where a number belongs
	FaultMissing   FaultKind = "missing"    // an empty field where a number belongs
	FaultTruncated FaultKind = "truncated"  // the end of the file is cut off
	FaultRepeated  FaultKind = "header row" // the header stands again between the rows

	FaultBack     FaultKind = "time back"
	FaultGap      FaultKind = "gap"
	FaultRepeat   FaultKind = "repeat" // two rows of one time
	FaultReset    FaultKind = "counter reset"
	FaultCounter  FaultKind = "counter" // what the instrument counted and what the current gives differ
	FaultUnit     FaultKind = "unit"    // a unit that was assumed, or that the values speak against
	FaultSwapped  FaultKind = "swapped columns"
	FaultSign     FaultKind = "sign"
	FaultRange    FaultKind = "range"
	FaultTrailing FaultKind = "trailing delimiter"
)

// Fault is one kind of thing that is wrong with a log, with how often it was found.
type Fault struct {
	Kind    FaultKind     `json:"kind"`
	Problem check.Problem `json:"problem"` // place is that of the first
	Count   int           `json:"count"`
	Lines   []int         `json:"lines"`  // of the first few, from 1
	Stops   bool          `json:"stops"`  // the log cannot be analysed before this is settled
	NotRead int           `json:"no_row"` // lines that gave no row for it
}

// linesTold is how many lines of one kind of fault are named.
const linesTold = 5

// faultsMost bounds the kinds of faults that are kept for one file: kinds times columns.
const faultsMost = 100

// faults collects them, the same kind and path once.
type faults struct {
	file string
	list []Fault
}

// find returns the fault of a kind and path that was met before, counted once
// more, or nil. It is apart from add so that no text is made for the thousandth.
func (f *faults) again(kind FaultKind, path string, line int) bool {
	i := slices.IndexFunc(f.list, func(x Fault) bool { return x.Kind == kind && x.Problem.Path == path })
	if i < 0 {
		return len(f.list) >= faultsMost
	}
	x := &f.list[i]
	x.Count++
	if len(x.Lines) < linesTold && line > 0 {
		x.Lines = append(x.Lines, line)
	}
	return true
}

func (f *faults) add(kind FaultKind, path string, line int, hint, format string, args ...any) *Fault {
	x := Fault{Kind: kind, Count: 1, Problem: check.Problem{Path: path, Message: fmt.Sprintf(format, args...), Hint: hint, Pos: check.Pos{File: f.file, Line: line}}}
	if line > 0 {
		x.Lines = []int{line}
	}
	f.list = append(f.list, x)
	return &f.list[len(f.list)-1]
}

// stop is add for what has to be settled before an analysis.
func (f *faults) stop(kind FaultKind, path string, line int, hint, format string, args ...any) {
	f.add(kind, path, line, hint, format, args...).Stops = true
}

// lost counts a line without a row under a kind of fault.
func (f *faults) lost(kind FaultKind, path string) {
	for i := range f.list {
		if f.list[i].Kind == kind && f.list[i].Problem.Path == path {
			f.list[i].NotRead++
			return
		}
	}
}

// Text prints the fault in one line: what, how often, where.
func (f Fault) Text() string {
	s := f.Problem.Message
	if f.Problem.Path != "" {
		s = f.Problem.Path + ": " + s
	}
	if f.Count > 1 {
		s += fmt.Sprintf(", and so in %d places: lines ", f.Count)
		for i, l := range f.Lines {
			if i > 0 {
				s += ", "
			}
			s += fmt.Sprint(l)
		}
		if f.Count > len(f.Lines) {
			s += " …"
		}
	}
	return s
}
