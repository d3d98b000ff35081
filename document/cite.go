package document

import "packyard/check"

// Cited lists the sources that the workings of the document cite, by the numbers
// that stand there. It belongs behind all of them.
type Cited struct{}

func (Cited) block() {}

// citations are the sources cited so far, as they stand on paper.
type citations struct{ check.Citations }

// number returns a source as it is cited in the text, "[3]"; what is no
// published source is said in words.
func (c *citations) number(key string) string {
	if _, known := check.SourceOf(key); !known {
		return key
	}
	return c.Number(key)
}

// titles returns the sources in the order of their numbers.
func (c *citations) titles() []string {
	out := make([]string, len(c.Citations))
	for i, key := range c.Citations {
		out[i] = check.SourceTitle(key)
	}
	return out
}

// origin says where an input of a working came from.
func (c *citations) origin(in *check.Input) string {
	return in.Origin(c.Number, func(key string) string { return "from " + key })
}
