package check

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"packyard/unit"
)

// A value that a file holds reads itself from its words: ReadText keeps the
// text and the place even when the words are wrong, and then returns a
// *unit.SyntaxError that says what was found and what is accepted.

// ReadText reads "560 lb". On an error SI stays zero, Text and Pos are kept.
func (g *Given[Q]) ReadText(text string, pos Pos) error {
	*g = Given[Q]{Text: text, Pos: pos}
	a, err := unit.ParseAmount[Q](text)
	if err != nil {
		return err
	}
	g.SI, g.Tol, g.Kind = a.SI, a.Tol, a.Kind
	return nil
}

// Noun returns what the value is, "mass".
func (Given[Q]) Noun() string { return unit.Noun[Q]() }

// Spellings returns the accepted spellings of the unit.
func (Given[Q]) Spellings() []unit.Row { return unit.Rows[Q]() }

// Plausible compares the value with bounds, "0 kg..10 t", a leading ">" taking
// the lower end itself out: ">0 kg..10 t". It returns a *unit.SyntaxError that
// names the likely slip, or nil. Panics if bounds are not of that form.
func (g Given[Q]) Plausible(bounds string) error {
	lowText, highText, open := splitBounds(bounds)
	low, high := mustQuantity[Q](lowText), mustQuantity[Q](highText)
	inside := func(v Q) bool { return v <= high && (v > low || v == low && !open) }
	if inside(g.SI) {
		return nil
	}
	e := &unit.SyntaxError{Text: g.Text, Noun: unit.Noun[Q]()}
	switch {
	case open && low == 0 && g.SI == 0:
		e.Found = fmt.Sprintf("%q is zero", g.Text)
	case low >= 0 && g.SI < 0 && strings.HasPrefix(strings.TrimSpace(g.Text), "-"):
		e.Found = fmt.Sprintf("%q is negative", g.Text)
	default:
		e.Found = fmt.Sprintf("%q is outside the plausible %s to %s", g.Text, lowText, highText)
	}
	if open {
		e.Hint = fmt.Sprintf("%s above %s, up to %s, is accepted", article(e.Noun), lowText, highText)
	} else {
		e.Hint = fmt.Sprintf("%s from %s to %s is accepted", article(e.Noun), lowText, highText)
	}
	if slip := slipOf[Q](g.Text, inside); slip != "" {
		e.Hint = "did you mean " + slip + "?"
	}
	return e
}

// slipOf returns the text with the unit that would bring the value inside,
// steps of a thousand first, then other SI units, then the rest.
func slipOf[Q unit.Quantity](text string, inside func(Q) bool) string {
	for _, used := range unit.Rows[Q]() {
		number, found := strings.CutSuffix(strings.TrimSpace(text), used.Spelling)
		number = strings.TrimSpace(number)
		n, err := strconv.ParseFloat(number, 64)
		if !found || err != nil {
			continue
		}
		best, rank := "", 3
		for _, row := range unit.Rows[Q]() {
			if row.Alias || row.Spelling == "1" || !inside(Q(n*row.Factor+row.Offset)) {
				continue
			}
			r := 1
			steps := math.Log10(used.Factor/row.Factor) / 3
			switch {
			case row.System == unit.US:
				r = 2
			case steps != 0 && math.Abs(steps-math.Round(steps)) < 1e-9:
				r = 0
			}
			if r < rank {
				best, rank = number+" "+row.Spelling, r
			}
		}
		return best
	}
	return ""
}

func splitBounds(bounds string) (low, high string, open bool) {
	bounds, open = strings.CutPrefix(bounds, ">")
	low, high, ok := strings.Cut(bounds, "..")
	if !ok {
		panic("check: bounds need two ends: " + bounds)
	}
	return strings.TrimSpace(low), strings.TrimSpace(high), open
}

func mustQuantity[Q unit.Quantity](text string) Q {
	a, err := unit.ParseAmount[Q](text)
	if err != nil {
		panic("check: bounds: " + err.Error())
	}
	return a.SI
}

// ReadText takes the words as they are.
func (t *Text) ReadText(text string, pos Pos) error {
	*t = Text{Value: text, Pos: pos}
	return nil
}

// Noun returns what the value is.
func (Text) Noun() string { return "text" }

