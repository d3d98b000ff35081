package search_test

import (
	"encoding/json"
	"path/filepath"
	"testing"

	"packyard/check/checktest"
	"packyard/design"
	"packyard/project"
	"packyard/search"
)

// TestFindGivesWhatTheSearchFound: an option that is worked out alone, with only
// its own module lengths surveyed, stands as the search has placed it.
func TestFindGivesWhatTheSearchFound(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	for _, example := range []string{"orchard-truck", "harbour-microvan"} {
		p, err := project.Open(filepath.Join(checktest.Root(t), "examples", example))
		if err != nil {
			t.Fatal(err)
		}
		f, err := design.NewFrame(&p.Brief)
		if err != nil {
			t.Fatal(err)
		}
		res, err := search.Run(t.Context(), f, search.Options{})
		if err != nil {
			t.Fatal(err)
		}
		all := append(append([]search.Option(nil), res.Packs...), res.Pareto...)
		for i := range res.Misses {
			if !res.Misses[i].Shared {
				all = append(all, res.Misses[i].Option)
			}
		}
		for i := range all {
			o, err := search.Find(f, all[i].ID)
			if err != nil {
				t.Errorf("%s: %v", all[i].ID, err)
				continue
			}
			got, want := assessed(t, f, o), assessed(t, f, &all[i])
			if got != want {
				t.Fatalf("%s: %s differs from what the search found:\n got %.2000s\nwant %.2000s", example, o.ID, got, want)
			}
		}
	}
}

func assessed(t *testing.T, f *design.Frame, o *search.Option) string {
	t.Helper()
	data, err := json.Marshal(f.Assess(search.Place(f, o)))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
