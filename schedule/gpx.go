package schedule

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"packyard/check"
	"packyard/unit"
)

// GPXOptions are the choices of ReadGPX; the zero value is the default.
type GPXOptions struct {
	// Cruise is the speed at which a track without times is driven. A track
	// without times is refused when it is 0; one with times keeps its own.
	// Accepted: 5 km/h to SpeedMax.
	Cruise unit.Speed
	// ElevationWindow is the length over which elevations are smoothed; 0:
	// ElevationWindow. Accepted: above 0, up to 2 km; below 20 m nothing is
	// smoothed.
	ElevationWindow unit.Length
}

// Limits of a foreign track. Source: assumption.
const (
	gpxDepthMax  = 64
	gpxPointsMax = 1_000_000
)

// trackPoint is a point of a track as written.
type trackPoint struct {
	lat, lon, ele float64 // degree, degree, m
	time          time.Time
	timed         bool
	segment       int // from 0
	pos           check.Pos
}

// ReadGPX reads a track of GPX 1.1 with elevation and makes it a schedule. The
// track points of all tracks and segments are taken in the order of the file.
//
// Distance is measured on the WGS-84 ellipsoid from point to point. With times,
// the speed is the moving mean of the distance over time in steps of one
// second; without them, the track is driven at the speed of the options.
// Elevation is resampled by distance and smoothed, and the grade follows from
// it; both are told in notes, with the climb before and after. Segments are
// joined: where the vehicle stood still in between, the time is a Soak.
//
// Errors are check.Problems with line and column: text that is no GPX 1.1, a
// point without elevation, time that goes back or repeats, times in a part of
// the points only, no times and no cruising speed, points too far apart. A
// failure of r comes back wrapped. name is the file name used in messages.
func ReadGPX(r io.Reader, name string, opt GPXOptions) (*Schedule, error) {
	if opt.Cruise != 0 && !(opt.Cruise >= 5*unit.KilometrePerHour && opt.Cruise <= SpeedMax) {
		return nil, fmt.Errorf("%s: cruising speed of %g km/h: it must lie between 5 and %.0f km/h", name, opt.Cruise.KilometresPerHour(), SpeedMax.KilometresPerHour())
	}
	var err error
	if opt.ElevationWindow, err = resolveWindow(name, opt.ElevationWindow); err != nil {
		return nil, err
	}
	g := &gpxReader{name: name, limited: &io.LimitedReader{R: r, N: fileBytesMax + 1}, segment: -1}
	g.decoder = xml.NewDecoder(g.limited)
	if err := g.read(); err != nil {
		return nil, err
	}
	if err := g.problems.Err(); err != nil {
		return nil, err
	}
	t := &route{name: name, title: g.title, points: g.points, opt: opt}
	return t.schedule()
}

const (
	gpxHint     = `a GPX 1.1 file is accepted: <gpx version="1.1"> with <trk>, <trkseg> and <trkpt lat="…" lon="…"><ele>…</ele></trkpt>`
	gpxEleHint  = "every track point needs <ele> in metres; record it, or add it from a terrain model with a route planner"
	gpxTimeHint = "times are written as 2024-05-01T08:30:00Z"
)

// gpxReader walks the tokens of a GPX file.
type gpxReader struct {
	name     string
	limited  *io.LimitedReader
	decoder  *xml.Decoder
	problems check.Problems

	path    []string // open elements, below each other
	segment int      // segments begun, from 0
	points  []trackPoint
	title   string
	other   string // route or waypoint element seen, for the hint

	point   trackPoint
	hasEle  bool
	missing int // points without elevation after the first one
	text    strings.Builder
	textPos check.Pos
}

func (g *gpxReader) pos() check.Pos {
	line, col := g.decoder.InputPos()
	// Within a broken token the decoder may count the column from 0.
	return check.Pos{File: g.name, Line: line, Col: max(col, 1)}
}

func (g *gpxReader) read() error {
	for {
		at := g.pos()
		token, err := g.decoder.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return g.broken(err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			if !g.start(token, at) {
				return nil
			}
		case xml.EndElement:
			g.end()
			g.path = g.path[:len(g.path)-1]
		case xml.CharData:
			g.text.Write(token)
		}
	}
	g.finish()
	return nil
}

// broken sorts a failure of the decoder: bad text is a problem of the file,
// anything else a failure of the reader.
func (g *gpxReader) broken(err error) error {
	var syntax *xml.SyntaxError
	switch {
	case g.limited.N <= 0:
		g.problems.Addf(g.pos(), "file", fmt.Sprintf("at most %d MB are read", fileBytesMax>>20), "the file is larger")
	case errors.As(err, &syntax):
		g.problems.Addf(g.pos(), "gpx", gpxHint, "the XML breaks off: %s", syntax.Msg)
	case strings.HasPrefix(err.Error(), "xml: encoding"):
		g.problems.Addf(g.pos(), "gpx", "save the file as UTF-8", "the file declares another encoding")
	case strings.HasPrefix(err.Error(), "xml:"):
		g.problems.Addf(g.pos(), "gpx", gpxHint, "the XML cannot be read: %s", strings.TrimPrefix(err.Error(), "xml: "))
	default:
		return fmt.Errorf("%s: %w", g.name, err)
	}
	return nil
}

