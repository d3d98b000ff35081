package exact

import "math"

// Coast is a vehicle of effective mass M in kg that rolls out against
// F = A + C·v², A in N and C in N/(m/s)², both positive:
//
//	M·dv/dt = −A − C·v²
//
// Source: handbook line 5.19 (integration); the time is the closed form that
// coast-down methods use.
type Coast struct{ M, A, C float64 }

// Time returns the time in s from speed v1 down to v2, both in m/s:
// t = M/√(A·C)·[atan(v1·√(C/A)) − atan(v2·√(C/A))].
func (k Coast) Time(v1, v2 float64) float64 {
	s := math.Sqrt(k.C / k.A)
	return k.M / math.Sqrt(k.A*k.C) * (math.Atan(v1*s) - math.Atan(v2*s))
}

// Speed returns the speed in m/s that is left t s after v1, zero once stopped:
// v = √(A/C)·tan(atan(v1·√(C/A)) − t·√(A·C)/M).
func (k Coast) Speed(v1, t float64) float64 {
	phase := math.Atan(v1*math.Sqrt(k.C/k.A)) - t*math.Sqrt(k.A*k.C)/k.M
	if phase <= 0 {
		return 0
	}
	return math.Sqrt(k.A/k.C) * math.Tan(phase)
}

// Distance returns the way in m from speed v1 down to v2:
// M/(2·C)·ln((A + C·v1²)/(A + C·v2²)).
func (k Coast) Distance(v1, v2 float64) float64 {
	return k.M / (2 * k.C) * math.Log((k.A+k.C*v1*v1)/(k.A+k.C*v2*v2))
}
