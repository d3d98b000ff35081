package part

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"packyard/check"
	"packyard/unit"
)

// CopperConstant is k_c of the loss law as written, "0.3 W/(N·m)²".
type CopperConstant struct{ constant }

// IronConstant is k_i of the loss law as written, "0.01 W·s/rad".
type IronConstant struct{ constant }

// WindageConstant is k_w of the loss law as written, "5e-06 W·s³/rad³".
type WindageConstant struct{ constant }

// constant is a number with the one unit that its place allows.
type constant struct {
	si   float64
	text string
	pos  check.Pos
}

// IsGiven reports whether the constant was written.
func (c constant) IsGiven() bool { return !c.pos.IsZero() }

// The one spelling of each constant and its ASCII aliases.
var (
	copperSpellings  = []string{"W/(N·m)²", "W/(N m)^2", "W/(Nm)2"}
	ironSpellings    = []string{"W·s/rad", "W s/rad"}
	windageSpellings = []string{"W·s³/rad³", "W s3/rad3"}
)

// ReadText reads "0.3 W/(N·m)²".
func (c *CopperConstant) ReadText(text string, pos check.Pos) error {
	return c.read(text, pos, c.Noun(), 1e3, copperSpellings)
}

// Noun returns what the value is.
func (CopperConstant) Noun() string { return "copper loss constant" }

// ReadText reads "0.01 W·s/rad".
func (c *IronConstant) ReadText(text string, pos check.Pos) error {
	return c.read(text, pos, c.Noun(), 1e3, ironSpellings)
}

// Noun returns what the value is.
func (IronConstant) Noun() string { return "iron loss constant" }

// ReadText reads "5e-06 W·s³/rad³".
func (c *WindageConstant) ReadText(text string, pos check.Pos) error {
	return c.read(text, pos, c.Noun(), 1, windageSpellings)
}

// Noun returns what the value is.
func (WindageConstant) Noun() string { return "windage loss constant" }

func (c *constant) read(text string, pos check.Pos, noun string, highest float64, spellings []string) error {
	*c = constant{text: text, pos: pos}
	bad := func(format string, args ...any) error {
		return &unit.SyntaxError{Text: text, Noun: noun, Found: fmt.Sprintf("%q ", text) + fmt.Sprintf(format, args...),
			Hint: fmt.Sprintf("a %s is written as a number from 0 to %g in %s", noun, highest, spellings[0])}
	}
	word, spelling, _ := strings.Cut(strings.TrimSpace(text), " ")
	v, err := strconv.ParseFloat(word, 64)
	switch {
	case err != nil || math.IsNaN(v):
		return bad("does not begin with a number")
	case spelling == "":
		return bad("needs a unit")
	case !contains(spellings, strings.TrimSpace(spelling)):
		return bad("has an unknown unit")
	case !(v >= 0 && v <= highest):
		return bad("is out of range")
	}
	c.si = v
	return nil
}

func contains(list []string, s string) bool {
	return slices.Contains(list, s)
}
