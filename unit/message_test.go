package unit

import (
	"fmt"
	"strings"
	"testing"

	"packyard/check/checktest"
)

// refusal is a text that is not a quantity, with a part of the answer.
type refusal struct {
	noun, text, want string
	read             func(string) (float64, error)
}

func refuse[Q Quantity](text, want string) refusal {
	return refusal{Noun[Q](), text, want, func(s string) (float64, error) {
		a, err := ParseAmount[Q](s)
		return float64(a.SI), err
	}}
}

// refused is the page of messages: what a person may write and what the answer
// must hold.
func refused() []refusal {
	return []refusal{
		// no unit, no number
		refuse[Mass]("39", "a mass is written in kg"), refuse[Charge]("60", `"60" needs a unit: a charge is written in C, Ah or mAh`),
		refuse[Energy]("60", "an energy is written in"), refuse[Temperature]("-10", "°C"), refuse[Mass]("", "empty"), refuse[Mass](" \t", "empty"),
		refuse[Mass]("kg", "does not begin with a number"), refuse[Mass]("-", "no number"), refuse[Mass]("heavy", "does not begin with a number"), refuse[Mass]("- kg", "does not begin with a number"),
		refuse[Mass]("NaN kg", "does not begin with a number"), refuse[Mass]("Inf kg", "does not begin with a number"), refuse[Mass]("±2 kg", "not complete"), refuse[Time]("1 h 20", "20 without a unit"),
		// near spellings
		refuse[Mass]("560 lbs", "did you mean lb?"), refuse[Mass]("39 KG", "did you mean kg?"), refuse[Mass]("39 kilos", "did you mean kg?"), refuse[Mass]("3 tons", "which ton"),
		refuse[Length]("5 feet", "did you mean ft?"), refuse[Length](`12"`, "did you mean in?"), refuse[Length]("5'", "did you mean ft?"), refuse[Length]("12 inches", "did you mean in?"),
		refuse[Time]("2 hrs", "did you mean h?"), refuse[Time]("10 m", "did you mean min?"), refuse[Speed]("60 kph", "did you mean km/h?"), refuse[Speed]("60 MPH", "did you mean mph?"),
		refuse[Current]("30 amps", "did you mean A?"), refuse[Charge]("60 AH", "did you mean Ah?"), refuse[Energy]("24 kwh", "did you mean kWh?"), refuse[Energy]("24 kW", "kW is a unit of power"),
		refuse[Temperature]("20 deg C", "did you mean °C?"), refuse[Temperature]("20°", "did you mean °C?"), refuse[Torque]("100 ft-lb", "did you mean lbf ft?"), refuse[AngularSpeed]("3000 RPM", "did you mean rpm?"),
		refuse[Consumption]("15 kWh/100km", "did you mean kWh/100 km?"), refuse[Resistance]("2 ohms", "did you mean ohm?"), refuse[Volume]("5 litres", "did you mean L?"), refuse[Power]("80 kw", "did you mean kW?"),
		// decimal comma and separated thousands
		refuse[Mass]("39,5 kg", "write 39.5 kg"), refuse[Mass]("1,500 kg", "write 1.500 kg or 1500 kg"), refuse[Mass]("0,500 kg", "write 0.500 kg"), refuse[Mass]("1,234,567 kg", "write 1234567 kg"),
		refuse[Mass]("1.234,5 kg", "write 1234.5 kg"), refuse[Mass]("1,234.5 kg", "write 1234.5 kg"), refuse[Mass]("1.234.567 kg", "write 1234567 kg"), refuse[Mass]("1 500 kg", "write 1500 kg"),
		refuse[Mass]("12 345 678 kg", "write 12345678 kg"), refuse[Mass]("1'500 kg", "write 1500 kg"), refuse[Mass]("1_500 kg", "write 1500 kg"), refuse[Mass]("-39,5 kg", "write -39.5 kg"),
		refuse[Mass](".5 kg", "write 0.5 kg"), refuse[Mass]("5. kg", "write 5 kg or 5.0 kg"), refuse[Length]("½ in", "write 1/2 in"),
		// another quantity
		refuse[Length]("560 lb", "lb is a unit of mass"), refuse[Length]("5 m2", "m2 is a unit of area"), refuse[Mass]("5 N", "N is a unit of force"), refuse[Voltage]("20 °C", "°C is a unit of temperature and temperature difference"),
		refuse[Charge]("60 kWh", "is an energy, not a charge"), refuse[Energy]("60 Ah", "is a charge, not an energy"), refuse[Ratio]("9.7 kg", "kg is a unit of mass"), refuse[Slope]("5 °", "is an angle, not a slope"),
		refuse[Consumption]("4 mi/kWh", "distance over energy"), refuse[ThermalConductance]("0.5 K/W", "thermal resistance"), refuse[Area]("2 AWG", "gauge number"),
		refuse[Power]("100 hp", "which horsepower"), refuse[Volume]("3 gal", "which gallon"), refuse[Mass]("39 foo", `unknown unit "foo"`), refuse[Length]("3 m 5 cm", "has more after m"), refuse[Mass]("5 kg kg", "has more after kg"),
		refuse[CRate]("C/3", "write 1/3 C"),
		// size
		refuse[Mass]("1e400 kg", "too large"), refuse[Mass]("1e308 t", "too large"), refuse[Mass]("1e-400 kg", "too small"), refuse[Length]("1/0 in", "divides by zero"), refuse[Length]("3 1/0 in", "divides by zero"),
		refuse[Temperature]("-300 °C", "below absolute zero"), refuse[Temperature]("-1 K", "below absolute zero"), refuse[Mass]("1e308 kg ± 1e308 t", "too large"),
		refuse[Mass](strings.Repeat("9", 210)+" kg", "too long"),
		// sums
		refuse[Length]("3 in 5 ft", "larger unit to the smaller"), refuse[Length]("5 ft 3 ft", "larger unit to the smaller"), refuse[Length]("5 ft -3 in", "sign inside a sum"), refuse[Mass]("2 lb 3 kg", "has kg in a sum"), refuse[Length]("5 ft 30 mm", "has mm in a sum"),
		refuse[Length]("5 ft 3 kg", "kg is a unit of mass"), refuse[Length]("5 ft 3", "3 without a unit"),
		// tolerances and ranges
		refuse[Mass]("142 ± 2 kg", "needs a unit before the tolerance"), refuse[Mass]("142 kg ± 2", "needs a unit after the tolerance"), refuse[Mass]("142 kg ± -2 kg", "sign in its tolerance"), refuse[Mass]("142 kg ±", "not complete"),
		refuse[Mass]("142 kg ± max", "does not begin with a number"), refuse[Mass]("142 kg ± 2 V", "V is a unit of voltage"), refuse[Mass]("142 kg ± x %", "does not begin with a number"), refuse[Mass]("142 kg ± 2 kg ± 1 kg", "two tolerances"),
		refuse[Temperature]("20 °C ± 5 %", "depends on the scale"), refuse[Ratio]("80 % ± 5 %", "percentage points"), refuse[Mass]("18…10 kg", "runs backwards"), refuse[Mass]("…10 kg", "not complete"), refuse[Mass]("10 kg…", "not complete"),
		refuse[Mass]("10…18", "18 without a unit"), refuse[Temperature]("-280…-270 °C", "below absolute zero"), refuse[Mass]("142 kg ± 2 g 3 kg", "has more after g"),
	}
}

// TestMessagesReadAsOnThePage holds the wording of every message, which a
// person has read for tone.
func TestMessagesReadAsOnThePage(t *testing.T) {
	t.Parallel()
	var b strings.Builder
	for _, row := range refused() {
		v, err := row.read(row.text)
		if err == nil {
			t.Errorf("%s %q was read as %v", row.noun, row.text, v)
			continue
		}
		fmt.Fprintf(&b, "%s\n    %v\n", row.noun, err)
	}
	checktest.Golden(t, "testdata/messages.txt", b.String())
}

func TestUnknownUnitListsAllThatIsAccepted(t *testing.T) {
	t.Parallel()
	for _, k := range Kinds() {
		_, err := readText("5 xyzzy", k)
		if err == nil {
			t.Errorf("%s accepts xyzzy", k.Noun)
			continue
		}
		for _, r := range k.Rows {
			if !r.Alias && r.Spelling != "1" && !strings.Contains(err.Error(), r.Spelling) {
				t.Errorf("%s: %q does not name %s", k.Noun, err, r.Spelling)
			}
		}
	}
}
