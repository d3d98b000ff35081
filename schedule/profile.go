package schedule

import (
	"fmt"
	"math"

	"packyard/unit"
)

// ElevationWindow is the length over which elevations are smoothed when nothing
// else is said. Source: assumption; over 200 m an error of 1 m in every recorded
// elevation leaves about 0.7 % in the grade.
const ElevationWindow = 200 * unit.Metre

// Bounds of the smoothing. Source: assumption.
const (
	profileSpacing = 10.0               // m, distance at which elevations are resampled
	windowMax      = 2000 * unit.Metre  // above it hills vanish
	windowNone     = 2 * profileSpacing // m, below it no neighbour is in the window
	routeLengthMin = 100.0              // m, below it a grade says nothing
)

// resolveWindow returns the window of the options of a reader, or the default.
func resolveWindow(name string, window unit.Length) (unit.Length, error) {
	if window == 0 {
		return ElevationWindow, nil
	}
	if !(window > 0 && window <= windowMax) {
		return 0, fmt.Errorf("%s: elevation window of %g m: it must be above 0 and at most %g m", name, float64(window), float64(windowMax))
	}
	return window, nil
}

// profile is a smoothed elevation over distance on an even grid, linear between.
type profile struct {
	step float64   // m
	z    []float64 // m
}

// newProfile resamples the elevations z in m, recorded at the distances x in m
// (x does not fall; elevations at one distance are averaged), every 10 m, and
// smooths them by a straight line fitted through all grid points within half a
// window on either side. Inside the route that is the moving mean; at its ends,
// where the window has one side only, a constant grade comes back unchanged.
//
// climbRaw is the sum of the rises between recorded points.
// The route is at least routeLengthMin long.
func newProfile(x, z []float64, window unit.Length) (p profile, climbRaw float64) {
	for i := range len(z) - 1 {
		climbRaw += math.Max(0, z[i+1]-z[i])
	}
	x, z = averageAtRest(x, z)
	whole := x[len(x)-1]
	n := int(math.Round(whole/profileSpacing)) + 1
	p.step = whole / float64(n-1)
	grid := make([]float64, n)
	for k, i := 0, 0; k < n; k++ {
		at := math.Min(float64(k)*p.step, whole)
		for i < len(x)-2 && x[i+1] < at {
			i++
		}
		grid[k] = z[i] + (at-x[i])/(x[i+1]-x[i])*(z[i+1]-z[i])
	}
	p.z = smooth(grid, int(math.Round(float64(window)/2/p.step)))
	return p, climbRaw
}

// averageAtRest merges points at one distance into their mean.
func averageAtRest(x, z []float64) (xs, zs []float64) {
	for i := 0; i < len(x); {
		j, sum := i, 0.0
		for j < len(x) && x[j]-x[i] <= standstillLength {
			sum += z[j]
			j++
		}
		xs, zs = append(xs, x[i]), append(zs, sum/float64(j-i))
		i = j
	}
	return xs, zs
}

// smooth returns at each point the value of the straight line that fits the
// points up to half to the left and right best (least squares).
func smooth(z []float64, half int) []float64 {
	out := make([]float64, len(z))
	for k := range z {
		lo, hi := max(0, k-half), min(len(z)-1, k+half)
		mean, centre := 0.0, float64(lo+hi)/2
		for _, v := range z[lo : hi+1] {
			mean += v
		}
		mean /= float64(hi - lo + 1)
		var sxz, sxx float64
		for i := lo; i <= hi; i++ {
			d := float64(i) - centre
			sxz += d * (z[i] - mean)
			sxx += d * d
		}
		out[k] = mean
		if sxx > 0 {
			out[k] += sxz / sxx * (float64(k) - centre)
		}
	}
	return out
}

// at returns the elevation in m at distance x, the ends beyond the route.
func (p profile) at(x float64) float64 {
	u := math.Max(0, math.Min(x/p.step, float64(len(p.z)-1)))
	i := min(int(u), len(p.z)-2)
	return p.z[i] + (u-float64(i))*(p.z[i+1]-p.z[i])
}

// slope returns the rise per distance between x0 and x1, or that underfoot
// where the two coincide.
func (p profile) slope(x0, x1 float64) float64 {
	if x1-x0 < standstillLength {
		i := int(math.Max(0, math.Min(x0/p.step, float64(len(p.z)-2))))
		return (p.z[i+1] - p.z[i]) / p.step
	}
	return (p.at(x1) - p.at(x0)) / (x1 - x0)
}

// setElevation gives s the grades of the elevations in m recorded at its rows.
// The distance of a speed log is that along the road, so a slope over it is a
// sine.
func (s *Schedule) setElevation(elevation []float64, window unit.Length) {
	distance, _ := s.sums()
	p, climbRaw := newProfile(distance, elevation, window)
	limited := 0
	s.Grade = make([]float64, len(s.Time))
	for i := range s.Time {
		next := distance[min(i+1, len(distance)-1)]
		sine := p.slope(distance[i], next)
		limit := sineOf(GradeMax)
		if math.Abs(sine) > limit {
			limited++
			sine = math.Copysign(limit, sine)
		}
		s.Grade[i] = tangentOf(sine)
	}
	s.noteElevation(p, window, climbRaw, limited)
}

// noteElevation records how the elevation was treated; Grade is set.
func (s *Schedule) noteElevation(p profile, window unit.Length, climbRaw float64, limited int) {
	s.ClimbRaw = unit.Length(climbRaw)
	if float64(window) < windowNone {
		s.Notes = append(s.Notes, fmt.Sprintf("elevation resampled every %.3g m of distance and not smoothed", p.step))
	} else {
		s.Notes = append(s.Notes, fmt.Sprintf("elevation resampled every %.3g m of distance and smoothed by a straight line fitted over %g m", p.step, float64(window)))
	}
	s.Notes = append(s.Notes, fmt.Sprintf("climb %.1f m as recorded, %.1f m after smoothing", climbRaw, float64(s.Figures().Climb)))
	if limited > 0 {
		s.Notes = append(s.Notes, fmt.Sprintf("grade limited to ±%.0f %% in %d steps", GradeMax*100, limited))
	}
}
