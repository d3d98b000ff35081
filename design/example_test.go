package design_test

import (
	"fmt"

	"packyard/design"
)

// example stands in for a testing.TB, which an example has none of.
type example struct{}

func (example) Helper()           {}
func (example) Fatal(args ...any) { panic(fmt.Sprint(args...)) }

// One option of an invented van: what it is made of and which voltages its
// devices meet, before it has a place.
func Example() {
	f, err := design.NewFrame(van(example{}))
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := f.Parse("lfp/105S1P/7x15S")
	if err != nil {
		fmt.Println(err)
		return
	}
	m, err := f.Modules(c)
	if err != nil {
		fmt.Println(err)
		return
	}
	w := f.Wire(c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups())
	everywhere := design.Loading{Count: make([][2]int, len(f.Brief.Bays)), Known: true}
	everywhere.Count[1][0] = m.Count[0]
	var v design.Values
	g := f.Evaluate(&w, &m, &everywhere, &v)
	fmt.Printf("%s: %d modules of %s, %.0f kg\n", w.Topology, m.Count[0], "15S1P", float64(g.Mass))
	for _, r := range []design.Rule{design.InverterFull, design.InverterLowest} {
		fmt.Printf("%s: %.1f V, limit %.0f V\n", r, v.Value[r], v.Limit[r])
	}
	// Output:
	// 105S1P: 7 modules of 15S1P, 301 kg
	// voltage.inverter.full: 383.2 V, limit 450 V
	// voltage.inverter.lowest: 274.2 V, limit 240 V
}
