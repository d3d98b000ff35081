package bench

import (
	"fmt"
	"math"
	"slices"

	"packyard/internal/num"
	"packyard/unit"
)

// Measured is what counts of an item when a lot is graded.
type Measured struct {
	Item       Item            `json:"item"`
	Capacity   unit.Charge     `json:"capacity_as"`    // zero: not measured
	Resistance unit.Resistance `json:"resistance_ohm"` // zero: not measured
	Rated      unit.Charge     `json:"rated_as"`       // zero: not known
	New        unit.Resistance `json:"new_ohm"`        // of a new one, under the same condition; zero: not known
	Refused    []string        `json:"refused"`        // steps of the intake with a bad verdict
	Lacking    []string        `json:"lacking"`        // steps of the intake without a record
}

// GradeRules are what a lot is graded by; the zero value is the default.
type GradeRules struct {
	Health      unit.Ratio // least capacity over rated; zero: 0.6
	Growth      unit.Ratio // largest resistance over that of a new one; zero: 3
	Score       float64    // modified z-score of an outlier, dimensionless; zero: 3.5
	KeepOutside bool       // outliers are told and not rejected
	Step        unit.Ratio // width of a class of capacity, over the best of the lot; zero: 5 %
	StepOhms    unit.Ratio // width of a class of resistance, over the best of the lot; zero: 15 %
	Intake      bool       // the intake must be complete
}

// Defaults of GradeRules. Health and growth are assumptions: below six tenths a cell
// of a traction battery ages ever faster (common practice: the knee).
const (
	healthLeast  = 0.6
	growthMost   = 3
	scoreOutside = 3.5    // source: iglewicz-hoaglin-1993
	normalShare  = 0.6745 // quartile of the normal distribution, source: iglewicz-hoaglin-1993
	classStep    = 0.05   // source: assumption
	classOhms    = 0.15   // source: assumption
	outlierItems = 8      // fewest items of a lot that outliers are looked for in; source: assumption
	classesMost  = 6      // letters A to F
)

func (r GradeRules) filled() GradeRules {
	or := func(v *unit.Ratio, d unit.Ratio) {
		if *v == 0 {
			*v = d
		}
	}
	or(&r.Health, healthLeast)
	or(&r.Growth, growthMost)
	or(&r.Step, classStep)
	or(&r.StepOhms, classOhms)
	if r.Score == 0 {
		r.Score = scoreOutside
	}
	return r
}

// Graded is an item with its grade.
type Graded struct {
	Measured        `json:"measured"`
	Keep            bool       `json:"keep"`
	Class           string     `json:"class"` // "A1": capacity A to F, resistance 1 to 6; empty: rejected or not measured
	Health          unit.Ratio `json:"health_share"`
	Growth          unit.Ratio `json:"growth_share"`
	ScoreCapacity   float64    `json:"score_capacity"`   // modified z-score in its lot, dimensionless
	ScoreResistance float64    `json:"score_resistance"` // dimensionless
	Reasons         []string   `json:"reasons"`          // why it is rejected, or what to know of it
}

// Grading is a graded lot, or several.
type Grading struct {
	Items []Graded  `json:"items"`
	Lots  []LotLine `json:"lots"`
}

// LotLine is one lot in figures, of the items with a capacity.
type LotLine struct {
	Lot              string          `json:"lot"`
	Count            int             `json:"count"`
	Kept             int             `json:"kept_count"`
	CapacityMean     unit.Charge     `json:"capacity_mean_as"`
	CapacitySD       unit.Charge     `json:"capacity_deviation_as"` // with n − 1
	CapacityMedian   unit.Charge     `json:"capacity_median_as"`
	CapacityMAD      unit.Charge     `json:"capacity_mad_as"` // median of the distances from the median
	CapacityMin      unit.Charge     `json:"capacity_min_as"`
	CapacityMax      unit.Charge     `json:"capacity_max_as"`
	ResistanceMean   unit.Resistance `json:"resistance_mean_ohm"`
	ResistanceSD     unit.Resistance `json:"resistance_deviation_ohm"`
	ResistanceMedian unit.Resistance `json:"resistance_median_ohm"`
	ResistanceMAD    unit.Resistance `json:"resistance_mad_ohm"`
}

// Grade judges items by rules, lot by lot. Outliers are looked for in lots of eight
// and more; the best of a lot is the median of its best tenth, so that one odd
// figure does not shift the classes.
func Grade(list []Measured, rules GradeRules) Grading {
	rules = rules.filled()
	var g Grading
	for _, m := range list {
		g.Items = append(g.Items, Graded{Measured: m, Reasons: []string{}})
	}
	byLot := map[string][]*Graded{}
	var names []string
	for i := range g.Items {
		lot := g.Items[i].Item.Lot
		if byLot[lot] == nil {
			names = append(names, lot)
		}
		byLot[lot] = append(byLot[lot], &g.Items[i])
	}
	slices.SortFunc(names, compareLabels)
	for _, lot := range names {
		g.Lots = append(g.Lots, gradeLot(lot, byLot[lot], rules))
	}
	if g.Items == nil {
		g.Items, g.Lots = []Graded{}, []LotLine{}
	}
	return g
}

