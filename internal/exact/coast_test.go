package exact_test

import (
	"math"
	"testing"

	"packyard/check/checktest"
	"packyard/internal/exact"
)

const kmh = 1 / 3.6

// WE-22, handbook section 5.2. The expected numbers carry seven digits and the
// handbook gives 0.001 as tolerance; the closed form is held to the digits.
func TestCoastTimesOfHandbookExample22(t *testing.T) {
	t.Parallel()
	const source = "handbook WE-22 (integration of A + C·v²)"
	k := exact.Coast{M: 1560, A: 180, C: 0.45}
	t8575 := k.Time(85*kmh, 75*kmh)
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"coast 100-80 km/h, s", k.Time(100*kmh, 80*kmh), 18.85729},
		{"coast 85-75 km/h, s", t8575, 10.78285},
		{"coast 30-20 km/h, s", k.Time(30*kmh, 20*kmh), 21.46634},
		{"force inferred from 85-75, N", 1560 * 10 * kmh / t8575, 401.8727},
		{"true force at 80 km/h, N", k.A + k.C*math.Pow(80*kmh, 2), 402.2222},
	} {
		checktest.Near(t, c.name, c.got, c.want, 0, 1e-6, source)
	}
}

// The three forms describe one motion: the speed after the time to v2 is v2,
// and distance is the integral of the speed, here by Simpson's rule.
func TestCoastSpeedAndDistanceAgreeWithTime(t *testing.T) {
	t.Parallel()
	k := exact.Coast{M: 1800, A: 210, C: 0.6}
	v1, v2 := 30.0, 5.0
	end := k.Time(v1, v2)
	checktest.Near(t, "speed after the time, m/s", k.Speed(v1, end), v2, 0, 1e-12, "identity")
	const n = 2000
	h, sum := end/n, 0.0
	for i := range n {
		a := float64(i) * h
		sum += h / 6 * (k.Speed(v1, a) + 4*k.Speed(v1, a+h/2) + k.Speed(v1, a+h))
	}
	checktest.Near(t, "distance, m", k.Distance(v1, v2), sum, 0, 1e-11, "Simpson's rule, error of order h⁴")
	if v := k.Speed(v1, 1e4); v != 0 {
		t.Errorf("speed long after the stop: got %v, want 0", v)
	}
}
