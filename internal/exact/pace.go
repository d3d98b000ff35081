package exact

import "math"

// PowerTime returns the time in s in which constant power p in W brings a mass m
// in kg from speed v0 to v1 in m/s without any resistance: t = m·(v1² − v0²)/(2·p).
// Source: Newton's law.
func PowerTime(m, p, v0, v1 float64) float64 { return m * (v1*v1 - v0*v0) / (2 * p) }

// PowerDistance returns the way in m meanwhile: s = m·(v1³ − v0³)/(3·p).
// Source: Newton's law.
func PowerDistance(m, p, v0, v1 float64) float64 { return m * (v1*v1*v1 - v0*v0*v0) / (3 * p) }

// ForceSpeed returns the speed in m/s of a mass m in kg after t seconds from rest
// under a constant force f in N against c·v² in N:
//
//	v = √(f/c)·tanh(t·√(f·c)/m)
//
// Source: Newton's law; the fall with quadratic drag of any textbook.
func ForceSpeed(m, f, c, t float64) float64 { return math.Sqrt(f/c) * math.Tanh(t*math.Sqrt(f*c)/m) }

// ForceTime returns the time in s in which it reaches speed v in m/s, the inverse
// of ForceSpeed: t = m/√(f·c)·artanh(v·√(c/f)).
func ForceTime(m, f, c, v float64) float64 {
	return m / math.Sqrt(f*c) * math.Atanh(v*math.Sqrt(c/f))
}

// TopSpeed returns the speed v in m/s at which power p in W goes into a constant
// force a in N and c·v² in N: the real root of c·v³ + a·v = p by Cardano's formula,
//
//	v = ∛(q + √D) + ∛(q − √D),  q = p/(2·c),  D = q² + (a/(3·c))³
//
// Source: Cardano's formula.
func TopSpeed(a, c, p float64) float64 {
	q, r := p/(2*c), a/(3*c)
	d := math.Sqrt(q*q + r*r*r)
	return math.Cbrt(q+d) + math.Cbrt(q-d)
}
