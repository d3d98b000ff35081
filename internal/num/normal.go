package num

import "math"

// Normal returns the standard normal distribution function Φ(z), the probability
// of a value not above z.
func Normal(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// NormalQuantile returns z with Φ(z) = p for 0 < p < 1, −Inf for 0 and +Inf for
// 1: √2·erf⁻¹(2p − 1) by the inverse error function of the standard library,
// algorithm AS 241 of Wichura (source key wichura-1988). In the lower tail, where
// 2p − 1 has lost digits of p, one step of Newton's method on Φ brings them back:
// within 1e-12 from p = 1e-12 to the middle. In the upper tail p itself does
// not tell more than 1 − p in steps of 1e-16.
func NormalQuantile(p float64) float64 {
	z := -math.Sqrt2 * math.Erfcinv(2*p)
	if p > 0 && p < 0.1 && !math.IsInf(z, 0) {
		z -= (Normal(z) - p) / (math.Exp(-z*z/2) / math.Sqrt(2*math.Pi))
	}
	return z
}

// Quantile returns the p-quantile of values that rise: linear between the
// order statistics, the first at p = 0 and the last at p = 1 (the seventh
// definition of Hyndman and Fan, source key hyndman-fan-1996). rising has at
// least one value; p is held within 0 to 1.
func Quantile(rising []float64, p float64) float64 {
	h := min(max(p, 0), 1) * float64(len(rising)-1)
	i := min(int(h), len(rising)-1)
	if i == len(rising)-1 {
		return rising[i]
	}
	return rising[i] + (h-float64(i))*(rising[i+1]-rising[i])
}
