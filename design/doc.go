// Package design holds one whole design: what the builder states, what follows
// from it for every option, and how one option stands against every limit.
//
// # Model
//
// A Brief is the donor, the road, the drive, the bays, the sources of cells and
// the targets. A Frame is what all its options share: cell tables at the days of
// the brief and at both lives, axle loads as linear functions of mass and moment,
// and what the road asks over the mass of the vehicle. Of an option with S cells
// in series, P in parallel, N strings and modules of mass m_i at x_i:
//
//	U_full = S·u_max                   against the highest voltage each device bears
//	U_low  = S·max(e − r·i, min(u_min, e))   at the charge floor, coldest day, worse life
//	i      = 2w/(e + √(e² − 4rw))      one cell at power w = W/(S·P·N), r with its share of interconnects
//	rear   = rear_0 + Σ m·x/L          front = front_0 + m − Σ m·x/L, worst load case
//	range ≤ a + b·E                    bound; a complete run of drive decides
//
// Margins are (limit − value)/limit, the sign turned for limits from below. The
// modules are shared among the bays so that the fewest limits of mass are
// broken, then the fewest bays are used, then the worst margin is best.
//
// # Assumptions and range
//
// Groups and strings of an option are alike; at most two module lengths in a
// string and twelve bays; cooling and fixed parts lie where the modules do; three
// fixed temperatures: of the range runs, of the coldest and of the hottest day.
// Every equation, the tests that hold it and what is not modelled are in
// docs/method/design.md.
//
// Sources: circuit law and common practice for the window and the currents;
// Gillespie, Fundamentals of Vehicle Dynamics, for axle loads; ISO 6469-3 for the
// border of 60 V DC; UN GTR No. 15 (from memory) for the end of a run.
package design
