package schedule

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"packyard/check"
	"packyard/unit"
)

// gpxPoint is a point of a track that a test writes.
type gpxPoint struct{ lat, lon, ele, time float64 } // degree, degree, m, s

// gpxText writes segments as GPX 1.1; ele and time NaN are left out.
func gpxText(segments ...[]gpxPoint) string {
	var b strings.Builder
	b.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"test\" xmlns=\"http://www.topografix.com/GPX/1/1\">\n<trk><name>Ridge road</name>\n")
	start := time.Date(2024, 5, 1, 8, 0, 0, 0, time.UTC)
	for _, segment := range segments {
		b.WriteString("<trkseg>\n")
		for _, p := range segment {
			fmt.Fprintf(&b, `<trkpt lat="%.10f" lon="%.10f">`, p.lat, p.lon)
			if !math.IsNaN(p.ele) {
				fmt.Fprintf(&b, "<ele>%.6f</ele>", p.ele)
			}
			if !math.IsNaN(p.time) {
				fmt.Fprintf(&b, "<time>%s</time>", start.Add(time.Duration(p.time*1e9)).Format(time.RFC3339Nano))
			}
			b.WriteString("</trkpt>\n")
		}
		b.WriteString("</trkseg>\n")
	}
	b.WriteString("</trk></gpx>\n")
	return b.String()
}

func readGPX(text string, opt GPXOptions) (*Schedule, error) {
	return ReadGPX(strings.NewReader(text), "routes/ridge.gpx", opt)
}

// metresNorth is a latitude in degrees so many metres north of the equator.
func metresNorth(m float64) float64 { return m / groundLength(0, 0, 0.001, 0) * 0.001 }

// northward is a track along the meridian 7° E with one point for each second.
func northward(n int, distance, elevation func(t float64) float64) []gpxPoint {
	var out []gpxPoint
	for i := range n {
		out = append(out, gpxPoint{metresNorth(distance(float64(i))), 7, elevation(float64(i)), float64(i)})
	}
	return out
}

func TestGroundLengthMatchesPublishedLengthsOfTheEllipsoid(t *testing.T) {
	t.Parallel()
	along := func(lat0, lon0, lat1, lon1 float64, parts int) float64 {
		sum := 0.0
		for i := range parts {
			a, b := float64(i)/float64(parts), float64(i+1)/float64(parts)
			sum += groundLength(lat0+a*(lat1-lat0), lon0+a*(lon1-lon0), lat0+b*(lat1-lat0), lon0+b*(lon1-lon0))
		}
		return sum
	}
	quarter := along(0, 0, 90, 0, 9000)
	near(t, "equator to pole", quarter, 10001965.729, 1e-9, "WGS-84 quarter meridian, from memory; sum of 9000 steps")
	near(t, "degree of longitude on the equator", along(0, 10, 0, 11, 100), 6378137*math.Pi/180, 1e-12, "WGS-84 definition of the semi-major axis")
	// The international nautical mile is near the mean minute of the meridian, of
	// which it was meant to be a round figure: 0.22 m or 0.012 % apart.
	near(t, "mean minute of latitude", quarter/5400, 1852, 1.5e-4, "nautical mile, 1852 m by definition (SI brochure)")
	near(t, "minute of latitude at 45 degrees", along(45-1./120, 7, 45+1./120, 7, 10), 1852, 2e-4, "nautical mile, 1852 m by definition (SI brochure)")
	near(t, "degree of latitude at the equator", along(-0.5, 0, 0.5, 0, 100), 110574, 1e-5, "table of degree lengths on WGS-84, from memory, printed to 1 m")
	near(t, "degree of latitude at the pole", along(89, 0, 90, 0, 100), 111694, 1e-5, "table of degree lengths on WGS-84, from memory, printed to 1 m")
	if a, b := groundLength(10, 179.999, 10, -179.999), groundLength(10, 0, 10, 0.002); math.Abs(a-b) > 1e-6 {
		t.Errorf("across the 180th meridian %g m, want %g m", a, b)
	}
}

// The worked example of the inverse problem over 55 km, far longer than any
// step of a track; its ellipsoid (GRS 80) differs by 0.1 mm in the minor axis.
func TestGroundLengthMatchesWorkedGeodesic(t *testing.T) {
	t.Parallel()
	dms := func(d, m, s float64) float64 { return d + m/60 + s/3600 }
	got := groundLength(-dms(37, 57, 3.72030), dms(144, 25, 29.52440), -dms(37, 39, 10.15610), dms(143, 55, 35.38390))
	// The formula promises (55/6371)²/24, 3e-6.
	near(t, "Flinders Peak to Buninyong", got, 54972.271, 3.2e-6, "Geocentric Datum of Australia technical manual, Vincenty example, from memory")
}

