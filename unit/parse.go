package unit

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Quantity is any quantity type of this package.
type Quantity interface {
	~float64
	noun() string
	symbol() string
	rows() []Row
}

// SpreadKind says how the uncertainty of an Amount was written.
type SpreadKind uint8

// Kinds of spread.
const (
	NoSpread  SpreadKind = iota
	Deviation            // "± x": one standard deviation
	Band                 // "± x max" or "a … b": uniform between the ends
)

// MarshalText writes "deviation", "band", or nothing without a spread.
func (k SpreadKind) MarshalText() ([]byte, error) {
	switch k {
	case NoSpread:
		return nil, nil
	case Deviation:
		return []byte("deviation"), nil
	case Band:
		return []byte("band"), nil
	}
	return nil, fmt.Errorf("kind of spread %d: none, deviation and band are known", uint8(k))
}

// Amount is a quantity as read, with its spread. Tol is in the SI unit of the
// difference (±2 °C is 2 K): one standard deviation, or the half width of a band.
type Amount[Q Quantity] struct {
	SI   Q
	Tol  float64 // in the SI unit of the difference of two Q
	Kind SpreadKind
}

// Noun returns the name of the quantity, "mass".
func Noun[Q Quantity]() string { var q Q; return q.noun() }

// Symbol returns the SI symbol of the quantity, "kg".
func Symbol[Q Quantity]() string { var q Q; return q.symbol() }

// Rows returns a copy of the accepted spellings of the quantity, SI unit first.
func Rows[Q Quantity]() []Row { var q Q; return slices.Clone(q.rows()) }

// SyntaxError says what of a text is not a quantity and what would be.
type SyntaxError struct {
	Text  string // the text as written
	Noun  string // "mass"
	Found string // what is wrong: `"39" needs a unit`
	Hint  string // what is accepted: "a mass is written in kg, g, lb …"
}

func (e *SyntaxError) Error() string { return fmt.Sprintf("%s: %s", e.Found, e.Hint) }

// textMax bounds the length of a text that is read as a quantity, in bytes; the
// longest useful one ("100 kWh/100 km ± 10 kWh/100 km max") has under 50.
const textMax = 200

// Parse reads one value with its unit, "39 kg" or "5 ft 3 in". A tolerance or a
// range is refused. The error is a *SyntaxError.
func Parse[Q Quantity](s string) (Q, error) {
	a, err := readText(s, kindOf[Q]())
	if err != nil {
		return 0, err
	}
	if a.spread != NoSpread {
		p := parser{text: s, kind: kindOf[Q]()}
		return 0, p.fail("%s has a spread", "one value is accepted here, without ± and without …", p.quoted())
	}
	return Q(a.si), nil
}

// ParseAmount reads a value with its unit and, if written, its tolerance
// ("142 kg ± 2 kg", "2.1 mΩ ± 5 % max") or a range ("10…18 °C"). A range gives
// its middle and half its width. The error is a *SyntaxError.
func ParseAmount[Q Quantity](s string) (Amount[Q], error) {
	a, err := readText(s, kindOf[Q]())
	if err != nil {
		return Amount[Q]{}, err
	}
	return Amount[Q]{SI: Q(a.si), Tol: a.tol, Kind: a.spread}, nil
}

// amount is an Amount without its type.
type amount struct {
	si, tol float64
	spread  SpreadKind
	system  System // of the last unit of the value
}

// parser reads one text as one kind of quantity.
type parser struct {
	text string // as written, for the messages
	kind Kind
}

func (p parser) fail(found, hint string, args ...any) *SyntaxError {
	return &SyntaxError{Text: p.text, Noun: p.kind.Noun, Found: fmt.Sprintf(found, args...), Hint: hint}
}

// quoted returns the text for a message, cut when it is long.
func (p parser) quoted() string { return quote(p.text) }

func quote(s string) string {
	const runesMax = 60
	if r := []rune(s); len(r) > runesMax {
		s = string(r[:runesMax]) + "…"
	}
	return fmt.Sprintf("%q", s)
}

// sameSign maps characters that look alike or mean the same to the one that the
// table uses: minus sign, no-break spaces, ohm sign, Greek mu, dot operator,
// masculine ordinal.
var sameSign = strings.NewReplacer("\u2212", "-", "\u00a0", " ", "\u202f", " ", "\u2009", " ",
	"\u2126", "Ω", "\u03bc", "µ", "\u22c5", "·", "\u00ba", "°", "\u2044", "/")

// readText reads a whole text.
func readText(s string, k Kind) (amount, error) {
	p := parser{text: s, kind: k}
	if len(s) > textMax {
		return amount{}, p.fail("%s is too long", "a value with its unit has at most "+fmt.Sprint(textMax)+" bytes; "+p.accepted(), p.quoted())
	}
	t := strings.Join(strings.Fields(sameSign.Replace(s)), " ")
	if t == "" {
		return amount{}, p.fail("%s is empty", p.accepted(), p.quoted())
	}
	a, err := p.spread(t)
	if err != nil {
		return amount{}, err
	}
	if err := p.bounded(a); err != nil {
		return amount{}, err
	}
	return a, nil
}

// bounded refuses what is no finite value of the kind.
func (p parser) bounded(a amount) *SyntaxError {
	if math.IsInf(a.si, 0) || math.IsNaN(a.si) || math.IsInf(a.tol, 0) || math.IsNaN(a.tol) {
		return p.tooLarge()
	}
	if p.kind.hasOffset() && (a.si < 0 || a.spread == Band && a.si-a.tol < -1e-9) {
		return p.fail("%s lies below absolute zero", "a temperature is at least 0 K, -273.15 °C or -459.67 °F", p.quoted())
	}
	return nil
}

