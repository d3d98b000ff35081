package exact

import "math"

// PowerCurrent returns the current in A at which a source of electromotive
// force e, V, behind resistance r > 0, Ω, gives power p, W; the smaller of the two:
//
//	I = (E − √(E² − 4·R·P))/(2·R)
//
// Source: Ohm's law.
func PowerCurrent(e, r, p float64) float64 { return (e - math.Sqrt(e*e-4*r*p)) / (2 * r) }

// DischargeTime returns the time in s for which a store of charge q, A·s, with
// constant electromotive force e and resistance r gives constant power p:
// t = Q/I.
func DischargeTime(q, e, r, p float64) float64 { return q / PowerCurrent(e, r, p) }

// SlopedDischargeTime returns the same for an electromotive force that falls in
// proportion to the charge taken, e(x) = e0 − s·x, x in A·s, from 0 to q, without
// resistance: p·t = ∫ e dx = e0·q − s·q²/2.
func SlopedDischargeTime(q, e0, s, p float64) float64 { return (e0*q - s*q*q/2) / p }
