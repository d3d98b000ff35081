package sheet

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"go.yaml.in/yaml/v4"
	"pgregory.net/rapid"

	"packyard/check"
	"packyard/check/checktest"
)

const truck = `# the truck
packyard: 1
title: "Orchard truck"   # ours

donor:
  wheelbase: 2650 mm     # measured twice
  removed:
    # from the front
    - name: engine
      mass: 142 kg   # with oil
      at: [0.3 m, 0 m, 0.6 m]

    - {name: tank, mass: 39 kg}   # empty
  added: []
  note: 'it''s heavy'
road:
  ambient:   # not yet
targets: {range: 120 km, climb: {grade: 8 %}}
bays:
- name: under bed
  size: [
    1 m,   # length
    0.8 m,
    0.3 m
  ]
`

func TestSetChangesOnlyTheValue(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ path, text, from, to string }{
		{"donor.wheelbase", "8 ft 8 in", "wheelbase: 2650 mm     #", "wheelbase: 8 ft 8 in     #"},
		{"title", "New: truck", `"Orchard truck"   #`, `"New: truck"   #`},
		{"title", `6" pipe`, `"Orchard truck"   #`, `"6\" pipe"   #`},
		{"donor.note", "she's light", `'it''s heavy'`, `'she''s light'`},
		{"donor.removed[0].mass", "140 kg", "142 kg   # with", "140 kg   # with"},
		{"donor.removed[1].mass", "86 lb, dry", "mass: 39 kg}", "mass: '86 lb, dry'}"},
		{"donor.removed[0].at[1]", "-20 mm", "[0.3 m, 0 m, 0.6 m]", "[0.3 m, -20 mm, 0.6 m]"},
		{"targets.climb.grade", "10 %", "grade: 8 %", "grade: 10 %"},
		{"bays[0].size[2]", "310 mm", "    0.3 m\n", "    310 mm\n"},
		{"road.ambient", "-5 °C", "ambient:   # not yet", "ambient: -5 °C   # not yet"},
		{"road.altitude", "320 m", "ambient:   # not yet\n", "ambient:   # not yet\n  altitude: 320 m\n"},
		{"donor.removed[0].axle", "front", "      at: [0.3 m, 0 m, 0.6 m]\n", "      at: [0.3 m, 0 m, 0.6 m]\n      axle: front\n"},
		{"donor.added[0].name", "pack", "added: []", "added: [{name: pack}]"},
		{"choose.rank_by", "range", "    0.3 m\n  ]\n", "    0.3 m\n  ]\nchoose:\n  rank_by: range\n"},
		{"title", "", `"Orchard truck"   #`, `""   #`},
		{"donor.wheelbase", "null", "2650 mm ", "'null' "},
	} {
		got, err := Set([]byte(truck), c.path, c.text)
		want := strings.Replace(truck, c.from, c.to, 1)
		if want == truck {
			t.Fatalf("%s: the test finds %q nowhere", c.path, c.from)
		}
		if err != nil || string(got) != want {
			t.Errorf("Set(%s, %q): %v\n%s", c.path, c.text, err, diffLines(want, string(got)))
		}
		if text, pos, ok := Lookup("p.yaml", got, c.path); !ok || text != c.text || pos.Line == 0 {
			t.Errorf("Lookup(%s) after Set: got %q at %v, want %q", c.path, text, pos, c.text)
		}
	}
}

