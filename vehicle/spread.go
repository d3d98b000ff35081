package vehicle

import (
	"math"

	"packyard/unit"
)

// spreadShare is how many standard deviations a finding must hold over: two,
// about 95 % of a normal spread. Common practice.
const spreadShare = 2

// spreadAxle enters the spread of a weighed axle load.
func (s *State) spreadAxle(tol unit.Mass, kind unit.SpreadKind, front bool, left float64) {
	if tol == 0 || kind == unit.NoSpread {
		return
	}
	l := Loads{Mass: tol}
	right := 1 - left
	if front {
		l.AxleFront, l.WheelFrontLeft, l.WheelFrontRight = tol, tol*unit.Mass(left), tol*unit.Mass(right)
	} else {
		l.AxleRear, l.WheelRearLeft, l.WheelRearRight = tol, tol*unit.Mass(left), tol*unit.Mass(right)
	}
	s.spread(l, kind)
}

// spreadItem enters the spread of an item's mass; its position counts as exact.
func (s *State) spreadItem(it Item) {
	if it.MassTol == 0 || it.MassKind == unit.NoSpread {
		return
	}
	it.Mass = it.MassTol
	s.spread(it.loads(*s), it.MassKind)
}

// spread adds bands up and deviations in the root of the sum of squares.
func (s *State) spread(l Loads, kind unit.SpreadKind) {
	if kind == unit.Band {
		s.Band = s.Band.with(l, func(a, b float64) float64 { return a + math.Abs(b) })
		return
	}
	s.Deviation = s.Deviation.with(l, math.Hypot)
}

func (l Loads) with(o Loads, f func(a, b float64) float64) Loads {
	g := func(a, b unit.Mass) unit.Mass { return unit.Mass(f(float64(a), float64(b))) }
	return Loads{g(l.Mass, o.Mass), g(l.AxleFront, o.AxleFront), g(l.AxleRear, o.AxleRear),
		g(l.WheelFrontLeft, o.WheelFrontLeft), g(l.WheelFrontRight, o.WheelFrontRight),
		g(l.WheelRearLeft, o.WheelRearLeft), g(l.WheelRearRight, o.WheelRearRight)}
}

// Tolerance returns the half width over which a finding on s must hold: the
// hard bands at their worst plus two standard deviations of what is left. Zero
// when no mass was given with a spread.
func (s State) Tolerance() Loads {
	return s.Band.with(s.Deviation, func(a, b float64) float64 { return a + spreadShare*b })
}
