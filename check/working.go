package check

import (
	"fmt"
	"strings"

	"packyard/unit"
)

// Input is one input of a working.
type Input struct {
	Symbol string `json:"symbol"` // as in the formula, "m"
	Name   string `json:"name"`   // "test mass"
	Value  Figure `json:"value"`
	Source string `json:"source,omitempty"` // source key, or "given" with Pos, or name of another working
	Pos    Pos    `json:"pos,omitzero"`
}

// Working shows how a number came about.
type Working struct {
	Name    string  `json:"name"`    // stable name, "range"
	Formula string  `json:"formula"` // plain text
	Inputs  []Input `json:"inputs"`
	Result  Figure  `json:"result"`
	Source  string  `json:"source"` // source key of the method
}

// Text prints the working: the result, the formula, each input with where it
// came from, the source of the method.
//
//	range = 118.2 km
//	    E/c
//	    E = 21.6 kWh    usable energy; given in packyard.yaml:12:9
//	    c = 182.7 Wh/km consumption; working consumption
//	    method: Gillespie, Fundamentals of Vehicle Dynamics, SAE
func (w Working) Text(s unit.System) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s = %s\n", w.Name, w.Result.Text(s))
	if w.Formula != "" {
		fmt.Fprintf(&b, "    %s\n", w.Formula)
	}
	symbols, values := 0, 0
	for _, in := range w.Inputs {
		symbols = max(symbols, len([]rune(in.Symbol)))
		values = max(values, len([]rune(in.Text(s))))
	}
	for _, in := range w.Inputs {
		fmt.Fprintf(&b, "    %s = %s %s", pad(in.Symbol, symbols), pad(in.Text(s), values), in.Name)
		if from := in.origin(); from != "" {
			b.WriteString("; " + from)
		}
		b.WriteString("\n")
	}
	if w.Source != "" {
		fmt.Fprintf(&b, "    method: %s\n", SourceTitle(w.Source))
	}
	return b.String()
}

// Text prints the value of the input; of a count the bare number, since the name
// says of what.
func (in Input) Text(s unit.System) string {
	if in.Value.IsCount() {
		return Whole(int(in.Value.SI))
	}
	return in.Value.Text(s)
}

// origin says in words where the input came from.
func (in Input) origin() string {
	return in.Origin(SourceTitle, func(key string) string { return "working " + key })
}

// pad fills s with spaces to n characters.
func pad(s string, n int) string {
	return s + strings.Repeat(" ", max(0, n-len([]rune(s))))
}
