package schedule

import (
	"fmt"
	"math"
	"slices"

	"packyard/check"
	"packyard/unit"
)

// What is made of a recorded track. Source: assumption, each of them.
const (
	pointGapMax    = 1000.0 // m between two points; beyond it the road between them is not known
	creepMax       = 0.5    // m/s; a recorder at rest wanders below it
	parkedShift    = 50.0   // m that a recorder may wander while it stands between segments
	parkedKept     = 10.0   // s of such a stand that stay on the time axis
	speedWindowMin = 4.0    // s over which the speed is averaged, at least
	speedWindowMax = 30.0   // s, at most
)

const routeHint = "a route has at least 100 m"

// route makes a Schedule of track points that were read without a problem.
type route struct {
	name, title string
	points      []trackPoint
	opt         GPXOptions
	notes       []string
	soaks       []Soak
	problems    check.Problems

	time     []float64 // s from the first point; nil without times
	distance []float64 // m on the ground from the first point
	ele      []float64 // m
	parked   float64   // m of wandering while parked, left out
}

func (t *route) schedule() (*Schedule, error) {
	t.measure()
	if err := t.problems.Err(); err != nil {
		return nil, err
	}
	last := len(t.distance) - 1
	if t.distance[last] < routeLengthMin {
		return nil, t.refuse(routeHint, "the track is %.1f m long", t.distance[last])
	}
	s := &Schedule{ID: baseName(t.name), Title: t.title, Source: t.name}
	if s.Title == "" {
		s.Title = s.ID
	}
	t.notes = append(t.notes, "distance measured from point to point on the WGS-84 ellipsoid")
	var err error
	if t.time == nil {
		err = t.cruise(s)
	} else {
		err = t.follow(s)
	}
	if err != nil {
		return nil, err
	}
	s.Soaks, s.Notes = t.soaks, append(t.notes, s.Notes...)
	if err := s.Validate(); err != nil {
		return nil, fmt.Errorf("%s: %w", t.name, err)
	}
	return s, nil
}

// refuse is a single problem of the whole file.
func (t *route) refuse(hint, format string, args ...any) error {
	t.problems.Addf(check.Pos{File: t.name, Line: 1, Col: 1}, "trk", hint, format, args...)
	return t.problems.Err()
}

// measure fills time, distance and elevation, joins the segments and drops
// points that are written twice.
func (t *route) measure() {
	timed := t.points[0].timed
	var clock, way float64
	doubled, joins := 0, 0
	for i, p := range t.points {
		if i > 0 {
			before := t.points[i-1]
			if samePlace(before, p) && before.timed == p.timed && before.time.Equal(p.time) {
				doubled++
				continue
			}
			step := groundLength(before.lat, before.lon, p.lat, p.lon)
			if step > pointGapMax {
				t.problems.Addf(p.pos, "trkpt", fmt.Sprintf("points are at most %g m apart; record or plan the road between them", pointGapMax),
					"track point %d is %.0f m from the one before", i+1, step)
			}
			if p.segment != before.segment {
				joins++
			}
			pause := p.time.Sub(before.time).Seconds()
			if timed && p.segment != before.segment && step <= parkedShift && step <= creepMax*pause && pause > parkedKept {
				t.soaks = append(t.soaks, Soak{At: unit.Time(clock + parkedKept/2), Duration: unit.Time(pause - parkedKept)})
				t.parked += step
				pause, step = parkedKept, 0
			}
			if timed && step > float64(SpeedMax)*pause {
				t.problems.Addf(p.pos, "trkpt", fmt.Sprintf("a speed is at most %.0f km/h", SpeedMax.KilometresPerHour()),
					"track point %d jumps %.0f m in %g s", i+1, step, pause)
			}
			clock, way = clock+pause, way+step
		}
		t.distance, t.ele = append(t.distance, way), append(t.ele, p.ele)
		if timed {
			t.time = append(t.time, clock)
		}
	}
	if doubled > 0 {
		t.notes = append(t.notes, counted(doubled, "track point")+" dropped that repeat the one before in place and time")
	}
	if joins > 0 {
		t.notes = append(t.notes, fmt.Sprintf("%d segments joined by straight lines", joins+1))
	}
	for _, k := range t.soaks {
		t.notes = append(t.notes, fmt.Sprintf("a stand of %.0f s between segments at %.0f s is left out of the time", float64(k.Duration), float64(k.At)))
	}
}

// cruise drives a track without times at the stated speed along the road. The
// last step ends with the track and may be shorter than a second.
func (t *route) cruise(s *Schedule) error {
	v := float64(t.opt.Cruise)
	if v == 0 {
		return t.refuse("state the cruising speed at which it is driven, or use a recorded track", "the track has no times")
	}
	p, climbRaw := newProfile(t.distance, t.ele, t.opt.ElevationWindow)
	whole := t.distance[len(t.distance)-1]
	if whole/v > rowsMax/2 {
		return t.refuse("it is shorter", "the track is %.0f km long", whole/1000)
	}
	limited := 0
	s.Time, s.Speed = []float64{0}, []float64{v}
	for x, now := 0.0, 0.0; x < whole; {
		// The ground covered in a step depends on the grade over it and the grade
		// on the ground; the slope underfoot is the first guess, three repetitions
		// settle it.
		dt, next := 1.0, x
		grade := limitGrade(p.slope(x, x), new(int))
		for range 3 {
			next = math.Min(whole, x+v*dt*cosineOf(grade))
			grade = limitGrade(p.slope(x, next), new(int))
		}
		if next >= whole-standstillLength {
			dt, next = (whole-x)/(v*cosineOf(grade)), whole
		}
		s.Grade = append(s.Grade, limitGrade(p.slope(x, next), &limited))
		x, now = next, now+dt
		s.Time, s.Speed = append(s.Time, now), append(s.Speed, v)
	}
	s.Grade = append(s.Grade, s.Grade[len(s.Grade)-1])
	t.notes = append(t.notes, fmt.Sprintf("no times in the track: driven at the stated %.4g km/h", v*3.6))
	s.noteElevation(p, t.opt.ElevationWindow, climbRaw, limited)
	return nil
}

