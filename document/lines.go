package document

import (
	"iter"
	"strings"
	"unicode/utf8"
)

// widthOf gives the width of a text in one face and size, in millimetres.
type widthOf func(text string) float64

// noBreak is a space at which no line is broken.
const noBreak = "\u00a0"

// words gives the parts of a line between its spaces.
func words(line string) iter.Seq[string] {
	return strings.FieldsFuncSeq(line, func(r rune) bool { return r == ' ' || r == '\t' })
}

// breakLines breaks a text at its spaces into lines of at most the width, mm. A
// word that alone is wider is broken within. A line break in the text is kept.
// It returns at least one line.
func breakLines(text string, width float64, of widthOf) []string {
	var lines []string
	for part := range strings.SplitSeq(text, "\n") {
		line := ""
		for word := range words(part) {
			joined := word
			if line != "" {
				joined = line + " " + word
			}
			if of(joined) <= width {
				line = joined
				continue
			}
			if line != "" {
				lines = append(lines, line)
			}
			for of(word) > width {
				n := splitWord(word, width, of)
				lines = append(lines, word[:n])
				word = word[n:]
			}
			line = word
		}
		lines = append(lines, line)
	}
	return lines
}

// splitWord returns how many bytes of a word go into the width, after one of
// its own marks if there is one in the second half; at least one character.
func splitWord(word string, width float64, of widthOf) int {
	n := 0
	for i, r := range word {
		end := i + utf8.RuneLen(r)
		if i > 0 && of(word[:end]) > width {
			break
		}
		n = end
	}
	if cut := strings.LastIndexAny(word[:n], "/-_.,;:+"); cut+1 > n/2 {
		return cut + 1
	}
	return n
}

// needs returns the width of the widest word of a text and of the whole text
// on one line, mm.
func needs(text string, of widthOf) (word, whole float64) {
	for line := range strings.SplitSeq(text, "\n") {
		whole = max(whole, of(line))
		for w := range words(line) {
			word = max(word, of(w))
		}
	}
	return word, whole
}
