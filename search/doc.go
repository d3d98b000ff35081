// Package search lists every candidate pack of a brief, holds each against
// every limit, ranks what fits, counts what fell to which limit, and finds for
// each limit the smallest move that lets another pack through.
//
// # Model
//
// A candidate is source × form × slices abreast × strings × groups in series ×
// cut into modules of at most two lengths. The search goes in tiers: a survey of
// what each bay holds, with proof; every candidate against every limit with an
// optimistic range; complete range runs where the bound does not decide; the
// ranking and the Pareto set over range, mass, price and worst margin; the
// misses. For a limit l and a value v beyond it
//
//	share = |v − l|/l
//
// The nearest miss of a limit has the smallest share among candidates that break
// that limit alone; the joint miss has the smallest largest share.
//
// # Assumptions and range
//
// The universe goes a stated way beyond the limits (type Universe), and counts
// are exact within it but for candidates whose space is neither found nor
// disproven; these are counted. Range falls with mass and resistance within a
// block, except where both ends of it fall behind the schedule: there 5 % are
// allowed for, which is tested, not proven. The method, its tests and what is
// left out are in docs/method/search.md.
//
// Sources: the project's own; bounds and placements are bay's, runs are drive's.
package search
