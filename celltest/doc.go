// Package celltest reads the logs of cell tests and works out what they say of a
// cell. It does no input or output of its own: readers are passed in.
//
// # Model
//
// A Log is plain series over time, current positive on discharge. Its steps are
// found from the current. Charge and energy are trapezoids, the net charge the
// instrument's own where it counted:
//
//	Q = Σ (I_{k−1} + I_k)/2·Δt,  W = Σ (P_{k−1} + P_k)/2·Δt
//
// A pulse shows R(t) = (V before − V(t))/I; R0 and RC pairs come from a pulse and
// the rest after it by least squares, with 95 % intervals. The open-circuit
// voltage comes from rests, or as the mean of a slow discharge and a slow charge,
// each over its own throughput. Incremental capacity and differential voltage are
// means over a window of stated width. Self-discharge is the charge between two
// rests, read off the open-circuit curve, over the time between.
//
// FitNetwork finds the circuit of a cell (cell.Network) from a slow cycle and pulse
// tests: all rows of a test are computed at once with the measured current, so
// that what is left of earlier pulses is in it. RunReplay lays the voltage that a
// cell computes from a measured current over the measured one.
//
// # Told, never mended
//
// What is wrong with a file is in the ReadReport. What only an analysis sees is a
// Fault of its result: holes in which current flowed, a slow cycle that does not
// close, leads in the voltage, a reading that lags, a rest that still moves, a rest
// voltage that falls with charge, two tests that cannot both be right.
//
// # Range
//
// Analyses want settled, finite rows in order of time; rows may be unevenly spaced.
// Pulses are those of up to a minute. The fit wants three levels of charge or
// more, and the instrument's counter where the log has holes; it holds from the coldest
// to the warmest test, and is carried on beyond by the same activation energy.
//
// # Sources
//
// iso-12405, iec-62660-1, usabc-manual (pulses), marquardt-1963 (least squares),
// barlow-1972 (isotonic fit), dubarry-2012, bloom-2005 (derivatives). The tests hold
// every figure to kollmeyer-2018, wiggins-2019 and tao-2024. docs/method/celltest.md
// has the equations, what is reached and what is not modelled.
package celltest