// follow makes speeds of the recorded times, in steps of one second, and
// grades of the elevation at the distance they have covered.
func (t *route) follow(s *Schedule) error {
	last := len(t.time) - 1
	if t.time[last] > rowsMax-2 {
		return t.refuse("a schedule lasts at most seven days", "the track lasts %.0f h", t.time[last]/3600)
	}
	window := t.speedWindow()
	n := int(math.Ceil(t.time[last])) + 1
	s.Time, s.Speed = make([]float64, n), t.meanSpeeds(n, window)
	for i := range n {
		s.Time[i] = float64(i)
	}
	before, _ := s.sums()
	crept := 0
	for i, v := range s.Speed {
		if v > 0 && v < creepMax {
			s.Speed[i] = 0
			crept++
		}
	}
	ground, _ := s.sums()
	t.notes = append(t.notes, fmt.Sprintf("speed is the mean over %g s of the distance between points", window))
	if crept > 0 {
		t.notes = append(t.notes, fmt.Sprintf("%d speeds below %g km/h count as standstill, which leaves out %.0f m", crept, creepMax*3.6, before[n-1]-ground[n-1]))
	}
	if t.parked > 0 {
		t.notes = append(t.notes, fmt.Sprintf("%.0f m between segments that end where the next begins are left out", t.parked))
	}
	// Each elevation belongs to the distance that the schedule has covered when
	// the point was recorded, so hills stay where they are along it.
	at := make([]float64, len(t.time))
	for k, now := range t.time {
		i := min(int(now), n-2)
		v := s.Speed[i] + (now-float64(i))*(s.Speed[i+1]-s.Speed[i])
		at[k] = ground[i] + (s.Speed[i]+v)/2*(now-float64(i))
	}
	if whole := ground[n-1]; whole < routeLengthMin {
		return t.refuse(routeHint, "the vehicle moves over %.1f m only, standstill left out", whole)
	}
	p, climbRaw := newProfile(at, t.ele, t.opt.ElevationWindow)
	limited := 0
	s.Grade = make([]float64, n)
	for i := range n {
		s.Grade[i] = limitGrade(p.slope(ground[i], ground[min(i+1, n-1)]), &limited)
	}
	s.alongRoad()
	s.noteElevation(p, t.opt.ElevationWindow, climbRaw, limited)
	return nil
}

// speedWindow is an even number of seconds, at least twice the usual time
// between points, so that every mean spans more than one of them.
func (t *route) speedWindow() float64 {
	steps := make([]float64, len(t.time)-1)
	for i := range steps {
		steps[i] = t.time[i+1] - t.time[i]
	}
	slices.Sort(steps)
	usual := steps[len(steps)/2]
	return math.Max(speedWindowMin, math.Min(2*math.Ceil(usual), speedWindowMax))
}

// meanSpeeds returns the mean speed over a window around each whole second,
// cut off at the ends of the track, scaled so that the distance is kept.
func (t *route) meanSpeeds(n int, window float64) []float64 {
	end := t.time[len(t.time)-1]
	ahead, behind := walker{t: t}, walker{t: t}
	out := make([]float64, n)
	sum := 0.0
	for i := range out {
		lo, hi := math.Max(0, float64(i)-window/2), math.Min(end, float64(i)+window/2)
		if hi > lo {
			out[i] = (ahead.distance(hi) - behind.distance(lo)) / (hi - lo)
		}
		if i > 0 {
			sum += (out[i-1] + out[i]) / 2
		}
	}
	if sum > 0 {
		for i := range out {
			out[i] *= t.distance[len(t.distance)-1] / sum
		}
	}
	return out
}

// walker looks up distances at rising times.
type walker struct {
	t *route
	i int
}

func (w *walker) distance(now float64) float64 {
	time, way := w.t.time, w.t.distance
	for w.i < len(time)-2 && time[w.i+1] < now {
		w.i++
	}
	i := w.i
	return way[i] + (now-time[i])/(time[i+1]-time[i])*(way[i+1]-way[i])
}

// alongRoad turns the speeds over ground of s into speeds along the road, which
// are longer by 1/cos θ; a row takes the mean of the steps at both its sides.
func (s *Schedule) alongRoad() {
	longer := func(i int) float64 { return 1 / cosineOf(s.Grade[max(0, min(i, len(s.Grade)-2))]) }
	for i := range s.Speed {
		s.Speed[i] *= (longer(i-1) + longer(i)) / 2
	}
}

func limitGrade(grade float64, limited *int) float64 {
	if math.Abs(grade) > GradeMax {
		*limited++
		return math.Copysign(GradeMax, grade)
	}
	return grade
}
