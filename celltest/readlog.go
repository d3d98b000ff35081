package celltest

import (
	"errors"
	"fmt"
	"io"
	"slices"
)

// ErrRuns says that a log has several runs of the clock and none was chosen, or
// fewer than the chosen one.
var ErrRuns = errors.New("log has several runs of the clock")

// ReadLog reads a whole log, or one run of its clock, for the analyses: current
// positive on discharge, the time from the first row. Use Read for files that may
// not fit into memory.
//
// Errors: those of Read; *check.Problems when something must be settled first;
// ErrRuns.
func ReadLog(in io.Reader, o Reading) (*Log, *ReadReport, error) {
	l := &Log{Name: o.File}
	next := o.Rows
	o.Rows = func(r *Rows) error {
		if o.Run == 0 || o.Run == r.Run {
			l.take(r)
		}
		if next != nil {
			return next(r)
		}
		return nil
	}
	report, err := Read(in, o)
	if err != nil {
		return nil, report, err
	}
	if p := report.Stops(); p != nil {
		return nil, report, p
	}
	if o.Run == 0 && report.Runs > 1 {
		return nil, report, fmt.Errorf("%w: %s: the time goes back %d times; choose one of %d runs", ErrRuns, o.File, report.Runs-1, report.Runs)
	}
	if l.Len() == 0 {
		return nil, report, fmt.Errorf("%w: %s: run %d is wanted and there are %d", ErrRuns, o.File, o.Run, report.Runs)
	}
	l.settle(report.Positive)
	return l, report, nil
}

func (l *Log) take(r *Rows) {
	l.Line = append(l.Line, r.Line...)
	l.Time = append(l.Time, r.Time...)
	l.Voltage = append(l.Voltage, r.Voltage...)
	l.Current = append(l.Current, r.Current...)
	l.Temperature = append(l.Temperature, r.Temperature...)
	l.Charge = append(l.Charge, r.Charge...)
	l.Step = append(l.Step, r.Step...)
}

// settle turns the series into those of a Log.
func (l *Log) settle(positive Sign) {
	if positive == Charging {
		turn(l.Current)
		turn(l.Charge)
	}
	fromFirst(l.Time)
	fromFirst(l.Charge)
	if i := slices.IndexFunc(l.Temperature, func(t float64) bool { return t != 0 }); i > 0 {
		for k := range i { // the sensor came in late: its first reading stands for what was before
			l.Temperature[k] = l.Temperature[i]
		}
	} else if i < 0 {
		l.Temperature = nil
	}
}

// turn changes the sign of a series; there is no negative zero afterwards.
func turn(x []float64) {
	for i := range x {
		x[i] = 0 - x[i]
	}
}

func fromFirst(x []float64) {
	if len(x) == 0 {
		return
	}
	first := x[0]
	for i := range x {
		x[i] -= first
	}
}