func TestInsertAppendsInTheLayoutOfTheList(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ path, fragment, from, to string }{
		{"donor.removed", "name: exhaust\nmass: 18 kg", "kg}   # empty\n", "kg}   # empty\n    - name: exhaust\n      mass: 18 kg\n"},
		{"donor.removed", "{name: exhaust, mass: 18 kg}", "kg}   # empty\n", "kg}   # empty\n    - {name: exhaust, mass: 18 kg}\n"},
		{"donor.added", "{name: seat, mass: 9 kg}", "added: []", "added: [{name: seat, mass: 9 kg}]"},
		{"bays", "name: bonnet\nkeep_out:\n  - a\n  - b: [c]", "    0.3 m\n  ]\n", "    0.3 m\n  ]\n- name: bonnet\n  keep_out:\n    - a\n    - b: [c]\n"},
		{"bays[0].size", "2 m", "    0.3 m\n", "    0.3 m,\n    2 m\n"},
		{"donor.removed[0].at", "1 m", "0 m, 0.6 m]", "0 m, 0.6 m, 1 m]"},
		{"bays[0].wall", "6 mm", "    0.3 m\n  ]\n", "    0.3 m\n  ]\n  wall: 6 mm\n"},
		{"targets.pace", "[a, 'b, c']", "grade: 8 %}}", "grade: 8 %}, pace: [a, 'b, c']}"},
		{"road.ambient", "x", "ambient:   # not yet\n", "ambient:   # not yet\n    - x\n"},
	} {
		got, err := Insert([]byte(truck), c.path, c.fragment)
		want := strings.Replace(truck, c.from, c.to, 1)
		if err != nil || string(got) != want {
			t.Errorf("Insert(%s, %q): %v\n%s", c.path, c.fragment, err, diffLines(want, string(got)))
		}
	}
}

func TestDeleteTakesOutWholeLinesAndKeepsCommentsBetween(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ path, from, to string }{
		{"donor.removed[0]", "    - name: engine\n      mass: 142 kg   # with oil\n      at: [0.3 m, 0 m, 0.6 m]\n", ""},
		{"donor.removed[1]", "    - {name: tank, mass: 39 kg}   # empty\n", ""},
		{"donor.removed[0].mass", "      mass: 142 kg   # with oil\n", ""},
		{"donor.removed[0].name", "    - name: engine\n      mass", "    - mass"},
		{"donor.removed[1].name", "{name: tank, mass", "{mass"},
		{"donor.removed[1].mass", "tank, mass: 39 kg}", "tank}"},
		{"donor.added", "  added: []\n", ""},
		{"road.ambient", "road:\n  ambient:   # not yet\n", "road: {}\n"},
		{"targets.range", "{range: 120 km, climb", "{climb"},
		{"targets.climb.grade", "{grade: 8 %}", "{}"},
		{"bays[0].size[0]", "    1 m,   # length\n", ""},
		{"bays[0].size[2]", "    0.8 m,\n    0.3 m\n", "    0.8 m\n"},
		{"bays[0].name", "- name: under bed\n  size", "- size"},
		{"bays", truck[strings.Index(truck, "bays:"):], ""},
		{"title", "title: \"Orchard truck\"   # ours\n", ""},
	} {
		got, err := Delete([]byte(truck), c.path)
		want := strings.Replace(truck, c.from, c.to, 1)
		if err != nil || string(got) != want {
			t.Errorf("Delete(%s): %v\n%s", c.path, err, diffLines(want, string(got)))
		}
	}
	got, err := Delete([]byte("a:\n  # why\n  - b # c\n# end\n"), "a[0]")
	if want := "a: []\n  # why\n# end\n"; err != nil || string(got) != want {
		t.Errorf("only item: got %q, %v, want %q", got, err, want)
	}
}

func diffLines(want, got string) string {
	w, g := strings.Split(want, "\n"), strings.Split(got, "\n")
	for i := range max(len(w), len(g)) {
		at := func(l []string) string {
			if i < len(l) {
				return l[i]
			}
			return "(end)"
		}
		if at(w) != at(g) {
			return fmt.Sprintf("first different line %d\n got  %q\n want %q", i+1, at(g), at(w))
		}
	}
	return "same"
}

