package sheet

import (
	"bytes"
	"regexp"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/unit"
)

// compile reads a schema with a validator of its own, which holds the draft's
// meta-schema against it.
func compile(t *testing.T, raw []byte) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("schema.json")
	if err != nil {
		t.Fatalf("not a valid schema of draft 2020-12: %v", err)
	}
	return s
}

func validate(t *testing.T, s *jsonschema.Schema, text string) error {
	t.Helper()
	raw, err := ToJSON([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	return s.Validate(doc)
}

func TestSchemaAndDecodeAgree(t *testing.T) {
	t.Parallel()
	s := compile(t, Schema("a test file", &testFile{}))
	for _, c := range []struct {
		text string
		good bool
	}{
		{"title: x", true},
		{"title: 1990\nlength: 5 ft 3 in\naxle: rear\ncount: 3\nused: yes\nprice: 12.50 EUR\nitems:\ntemps: [10…18 °C, -5 °C, 68 °F]", true},
		{"title: x\nitems: [{name: a, mass: 142 kg ± 2 %, at: [1 m, -2 mm, 16 1/2 in], drag: 0.42 ± 0.03}]", true},
		{"title: x\nitems: [{name: a, mass: 142 kg +/- 2 kg max, at: [1 m, 2 mm, 3/4 in], drag: 42 %}]", true},
		{"length: 3 m", false},
		{"title: x\nlength: 3", false},
		{"title: x\nlength: 3 kg", false},
		{"title: x\nlength: 3,5 m", false},
		{"title: x\nlenght: 3 m", false},
		{"title: x\naxle: middle", false},
		{"title: x\ncount: many", false},
		{"title: x\nprice: 12", false},
		{"title: x\nitems: [{name: a, mass: 1 kg, at: [1 m, 2 m]}]", false},
		{"title: x\nitems: 3", false},
	} {
		_, probs := decode(c.text)
		if err := validate(t, s, c.text); (err == nil) != c.good || (probs == nil) != c.good {
			t.Errorf("%q: schema says %v, Decode says %v, want good = %v", c.text, err, probs, c.good)
		}
	}
}

func TestPatternAcceptsWhatUnitReads(t *testing.T) {
	t.Parallel()
	rows := unit.Rows[unit.Length]()
	re := regexp.MustCompile(pattern(rows))
	checktest.Check(t, func(t *rapid.T) {
		number := rapid.SampledFrom([]string{"39", "-3.5", "1e-3", "1/2", "16 1/2", "+7", "0.42", "− 3"})
		gap := rapid.SampledFrom([]string{"", " ", "  "})
		spelling := rapid.Custom(func(t *rapid.T) string { return rapid.SampledFrom(rows).Draw(t, "row").Spelling })
		text := number.Draw(t, "n") + gap.Draw(t, "g") + spelling.Draw(t, "u")
		switch rapid.IntRange(0, 4).Draw(t, "form") {
		case 1:
			text += gap.Draw(t, "g") + rapid.SampledFrom([]string{"±", "+/-"}).Draw(t, "pm") + gap.Draw(t, "g") + number.Draw(t, "n") + rapid.SampledFrom([]string{"%", " mm"}).Draw(t, "u") + rapid.SampledFrom([]string{"", " max"}).Draw(t, "max")
		case 2:
			text = number.Draw(t, "n") + rapid.SampledFrom([]string{"..", "…", " … "}).Draw(t, "to") + text
		case 3:
			text += gap.Draw(t, "g") + number.Draw(t, "n") + gap.Draw(t, "g") + spelling.Draw(t, "u")
		}
		if _, err := unit.ParseAmount[unit.Length](text); err == nil && !re.MatchString(text) {
			t.Fatalf("unit reads %q, the pattern of the schema does not", text)
		}
	})
}
