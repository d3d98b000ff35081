// Package bay decides whether modules go into a bay, where, in which order they
// come in, and how many go in at most.
//
// Model. A bay is a union of upright boxes without its keep-outs, turned as a
// whole. A module with its connector room keeps the wall and the clearance from
// all that is not bay, and the gap from every other module on at least one axis:
//
//	[p − d, p + s + d] within the union and off every keep-out,  d = wall + clearance
//	p_a + s_a + g ≤ q_a  or the other way round, on some axis a,  for two modules p, q
//
// The solver grows each module by the gap on its far sides and each keep-out
// and each part outside the union accordingly; then modules may touch. A module
// comes in straight along the axis of the opening, or so and then by one straight
// slide along another axis of the bay.
//
// An answer is "fits" (the placement has passed Verify, which shares nothing with
// the solver), "proven not to fit", or "not proven". Proofs come from
// inequalities over the counts (volume with raised edges, conservative scales,
// planes, bars, sections) or from an exhausted search.
//
// Assumptions. Lengths are rounded to whole micrometres. Modules are boxes;
// connector room is a slab over the whole terminal side and keeps clearance and
// gap like the module. Gaps are measured along an axis. The opening follows the
// outline of the bay with its steps.
//
// Range of validity: edges from 0.1 mm to 100 m, up to 2000 modules of a kind
// and 16 kinds; made for 1 to 40 modules of 1 to 3 kinds.
//
// Sources: Fekete and Schepers 2004 (conservative scales, packing classes),
// Scheithauer 1999 (bars), both from memory. The method page docs/method/bay.md
// says more.
package bay
