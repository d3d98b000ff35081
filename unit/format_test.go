package unit

import (
	"math"
	"testing"
)

func TestFormatChoosesTheUnitOfTheTrade(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ got, want string }{
		{Format(Mass(254.0117272), SI), "254.0 kg"}, {Format(Mass(254.0117272), US), "560.0 lb"}, {Format(Mass(12345), SI), "12.35 t"}, {Format(Mass(0.0475), SI), "47.50 g"},
		{Format(Mass(0), SI), "0 kg"}, {Format(Mass(0.99996), SI), "1.000 kg"}, {Format(Mass(-39), SI), "-39.00 kg"}, {Format(Mass(0.1), US), "3.527 oz"},
		{Format(Length(0.0015), SI), "1.500 mm"}, {Format(Length(2.478), SI), "2478 mm"}, {Format(Length(123456), SI), "123.5 km"}, {Format(Length(123456), US), "76.71 mi"}, {Format(Length(0.4191), US), "16.50 in"},
		{Format(Length(52), SI), "52.00 m"}, {Format(Area(35e-6), SI), "35.00 mm²"}, {Format(Area(0.65), SI), "0.6500 m²"},
		{Format(Energy(4.5e6), SI), "1.250 kWh"}, {Format(Energy(40), SI), "40.00 J"}, {Format(Energy(18000), SI), "5.000 Wh"}, {Format(Power(80e3), SI), "80.00 kW"}, {Format(Power(37.4), SI), "37.40 W"},
		{Format(Resistance(0.0021), SI), "2.100 mΩ"}, {Format(Resistance(0.0384), SI), "38.40 mΩ"}, {Format(Resistance(4e5), SI), "400.0 kΩ"}, {Format(Resistance(47), SI), "47.00 Ω"},
		{Format(Celsius(25), SI), "25.0 °C"}, {Format(Celsius(25), US), "77.0 °F"}, {Format(Celsius(-0.01), SI), "0.0 °C"}, {Format(TemperatureDelta(10), SI), "10.00 K"}, {Format(TemperatureDelta(10), US), "18.00 °F"},
		{Format(Speed(27.7777778), SI), "100.0 km/h"}, {Format(Speed(26.8224), US), "60.00 mph"}, {Format(Consumption(540), SI), "150.0 Wh/km"}, {Format(Consumption(540), US), "241.4 Wh/mi"},
		{Format(Charge(216000), SI), "60.00 Ah"}, {Format(Voltage(403.2), SI), "403.2 V"}, {Format(Voltage(0.025), SI), "25.00 mV"}, {Format(Current(0.0025), SI), "2.500 mA"},
		{Format(Ratio(0.9), SI), "90.00 %"}, {Format(Ratio(9.734), SI), "9.734"}, {Format(Ratio(0), SI), "0 %"}, {Format(Ratio(1), SI), "100.0 %"}, {Format(Slope(0.08), SI), "8.000 %"}, {Format(CRate(0.5), SI), "0.5000 C"},
		{Format(Time(90), SI), "90.00 s"}, {Format(Time(5400), SI), "90.00 min"}, {Format(Time(16200), SI), "4.500 h"}, {Format(AngularSpeed(100*math.Pi), SI), "3000 rpm"}, {Format(Pressure(101325), SI), "101.3 kPa"}, {Format(Pressure(34473.79), US), "5.000 psi"},
		{FormatIn(Mass(254.0117272), "lb"), "560.0 lb"}, {FormatIn(Length(1.2), "m"), "1.200 m"}, {FormatIn(Celsius(20), "K"), "293.1 K"},
		{Exact(Resistance(0.0021)), "0.0021 Ω"}, {Exact(Ratio(0.42)), "0.42"}, {Exact(Mass(1e6)), "1e+06 kg"}, {Exact(Celsius(25)), "298.15 K"},
		{Number(0), "0"}, {Number(1234.5), "1234"}, {Number(123456), "123500"}, {Number(0.00012345), "0.0001234"}, {Number(1.5e9), "1.500e+09"}, {Number(-2.0 / 3), "-0.6667"}, {Number(9999.6), "10000"}, {Number(2e-5), "2.000e-05"},
		{FormatAmount(Amount[Mass]{142, 2, Deviation}, SI), "142.0 kg ± 2.0 kg"}, {FormatAmount(Amount[Mass]{142, 20, Band}, SI), "142 kg ± 20 kg max"}, {FormatAmount(Amount[Mass]{142, 0, NoSpread}, SI), "142.0 kg"},
		{FormatAmount(Amount[Temperature]{293.15, 2, Deviation}, SI), "20.0 °C ± 2.0 °C"}, {FormatAmount(Amount[Resistance]{0.0021, 0.0001, Deviation}, SI), "2.10 mΩ ± 0.10 mΩ"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

func TestEveryStepOfALadderIsAnAcceptedSpelling(t *testing.T) {
	t.Parallel()
	for _, k := range Kinds() {
		for _, s := range []System{SI, US} {
			homes, last := 0, -1.0
			steps := ladders(k.Noun, s)
			for _, st := range steps {
				r, ok := k.row(st.spelling)
				if !ok || r.Alias {
					t.Errorf("%s: the step %s is no spelling of the table", k.Noun, st.spelling)
				}
				if st.from <= last {
					t.Errorf("%s: the step %s does not rise", k.Noun, st.spelling)
				}
				last = st.from
				if st.home {
					homes++
				}
			}
			if len(steps) > 0 && (homes != 1 || steps[0].from != 0) {
				t.Errorf("%s: %d home steps, first from %v; want one, from 0", k.Noun, homes, steps[0].from)
			}
		}
	}
}

func TestSystemOfTextIsThatOfItsUnit(t *testing.T) {
	t.Parallel()
	for text, want := range map[string]System{"560 lb": US, "254 kg": SI, "2 lb 4 oz": US, "10…18 lb": US, "560 lb ± 2 kg": US, "142 kg ± 1 lb": SI, "nonsense": SI} {
		if got := SystemOf[Mass](text); got != want {
			t.Errorf("SystemOf(%q) = %v, want %v", text, got, want)
		}
	}
	if !HasSystem[Mass](US) || HasSystem[Voltage](US) || !HasSystem[Voltage](SI) {
		t.Error("HasSystem: mass has US units, voltage has none")
	}
}

func TestFormatInPanicsOnAnUnknownSpelling(t *testing.T) {
	t.Parallel()
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	if Accepts[Mass]("km") || !Accepts[Mass]("lb") {
		t.Error("Accepts is wrong about km or lb")
	}
	FormatIn(Mass(1), "km")
}

func TestZeroPowerAndWorkHoursPrintAsTheTradeWritesThem(t *testing.T) {
	t.Parallel()
	// Common practice: nothing drawn is 0 W, and work is counted in hours.
	for got, want := range map[string]string{
		Format(Power(0), SI):   "0 W",
		Format(60*Hour, SI):    "60.00 h",
		Format(300*Hour, SI):   "300.0 h",
		Format(60*24*Hour, SI): "60.00 d",
		Format(1500*Watt, SI):  "1.500 kW",
	} {
		if got != want {
			t.Errorf("got %s, want %s", got, want)
		}
	}
}
