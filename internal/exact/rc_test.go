package exact

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
)

func TestRCStepChargesTo63PercentAfterOneTimeConstant(t *testing.T) {
	t.Parallel()
	checktest.Near(t, "V after one time constant", RCStep(0, 2, 3, 7, 7), 6*(1-1/math.E), 0, 1e-14, "circuit law")
	checktest.Near(t, "V after no time", RCStep(4, 2, 3, 7, 0), 4, 0, 0, "circuit law")
	checktest.Near(t, "V after long", RCStep(4, 2, 3, 7, 7000), 6, 0, 1e-14, "circuit law")
}

// Precharging a link capacitor is the same circuit seen from the capacitor.
func TestRCStepReproducesThePrechargeExample(t *testing.T) {
	t.Parallel()
	const tau = 0.047
	for _, c := range []struct{ share, time float64 }{{0.95, 0.1407994}, {0.98, 0.1838651}, {0.99, 0.216443}} {
		checktest.Near(t, "share of the final voltage", RCStep(0, 1, 1, tau, c.time), c.share, 0, 1e-6, "handbook WE-12 (time constant 0.047 s); times printed to 7 digits")
	}
}

func TestRCEnergyCloses(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		v0, i := rapid.Float64Range(-1, 1).Draw(t, "v0"), rapid.Float64Range(-500, 500).Draw(t, "i")
		r, tau, dt := rapid.Float64Range(1e-4, 1).Draw(t, "r"), rapid.Float64Range(0.1, 1000).Draw(t, "tau"), rapid.Float64Range(0, 100).Draw(t, "dt")
		taken := RCTaken(v0, i, r, tau, dt)
		heat := RCHeat(v0, i, r, tau, dt)
		gain := RCStored(RCStep(v0, i, r, tau, dt), r, tau) - RCStored(v0, r, tau)
		// The terms of the heat cancel when the step is short; rounding is of their size.
		spread := math.Abs(i*r) + math.Abs(v0-i*r)
		scale := RCStored(v0, r, tau) + math.Abs(gain) + spread*spread*dt/r
		if math.Abs(taken-heat-gain) > 1e-12*scale+1e-300 { // the last term: underflow
			t.Fatalf("taken %g, heat %g, gain %g: source circuit law", taken, heat, gain)
		}
	})
}

func TestRCHeatIsTheIntegralOfTheSteps(t *testing.T) {
	t.Parallel()
	const v0, i, r, tau, dt, n = 0.05, 80, 1.5e-3, 12, 30, 200000
	sum := 0.0
	for k := range n {
		v := RCStep(v0, i, r, tau, dt*(float64(k)+0.5)/n)
		sum += v * v / r * dt / n
	}
	checktest.Near(t, "heat in J", RCHeat(v0, i, r, tau, dt), sum, 0, 1e-9, "midpoint rule on RCStep, 200 000 steps")
}
