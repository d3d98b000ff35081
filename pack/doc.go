// Package pack is the arithmetic of a complete battery: cells in groups, groups
// in strings, strings in parallel; its voltage window, charge, energy,
// resistance, and the current for a demanded power.
//
// # Model
//
// A pack of S cells in series, P in parallel and N strings of cells with
// voltage u, charge q and resistance r has
//
//	U = S·u    Q = N·P·q    E = U·Q    R = S/(N·P)·r + R_interconnect
//
// The voltage window is made of full and lowest voltages, never of nominal
// ones. Full is S times the cell's end-of-charge voltage; the lowest, under load,
// cold and aged, depends on the road and is design's.
//
// A demanded power W at the terminals, discharge positive, draws
//
//	I = 2·W/(E + √(E² − 4·R·W))
//
// from an electromotive force E behind a resistance R. When the root is
// negative no current gives W; the most there is is E²/(4·R), at E/2.
//
// Parallel strings of their own E and R share a current I as
//
//	U_t = (Σ E_j/R_j − I)/Σ 1/R_j,   I_j = (E_j − U_t)/R_j
//
// # Assumptions and range
//
// All groups are equal here; groups that differ are drive's. Interconnect
// resistance does not depend on temperature. Mass and price depend on boxes and
// hardware and are design's. Every equation and its tests are in
// docs/method/pack.md.
//
// Sources: circuit law (handbook 3.1 to 3.4); USABC test manuals for PowerAt.
package pack
