package check

import "packyard/unit"

// UnitsPage returns the reference page of all units in Markdown, with the
// titles of the sources.
func UnitsPage() string { return unit.Page(SourceTitle) }
