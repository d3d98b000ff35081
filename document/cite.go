package document

import (
	"fmt"
	"slices"

	"packyard/check"
)

// Cited lists the sources that the workings of the document cite, by the numbers
// that stand there. It belongs behind all of them.
type Cited struct{}

func (Cited) block() {}

// citations are the keys of the sources cited so far, in the order of their numbers.
type citations struct{ keys []string }

// number returns a source as it is cited in the text, "[3]"; what is no
// published source is said in words.
func (c *citations) number(key string) string {
	if _, known := check.SourceOf(key); !known {
		return key
	}
	i := slices.Index(c.keys, key)
	if i < 0 {
		i = len(c.keys)
		c.keys = append(c.keys, key)
	}
	return fmt.Sprintf("[%d]", i+1)
}

// titles returns the sources in the order of their numbers.
func (c *citations) titles() []string {
	out := make([]string, len(c.keys))
	for i, key := range c.keys {
		out[i] = check.SourceTitle(key)
	}
	return out
}

// origin says where an input of a working came from.
func (c *citations) origin(in *check.Input) string {
	if !in.Pos.IsZero() {
		return "given in " + in.Pos.String()
	}
	if in.Source == "" {
		return ""
	}
	if _, known := check.SourceOf(in.Source); known {
		return c.number(in.Source)
	}
	return "from " + in.Source
}
