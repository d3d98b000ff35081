// Package book makes the build book: the document that goes to the person with
// the spanner and to the inspector. It holds what was decided and worked out
// about one option, in the order in which it is built, and says what is missing
// instead of leaving it out.
//
// # Model
//
// Gather runs what the book tells (the search with its nearest misses, pace,
// the hottest day, a charge) on a frame and an option; Make turns what was
// gathered into a document.Document. Every number in the book is one of
// design, search or the packages below them; this package computes none but
// sums of a bill of materials.
//
// As long as a safety finding is not acknowledged, the notice "not cleared"
// stands on every page. The same design, date and units give the same bytes.
//
// # Assumptions and range
//
// One option. Lists of checks are common practice of the trade and of the
// standards they name; local codes, vehicle inspection and licensed practice
// come first, and the book says so.
package book