func TestEditsThatHaveNoPlaceAreRefused(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		path string
		want error
	}{
		{"", ErrPath}, {"a..b", ErrPath}, {"a[", ErrPath}, {"a[-1]", ErrPath}, {"a[x]", ErrPath}, {"a[0]b", ErrPath}, {".a", ErrPath},
		{"donor.removed[7].mass", ErrPath}, {"donor.removed", ErrPath}, {"donor", ErrPath}, {"title.x", ErrPath}, {"donor.wheelbase[0]", ErrPath}, {"donor.added[1]", ErrPath},
	} {
		if got, err := Set([]byte(truck), c.path, "x"); !errors.Is(err, c.want) || got != nil {
			t.Errorf("Set(%q): got %v, want %v", c.path, err, c.want)
		}
	}
	for _, path := range []string{"donor.removed[2]", "choose", "title.x"} {
		if _, err := Delete([]byte(truck), path); !errors.Is(err, ErrPath) {
			t.Errorf("Delete(%q): got %v, want ErrPath", path, err)
		}
	}
	for _, fragment := range []string{"", "a: [", "&a b", "# only"} {
		if _, err := Insert([]byte(truck), "donor.removed", fragment); !errors.Is(err, ErrFragment) {
			t.Errorf("Insert of %q: got %v, want ErrFragment", fragment, err)
		}
	}
	if _, err := Insert([]byte(truck), "title", "x"); !errors.Is(err, ErrPath) {
		t.Errorf("Insert on a text: got %v, want ErrPath", err)
	}
	var probs *check.Problems
	if _, err := Set([]byte("a: [\n"), "a", "x"); !errors.As(err, &probs) || !probs.Any() {
		t.Errorf("Set in a file that cannot be read: got %v, want problems", err)
	}
	if _, err := Set([]byte("a: 1\na: 2\n"), "a", "x"); !errors.Is(err, ErrPath) {
		t.Errorf("Set of a key that is there twice: got %v, want ErrPath", err)
	}
}

func TestEditsKeepLineEndings(t *testing.T) {
	t.Parallel()
	data := "\ufeffa: 1 kg\r\nl:\r\n  - x # c\r\nm:\r\n"
	got, err := Set([]byte(data), "a", "2 kg")
	if want := strings.Replace(data, "1 kg", "2 kg", 1); err != nil || string(got) != want {
		t.Errorf("Set: got %q, %v, want %q", got, err, want)
	}
	got, err = Insert([]byte(data), "l", "y: z\nw: v")
	if want := strings.Replace(data, "# c\r\n", "# c\r\n  - y: z\r\n    w: v\r\n", 1); err != nil || string(got) != want {
		t.Errorf("Insert: got %q, %v, want %q", got, err, want)
	}
	got, err = Set([]byte(data), "m.k", "v")
	if want := data + "  k: v\r\n"; err != nil || strings.TrimRight(string(got), "\r\n") != strings.TrimRight(want, "\r\n") {
		t.Errorf("Set of a new key: got %q, %v, want %q", got, err, want)
	}
	got, err = Set([]byte("# nothing yet"), "a.b", "c")
	if want := "# nothing yet\na:\n  b: c\n"; err != nil || string(got) != want {
		t.Errorf("Set in an empty file: got %q, %v, want %q", got, err, want)
	}
}

func TestSetReplacesValuesOverSeveralLines(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ data, want string }{
		{"a: |  # note\n  two\n\n  lines\n\n# next\nb: c\n", "a: new  # note\n\n# next\nb: c\n"},
		{"a: one\n  two\n\n  three # x\nb: c\n", "a: new # x\nb: c\n"},
		{"a: \"one\n  two \\\" \"  # x\nb: c\n", "a: \"new\"  # x\nb: c\n"},
		{"a: >-\n  x\nb: c\n", "a: new\nb: c\n"},
		{"- {a: ~}\n", ""},
	} {
		path := "a"
		if c.want == "" {
			path, c.want = "[0].a", "- {a: new}\n"
		}
		got, err := Set([]byte(c.data), path, "new")
		if want := c.want; err != nil || strings.ReplaceAll(string(got), "  #", " #") != strings.ReplaceAll(want, "  #", " #") {
			t.Errorf("got %q, %v, want %q", got, err, want)
		}
	}
}