// ReadText reads a whole number in decimal digits.
func (c *Count) ReadText(text string, pos Pos) error {
	*c = Count{Pos: pos}
	n, err := strconv.ParseInt(text, 10, 32)
	switch {
	case err == nil:
		c.Value = int(n)
		return nil
	case errors.Is(err, strconv.ErrRange):
		return &unit.SyntaxError{Text: text, Noun: "whole number", Found: fmt.Sprintf("%q is too large", text), Hint: "a whole number below two thousand million is accepted"}
	}
	hint := "a whole number such as 12 is accepted"
	if fields := strings.Fields(text); len(fields) > 1 {
		if _, err := strconv.ParseInt(fields[0], 10, 32); err == nil {
			hint = "write " + fields[0]
		}
	}
	return &unit.SyntaxError{Text: text, Noun: "whole number", Found: fmt.Sprintf("%q is not a whole number", text), Hint: hint}
}

// Noun returns what the value is.
func (Count) Noun() string { return "whole number" }

// Plausible compares the number with bounds, "1..1000". It returns a
// *unit.SyntaxError, or nil. Panics if bounds are not of that form.
func (c Count) Plausible(bounds string) error {
	lowText, highText, open := splitBounds(bounds)
	low, errLow := strconv.Atoi(lowText)
	high, errHigh := strconv.Atoi(highText)
	if errLow != nil || errHigh != nil || open {
		panic("check: bounds of a count are two whole numbers: " + bounds)
	}
	if c.Value >= low && c.Value <= high {
		return nil
	}
	return &unit.SyntaxError{Text: strconv.Itoa(c.Value), Noun: "whole number",
		Found: fmt.Sprintf("%q is outside %d to %d", strconv.Itoa(c.Value), low, high),
		Hint:  fmt.Sprintf("a whole number from %d to %d is accepted", low, high)}
}

// ReadText reads yes, no, true or false.
func (f *Flag) ReadText(text string, pos Pos) error {
	*f = Flag{Pos: pos}
	switch strings.ToLower(text) {
	case "yes", "true":
		f.Value = true
		return nil
	case "no", "false":
		return nil
	}
	return &unit.SyntaxError{Text: text, Noun: "yes or no", Found: fmt.Sprintf("%q is neither yes nor no", text), Hint: "yes, no, true or false is accepted"}
}

// Noun returns what the value is.
func (Flag) Noun() string { return "yes or no" }

// ReadText reads "120 EUR": an amount of zero or more and an ISO 4217 code.
func (p *Price) ReadText(text string, pos Pos) error {
	*p = Price{Text: text, Pos: pos}
	bad := func(found, hint string) error {
		return &unit.SyntaxError{Text: text, Noun: "price", Found: fmt.Sprintf("%q %s", text, found), Hint: hint}
	}
	const accepted = "a price is written as an amount and a currency of three letters, such as 120 EUR"
	fields := strings.Fields(text)
	if len(fields) == 0 {
		return bad("is empty", accepted)
	}
	if !plainDecimal(strings.TrimPrefix(fields[0], "-")) {
		if dotted := strings.Replace(fields[0], ",", ".", 1); plainDecimal(dotted) {
			return bad("has a decimal comma", "write "+strings.Join(append([]string{dotted}, fields[1:]...), " "))
		}
		if len(fields) == 2 && plainDecimal(fields[1]) {
			return bad("has the currency in front", "write "+fields[1]+" "+fields[0])
		}
		return bad("is not a price", accepted)
	}
	if len(fields) == 1 {
		return bad("needs a currency", accepted)
	}
	if len(fields) > 2 || !IsCurrencyCode(fields[1]) {
		return bad("has no currency code of three capital letters", accepted)
	}
	amount, err := strconv.ParseFloat(fields[0], 64)
	if err != nil || math.IsInf(amount, 0) {
		return bad("is too large", accepted)
	}
	if amount < 0 {
		return bad("is negative", "an amount of zero or more is accepted")
	}
	p.Amount, p.Currency = amount, fields[1]
	return nil
}

// Noun returns what the value is.
func (Price) Noun() string { return "price" }

// IsCurrencyCode reports whether s has the form of an ISO 4217 code: three
// capital letters.
func IsCurrencyCode(s string) bool {
	if len(s) != 3 {
		return false
	}
	for _, r := range s {
		if r < 'A' || r > 'Z' {
			return false
		}
	}
	return true
}

func plainDecimal(s string) bool {
	whole, frac, dotted := strings.Cut(s, ".")
	digits := func(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }
	return digits(whole) && (!dotted || digits(frac))
}

// article puts "a" or "an" before a noun.
func article(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}
