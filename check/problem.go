package check

import (
	"fmt"
	"strings"
)

// Problem says what is wrong in a file of the builder, where, and what would
// be accepted.
type Problem struct {
	Pos     Pos    `json:"pos"`
	Path    string `json:"path"`           // "donor.added[2].mass"
	Message string `json:"message"`        // `"60" needs a unit`
	Hint    string `json:"hint,omitempty"` // "a mass is written in kg, g, t, lb or oz"
}

// String joins place, path, message and hint, as far as there are any.
func (p Problem) String() string {
	var parts []string
	for _, s := range []string{p.Pos.String(), p.Path, p.Message, p.Hint} {
		if s != "" {
			parts = append(parts, s)
		}
	}
	return strings.Join(parts, ": ")
}

// ProblemsMax is how many problems are kept; the rest are counted.
const ProblemsMax = 20

// Problems collects problems; the zero value is ready.
type Problems struct {
	List []Problem
	More int // found beyond ProblemsMax
}

// Add records a problem.
func (p *Problems) Add(pr Problem) {
	if len(p.List) >= ProblemsMax {
		p.More++
		return
	}
	p.List = append(p.List, pr)
}

// Addf records a problem at pos.
func (p *Problems) Addf(pos Pos, path, hint, format string, args ...any) {
	p.Add(Problem{Pos: pos, Path: path, Message: fmt.Sprintf(format, args...), Hint: hint})
}

// Any reports whether a problem was found.
func (p *Problems) Any() bool { return len(p.List) > 0 }

// Error makes a non-empty Problems an error; it lists all of them.
func (p *Problems) Error() string {
	var s strings.Builder
	for i, pr := range p.List {
		if i > 0 {
			s.WriteString("\n")
		}
		s.WriteString(pr.String())
	}
	if p.More > 0 {
		s.WriteString(fmt.Sprintf("\nand %d more", p.More))
	}
	return s.String()
}

// Err returns p as an error, or nil when nothing was found.
func (p *Problems) Err() error {
	if !p.Any() {
		return nil
	}
	return p
}
