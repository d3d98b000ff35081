// Package part holds what a conversion buys besides cells: drive unit,
// inverter, charger, 12 V converter, the kept stages of the driveline, and the
// auxiliaries; their laws, their limits, and a catalogue of generic ones.
//
// # Model
//
// Loss of a drive unit at shaft torque T and speed ω, the same driving and
// braking, off the shaft power when braking:
//
//	P_loss = k_c·T² + k_i·|ω| + k_w·|ω|³ + C, or a grid read bilinearly
//
// Torque limit at DC voltage V for a duration:
//
//	T_max = min(T_r, P_r·min(1, V/V_ref)/|ω|)  for |ω| ≤ ω_max
//
// with peak figures up to PeakDuration, else continuous ones. VoltageNeeded is
// its inverse. Another size of the same kind, Scale:
//
//	P'_loss(T, ω) = a·b·P_loss(T/a, ω/b), a = T'/T, b = ω'/ω
//
// Inverter, charger and 12 V converter:
//
//	P_dc = P_ac/e + P_idle driving, P_ac·e + P_idle braking
//	P_pack = e·P_wall − P_idle
//	P_in = P_out/e + P_idle
//
// Cabin: P = (UA·(T_cabin − T_ambient) − gains)/COP heating, linear in the
// ambient temperature cooling, both with a largest power.
//
// A device has three voltage bands. They are compared with the full and the
// lowest usable voltage of the pack, never with the nominal one.
//
// # Assumptions and validity
//
// Loss does not depend on the DC voltage or the temperature. The highest speed
// does not fall with the voltage. Inverter and gear efficiencies are constants.
// Loss constants are published for four classes of motor; every other unit of
// the catalogue is carried from one of them and marked "scaled, assumption".
// Voltage bands, masses of electronics and some ratings of the catalogue are
// assumptions, each marked as such in its facts.
//
// # Sources
//
// Larminie and Lowry, Electric Vehicle Technology Explained (loss law, two
// classes); Mahmoudi et al., IEEE ECCE 2015 (two machines); Burress, Oak Ridge
// National Laboratory 2013 (power per mass); Joachim et al., Gear Technology
// 2012 (gears); owner measurements of a 12 V converter and chargers;
// Lohse-Busch et al., SAE 2013-01-1462 (cabin). Keys as in check.
package part