// sketch is a random document with its layout.
type sketch struct {
	t        *rapid.T
	b        strings.Builder
	eol      string
	comments int
}

func (s *sketch) comment() string {
	if rapid.IntRange(0, 2).Draw(s.t, "comment?") > 0 {
		return ""
	}
	s.comments++
	return fmt.Sprintf("%s# note %d%s", strings.Repeat(" ", rapid.IntRange(1, 3).Draw(s.t, "blanks")), s.comments, rapid.SampledFrom([]string{"", " é: [x", " - 'y"}).Draw(s.t, "tail"))
}

func (s *sketch) lineComment(indent string) {
	for range rapid.IntRange(0, 1).Draw(s.t, "lines") {
		s.comments++
		fmt.Fprintf(&s.b, "%s# note %d%s", rapid.SampledFrom([]string{"", indent}).Draw(s.t, "at"), s.comments, s.eol)
	}
	if rapid.IntRange(0, 4).Draw(s.t, "gap") == 0 {
		s.b.WriteString(s.eol)
	}
}

func (s *sketch) scalar() string {
	return rapid.SampledFrom([]string{"39 kg", "'it''s: #1'", `"a \" b"`, "16 1/2 in", "-5 °C", "0.42 ± 0.03", "x#y", "yes", "1990", "'[a]'", "http://x"}).Draw(s.t, "scalar")
}

func (s *sketch) flow(depth int) string {
	if depth == 0 {
		return s.scalar()
	}
	n := rapid.IntRange(0, 3).Draw(s.t, "n")
	parts := make([]string, n)
	mapping := rapid.Bool().Draw(s.t, "map")
	for i := range parts {
		parts[i] = s.flow(depth - 1)
		if mapping {
			parts[i] = fmt.Sprintf("k%d: %s", i, parts[i])
		}
	}
	joined := strings.Join(parts, rapid.SampledFrom([]string{", ", ",  ", " , "}).Draw(s.t, "comma"))
	if mapping {
		return "{" + joined + "}"
	}
	return "[" + joined + "]"
}

// holder writes a block mapping or list at indent; the cursor is at the start
// of a line.
func (s *sketch) holder(indent string, depth int) {
	mapping := rapid.Bool().Draw(s.t, "map")
	for i := range rapid.IntRange(1, 3).Draw(s.t, "n") {
		s.lineComment(indent)
		lead := indent + "-"
		if mapping {
			lead = fmt.Sprintf("%sk%d:", indent, i)
		}
		s.b.WriteString(lead)
		switch kind := rapid.IntRange(0, 4).Draw(s.t, "kind"); {
		case kind == 0 && depth > 0:
			s.b.WriteString(s.comment() + s.eol)
			s.holder(indent+rapid.SampledFrom([]string{"  ", "    "}).Draw(s.t, "step"), depth-1)
		case kind == 1:
			s.b.WriteString(" " + s.flow(2) + s.comment() + s.eol)
		case kind == 2:
			s.b.WriteString(s.comment() + s.eol) // empty
		case kind == 3 && depth > 0 && !mapping:
			fmt.Fprintf(&s.b, " k0: %s%s%s%s  k1:%s%s", s.scalar(), s.comment(), s.eol, indent, s.comment(), s.eol)
		default:
			s.b.WriteString(" " + s.scalar() + s.comment() + s.eol)
		}
	}
}

// paths lists every path of a tree with its node.
func paths(n *yaml.Node, at string, out map[string]*yaml.Node) {
	for i := range n.Content {
		switch {
		case n.Kind == yaml.SequenceNode:
			p := fmt.Sprintf("%s[%d]", at, i)
			out[p] = n.Content[i]
			paths(n.Content[i], p, out)
		case i%2 == 0:
			p := join(at, n.Content[i].Value)
			out[p] = n.Content[i+1]
			paths(n.Content[i+1], p, out)
		}
	}
}

