package bay

import (
	"math"
	"testing"

	"packyard/unit"
	"packyard/vehicle"
)

// near fails the test if got is further than tol from want.
func near(t *testing.T, name string, got, want, tol float64, source string) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.10g, want %.10g ± %g; source %s", name, got, want, tol, source)
	}
}

func vec3(x, y, z unit.Length) vehicle.Point { return vehicle.Point{X: x, Y: y, Z: z} }