func TestTrackOfConstantSpeedAndGradeComesBackAsDriven(t *testing.T) {
	t.Parallel()
	const speed, grade = 15.0, 0.06 // over ground
	s, err := readGPX(gpxText(northward(201, func(t float64) float64 { return speed * t }, func(t float64) float64 { return 200 + grade*speed*t })), GPXOptions{})
	if err != nil {
		t.Fatal(err)
	}
	road := speed / cosineOf(grade)
	for i := range s.Time {
		// Positions are written to 1e-10 degrees, elevations to 1e-6 m.
		if math.Abs(s.Speed[i]-road) > 1e-4 || math.Abs(s.Grade[i]-grade) > 1e-6 {
			t.Fatalf("row %d: %g m/s and grade %g, want %g and %g, source: closed form", i, s.Speed[i], s.Grade[i], road, grade)
		}
	}
	f := s.Figures()
	near(t, "distance along the road", float64(f.Distance), road*200, 1e-6, "closed form")
	near(t, "climb", float64(f.Climb), grade*speed*200, 1e-6, "closed form")
	if s.Title != "Ridge road" || s.ID != "ridge" || float64(f.Duration) != 200 {
		t.Errorf("title %q, ID %q, duration %g s", s.Title, s.ID, float64(f.Duration))
	}
}

// A sine hill, z = A(1−cos kx)/2, under the moving mean over 2m+1 grid points of
// spacing h keeps its shape and loses height by the factor of Dirichlet's
// kernel, sin((2m+1)kh/2) / ((2m+1) sin(kh/2)).
func TestSmoothedSineHillMatchesClosedForm(t *testing.T) {
	t.Parallel()
	const height, wave, speed = 80.0, 1600.0, 10.0
	k := 2 * math.Pi / wave
	hill := func(t float64) float64 { return 100 + height*(1-math.Cos(k*speed*t))/2 }
	s, err := readGPX(gpxText(northward(481, func(t float64) float64 { return speed * t }, hill)), GPXOptions{ElevationWindow: 200})
	if err != nil {
		t.Fatal(err)
	}
	const h, m = 10.0, 10
	kept := math.Sin((2*m+1)*k*h/2) / ((2*m + 1) * math.Sin(k*h/2))
	for i, g := range s.Grade {
		if i < 15 || i > 465 {
			continue // the window is cut off at the ends
		}
		// The grade of a step is the mean slope over its 10 m.
		x := speed * (float64(i) + 0.5)
		want := kept * height / 2 * k * math.Sin(k*x) * math.Sin(k*h/2) / (k * h / 2)
		if math.Abs(g-want) > 2e-5 {
			t.Fatalf("row %d: grade %.6f, want %.6f within 2e-5 of grade, source: closed form", i, g, want)
		}
	}
	near(t, "climb as recorded", float64(s.ClimbRaw), 3*height, 1e-6, "closed form")
	if c := float64(s.Figures().Climb); c > 3*height*1.001 || c < 3*height*kept*0.98 {
		t.Errorf("climb %g m, want between %g and %g m", c, 3*height*kept*0.98, 3*height)
	}
}

// White noise of 1.5 m on every elevation makes some hundred metres of climb on
// a level road; the window takes nearly all of it away.
func TestSmoothingTakesTheClimbOfNoiseAway(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(1, 2))
	s, err := readGPX(gpxText(northward(601, func(t float64) float64 { return 10 * t }, func(float64) float64 { return 300 + 1.5*rng.NormFloat64() })), GPXOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if s.ClimbRaw < 400 || s.Figures().Climb > 0.08*s.ClimbRaw {
		t.Errorf("climb %g m as recorded and %g m after, want above 400 m and below a twelfth of it", float64(s.ClimbRaw), float64(s.Figures().Climb))
	}
	raw, err := readGPX(gpxText(northward(101, func(t float64) float64 { return 10 * t }, func(t float64) float64 { return 300 + math.Mod(t, 2) })), GPXOptions{ElevationWindow: 10})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "climb without smoothing", float64(raw.Figures().Climb), 50, 1e-3, "arithmetic: 50 rises of 1 m")
	if !contains(strings.Join(raw.Notes, "\n"), "not smoothed") {
		t.Errorf("notes %q do not say that nothing was smoothed", raw.Notes)
	}
}

