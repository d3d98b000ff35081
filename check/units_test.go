package check

import (
	"path/filepath"
	"testing"

	"packyard/check/checktest"
)

func TestUnitsPageIsWhatTheProgramPrints(t *testing.T) {
	t.Parallel()
	checktest.Golden(t, filepath.Join(checktest.Root(t), "docs", "reference", "units.md"), UnitsPage())
}
