package exact

import "math"

// Body is a lumped body of capacity C in J/K in surroundings of T0 in K that it
// reaches by G in W/K, with a constant heat Q in W put in.
// Source: Incropera ch. 5 (handbook 6.21).
type Body struct{ C, G, T0, Q float64 }

// Temperature returns the temperature in K after t s from t1 in K:
// T∞ + (t1 − T∞)·e^(−t·G/C) with T∞ = T0 + Q/G.
func (b Body) Temperature(t1, t float64) float64 {
	end := b.T0 + b.Q/b.G
	return end + (t1-end)*math.Exp(-t*b.G/b.C)
}

// Two are two bodies that only have each other: capacities C1, C2 in J/K,
// conductance G in W/K between them.
// Source: elimination of the mean from the two balances.
type Two struct{ C1, C2, G float64 }

// Temperatures returns the temperatures in K after t s from t1 and t2: the mean
// weighted by capacity stays, the difference falls as e^(−t·G·(1/C1 + 1/C2)).
func (b Two) Temperatures(t1, t2, t float64) (float64, float64) {
	mean := (b.C1*t1 + b.C2*t2) / (b.C1 + b.C2)
	gap := (t1 - t2) * math.Exp(-t*b.G*(1/b.C1+1/b.C2))
	return mean + gap*b.C2/(b.C1+b.C2), mean - gap*b.C1/(b.C1+b.C2)
}

// Coolant returns the temperature in K of a stream W in W/K that entered at
// inlet in K after it took the heats in W, one after the other: the energy
// balance T = T_in + Σ q/W. Source: first law.
func Coolant(inlet, w float64, heats ...float64) float64 {
	for _, q := range heats {
		inlet += q / w
	}
	return inlet
}
