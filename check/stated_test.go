package check

import (
	"testing"

	"packyard/unit"
)

func TestEndsOfBoundsAreThoseThatPlausibleAccepts(t *testing.T) {
	t.Parallel()
	var g Given[unit.Mass]
	if s := g.Ends("0 kg..10 t"); s != (Span{0, 10000}) {
		t.Errorf("%+v", s)
	}
	s := g.Ends(">0 kg..10 t")
	if !(s.Low > 0 && s.Low < 1e-4) || s.High != 10000 {
		t.Errorf("an end that is taken out: %+v", s)
	}
	for _, x := range []float64{s.Low, s.High} {
		if err := (Given[unit.Mass]{SI: unit.Mass(x)}).Plausible(">0 kg..10 t"); err != nil {
			t.Errorf("%g: %v", x, err)
		}
	}
	if s := (Given[unit.Temperature]{}).Ends("-40 °C..50 °C"); s != (Span{float64(unit.Celsius(-40)), float64(unit.Celsius(50))}) {
		t.Errorf("%+v", s)
	}
}
