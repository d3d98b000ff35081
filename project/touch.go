package project

import (
	"encoding/json"
	"fmt"
	"reflect"
	"slices"
	"strconv"
	"strings"

	"packyard/internal/sheet"
)

// touch is a place that a change touched: a value, or a list whose entries from
// From on have moved.
type touch struct {
	path string
	from int // of a list: first entry that moved; −1: path itself was changed
}

// parsed is a file as a tree of texts, for comparing.
type parsed struct {
	raw  []byte
	tree any
	good bool
}

func parse(data []byte) parsed {
	p := parsed{raw: data, good: true}
	if len(data) == 0 {
		return p
	}
	text, err := sheet.ToJSON(data)
	p.good = err == nil && json.Unmarshal(text, &p.tree) == nil
	return p
}

// touches compares two states of a file and returns where they differ.
func touches(before, after parsed) []touch {
	if !before.good || !after.good {
		return []touch{{"", -1}}
	}
	var out []touch
	compare("", before.tree, after.tree, &out)
	return out
}

func compare(path string, a, b any, out *[]touch) {
	if reflect.DeepEqual(a, b) {
		return
	}
	ma, isMap := a.(map[string]any)
	mb, both := b.(map[string]any)
	if isMap && both {
		keys := map[string]bool{}
		for k := range ma {
			keys[k] = true
		}
		for k := range mb {
			keys[k] = true
		}
		names := make([]string, 0, len(keys))
		for k := range keys {
			names = append(names, k)
		}
		slices.Sort(names)
		for _, k := range names {
			at := k
			if path != "" {
				at = path + "." + k
			}
			va, inA := ma[k]
			vb, inB := mb[k]
			if inA && inB {
				compare(at, va, vb, out)
				continue
			}
			*out = append(*out, touch{at, -1})
		}
		return
	}
	la, isList := a.([]any)
	lb, both := b.([]any)
	if isList && both {
		compareLists(path, la, lb, out)
		return
	}
	*out = append(*out, touch{path, -1})
}

// compareLists compares entry by entry as far as the two lists are of one
// length; else what stands before the first difference has not moved, and the
// rest has.
func compareLists(path string, a, b []any, out *[]touch) {
	if len(a) == len(b) {
		for i := range a {
			compare(fmt.Sprintf("%s[%d]", path, i), a[i], b[i], out)
		}
		return
	}
	same := 0
	for same < min(len(a), len(b)) && reflect.DeepEqual(a[same], b[same]) {
		same++
	}
	*out = append(*out, touch{path, same})
}

// crosses reports whether a change of what others touched could mean something
// else than when it was asked for.
func (o Op) crosses(t touch) bool {
	if t.path == "" {
		return true
	}
	if t.from >= 0 {
		// Entries of the list have moved; adding one more at its end is no matter.
		rest, below := strings.CutPrefix(o.Path, t.path+"[")
		if below {
			number, _, _ := strings.Cut(rest, "]")
			i, err := strconv.Atoi(number)
			return err != nil || i >= t.from
		}
		return o.Kind != OpInsert && o.Path == t.path || under(t.path, o.Path)
	}
	if o.Kind == OpInsert && under(t.path, o.Path) {
		return false // an entry is added beside the one that was changed
	}
	return o.Path == t.path || under(o.Path, t.path) || under(t.path, o.Path)
}

// under reports whether path lies below parent.
func under(path, parent string) bool {
	return strings.HasPrefix(path, parent+".") || strings.HasPrefix(path, parent+"[")
}

// partOf returns the top key of a path.
func partOf(path string) string {
	end := strings.IndexAny(path, ".[")
	if end < 0 {
		return path
	}
	return path[:end]
}