func notes(data string) int { return strings.Count(data, "# note ") }

func TestEveryEditReadsBackAndKeepsComments(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		s := sketch{t: t, eol: rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "eol")}
		s.holder("", 2)
		data := s.b.String()
		if rapid.Bool().Draw(t, "cut") {
			data = strings.TrimRight(data, "\r\n")
		}
		var probs check.Problems
		root := load("", []byte(data), &probs)
		if root == nil {
			t.Fatalf("the sketch itself is wrong: %v\n%s", probs.Err(), data)
		}
		all := map[string]*yaml.Node{}
		paths(root, "", all)
		names := make([]string, 0, len(all))
		for p := range all {
			names = append(names, p)
		}
		if len(names) == 0 {
			t.Skip("no value")
		}
		path := rapid.SampledFrom(sorted(names)).Draw(t, "path")
		text := rapid.SampledFrom([]string{"39 kg", "a: b", "x #y", "it's", "", "~", "-", "- a", "[", "a, b", "é\nü", "tab\t", "\"q\"", "#", "null", " x", "x "}).Draw(t, "text")
		tryEdits(t, data, path, text, all[path])
	})
}

func sorted(names []string) []string {
	for i := range names {
		for j := i; j > 0 && names[j] < names[j-1]; j-- {
			names[j], names[j-1] = names[j-1], names[j]
		}
	}
	return names
}

func tryEdits(t *rapid.T, data, path, text string, node *yaml.Node) {
	crlf := strings.Contains(data, "\r\n")
	verify := func(what string, got []byte, err error, comments int) {
		if err != nil {
			t.Fatalf("%s %s %q: %v\n%s", what, path, text, err, data)
		}
		if n := notes(string(got)); n < comments {
			t.Fatalf("%s %s %q: %d comments, want %d\n%s\n---\n%s", what, path, text, n, comments, data, got)
		}
		if crlf && strings.Count(string(got), "\n") != strings.Count(string(got), "\r\n") {
			t.Fatalf("%s %s: line endings are mixed: %q", what, path, got)
		}
	}
	if node.Kind == yaml.ScalarNode {
		got, err := Set([]byte(data), path, text)
		verify("Set", got, err, notes(data))
		if back, _, ok := Lookup("", got, path); !ok || back != text {
			t.Fatalf("Set %s %q: reads back as %q\n%s", path, text, back, got)
		}
		if strings.Count(string(got), "\n") != strings.Count(data, "\n") {
			t.Fatalf("Set %s %q changed the number of lines\n%s\n---\n%s", path, text, data, got)
		}
	} else if node.Kind == yaml.SequenceNode {
		got, err := Insert([]byte(data), path, "{a: b}")
		verify("Insert", got, err, notes(data))
	} else {
		got, err := Set([]byte(data), path+".new.deep", text)
		verify("Set new", got, err, notes(data))
	}
	before, err := Delete([]byte(data), path)
	verify("Delete", before, err, 0)
}

func FuzzEdit(f *testing.F) {
	f.Add([]byte(truck), "donor.removed[0].mass", "3 kg")
	f.Add([]byte("a: |\n  x\nb:\n"), "b", "'")
	f.Add([]byte("{a, b: [c,], ? d : e}"), "a", "f")
	f.Add([]byte("- - a\n  - b\n"), "[0][1]", "c: d")
	f.Fuzz(func(t *testing.T, data []byte, path, text string) {
		if got, err := Set(data, path, text); err == nil {
			if back, _, ok := Lookup("", got, path); !ok || back != text {
				t.Errorf("Set(%q, %q, %q): reads back as %q in %q", data, path, text, back, got)
			}
		}
		_, _ = Insert(data, path, text)
		_, _ = Delete(data, path)
	})
}