// start takes an opening element; it reports whether reading can go on.
func (g *gpxReader) start(e xml.StartElement, at check.Pos) bool {
	name := e.Name.Local
	g.path = append(g.path, name)
	g.text.Reset()
	g.textPos = g.pos()
	if len(g.path) > gpxDepthMax {
		g.problems.Addf(at, "gpx", gpxHint, "elements are nested deeper than %d", gpxDepthMax)
		return false
	}
	switch {
	case len(g.path) == 1:
		return g.root(e, at)
	case g.in("gpx", "trk", "trkseg"):
		g.segment++
	case g.in("gpx", "trk", "trkseg", "trkpt"):
		if len(g.points) >= gpxPointsMax {
			g.problems.Addf(at, "trkpt", fmt.Sprintf("at most %d are read", gpxPointsMax), "the file has more track points")
			return false
		}
		g.point, g.hasEle = trackPoint{segment: g.segment, pos: at}, false
		g.point.lat = g.degrees(e, "lat", 90, at)
		g.point.lon = g.degrees(e, "lon", 180, at)
	case len(g.path) == 2 && (name == "rte" || name == "wpt"):
		g.other = name
	}
	return true
}

// in reports whether exactly these elements are open.
func (g *gpxReader) in(path ...string) bool {
	if len(path) != len(g.path) {
		return false
	}
	for i, p := range path {
		if g.path[i] != p {
			return false
		}
	}
	return true
}

func (g *gpxReader) root(e xml.StartElement, at check.Pos) bool {
	if e.Name.Local != "gpx" {
		g.problems.Addf(at, "gpx", gpxHint, "the outermost element is <%s>", e.Name.Local)
		return false
	}
	version := ""
	for _, a := range e.Attr {
		if a.Name.Local == "version" {
			version = a.Value
		}
	}
	if version != "1.1" {
		g.problems.Addf(at, "gpx", gpxHint, "version %q was found", version)
		return false
	}
	return true
}

// degrees reads an angle of a track point.
func (g *gpxReader) degrees(e xml.StartElement, name string, limit float64, at check.Pos) float64 {
	for _, a := range e.Attr {
		if a.Name.Local != name {
			continue
		}
		v, err := decimal(strings.TrimSpace(a.Value))
		if err == nil && math.Abs(v) > limit {
			err = fmt.Errorf("%s lies outside ±%g degrees", a.Value, limit)
		}
		if err != nil {
			g.problems.Addf(at, "trkpt."+name, "", "%s", err)
		}
		return v
	}
	g.problems.Addf(at, "trkpt."+name, gpxHint, "the track point has no %s", name)
	return 0
}

// end takes a closing element.
func (g *gpxReader) end() {
	text := strings.TrimSpace(g.text.String())
	g.text.Reset()
	switch {
	case g.in("gpx", "trk", "name") && g.title == "":
		g.title = text
	case g.in("gpx", "trk", "trkseg", "trkpt", "ele"):
		v, err := decimal(text)
		if err == nil && (v < elevationMin || v > elevationMax) {
			err = fmt.Errorf("%s m: an elevation lies between %.0f m and %.0f m", text, elevationMin, elevationMax)
		}
		if err != nil {
			g.problems.Addf(g.textPos, "trkpt.ele", "", "%s", err)
		}
		g.point.ele, g.hasEle = v, true
	case g.in("gpx", "trk", "trkseg", "trkpt", "time"):
		t, err := parseTime(text)
		if err != nil {
			g.problems.Addf(g.textPos, "trkpt.time", gpxTimeHint, "%q is not a time", text)
		}
		g.point.time, g.point.timed = t, true
	case g.in("gpx", "trk", "trkseg", "trkpt"):
		g.endPoint()
	}
}

// parseTime reads the date and time of XML Schema; without a zone it is UTC, as
// GPX 1.1 demands.
func parseTime(text string) (time.Time, error) {
	t, err := time.Parse(time.RFC3339Nano, text)
	if err != nil {
		t, err = time.Parse("2006-01-02T15:04:05.999999999", text)
	}
	return t, err
}

func (g *gpxReader) endPoint() {
	if !g.hasEle {
		if g.missing == 0 {
			g.problems.Addf(g.point.pos, "trkpt.ele", gpxEleHint, "track point %d has no elevation", len(g.points)+1)
		}
		g.missing++
	}
	if n := len(g.points); n > 0 {
		before := g.points[n-1]
		switch {
		case before.timed != g.point.timed:
			g.problems.Addf(g.point.pos, "trkpt.time", "give a time to every track point, or to none and state a cruising speed",
				"times are given for a part of the track points only")
		case !g.point.timed:
		case g.point.time.Before(before.time):
			g.problems.Addf(g.point.pos, "trkpt.time", "time rises from point to point", "the time goes back from %s to %s", clock(before.time), clock(g.point.time))
		case g.point.time.Equal(before.time) && !samePlace(before, g.point):
			g.problems.Addf(g.point.pos, "trkpt.time", "time rises from point to point", "the time %s is repeated at another place", clock(before.time))
		}
	}
	g.points = append(g.points, g.point)
}

func samePlace(a, b trackPoint) bool { return a.lat == b.lat && a.lon == b.lon && a.ele == b.ele }

func clock(t time.Time) string { return t.Format(time.RFC3339Nano) }

// finish looks at what only the whole file shows.
func (g *gpxReader) finish() {
	at := check.Pos{File: g.name, Line: 1, Col: 1}
	if g.missing > 1 {
		g.problems.Addf(at, "trkpt.ele", gpxEleHint, "%d of %d track points have no elevation", g.missing, len(g.points))
	}
	if g.problems.Any() {
		return
	}
	switch {
	case len(g.points) == 0 && g.other != "":
		g.problems.Addf(at, "trk", "export it as a track", "the file has a <%s> and no track", g.other)
	case len(g.points) < 2:
		g.problems.Addf(at, "trk", gpxHint, "%s found and a track needs two", counted(len(g.points), "track point"))
	}
}
