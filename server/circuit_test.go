package server

import "testing"

// TestCircuitIsThatOfTheDesign: the page shows what design makes of the option.
func TestCircuitIsThatOfTheDesign(t *testing.T) {
	t.Parallel()
	b := reading(t)
	f, p := placedOf(t, b)
	want, err := f.Circuit(p)
	if err != nil {
		t.Fatal(err)
	}
	got := get[CircuitReply](b, "/api/circuit"+query())
	same(t, "items", got.Circuit.Items, want.Items)
	same(t, "netlist", got.Circuit.Net, want.Net)
}
