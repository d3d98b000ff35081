package exact_test

import (
	"math"
	"testing"

	"packyard/check/checktest"
	"packyard/internal/exact"
)

// WE-33: a sphere whose time constant is 1 s, from 25 to 199 °C in gas of 200 °C.
func TestBodyOfHandbookExample33(t *testing.T) {
	t.Parallel()
	const source = "handbook WE-33 (Incropera ex. 5.1, from memory)"
	b := exact.Body{C: 1, G: 1, T0: 473.15}
	checktest.Near(t, "temperature after 5.164786 s, K", b.Temperature(298.15, 5.164786), 472.15, 1e-6, 0, source)
	b.Q = 10
	checktest.Near(t, "rise in the end, K", b.Temperature(298.15, 1e3)-473.15, 10, 1e-9, 0, "steady state: Q/G")
}

// The two bodies end at their common mean, and the heat that one loses is what
// the other gains.
func TestTwoBodiesKeepTheirEnergy(t *testing.T) {
	t.Parallel()
	b := exact.Two{C1: 700, C2: 300, G: 5}
	for _, at := range []float64{0, 10, 60, 1e4} {
		t1, t2 := b.Temperatures(340, 290, at)
		checktest.Near(t, "energy, J", 700*t1+300*t2, 700*340+300*290, 0, 1e-12, "first law")
		// From the differential equation, by a difference quotient.
		const h = 1e-3
		n1, n2 := b.Temperatures(340, 290, at+h)
		checktest.Near(t, "flow, W", -700*(n1-t1)/h, 5*((t1+n1)-(t2+n2))/2, 1e-3, 1e-6, "G·ΔT")
	}
	t1, t2 := b.Temperatures(340, 290, 1e6)
	if math.Abs(t1-325) > 1e-9 || math.Abs(t2-325) > 1e-9 {
		t.Errorf("end at %g and %g K, want the mean 325 K", t1, t2)
	}
}

// WE-42: 500 W warm two litres a minute of 50 % glycol by 4.1996 K.
func TestCoolantOfHandbookExample42(t *testing.T) {
	t.Parallel()
	w := 1063.66 * 2e-3 / 60 * 3358
	checktest.Near(t, "rise, K", exact.Coolant(300, w, 200, 300)-300, 4.199598, 0, 1e-6, "handbook WE-42")
}
