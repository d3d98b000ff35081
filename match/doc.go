// Package match puts measured cells or slices into the groups of a pack so that
// the weakest group is as strong as it can be.
//
// # Model
//
// Items with capacities c_i and resistances r_i go into G groups of P in
// parallel; what is left over is spare. A group holds C_g = Σ c_i and has the
// resistance R_g = 1/Σ(1/r_i). Groups are in series, so the weakest one ends
// every discharge, and three things are wanted, in this order:
//
//  1. the largest min C_g;
//  2. with that kept, resistances of the groups as equal as they can be made by
//     exchanges between two groups: least Σ (1/R_g − mean)²;
//  3. groups laid to places so that the one with the lowest resistance, which
//     makes the least heat, stands where it is hottest.
//
// # Bound
//
// Leaving out the weakest items never lowers the optimum, because in any plan an
// item may be exchanged for a stronger spare one. So n = G·P items are used:
// those that are fixed to a group, and the strongest others. Let W_k be the sum of
// the k weakest of them and S_j that of the j strongest. In any plan the k weakest
// stand in some number m of groups, ⌈k/P⌉ ≤ m ≤ min(k, G), and these m groups hold
// at most W_k + S_(m·P−k) together, the weakest of them at most the m-th part:
//
//	min C_g ≤ min over k of max over m of (W_k + S_(m·P−k))/m
//
// k = n is the mean of all groups, k = 1 the weakest item with the P−1 strongest.
// A group with fixed items is also bounded by these and the strongest that can
// join them. The plan is proven best when it reaches the bound. Pairs (P = 2) are
// solved exactly: the weakest with the strongest and so on; with fixed items by
// bisection over the value, each fixed item taking the weakest partner that is
// strong enough.
//
// # Method for three and more in parallel
//
// Small tasks are searched to the end. Else: longest item first into the emptiest group that has room, then exchanges of one
// or two items between the weakest group and any other that raise the smaller of
// the two, then the same again after seeded disturbances, keeping the best. It ends
// at the bound, or when the tries are used up, and the gap is told either way.
//
// # Assumptions and range
//
// The capacities of cells in parallel add up (common practice: true when they are
// brought to one voltage before joining and share the current well enough). All
// capacities belong to one temperature and rate. Lots are kept apart in a group
// unless Mixed is set. Up to some ten thousand items.
//
// # Sources
//
// Graham, SIAM J. Appl. Math. 17 (1969) 416 (longest first; source key
// graham-1969); the bound is proven
// above. Held against exhaustive search and a mixed-integer solver in the tests.
package match
