package check

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"packyard/unit"
)

func TestSourcesHaveKeyTitleAndKnownStatus(t *testing.T) {
	t.Parallel()
	list, err := readSources(sourcesCSV)
	if err != nil {
		t.Fatal(err)
	}
	kebab := regexp.MustCompile(`^[a-z0-9]+(-[a-z0-9]+)*$`)
	seen := map[string]bool{}
	for _, s := range list {
		if !kebab.MatchString(s.Key) {
			t.Errorf("key %q is not short words in lower case with hyphens", s.Key)
		}
		if seen[s.Key] {
			t.Errorf("key %q stands twice in check/data/sources.csv", s.Key)
		}
		seen[s.Key] = true
		if s.Title == "" || strings.Contains(s.Title, "://") {
			t.Errorf("%s: title %q, want a title without an address", s.Key, s.Title)
		}
		if !slices.Contains(SourceStatuses(), s.Status) {
			t.Errorf("%s: status %q, accepted are %s", s.Key, s.Status, strings.Join(SourceStatuses(), ", "))
		}
	}
	for _, key := range []string{"given", "assumption", "common-practice", "from-memory"} {
		if !seen[key] {
			t.Errorf("the source %s is missing", key)
		}
	}
}

func TestEveryUnitHasAKnownSource(t *testing.T) {
	t.Parallel()
	for _, k := range unit.Kinds() {
		for _, r := range k.Rows {
			if _, ok := SourceOf(r.Source); !ok {
				t.Errorf("%s in %s has the unknown source %q", k.Noun, r.Spelling, r.Source)
			}
		}
	}
}

func TestUnknownSourceKeepsItsKey(t *testing.T) {
	t.Parallel()
	if got := SourceTitle("no-such-source"); got != "no-such-source" {
		t.Errorf("SourceTitle of an unknown key = %q", got)
	}
	if got := SourceTitle("iso-2533"); !strings.HasPrefix(got, "ISO 2533") {
		t.Errorf("SourceTitle(iso-2533) = %q", got)
	}
	if all := Sources(); !slices.IsSortedFunc(all, func(a, b Source) int { return strings.Compare(a.Key, b.Key) }) {
		t.Error("Sources are not sorted by key")
	}
}

func TestSourcesFileWithAnotherFirstLineIsRefused(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"", "key,title\n", "title,key,status,note\n", "key,title,status,note\na,b\n"} {
		if _, err := readSources(text); err == nil {
			t.Errorf("readSources(%q) gave no error", text)
		}
	}
}
