// Package bench is the store of used cells, slices and modules that were measured:
// one file, bench.db, in the folder of a project, and what can be said of a lot
// from it.
//
// # What is kept
//
// Items with their origin, the record of their intake, the logs of their tests,
// results, joints made afterwards, and the cell maps. The text of a log is kept as
// it was, in blocks of about a megabyte that are compressed without loss, with the
// SHA-256 of the file and of its text: it can be written out again byte by byte.
// What was read from it (columns, units, sign of the current) is kept beside it, and
// results name the method and the version of the method that they came from.
// Nothing is overwritten: a newer record or result stands beside the older one, and
// the newest counts.
//
// Every change is one transaction of the database. An import that is killed leaves
// what was there before it.
//
// # Equalising before paralleling
//
// Two items at rest with voltages U1 > U2, resistances R1, R2 and slopes of the
// open-circuit voltage k = dU/dq (V per A·s) are joined:
//
//	I(0) = (U1 − U2)/(R1 + R2)
//	τ    = (R1 + R2)/(k1 + k2),   ΔV(t) = ΔV(0)·e^(−t/τ)
//
// so that the difference that may be joined is I_max·(R1 + R2), and the difference
// falls below δ after τ·ln(ΔV/δ). The slope is taken constant and the resistance is
// that of long pulses (assumption: a polarised cell settles more slowly; the time is
// a least one).
//
// # Outliers and classes
//
// An item is an outlier where its modified z-score passes 3.5:
//
//	M = 0.6745·(x − median)/MAD,   MAD = median |x − median|
//
// (source key iglewicz-hoaglin-1993). Capacity is judged from below and resistance
// from above: a better cell is no reject. The rule is only used from eight items on,
// and needs a MAD above zero.
//
// # How many to test, how many to buy
//
// With n tested items in random order of a large lot, the share of the lot that lies
// above the lowest of them is at least p with certainty γ when p^n ≤ 1 − γ, so that
//
//	n ≥ ln(1 − γ)/ln(p)
//
// (Wilks; source key wilks-1941), and for a share that is to lie between the k-th
// lowest and the top the sum of a binomial takes the place of p^n.
//
// How many modules to buy so that a pack is reached with a certainty is found by
// drawing: a lot like the sample is drawn from the sample with replacement (bootstrap;
// source key efron-1979), then modules from that lot, until their strongest items,
// dealt out in layers, make the pack. The number that suffices in the wanted share of
// the draws is the answer. Its own error is that of a share of 2000 draws, half a
// percent of certainty at 95 %. Where only the number of sound items counts, the
// distribution has a closed form (negative binomial, mixed over the sample), which the
// tests compare with.
//
// # Assumptions and range
//
// The sample is drawn from the lot that is bought, at random. Modules are alike in
// how their slices vary. The capacities of one lot were measured in one way.
package bench
