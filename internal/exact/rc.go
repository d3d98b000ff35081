package exact

import "math"

// RCStep returns the voltage across a resistor r (Ω) with a capacitor beside it,
// time constant tau (s), after a current i (A) has been held for dt (s), from v0
// at the start:
//
//	V(dt) = V0·e^(−dt/τ) + I·R·(1 − e^(−dt/τ))
//
// Source: circuit-law.
func RCStep(v0, i, r, tau, dt float64) float64 {
	return v0*math.Exp(-dt/tau) - i*r*math.Expm1(-dt/tau)
}

// RCHeat returns the energy in J that the resistor of RCStep turns into heat:
// ∫ V²/R dt with V = V∞ + (V0 − V∞)·e^(−t/τ) and V∞ = I·R, which is
//
//	(V∞²·dt + 2·V∞·(V0 − V∞)·τ·(1 − e^(−dt/τ)) + (V0 − V∞)²·τ/2·(1 − e^(−2dt/τ)))/R
//
// Source: circuit-law.
func RCHeat(v0, i, r, tau, dt float64) float64 {
	end := i * r
	d := v0 - end
	return (end*end*dt - 2*end*d*tau*math.Expm1(-dt/tau) - d*d*tau/2*math.Expm1(-2*dt/tau)) / r
}

// RCStored returns the energy in J in the capacitor at voltage v: C·V²/2 with
// C = τ/R. Source: circuit-law.
func RCStored(v, r, tau float64) float64 { return tau / r * v * v / 2 }

// RCTaken returns the energy in J that the pair of RCStep takes from the
// circuit, ∫ V·I dt:
//
//	I·(V∞·dt + (V0 − V∞)·τ·(1 − e^(−dt/τ)))
//
// It equals RCHeat plus what RCStored gained. Source: circuit-law.
func RCTaken(v0, i, r, tau, dt float64) float64 {
	end := i * r
	return i * (end*dt - (v0-end)*tau*math.Expm1(-dt/tau))
}
