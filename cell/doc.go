// Package cell holds what packyard knows of cells, of the slices and modules
// they come in, and of the stacks that are built from them.
//
// # Model
//
// A cell is an open-circuit voltage behind a resistance and two RC pairs, all
// over state of charge s (0 empty, 1 full), the last two over temperature too:
//
//	V = OCV(s) − I·R0(s,T) − V1 − V2                   I positive on discharge
//	V_k ← V_k·e^(−Δt/τ_k) + I·R_k·(1 − e^(−Δt/τ_k))    over a step of constant I
//	ds/dt = −I/Q
//	heat = I²·R0 + V1²/R1 + V2²/R2 − I·T·dU/dT
//
// The points of the OCV are first made non-decreasing by the isotonic fit, the
// largest change recorded, then joined by a monotone cubic. Resistances are
// bilinear over charge and temperature. Health multiplies the capacity by its
// share and all resistances by their growth. Cell.At gives all of it as a dense
// table at one temperature and health, the form that hot loops read.
//
// A cell that was measured on the bench may carry a finer circuit beside that
// (Network): any number of pairs with fixed time constants, the first falling with
// current, and an open-circuit voltage for each temperature.
//
// Where an entry has no curve of its own, a curve of its chemistry from
// published measurements stands in and is marked generic; its resistance is a
// class value, resistance times capacity, over the capacity. Between measured
// temperatures ln R is linear in 1/T; beyond them R follows Arrhenius with
// energies fitted to published ratios, and Curves says where that begins.
//
// A slice is the smallest thing that a module opens into without cutting cells.
// Build and Regroup put a slices side by side and g such groups in series into
// a Stack with size, mass, inner resistance and orientations.
//
// # Assumptions and range
//
// But for a Network the OCV is that of 25 °C at all temperatures and resistance is
// that of a 1C pulse and does not depend on the current. There is no hysteresis (an
// entry may state the band). Pulses of 5 to 30 s do not reach slow diffusion, so the voltage
// is too high in the cold at low charge. A dU/dT without a sourced figure is
// zero and marked. A chemistry without a sourced OCV is listed without curves.
// Surfaces run from −30 to 60 °C.
//
// # Sources
//
// kollmeyer-2018, wiggins-2019, tao-2024, sunil-2025 (measurements), bpx-2022,
// doyle-1996 (computed curves), gerver-meyers-2011, viswanathan-2010,
// oregan-2022 (entropic term), bernardi-1985 (heat), bu-216,
// battery-trade-limits, owner-charge-limits (limits). docs/method/cell.md says
// how each table was derived and which test holds it.
package cell
