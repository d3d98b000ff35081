package exact

import (
	"testing"

	"packyard/check/checktest"
)

func TestSprintAtConstantPowerByHand(t *testing.T) {
	t.Parallel()
	// 1 000 kg from 10 to 20 m/s with 30 kW: 150 kJ in 5 s.
	checktest.Near(t, "time, s", PowerTime(1000, 30e3, 10, 20), 5, 0, 1e-15, "kinetic energy over power, by hand")
	checktest.Near(t, "way, m", PowerDistance(1000, 30e3, 10, 20), 700.0/9, 0, 1e-15, "Newton's law, by hand")
}

func TestForceAgainstDragReturnsItsTime(t *testing.T) {
	t.Parallel()
	// dv/dt = (f − c·v²)/m at any time.
	const m, f, c, h = 1500.0, 4000.0, 0.5, 1e-3
	for _, at := range []float64{1, 10, 40} {
		v := ForceSpeed(m, f, c, at)
		slope := (ForceSpeed(m, f, c, at+h) - ForceSpeed(m, f, c, at-h)) / (2 * h)
		checktest.Near(t, "acceleration, m/s²", slope, (f-c*v*v)/m, 1e-8, 1e-6, "Newton's law")
		checktest.Near(t, "time, s", ForceTime(m, f, c, v), at, 0, 1e-9, "the inverse")
	}
}

func TestTopSpeedSolvesItsCubic(t *testing.T) {
	t.Parallel()
	for _, k := range []struct{ a, c, p float64 }{{200, 0.45, 40e3}, {400, 0.8, 80e3}, {100, 0.3, 3e3}} {
		v := TopSpeed(k.a, k.c, k.p)
		checktest.Near(t, "power at that speed, W", (k.a+k.c*v*v)*v, k.p, 0, 1e-12, "Cardano's formula")
	}
}
