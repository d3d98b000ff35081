package check

import (
	"fmt"
	"slices"
)

// Citations are the keys of the sources cited so far, in the order of their
// numbers.
type Citations []string

// Number returns a source as it is cited, "[3]"; one that was not cited yet gets
// the next number.
func (c *Citations) Number(key string) string {
	i := slices.Index(*c, key)
	if i < 0 {
		i = len(*c)
		*c = append(*c, key)
	}
	return fmt.Sprintf("[%d]", i+1)
}

// Origin says where an input came from, "" when that is not said: its place in a
// file, what published makes of the key of a source, or what other makes of
// another one.
func (in Input) Origin(published, other func(key string) string) string {
	switch _, known := SourceOf(in.Source); {
	case !in.Pos.IsZero():
		return "given in " + in.Pos.String()
	case in.Source == "":
		return ""
	case known:
		return published(in.Source)
	}
	return other(in.Source)
}
