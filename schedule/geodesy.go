package schedule

import "math"

// The WGS-84 ellipsoid, on which GPX positions are given. Source: wgs84.
const (
	wgsRadius     = 6378137.0         // m, semi-major axis
	wgsFlattening = 1 / 298.257223563 // of the ellipsoid
)

// groundLength returns the distance in m between two near points of the WGS-84
// ellipsoid, latitude and longitude in degrees:
//
//	Δs² = (M·Δφ)² + (N·cos φ·Δλ)²    M = a(1−e²)/(1−e²sin²φ)^1.5    N = a/√(1−e²sin²φ)
//
// with both radii of curvature taken at the middle latitude. Against the
// geodesic it is off by about (Δs/6371 km)²/24, below 1e-8 for the steps of a
// track; elevation above the ellipsoid (1.6e-4 per km) is left out.
//
// Source: wgs84; the radii of curvature are of every textbook of geodesy.
func groundLength(lat0, lon0, lat1, lon1 float64) float64 {
	const e2 = wgsFlattening * (2 - wgsFlattening)
	const degree = math.Pi / 180
	phi := (lat0 + lat1) / 2 * degree
	sin := math.Sin(phi)
	w := 1 - e2*sin*sin
	meridian, normal := wgsRadius*(1-e2)/(w*math.Sqrt(w)), wgsRadius/math.Sqrt(w)
	// The shorter way round, across the 180th meridian where need be.
	east := math.Remainder(lon1-lon0, 360) * degree
	return math.Hypot(meridian*(lat1-lat0)*degree, normal*math.Cos(phi)*east)
}
