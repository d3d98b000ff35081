package check

import (
	"fmt"
	"slices"
	"strings"
)

// Severity ranks findings.
type Severity uint8

// Severities, in rising order.
const (
	Note    Severity = iota // worth knowing
	Warning                 // near a limit, or a limit that the builder may pass knowingly
	Failure                 // breaks a limit: the option does not fit
	Safety                  // can hurt people: acknowledged by name, never switched off
)

func severityWords() []string { return []string{"note", "warning", "failure", "safety"} }

// String returns "note", "warning", "failure" or "safety".
func (s Severity) String() string {
	if words := severityWords(); int(s) < len(words) {
		return words[s]
	}
	return fmt.Sprintf("severity %d", uint8(s))
}

// MarshalText writes the word.
func (s Severity) MarshalText() ([]byte, error) {
	if int(s) >= len(severityWords()) {
		return nil, fmt.Errorf("severity %d: note 0 to safety 3 are known", uint8(s))
	}
	return []byte(s.String()), nil
}

// UnmarshalText reads the word.
func (s *Severity) UnmarshalText(text []byte) error {
	i := slices.Index(severityWords(), string(text))
	if i < 0 {
		return fmt.Errorf("severity %q: accepted are %s", text, strings.Join(severityWords(), ", "))
	}
	*s = Severity(i)
	return nil
}
