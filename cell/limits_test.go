package cell

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/unit"
)

func TestLimitsReadAsStated(t *testing.T) {
	t.Parallel()
	l := Limits{Discharge: []LimitPoint{
		{unit.Celsius(-20), 10, 2}, {unit.Celsius(-20), 3600, 1},
		{unit.Celsius(20), 10, 6}, {unit.Celsius(20), 3600, 2},
	}}
	for _, c := range []struct{ celsius, seconds, want float64 }{
		{-20, 10, 2}, {20, 10, 6}, {0, 10, 4}, {0, 5, 4}, {0, 11, 1.5}, {0, 3600, 1.5}, {0, 7200, 1.5}, {-20.01, 10, 0}, {20.01, 10, 0},
	} {
		checktest.Near(t, "rate in C", float64(l.DischargeRate(unit.Celsius(c.celsius), unit.Time(c.seconds))), c.want, 1e-12, 0,
			"the rule of Limits: linear over temperature, the next longer duration, zero outside")
	}
	if r := l.ChargeRate(unit.Celsius(0), 10); r != 0 {
		t.Errorf("no charge limit stated, but %g C allowed", r)
	}
	if r := l.DischargeRate(unit.Temperature(math.NaN()), 10); r != 0 {
		t.Errorf("at no temperature %g C is allowed", r)
	}
}

func TestTemperatureGatesAreThosePublished(t *testing.T) {
	t.Parallel()
	for _, id := range []string{"cylindrical-18650-nca-2.9", "prismatic-lfp-280", "pouch-lmo-33", "pouch-nmc-21"} {
		l := mustCell(t, id).Limits
		for _, c := range []struct {
			celsius           float64
			charge, discharge bool
		}{{-21, false, false}, {-20, false, true}, {-1, false, true}, {0, true, true}, {45, true, true}, {46, false, true}, {60, false, true}, {61, false, false}} {
			if got := l.ChargeRate(unit.Celsius(c.celsius), unit.Hour) > 0; got != c.charge {
				t.Errorf("%s: charging at %g °C allowed %v; source C5.1, C5.2", id, c.celsius, got)
			}
			if got := l.DischargeRate(unit.Celsius(c.celsius), unit.Hour) > 0; got != c.discharge {
				t.Errorf("%s: discharging at %g °C allowed %v; source C5.1", id, c.celsius, got)
			}
		}
		// C5.5: 40, 60, 90, 120, 200, 180 A from 0, 1, 5, 15, 25, 35 °C.
		full := float64(l.ChargeRate(unit.Celsius(25), unit.Hour))
		for _, c := range []struct{ celsius, amps float64 }{{0, 40}, {1, 60}, {5, 90}, {15, 120}, {25, 200}, {35, 180}} {
			checktest.Near(t, "share of the warm charging rate", float64(l.ChargeRate(unit.Celsius(c.celsius), unit.Hour))/full, c.amps/200, 0, 1e-12, "owner-charge-limits, C5.5")
		}
	}
}

func TestContinuousRatesAreThosePublished(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		id                string
		charge, discharge float64
	}{{"pouch-nmc-21", 0.7, 1}, {"pouch-lmo-33", 0.7, 1}, {"prismatic-lfp-280", 1, 1}, {"cylindrical-18650-nca-2.9", 1, 1}} {
		l := mustCell(t, c.id).Limits
		checktest.Near(t, c.id+": charge in C", float64(l.ChargeRate(unit.Celsius(25), unit.Hour)), c.charge, 0, 1e-12, "bu-216, lower end")
		checktest.Near(t, c.id+": discharge in C", float64(l.DischargeRate(unit.Celsius(25), unit.Hour)), c.discharge, 0, 1e-12, "bu-216, lower end")
	}
	l := mustCell(t, "cylindrical-lto-40").Limits
	checktest.Near(t, "LTO discharge in A", 40*float64(l.DischargeRate(unit.Celsius(25), unit.Hour)), 240, 0, 1e-12, "lto-maker-sheet")
	checktest.Near(t, "LTO 10 s discharge in A", 40*float64(l.DischargeRate(unit.Celsius(25), 10)), 800, 0, 1e-12, "lto-maker-sheet")
}

// A longer time never allows a higher rate.
func TestLongerIsNeverMore(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		cells := BuiltIn().Cells
		l := cells[rapid.IntRange(0, len(cells)-1).Draw(t, "cell")].Limits
		temperature := unit.Celsius(rapid.Float64Range(-40, 80).Draw(t, "celsius"))
		short := rapid.Float64Range(0.1, 4000).Draw(t, "short")
		long := short * rapid.Float64Range(1, 10).Draw(t, "factor")
		for _, rate := range []func(unit.Temperature, unit.Time) unit.CRate{l.DischargeRate, l.ChargeRate} {
			if a, b := rate(temperature, unit.Time(short)), rate(temperature, unit.Time(long)); b > a || a < 0 || b < 0 {
				t.Fatalf("%g s allows %g C, %g s %g C", short, a, long, b)
			}
		}
	})
}
