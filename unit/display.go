package unit

// Display is one unit in which values of a quantity are printed, and the
// magnitude from which it is used.
type Display struct {
	Row
	From float64 // in the SI unit: least magnitude of a value that is printed so
	Home bool    // zero is printed in it
}

// Displays returns the units in which values of the kind are printed in a
// system, rising; Format chooses among them. A ratio above one is printed as a
// bare number all the same.
func (k Kind) Displays(s System) []Display {
	steps := ladders(k.Noun, s)
	if len(steps) == 0 {
		return []Display{{Row: k.Rows[0], Home: true}}
	}
	var out []Display
	for _, st := range steps {
		if r, ok := k.row(st.spelling); ok {
			out = append(out, Display{Row: r, From: st.from, Home: st.home})
		}
	}
	return out
}
