package checktest

import (
	"flag"
	"sync"
	"testing"

	"pgregory.net/rapid"
)

// seedOnce gives the property tests of a test binary one seed.
var seedOnce sync.Once

// Check runs a property test as rapid.Check does, with the same draws on every
// run unless -rapid.seed says otherwise: a test that holds today holds tomorrow.
func Check(t *testing.T, property func(*rapid.T)) {
	t.Helper()
	seedOnce.Do(func() {
		if f := flag.Lookup("rapid.seed"); f != nil && f.Value.String() == "0" {
			if err := f.Value.Set("20261124"); err != nil {
				t.Fatalf("seed of the property tests: %v", err)
			}
		}
	})
	rapid.Check(t, property)
}
