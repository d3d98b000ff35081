// Package charge fills the pack: what the supply gives, what the charger passes
// on, what the strongest group still takes, and how long that lasts.
//
// # Model
//
// Supply. Alternating current: P = n·U·I with n phases of voltage U to neutral; I
// is the least of socket, cable and what the control pilot of the charging point
// states by its duty cycle D,
//
//	I = 0.6 A · D/%            10 % ≤ D ≤ 85 %
//	I = 2.5 A · (D/% − 64)     85 % < D ≤ 96 %
//
// Direct current: power, current and voltage band of the station, held against
// those of the vehicle's inlet.
//
// Charger. Output P = e·P_wall − P_idle, at most its power and its current. Of
// that the loads that are awake while charging (12 V net, cooling) are fed first,
// the pack takes the rest.
//
// Pack. Groups of package drive, step by step, each group with its own capacity,
// resistance, charge and temperature. Power or current is constant until the
// strongest group would pass its highest voltage; from there each step ends with
// that group exactly at it, so the current tapers. It ends when the current falls
// below the cut-off, at the wanted charge, or when no current may flow: limits by
// temperature come from the groups. Heat and electricity are stepped together when
// a thermal model is given.
//
// # Assumptions and range
//
// Every ampere-second that goes in comes out again: coulombic losses are not
// modelled. The voltage of the supply stays as stated. Balancing, which moves
// charge between groups, is not part of it. Steps of ten seconds unless said; the
// first and last are as short as they need to be for the marks.
//
// # Sources
//
// IEC 61851-1 Annex A and SAE J1772 (pilot, source keys iec-61851-1, sae-j1772);
// owner-charger-measurement (law of the charger); common practice (constant
// current, then constant voltage; end at a twentieth of the capacity per hour).
package charge
