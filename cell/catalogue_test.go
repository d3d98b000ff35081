package cell

import "testing"

func TestShow(t *testing.T) {
	c := BuiltIn()
	for _, x := range c.Cells {
		if x.Curves == nil {
			t.Log(x.ID, "no curves")
			continue
		}
		r, err := x.Curves.PulseResistance(298.15, 0.5, 10)
		r0, _ := x.Curves.PulseResistance(273.15, 0.5, 10)
		r2, _ := x.Curves.PulseResistance(253.15, 0.5, 10)
		r4, _ := x.Curves.PulseResistance(313.15, 0.5, 10)
		tb, _ := x.At(298.15, New, 201)
		t.Log(x.ID, err, "R mohm", r*1e3, "mohmAh", r.Ohms()*1e3*x.Capacity.AmpereHours(), r0/r, r2/r, r4/r, "E Wh", tb.Energy(1, 0)/3600, x.VoltageNominal.Volts()*x.Capacity.AmpereHours(), x.Curves.OCVChange)
	}
	for _, x := range c.Modules {
		t.Log(x.ID, x.Size, x.Mass, x.Resistance)
	}
	for _, x := range c.Hardware {
		t.Logf("%+v", *x)
	}
}
