package check

import (
	"testing"

	"packyard/check/checktest"
	"packyard/unit"

	"pgregory.net/rapid"
)

func TestMarginIsTheShareOfTheLimitThatIsLeft(t *testing.T) {
	t.Parallel()
	const definition = "definition of the margin: (limit − value)/limit, temperatures over limit − 25 °C; common practice"
	near := func(name string, got, want float64) {
		t.Helper()
		checktest.Near(t, name, got, want, 1e-12, 0, definition) // rounding of a few operations
	}
	mass := func(v, l unit.Mass, lower bool) float64 {
		return Against[unit.Mass]{Value: v, Limit: l, Lower: lower}.Margin()
	}
	near("900 of 1000 kg", mass(900, 1000, false), 0.1)
	near("1100 of 1000 kg", mass(1100, 1000, false), -0.1)
	near("on the limit", mass(1000, 1000, false), 0)
	near("1100 of at least 1000 kg", mass(1100, 1000, true), 0.1)
	near("900 of at least 1000 kg", mass(900, 1000, true), -0.1)
	near("limit 0, value 5", mass(5, 0, false), -1)
	near("limit 0, value 0", mass(0, 0, false), 0)
	near("at least 0, value 5", mass(5, 0, true), 1)

	temperature := func(v, l float64, lower bool) float64 {
		return Against[unit.Temperature]{Value: unit.Celsius(v), Limit: unit.Celsius(l), Lower: lower}.Margin()
	}
	near("40 of 60 °C", temperature(40, 60, false), 20.0/35)
	near("25 of 60 °C", temperature(25, 60, false), 1)
	near("67 of 60 °C", temperature(67, 60, false), -0.2)
	near("-10 of at least -20 °C", temperature(-10, -20, true), 10.0/45)
	near("-29 of at least -20 °C", temperature(-29, -20, true), -0.2)
	near("limit at the base", temperature(24, 25, false), 1)

	// A difference of temperatures has a true zero and no base.
	near("5 of 10 K", Against[unit.TemperatureDelta]{Value: 5, Limit: 10}.Margin(), 0.5)
	near("420 V of 400 V", Against[unit.Voltage]{Value: 420, Limit: 400}.Margin(), -0.05)
}

func TestStricterLimitNeverRaisesAMargin(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(r *rapid.T) {
		v := unit.Voltage(rapid.Float64Range(0, 1000).Draw(r, "value"))
		wide := unit.Voltage(rapid.Float64Range(1, 1000).Draw(r, "limit"))
		tight := wide * unit.Voltage(rapid.Float64Range(0.01, 1).Draw(r, "share"))
		a, b := Against[unit.Voltage]{Value: v, Limit: wide}, Against[unit.Voltage]{Value: v, Limit: tight}
		if b.Margin() > a.Margin()+1e-12 || b.Holds() && !a.Holds() {
			r.Fatalf("%v against %v: %v; against %v: %v", v, wide, a.Margin(), tight, b.Margin())
		}
	})
}

func TestFindingTakesValueLimitAndSeverity(t *testing.T) {
	t.Parallel()
	near := Finding{Rule: "mass.axle.rear", Severity: Warning}
	if f := (Against[unit.Mass]{Value: 900, Limit: 1000}).Finding(near, Failure); f.Severity != Warning || f.Value.SI != 900 || f.Limit.Symbol != "kg" || f.Margin != 0.1 {
		t.Errorf("kept limit: %+v", f)
	}
	if f := (Against[unit.Mass]{Value: 1100, Limit: 1000}).Finding(near, Failure); f.Severity != Failure || !f.Broken() {
		t.Errorf("broken limit: %+v", f)
	}
	near.Severity = Safety
	if f := (Against[unit.Mass]{Value: 1100, Limit: 1000}).Finding(near, Failure); f.Severity != Safety {
		t.Errorf("a higher severity was lowered: %+v", f)
	}
}
