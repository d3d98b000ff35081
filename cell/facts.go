package cell

import (
	"fmt"
	"slices"
	"strings"

	"packyard/check"
	"packyard/internal/sheet"
)

// Stated is a key of an entry of a sheet and whether it was written.
type Stated struct {
	Key   string
	Given bool
}

// FactsOf returns the facts of an entry in the order of its figures; a figure
// that was written without one is "given" by the builder. A fact about a key that
// the entry does not have, that was not written, or that has one already, is a
// problem. Path names the entry.
func FactsOf(facts []FactSheet, path string, figures []Stated, probs *check.Problems) []Fact {
	var keys []string
	for _, f := range figures {
		keys = append(keys, f.Key)
	}
	said := map[string]Fact{}
	for i, f := range facts {
		if !f.Field.IsGiven() {
			continue // recorded by the reader
		}
		for key := range strings.SplitSeq(f.Field.Value, ",") {
			key = strings.TrimSpace(key)
			at := slices.Index(keys, key)
			_, twice := said[key]
			finding, hint := "", ""
			switch {
			case at < 0:
				finding, hint = "is not a figure of this entry", strings.Join(keys, ", ")+" are accepted"
				if near := sheet.Nearest(key, keys); near != "" {
					hint = "did you mean " + near + "?"
				}
			case !figures[at].Given:
				finding, hint = "has a source but no value", "write the figure or take the fact out"
			case twice:
				finding, hint = "has a source twice", "keep one"
			default:
				said[key] = Fact{key, f.Source.Value, f.Status.Value}
				continue
			}
			probs.Addf(f.Field.Pos, fmt.Sprintf("%s.facts[%d].field", path, i), hint, "%q "+finding, clip(key))
		}
	}
	var out []Fact
	for _, f := range figures {
		if !f.Given {
			continue
		}
		fact, ok := said[f.Key]
		if !ok {
			fact = Fact{f.Key, "given", "given"}
		}
		out = append(out, fact)
	}
	return out
}

// Names are the names of parts that are taken, with the place of each; the zero
// place stands for the built-in catalogue.
type Names map[string]check.Pos

// NamesOf returns the names of a built-in catalogue.
func NamesOf(ids []string) Names {
	n := Names{}
	for _, id := range ids {
		n[id] = check.Pos{}
	}
	return n
}

// Take takes the id of the entry at path into use; false when it is missing or
// taken, which is a problem.
func (n Names) Take(id check.Text, path string, probs *check.Problems) bool {
	if id.Value == "" {
		if id.IsGiven() {
			probs.Addf(id.Pos, path+".id", "a name such as pouch-nmc-21 is accepted", "is empty")
		}
		return false // a missing key was recorded by the reader
	}
	first, taken := n[id.Value]
	if !taken {
		n[id.Value] = id.Pos
		return true
	}
	where := "a part of the built-in catalogue"
	if !first.IsZero() {
		where = "the part at " + first.String()
	}
	probs.Addf(id.Pos, path+".id", "give it a name of its own", "%q is also the name of %s", id.Value, where)
	return false
}
