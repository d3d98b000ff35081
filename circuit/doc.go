// Package circuit makes the high-voltage circuit of a pack: fault currents, fuses,
// contactors, precharge, cables, service disconnect, isolation and distances, and
// the netlist that drawings show.
//
// # Model
//
// Fault currents of N strings, bolted: highest I = N·U_full/R with the resistance of
// full, warm cells as bought at once and no cable; lowest I = N·U_empty/(R + R_path)
// at the charge floor, on the coldest day, at the end of life, after ten seconds.
//
// Each part is chosen as the smallest of the catalogue that meets every demand. A
// demand is a value held against a limit, with its margin:
//
//	fuse       U ≤ U_r, I_highest ≤ I_breaking, L/R ≤ τ_r,
//	           I ≤ 0.8·√((130 °C − T)/100 K)·I_r, I²t of peak and inrush ≤ 0.6·I²t_melt,
//	           t_clear(I_lowest) ≤ 5 s
//	cable      I ≤ I_z = I₁·√((ΔT₂/ΔT₁)·(R₁/R₂)), I_fuse ≤ 1.45·I_z,
//	           I²t_clear ≤ k²·S², ΔU = I·R
//	contactor  U ≤ U_r (1.25·U as a warning), carry, peak, break in both directions,
//	           make, I²t_clear ≤ I²t of its shortest printed time; no current between
//	           what it breaks and what the fuse clears
//	precharge  t = −R·C·ln(1 − q), E = ½·C·U²
//	bleed      t = R·C·ln(U/60 V)
//
// Clearance and creepage are rows of IEC 60664-1. The lowest fault depends on the
// cables, which depend on it: the circuit is made twice, the second time with the
// cables of the first.
//
// # Assumptions and range
//
// Strings share the current evenly. Faults are bolted, arcs not modelled. Ampacity
// is that of one cable in free air. The cells feed a fault with their voltage at
// rest. Adiabatic heating holds to five seconds. Up to 1250 V and 6000 m. Figures of
// generic parts are mostly from memory: the sheet of the part in hand decides.
//
// # Sources
//
// Keys iec-60364, iec-60949, iec-60228, astm-b258, nfpa-70, din-vde-0298-4,
// iso-19642, iec-60664-1, un-r100, iso-6469-3, lv-123, fuse-guide,
// contactor-datasheet, precharge-notes; the rest is common practice.
package circuit