func gradeLot(lot string, items []*Graded, rules GradeRules) LotLine {
	line := LotLine{Lot: lot}
	var caps, ohms []float64
	for _, m := range items {
		if m.Capacity > 0 {
			caps = append(caps, float64(m.Capacity))
		}
		if m.Resistance > 0 {
			ohms = append(ohms, float64(m.Resistance))
		}
	}
	line.Count = len(caps)
	c, r := describe(caps), describe(ohms)
	line.CapacityMean, line.CapacitySD, line.CapacityMedian, line.CapacityMAD = unit.Charge(c.mean), unit.Charge(c.sd), unit.Charge(c.median), unit.Charge(c.mad)
	line.CapacityMin, line.CapacityMax = unit.Charge(c.least), unit.Charge(c.most)
	line.ResistanceMean, line.ResistanceSD, line.ResistanceMedian, line.ResistanceMAD = unit.Resistance(r.mean), unit.Resistance(r.sd), unit.Resistance(r.median), unit.Resistance(r.mad)
	for _, m := range items {
		m.judge(rules, c, r)
	}
	bestCap, bestOhm := best(items, func(m *Graded) float64 { return float64(m.Capacity) }, -1), best(items, func(m *Graded) float64 { return float64(m.Resistance) }, 1)
	for _, m := range items {
		if !m.Keep {
			continue
		}
		line.Kept++
		k := classOf((bestCap-float64(m.Capacity))/bestCap, float64(rules.Step))
		m.Class = string(rune('A' + k))
		if m.Resistance > 0 && bestOhm > 0 {
			m.Class += string(rune('1' + classOf((float64(m.Resistance)-bestOhm)/bestOhm, float64(rules.StepOhms))))
		}
	}
	return line
}

func classOf(off, step float64) int {
	return min(max(int(math.Floor(off/step)), 0), classesMost-1)
}

// best returns the median of the best tenth of the kept items; direction −1: large
// is good.
func best(items []*Graded, of func(*Graded) float64, direction float64) float64 {
	var x []float64
	for _, m := range items {
		if v := of(m); m.Keep && v > 0 {
			x = append(x, v*direction)
		}
	}
	if len(x) == 0 {
		return 0
	}
	slices.Sort(x)
	return num.Quantile(x[:(len(x)+9)/10], 0.5) * direction
}

// judge fills in scores, verdict and reasons.
func (m *Graded) judge(rules GradeRules, c, r description) {
	say := func(format string, args ...any) { m.Reasons = append(m.Reasons, fmt.Sprintf(format, args...)) }
	m.Keep = true
	reject := func(format string, args ...any) {
		say(format, args...)
		m.Keep = false
	}
	for _, step := range m.Refused {
		reject("refused at the intake: %s", step)
	}
	if rules.Intake && len(m.Lacking) > 0 {
		reject("the intake is not complete: %s", m.Lacking[0])
	}
	if m.Capacity <= 0 {
		reject("its capacity was not measured")
		return
	}
	if m.Rated > 0 {
		m.Health = unit.Ratio(float64(m.Capacity) / float64(m.Rated))
		if m.Health < rules.Health {
			reject("it holds %s of its rated capacity, and %s is wanted", unit.Format(m.Health, unit.SI), unit.Format(rules.Health, unit.SI))
		}
	}
	if m.New > 0 && m.Resistance > 0 {
		m.Growth = unit.Ratio(float64(m.Resistance) / float64(m.New))
		if m.Growth > rules.Growth {
			reject("its resistance is %.2f times that of a new one, and %.2f is the most", float64(m.Growth), float64(rules.Growth))
		}
	}
	outside := reject
	if rules.KeepOutside {
		outside = say
	}
	if m.ScoreCapacity = c.score(float64(m.Capacity)); m.ScoreCapacity < -rules.Score {
		outside("its capacity lies %.1f robust deviations below the median of its lot", -m.ScoreCapacity)
	}
	if m.Resistance > 0 {
		if m.ScoreResistance = r.score(float64(m.Resistance)); m.ScoreResistance > rules.Score {
			outside("its resistance lies %.1f robust deviations above the median of its lot", m.ScoreResistance)
		}
	} else {
		say("its resistance was not measured")
	}
}

// description is a sample in figures.
type description struct {
	n                                  int
	mean, sd, median, mad, least, most float64
}

func describe(x []float64) description {
	d := description{n: len(x)}
	if d.n == 0 {
		return d
	}
	x = slices.Clone(x)
	slices.Sort(x)
	d.least, d.most, d.median = x[0], x[d.n-1], num.Quantile(x, 0.5)
	for _, v := range x {
		d.mean += v / float64(d.n)
	}
	off := make([]float64, d.n)
	for i, v := range x {
		d.sd += (v - d.mean) * (v - d.mean)
		off[i] = math.Abs(v - d.median)
	}
	if d.n > 1 {
		d.sd = math.Sqrt(d.sd / float64(d.n-1))
	}
	slices.Sort(off)
	d.mad = num.Quantile(off, 0.5)
	return d
}

// score is the modified z-score, 0.6745·(x − median)/MAD; zero where the sample is
// too small or too even for one. Source: iglewicz-hoaglin-1993.
func (d description) score(x float64) float64 {
	if d.n < outlierItems || d.mad == 0 {
		return 0
	}
	return normalShare * (x - d.median) / d.mad
}
