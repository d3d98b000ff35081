package part

import (
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/unit"
)

func TestMeanPowerIsPackPowerWithoutItsTerms(t *testing.T) {
	t.Parallel()
	conv := BuiltIn().Converter("generic-converter-400v")
	checktest.Check(t, func(t *rapid.T) {
		a := AuxiliariesFor(Situation{Dark: rapid.Bool().Draw(t, "dark"), Wet: rapid.Bool().Draw(t, "wet")})
		if rapid.Bool().Draw(t, "measured") {
			a.Measured = 700 * unit.Watt
		}
		c := conv
		if rapid.Bool().Draw(t, "no converter") {
			c = nil
		}
		at := unit.Celsius(rapid.Float64Range(-30, 50).Draw(t, "ambient in °C"))
		if want, _ := a.PackPower(c, at); a.MeanPower(c, at) != want {
			t.Fatalf("%v W at %v, PackPower has %v W", a.MeanPower(c, at), at, want)
		}
	})
}
