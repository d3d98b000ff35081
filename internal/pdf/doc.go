// Package pdf writes pages of text, lines and areas as a PDF file. It is the
// only door to the module that knows the format.
//
// All lengths are millimetres from the upper left corner of the page, y down,
// as plain float64. Text is set in DejaVu Sans Condensed, upright and bold, of
// which a file holds only the characters that it uses; its licence stands in
// font/LICENSE.txt. The same calls give the same bytes: no clock is read, and
// the date is that of Options.
package pdf