func (p parser) tooLarge() *SyntaxError {
	return p.fail("%s is too large", "a value in the SI unit stays below 1.79e308", p.quoted())
}

// spread splits the text at a tolerance or range mark and reads the parts.
func (p parser) spread(t string) (amount, *SyntaxError) {
	at, mark := findMark(t)
	if mark == "" {
		v, row, err := p.terms(t)
		return amount{si: v, system: row.System}, err
	}
	left, right := strings.TrimSpace(t[:at]), strings.TrimSpace(t[at+len(mark):])
	if _, again := findMark(right); again != "" {
		return amount{}, p.fail("%s has two tolerances or ranges", "one is accepted, as in "+p.example(" ± "), p.quoted())
	}
	if mark == "±" || mark == "+/-" {
		return p.tolerance(left, right)
	}
	return p.between(left, right)
}

// findMark returns the first tolerance or range mark and its place.
func findMark(t string) (at int, mark string) {
	for i := range t {
		for _, m := range [...]string{"±", "+/-", "…", "...", ".."} {
			if strings.HasPrefix(t[i:], m) {
				return i, m
			}
		}
	}
	return 0, ""
}

// tolerance reads "value ± spread".
func (p parser) tolerance(left, right string) (amount, *SyntaxError) {
	a := amount{spread: Deviation}
	if r, ok := strings.CutSuffix(right, "max"); ok && r != "" {
		a.spread, right = Band, strings.TrimSpace(r)
	}
	if left == "" || right == "" {
		return a, p.fail("%s is not complete", "a tolerance is written as in "+p.example(" ± "), p.quoted())
	}
	if n, rest, err := p.number(left); err == nil && rest == "" && n.text == left && !p.kind.bare() {
		return a, p.fail("%s needs a unit before the tolerance", "a tolerance is written as in "+p.example(" ± "), p.quoted())
	}
	var err *SyntaxError
	var row Row
	if a.si, row, err = p.terms(left); err != nil {
		return a, err
	}
	a.system = row.System
	if right[0] == '-' || right[0] == '+' {
		return a, p.fail("%s has a sign in its tolerance", "a tolerance goes both ways and has no sign, as in "+p.example(" ± "), p.quoted())
	}
	if share, ok := strings.CutSuffix(right, "%"); ok {
		a.tol, err = p.percent(a.si, strings.TrimSpace(share))
		return a, err
	}
	if n, rest, err := p.number(right); err == nil && rest == "" && n.text == right && !p.kind.bare() {
		return a, p.fail("%s needs a unit after the tolerance", "a tolerance is written as in "+p.example(" ± ")+" or with %", p.quoted())
	}
	// A tolerance is a difference: 2 °C are 2 K.
	d := p
	d.kind = p.kind.difference()
	a.tol, _, err = d.terms(right)
	return a, err
}

// percent reads a tolerance in percent of the value.
func (p parser) percent(value float64, share string) (float64, *SyntaxError) {
	switch {
	case p.kind.bare():
		return 0, p.fail("%s can mean per cent of the value or percentage points", "write the tolerance as a bare number, as in 0.42 ± 0.03", p.quoted())
	case p.kind.hasOffset():
		return 0, p.fail("%s has a tolerance in per cent of a temperature, which depends on the scale", "write it as a difference, as in 20 °C ± 2 °C", p.quoted())
	}
	n, rest, err := p.number(share)
	if err != nil {
		return 0, err
	}
	if rest != "" {
		return 0, p.fail("%s has a tolerance that is not understood", "a tolerance is written as in "+p.example(" ± ")+" or ± 5 %", p.quoted())
	}
	return math.Abs(value) * n.value / 100, nil
}

// between reads "low … high".
func (p parser) between(left, right string) (amount, *SyntaxError) {
	if left == "" || right == "" {
		return amount{}, p.fail("%s is not complete", "a range is written as in "+p.example(" … "), p.quoted())
	}
	high, row, err := p.terms(right)
	if err != nil {
		return amount{}, err
	}
	// "10…18 °C": a bare lower end takes the unit of the upper end.
	var low float64
	if n, rest, nerr := p.number(left); nerr == nil && rest == "" {
		low = row.toSI(n.value)
	} else if low, _, err = p.terms(left); err != nil {
		return amount{}, err
	}
	if low > high {
		return amount{}, p.fail("%s runs backwards", "a range is written with its smaller end first, as in "+p.example(" … "), p.quoted())
	}
	half := high/2 - low/2
	return amount{si: low + half, tol: half, spread: Band, system: row.System}, nil
}

// terms reads a term or a sum of terms and returns also the last unit.
func (p parser) terms(t string) (total float64, last Row, err *SyntaxError) {
	negative := false
	for first := true; t != ""; first = false {
		n, rest, err := p.number(t)
		if err != nil {
			return 0, last, err
		}
		row, rest, err := p.unit(n, rest)
		if err != nil {
			return 0, last, err
		}
		switch {
		case first:
			negative = n.negative
		case n.signed:
			return 0, last, p.fail("%s has a sign inside a sum", "the sign stands in front and holds for the whole sum, as in "+p.sumExample(), p.quoted())
		case !p.kind.sums(row):
			return 0, last, p.fail("%s has %s in a sum", p.single()+", as in "+p.sumExample(), p.quoted(), row.Spelling)
		case row.Factor >= last.Factor:
			return 0, last, p.fail("%s has the unit %s after %s", "a sum is written from the larger unit to the smaller, as in "+p.sumExample(),
				p.quoted(), row.Spelling, last.Spelling)
		}
		v := row.toSI(n.value)
		if !first && negative {
			v = -v
		}
		total, last, t = total+v, row, rest
	}
	return total, last, nil
}
