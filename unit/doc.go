// Package unit holds the physical quantities of packyard: one float64 type per
// quantity, SI inside, in the manner of time.Duration. Build a value with a
// constant (39 * unit.Kilogram), read it with a method (m.Kilograms()), parse
// and print it with Parse and Format.
//
// There is no arithmetic across types: a function strips the types on entry,
// computes in SI and gives the result a type again. Adding two masses is plain
// Go; multiplying a mass by an acceleration is done on float64.
//
// # Model
//
// Every quantity has a closed list of spellings. A number n of a unit is
//
//	x = n·factor + offset
//
// in SI; only °C and °F have an offset, and a difference of temperatures is a
// quantity of its own without one. A text is
//
//	quantity  = term { term } [ tolerance ]   "39 kg"  "5 ft 3 in"  "142 kg ± 2 kg"
//	term      = number [ space ] unit
//	number    = [ sign ] decimal [ exponent ] | [ sign ] [ integer space ] integer "/" integer
//	tolerance = ( "±" | "+/-" ) ( term | number "%" ) [ "max" ]
//	range     = term ( "…" | ".." ) term      "10…18 °C"
//
// A sum of terms falls in size, has one sign and is known for length (mi yd ft
// in), mass (lb oz) and time (d h min s). A tolerance is one standard deviation,
// with "max" a hard uniform band; a range is a band between its ends. The unit
// of a ratio or slope may be left out. What is not in the grammar is refused
// with a *SyntaxError that says what was found and what is accepted; nothing is
// guessed.
//
// # Range of validity
//
// Any finite float64; a temperature is not below 0 K. A text has at most 200
// bytes. Exact printing reads back to the last bit, any other unit within two
// units in the last place.
//
// # Sources
//
// Factors by definition: NIST Special Publication 811 (2008), Appendix B; BIPM,
// SI Brochure, 9th edition; NIST Handbook 44, Appendix C; standard gravity of
// the 3rd CGPM (1901); Julian year of the IAU. The unit in which a value is
// shown is common practice of the trade.
package unit
