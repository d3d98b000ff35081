package check

import (
	"math"

	"packyard/unit"
)

// Against holds a value against a limit. The zero value of Lower is an upper
// limit.
type Against[Q unit.Quantity] struct {
	Value, Limit Q
	Lower        bool // the limit is the least that is allowed
}

// temperatureBase is where the margin of a temperature is one: 25 °C.
const temperatureBase = 298.15

// Margin returns the dimensionless distance from the limit, positive while it
// is kept, zero on it, negative when it is broken:
//
//	upper limit   (limit − value)/|limit|
//	lower limit   (value − limit)/|limit|
//	temperature   the same over |limit − 25 °C|, at least 1 K
//
// A limit of zero has no size of its own: the margin is then +1 on the good
// side, 0 on the limit and −1 beyond it.
//
// Source: common-practice; the base of the temperatures is the project's own.
func (a Against[Q]) Margin() float64 {
	room, size := float64(a.Limit-a.Value), math.Abs(float64(a.Limit))
	if a.Lower {
		room = -room
	}
	if unit.Noun[Q]() == unit.Noun[unit.Temperature]() {
		size = math.Max(math.Abs(float64(a.Limit)-temperatureBase), 1)
	}
	switch {
	case room == 0:
		return 0
	case size == 0:
		return math.Copysign(1, room)
	}
	return room / size
}

// Holds reports whether the limit is kept.
func (a Against[Q]) Holds() bool { return a.Margin() >= 0 }

// Finding returns f with value, limit and margin filled in, and raised to
// broken when the limit is not kept. A severity of f that is higher stays.
func (a Against[Q]) Finding(f Finding, broken Severity) Finding {
	f.Value, f.Limit, f.Margin = Of(a.Value), Of(a.Limit), a.Margin()
	if !a.Holds() {
		f.Severity = max(f.Severity, broken)
	}
	return f
}