func TestStopOnATrackIsStandstillAndKeepsTheHillInPlace(t *testing.T) {
	t.Parallel()
	rng := rand.New(rand.NewPCG(3, 4))
	// 60 s at 12 m/s, 60 s of standing with a recorder that wanders, 60 s at 12 m/s;
	// the hill of 30 m begins behind the stop.
	way := func(t float64) float64 {
		if t > 60 && t < 120 {
			return 720 + 0.05*rng.Float64()
		}
		return 12 * math.Min(t, math.Max(60, t-60))
	}
	ele := func(t float64) float64 { return 50 + 30*math.Max(0, math.Min(1, (t-130)/30)) }
	s, err := readGPX(gpxText(northward(181, way, ele)), GPXOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if s.Figures().Stops != 1 {
		t.Errorf("%d stops, want 1", s.Figures().Stops)
	}
	for i := 65; i < 115; i++ {
		if s.Speed[i] != 0 {
			t.Fatalf("%g m/s at %d s, want standstill", s.Speed[i], i)
		}
	}
	near(t, "distance", float64(s.Figures().Distance), 1440, 0.002, "closed form; speeds below 1.8 km/h are left out")
	near(t, "steepest", s.Grade[145], 30/(30*12.0), 0.01, "closed form")
	if math.Abs(s.Grade[30]) > 1e-6 {
		t.Errorf("grade %g before the hill", s.Grade[30])
	}
}

func TestSegmentsThatMeetAreJoinedAndTheStandBetweenIsASoak(t *testing.T) {
	t.Parallel()
	level := func(float64) float64 { return 10 }
	a := northward(101, func(t float64) float64 { return 10 * t }, level)
	b := northward(101, func(t float64) float64 { return 1003 + 10*t }, level)
	for i := range b {
		b[i].time += 100 + 1800
	}
	s, err := readGPX(gpxText(a, b), GPXOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Soaks) != 1 || s.Soaks[0].Duration != 1790 || s.Soaks[0].At != 105 {
		t.Errorf("soaks %+v, want one of 1790 s at 105 s", s.Soaks)
	}
	if f := s.Figures(); f.Duration != 210 || f.Stops != 1 {
		t.Errorf("figures %+v, want 210 s and one stop", f)
	}
	near(t, "distance", float64(s.Figures().Distance), 2000, 0.003, "closed form; speeds below 1.8 km/h are left out")
	// The same gap driven through at speed is a part of the road.
	for i := range b {
		b[i].time -= 1799
		b[i].lat += metresNorth(7)
	}
	s, err = readGPX(gpxText(a, b), GPXOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Soaks) != 0 || s.Figures().Stops != 0 || !contains(strings.Join(s.Notes, "\n"), "2 segments joined") {
		t.Errorf("soaks %+v, stops %d, notes %q", s.Soaks, s.Figures().Stops, s.Notes)
	}
	near(t, "distance", float64(s.Figures().Distance), 2010, 1e-6, "closed form")
}

func TestPlannedTrackIsDrivenAtTheStatedSpeed(t *testing.T) {
	t.Parallel()
	points := northward(101, func(t float64) float64 { return 50 * t }, func(t float64) float64 { return 5 * t })
	for i := range points {
		points[i].time = math.NaN()
	}
	s, err := readGPX(gpxText(points), GPXOptions{Cruise: 54 * unit.KilometrePerHour})
	if err != nil {
		t.Fatal(err)
	}
	f, road := s.Figures(), 5000/cosineOf(0.1)
	near(t, "distance", float64(f.Distance), road, 1e-6, "closed form")
	near(t, "duration", float64(f.Duration), road/15, 1e-6, "closed form")
	near(t, "climb", float64(f.Climb), 500, 1e-6, "closed form")
	near(t, "maximum", float64(f.Max), 15, 1e-12, "as stated")
	r, err := s.Resample(1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "distance in even steps", float64(r.Figures().Distance), road, 15/road, "the last step is filled up")
	if _, err := readGPX(gpxText(points), GPXOptions{}); err == nil || !contains(err.Error(), "the track has no times: state the cruising speed") {
		t.Errorf("without a speed: got %v", err)
	}
	for _, v := range []unit.Speed{-1, 1, 100, unit.Speed(math.NaN())} {
		if _, err := readGPX(gpxText(points), GPXOptions{Cruise: v}); err == nil || !contains(err.Error(), "between 5 and 300 km/h") {
			t.Errorf("cruising at %g: got %v", float64(v), err)
		}
	}
	for _, w := range []unit.Length{-1, 2001, unit.Length(math.NaN())} {
		if _, err := readGPX(gpxText(points), GPXOptions{Cruise: 10, ElevationWindow: w}); err == nil || !contains(err.Error(), "at most 2000 m") {
			t.Errorf("window of %g: got %v", float64(w), err)
		}
	}
}

// A spike of the recorder is steeper than any road.
func TestGradeOfASpikeIsLimitedAndTold(t *testing.T) {
	t.Parallel()
	spike := func(t float64) float64 { return 100 * math.Max(0, 1-math.Abs(t-50)) }
	s, err := readGPX(gpxText(northward(101, func(t float64) float64 { return 10 * t }, spike)), GPXOptions{ElevationWindow: 10})
	if err != nil {
		t.Fatal(err)
	}
	if s.Grade[49] != GradeMax || s.Grade[50] != -GradeMax || !contains(strings.Join(s.Notes, "\n"), "grade limited to ±40 % in 2 steps") {
		t.Errorf("grades %g and %g, notes %q", s.Grade[49], s.Grade[50], s.Notes)
	}
}

func TestGPXFaultsAreProblemsWithPlaceFindingAndRemedy(t *testing.T) {
	t.Parallel()
	const head = `<gpx version="1.1"><trk><trkseg>` + "\n"
	const tail = "</trkseg></trk></gpx>"
	point := func(lat, lon, ele, time string) string {
		s := `<trkpt lat="` + lat + `" lon="` + lon + `">`
		if ele != "" {
			s += "<ele>" + ele + "</ele>"
		}
		if time != "" {
			s += "<time>2024-05-01T08:00:" + time + "Z</time>"
		}
		return s + "</trkpt>\n"
	}
	a := point("47", "7", "400", "00")
	untimed := point("47", "7", "400", "")
	for name, c := range map[string]struct{ text, want string }{
		"empty":            {"", "1:1: trk: 0 track points were found and a track needs two: a GPX 1.1 file is accepted"},
		"not XML":          {"time_s,speed_kmh", "1:1: trk: 0 track points were found"},
		"other root":       {"<kml></kml>", "1:1: gpx: the outermost element is <kml>: a GPX 1.1 file is accepted"},
		"other version":    {`<gpx version="1.0"></gpx>`, `1:1: gpx: version "1.0" was found: a GPX 1.1 file is accepted`},
		"breaks off":       {head + a, "3:1: gpx: the XML breaks off: unexpected EOF"},
		"other encoding":   {`<?xml version="1.0" encoding="latin1"?><gpx version="1.1"/>`, "gpx: the file declares another encoding: save the file as UTF-8"},
		"deep":             {head + strings.Repeat("<a>", 70), "gpx: elements are nested deeper than 64"},
		"route only":       {`<gpx version="1.1"><rte><rtept lat="1" lon="1"/></rte></gpx>`, "1:1: trk: the file has a <rte> and no track: export it as a track"},
		"one point":        {head + a + tail, "1:1: trk: 1 track point was found and a track needs two"},
		"no elevation":     {head + a + point("47.001", "7", "", "20") + tail, "3:1: trkpt.ele: track point 2 has no elevation: every track point needs <ele> in metres"},
		"elevations":       {head + point("47", "7", "", "00") + point("47.001", "7", "", "20") + tail, "1:1: trkpt.ele: 2 of 2 track points have no elevation: every track point needs <ele>"},
		"elevation text":   {head + point("47", "7", "high", "00") + tail, `2:30: trkpt.ele: "high" is not a number`},
		"elevation comma":  {head + point("47", "7", "400,5", "00") + tail, "write the decimal point, 400.5"},
		"elevation NaN":    {head + point("47", "7", "NaN", "00") + tail, `trkpt.ele: "NaN" is not a number`},
		"elevation range":  {head + point("47", "7", "40000", "00") + tail, "trkpt.ele: 40000 m: an elevation lies between -500 m and 6500 m"},
		"latitude":         {head + point("97", "7", "400", "00") + tail, "2:1: trkpt.lat: 97 lies outside ±90 degrees"},
		"longitude":        {head + point("47", "x", "400", "00") + tail, `2:1: trkpt.lon: "x" is not a number`},
		"no longitude":     {head + `<trkpt lat="47"><ele>1</ele></trkpt>` + tail, "2:1: trkpt.lon: the track point has no lon"},
		"time back":        {head + point("47", "7", "400", "10") + point("47.001", "7", "400", "05") + tail, "3:1: trkpt.time: the time goes back from 2024-05-01T08:00:10Z to 2024-05-01T08:00:05Z: time rises from point to point"},
		"time repeated":    {head + a + point("47.001", "7", "400", "00") + tail, "3:1: trkpt.time: the time 2024-05-01T08:00:00Z is repeated at another place"},
		"time text":        {head + point("47", "7", "400", "noon") + tail, `trkpt.time: "2024-05-01T08:00:noonZ" is not a time: times are written as 2024-05-01T08:30:00Z`},
		"time in a part":   {head + a + point("47.001", "7", "400", "") + tail, "3:1: trkpt.time: times are given for a part of the track points only: give a time to every track point"},
		"time in the rest": {head + untimed + point("47.001", "7", "400", "20") + tail, "3:1: trkpt.time: times are given for a part of the track points only"},
		"far apart":        {head + a + point("47.1", "7", "400", "59") + tail, "3:1: trkpt: track point 2 is 11117 m from the one before: points are at most 1000 m apart"},
		"jump":             {head + a + point("47.005", "7", "400", "01") + tail, "3:1: trkpt: track point 2 jumps 556 m in 1 s: a speed is at most 300 km/h"},
		"short":            {head + a + point("47.0005", "7", "400", "09") + tail, "1:1: trk: the track is 55.6 m long: a route has at least 100 m"},
		"standing":         {gpxText(northward(401, func(t float64) float64 { return 0.3 * t }, func(float64) float64 { return 0 })), "1:1: trk: the vehicle moves over 0.0 m only, standstill left out: a route has at least 100 m"},
		"a week and more":  {gpxText([]gpxPoint{{0, 7, 0, 0}, {0.005, 7, 0, 700000}}), "1:1: trk: the track lasts 194 h: a schedule lasts at most seven days"},
	} {
		s, err := readGPX(c.text, GPXOptions{})
		var problems *check.Problems
		if !errors.As(err, &problems) || s != nil {
			t.Errorf("%s: got %v, want problems and no schedule", name, err)
			continue
		}
		if !strings.HasPrefix(err.Error(), "routes/ridge.gpx:") || !contains(err.Error(), c.want) {
			t.Errorf("%s:\n got %s\nwant %s", name, err, c.want)
		}
	}
}

func TestGPXPointsWrittenTwiceAreDroppedAndTold(t *testing.T) {
	t.Parallel()
	points := northward(51, func(t float64) float64 { return 10 * t }, func(float64) float64 { return 0 })
	doubled := append(append([]gpxPoint{}, points[:20]...), points[19:]...)
	s, err := readGPX("\ufeff"+gpxText(doubled), GPXOptions{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "distance", float64(s.Figures().Distance), 500, 1e-6, "closed form")
	if !contains(strings.Join(s.Notes, "\n"), "1 track point was dropped that repeat the one before") {
		t.Errorf("notes %q", s.Notes)
	}
}

func FuzzReadGPX(f *testing.F) {
	level := func(float64) float64 { return 10 }
	way := func(t float64) float64 { return 12 * t }
	timed := northward(30, way, level)
	planned := northward(30, way, func(t float64) float64 { return t * t })
	for i := range planned {
		planned[i].time = math.NaN()
	}
	bare := northward(3, way, func(float64) float64 { return math.NaN() })
	for _, text := range []string{gpxText(timed), gpxText(planned), gpxText(bare), gpxText(timed[:15], timed[15:]), "", "<gpx", `<gpx version="1.1"><trk><trkseg><trkpt lat="1e3" lon="">`} {
		f.Add([]byte(text), 10.0)
	}
	f.Fuzz(func(t *testing.T, text []byte, cruise float64) {
		if !(cruise >= 2 && cruise < 80) {
			cruise = 10
		}
		s, err := ReadGPX(strings.NewReader(string(text)), "f.gpx", GPXOptions{Cruise: unit.Speed(cruise)})
		heldByReader(t, s, err)
	})
}

func FuzzParse(f *testing.F) {
	for _, text := range []string{"udds", "constant 60 km/h", "constant 60 km/h for 30 min", "constant 6e1 mph for 2 mi", "constant 1e-300 m/s for 1 m", ""} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := Parse(text)
		if err == nil {
			err = s.Validate()
		} else if err.Error() == "" || s != nil {
			t.Fatalf("%q: %v, %v", text, s, err)
		} else {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
	})
}
