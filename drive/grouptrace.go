package drive

import (
	"math"

	"packyard/unit"
)

// GroupTrace holds what the groups did in a run, one entry per step, values at
// the end of the step unless said; and, every so often, all groups at once.
// It goes with Trace, whose columns have the same length.
type GroupTrace struct {
	Time           []float64 // s
	VoltageMin     []float64 // V, of the weakest group
	GroupMin       []int     // which it is
	VoltageMax     []float64 // V, of the strongest group
	GroupMax       []int
	TemperatureMax []float64 // K
	Hottest        []int
	TemperatureMin []float64 // K
	Coldest        []int
	Heat           []float64 // W of all cells, mean over the step

	Every       unit.Time // between two views of all groups; zero: none
	Count       int       // groups in a view
	ViewTime    []float64 // s, one entry per view
	Voltage     []float64 // V, Count entries per view
	Charge      []float64 // 0…1 of each group's own capacity, dimensionless, likewise
	Temperature []float64 // K, likewise

	due float64 // s
}

func (t *GroupTrace) clear(c *groupCells) {
	for _, f := range []*[]float64{&t.Time, &t.VoltageMin, &t.VoltageMax, &t.TemperatureMax, &t.TemperatureMin, &t.Heat,
		&t.ViewTime, &t.Voltage, &t.Charge, &t.Temperature} {
		*f = (*f)[:0]
	}
	for _, g := range []*[]int{&t.GroupMin, &t.GroupMax, &t.Hottest, &t.Coldest} {
		*g = (*g)[:0]
	}
	t.Count, t.due = c.count, 0
	t.view(c)
}

// view adds all groups at the present time when that is due.
func (t *GroupTrace) view(c *groupCells) {
	if !(t.Every > 0) || c.time < t.due-1e-9 {
		return
	}
	t.due += float64(t.Every)
	t.ViewTime = append(t.ViewTime, c.time)
	t.Voltage = append(t.Voltage, c.volt...)
	t.Temperature = append(t.Temperature, c.fixed.temp...)
	for _, x := range c.now.x {
		t.Charge = append(t.Charge, x/c.full)
	}
}

func (t *GroupTrace) add(c *groupCells) {
	s := &c.seen
	heat := 0.0
	for _, q := range c.heat {
		heat += q
	}
	t.Time = append(t.Time, c.time)
	t.VoltageMin, t.GroupMin = append(t.VoltageMin, c.sum.low), append(t.GroupMin, c.sum.atLow)
	t.VoltageMax, t.GroupMax = append(t.VoltageMax, c.sum.high), append(t.GroupMax, c.sum.atHigh)
	t.TemperatureMax, t.Hottest = append(t.TemperatureMax, s.hotNow), append(t.Hottest, s.atHotNow)
	t.TemperatureMin, t.Coldest = append(t.TemperatureMin, s.coldNow), append(t.Coldest, s.atColdNow)
	t.Heat = append(t.Heat, heat)
	t.view(c)
}

// groupSeen are the extremes of a run.
type groupSeen struct {
	low, high           float64 // V
	atLow, atHigh       int
	hot, cold           float64 // K
	atHot, atCold       int
	hotNow, coldNow     float64 // K, of the last step
	atHotNow, atColdNow int
}

func newGroupSeen() groupSeen {
	return groupSeen{low: math.Inf(1), high: math.Inf(-1), hot: math.Inf(-1), cold: math.Inf(1)}
}

func (s *groupSeen) add(c *groupCells) {
	if c.sum.low < s.low {
		s.low, s.atLow = c.sum.low, c.sum.atLow
	}
	if c.sum.high > s.high {
		s.high, s.atHigh = c.sum.high, c.sum.atHigh
	}
	s.temperatures(c)
}

func (s *groupSeen) temperatures(c *groupCells) {
	s.hotNow, s.coldNow = math.Inf(-1), math.Inf(1)
	for i, t := range c.fixed.temp {
		if t > s.hotNow {
			s.hotNow, s.atHotNow = t, i
		}
		if t < s.coldNow {
			s.coldNow, s.atColdNow = t, i
		}
	}
	if s.hotNow > s.hot {
		s.hot, s.atHot = s.hotNow, s.atHotNow
	}
	if s.coldNow < s.cold {
		s.cold, s.atCold = s.coldNow, s.atColdNow
	}
}
