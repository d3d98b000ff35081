package circuit_test

import (
	"fmt"
	"strconv"
	"strings"
	"testing"

	"packyard/check/checktest"
	"packyard/circuit"
	"packyard/part"
	"packyard/unit"
)

const mm2 = 1e-6

func must[T any](t *testing.T) func(v T, err error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// TestHandbookExamplesOfTheCircuit: tolerances are the digits that the handbook prints.
func TestHandbookExamplesOfTheCircuit(t *testing.T) {
	t.Parallel()
	c := unit.Celsius
	withstand, section := must[unit.SquareAmpereSecond](t), must[unit.Area](t)
	time, current, ohm, length := must[unit.Time](t), must[unit.Current](t), must[unit.Resistance](t), must[unit.Length](t)
	pvc, xlpe := circuit.Heating{Start: c(70), End: c(160)}, circuit.Heating{Start: c(90), End: c(250)}
	alu := circuit.Heating{Metal: circuit.Aluminium, Start: c(90), End: c(250)}
	resistor := circuit.Precharge{Voltage: 800, Capacitance: 1e-3, Resistance: 47}
	bus := circuit.Precharge{Voltage: 400, Capacitance: 600e-6, Resistance: 68}
	d2 := circuit.GaugeDiameter(-1)
	r20 := unit.Resistance(0.554 * 6 / 1000)
	hot := circuit.CopperAt(r20, c(80))
	ri, other, err := circuit.Readings{U1: 300, U2: 100, WithKnown: 120, Known: 200e3}.Isolation()
	ri6, other6, err6 := circuit.Readings{U1: 210, U2: 150, WithKnown: 60, Known: 180e3}.Isolation()
	if err != nil || err6 != nil {
		t.Fatal(err, err6)
	}
	low := circuit.Surroundings{Pollution: 2, Material: 3, Category: 2}
	high, dirty := low, low
	high.Altitude, dirty.Pollution = 4000, 3
	clear := func(s circuit.Surroundings, u unit.Voltage) (unit.Length, unit.Length) {
		a, b, err := s.Clearance(u)
		if err != nil {
			t.Fatal(err)
		}
		return a, b
	}
	basic400, _ := clear(low, 400)
	basic800, reinforced800 := clear(low, 800)
	high800, _ := clear(high, 800)
	contactor := part.BuiltIn().Contactor("generic-contactor-250a-450v")
	section35 := withstand(xlpe.Withstand(35 * mm2))
	for _, x := range []struct {
		id, name       string
		got, want, rel float64
		source         string
	}{
		{"WE-01", "diameter of 2/0, mm", 1e3 * float64(d2), 9.265833, 1e-4, "ASTM B258"},
		{"WE-01", "2/0, Ω/km", float64(circuit.GaugeResistance(-1, 1000)), 0.255684, 1e-4, "ASTM B258, IEC 60028"},
		{"WE-02", "loop at 80 °C, Ω", float64(hot), 0.004107654, 1e-4, "IEC 60228, IEC 60949"},
		{"WE-02", "drop at 250 A, V", 250 * float64(hot), 1.02695, 1e-3, "IEC 60228"},
		{"WE-02", "heat at 250 A, W", 250 * 250 * float64(hot), 256.7375, 1e-3, "IEC 60228"},
		{"WE-03", "least section, mm²", float64(section(xlpe.SectionLeast(8000*8000*0.02))) / mm2, 7.911684, 2e-3, "IEC 60364-5-54, k rounded to 143"},
		{"WE-03", "longest time of 25 mm² PVC at 5 kA, s", float64(withstand(pvc.Withstand(25*mm2))) / 25e6, 0.330625, 5e-3, "IEC 60364-5-54, k rounded to 115"},
		{"WE-03", "35 mm² XLPE, A²s", float64(section35), 25050020, 3e-3, "IEC 60364-5-54, k rounded to 143"},
		{"WE-03", "35 mm² PVC over its section squared", float64(withstand(pvc.Withstand(1 * mm2))), 114.8361 * 114.8361, 1e-3, "IEC 60949 constants"},
		{"WE-03", "1 mm² XLPE", float64(withstand(xlpe.Withstand(1 * mm2))), 142.874 * 142.874, 1e-3, "IEC 60949 constants"},
		{"WE-03", "1 mm² aluminium XLPE", float64(withstand(alu.Withstand(1 * mm2))), 94.55281 * 94.55281, 1e-3, "IEC 60949 constants"},
		{"WE-04", "2/0 at 50 °C by the law, A", 300 * float64(circuit.AmbientFactor(c(90), c(30), c(50))), 244.949, 1e-4, "NFPA 70, 310.15"},
		{"WE-04", "factor of 150 °C insulation from 40 to 80 °C", float64(circuit.AmbientFactor(c(150), c(40), c(80))), 0.797724, 1e-4, "NFPA 70, 310.15"},
		{"1.19", "50 mm² at 150/80 °C, A", float64(circuit.Carried{Current: 198, Conductor: c(70), Ambient: c(30)}.At(c(150), c(80))), 233, 3e-3, "handbook 1.19, cable maker's form, to three digits"},
		{"WE-05", "lower leg, Ω", float64(ri), 400000, 1e-9, "UN R100 Annex 5"},
		{"WE-05", "other leg, Ω", float64(other), 1200000, 1e-9, "algebra"},
		{"WE-06", "lower leg, Ω", float64(ri6), 771428.6, 1e-6, "UN R100 Annex 5"},
		{"WE-06", "other leg, Ω", float64(other6), 1080000, 1e-6, "algebra"},
		{"WE-07", "C of 0.2 J at 400 V, µF", 1e6 * float64(circuit.CapacitanceMost(0.2, 400, 0)), 2.5, 1e-6, "ISO 6469-3"},
		{"WE-07", "C of 0.2 J at 800 V, µF", 1e6 * float64(circuit.CapacitanceMost(0.2, 800, 0)), 0.625, 1e-6, "ISO 6469-3"},
		{"WE-07", "C of 0.2 J above 60 V, µF", 1e6 * float64(circuit.CapacitanceMost(0.2, 400, 60)), 2.557545, 1e-6, "UN R94 Annex 11"},
		{"WE-07", "energy of 500 µF, J", float64(circuit.Stored(500e-6, 400)), 40, 1e-9, "circuit law"},
		{"WE-07", "bleed of 5 s, Ω", float64(ohm(circuit.BleedFor(400, 500e-6, 5))), 5271.148, 1e-6, "circuit law"},
		{"WE-08", "clearance at 400 V, mm", 1e3 * float64(basic400), 3, 1e-9, "IEC 60664-1 Table F.2"},
		{"WE-08", "creepage at 400 V, mm", 1e3 * float64(length(low.Creepage(400))), 4, 1e-9, "IEC 60664-1 Table F.5"},
		{"WE-08", "creepage at 400 V, degree 3, mm", 1e3 * float64(length(dirty.Creepage(400))), 6.3, 1e-9, "IEC 60664-1 Table F.5"},
		{"WE-08", "clearance at 800 V, mm", 1e3 * float64(basic800), 5.5, 1e-9, "IEC 60664-1 Table F.2"},
		{"WE-08", "clearance at 800 V, 4000 m, mm", 1e3 * float64(high800), 7.095, 1e-9, "IEC 60664-1 Table A.2"},
		{"WE-08", "reinforced clearance at 800 V, mm", 1e3 * float64(reinforced800), 8, 1e-9, "IEC 60664-1, from memory"},
		{"WE-08", "creepage at 800 V, mm", 1e3 * float64(length(low.Creepage(800))), 8, 1e-9, "IEC 60664-1 Table F.5"},
		{"WE-08", "creepage at 800 V, degree 3, mm", 1e3 * float64(length(dirty.Creepage(800))), 12.5, 1e-9, "IEC 60664-1 Table F.5"},
		{"WE-12", "95 %, s", float64(time(resistor.TimeTo(0.95))), 0.1407994, 1e-6, "resistor maker's example, printed 141 ms"},
		{"WE-12", "98 %, s", float64(time(resistor.TimeTo(0.98))), 0.1838651, 1e-6, "resistor maker's example"},
		{"WE-12", "99 %, s", float64(time(resistor.TimeTo(0.99))), 0.216443, 1e-5, "resistor maker's example, printed 216.4 ms"},
		{"WE-12", "peak current, A", float64(resistor.CurrentPeak()), 17.02128, 1e-6, "resistor maker's example, printed 17.0 A"},
		{"WE-12", "peak power, W", float64(resistor.PowerPeak()), 13617.02, 1e-6, "resistor maker's example, printed 13 617 W"},
		{"WE-12", "energy, J", float64(resistor.Energy(1)), 320, 1e-9, "resistor maker's example, printed 320 J"},
		{"WE-13", "95 %, s", float64(time(bus.TimeTo(0.95))), 0.1222259, 1e-6, "circuit law"},
		{"WE-13", "98 %, s", float64(time(bus.TimeTo(0.98))), 0.1596105, 1e-6, "circuit law"},
		{"WE-13", "energy to 95 %, J", float64(bus.Energy(0.95)), 47.88, 1e-9, "circuit law"},
		{"WE-13", "left at 95 %, V", 400 - float64(bus.At(time(bus.TimeTo(0.95)))), 20, 1e-9, "circuit law"},
		{"WE-14", "prospective current, A", float64(current(circuit.Prospective(398.4, 0.0384+0.012))), 7904.762, 1e-6, "circuit law"},
		{"WE-14", "bolted, A", float64(current(circuit.Prospective(398.4, 0.0384))), 10375, 1e-6, "circuit law"},
		{"WE-14", "time constant, s", float64(circuit.TimeConstant(8e-6, 0.0504)), 158.7302e-6, 1e-6, "circuit law"},
		{"WE-15", "factor at 60 °C", float64(circuit.FuseFactor(c(60))), 0.83666, 1e-5, "semiconductor-fuse guide"},
		{"WE-15", "least rating, A", float64(current(circuit.FuseRatingLeast(180, c(60)))), 268.9264, 1e-5, "semiconductor-fuse guide, 0.8 common practice"},
		{"WE-16", "contactor, A²s", float64(contactor.Withstand()), 900000, 1e-9, "contactor datasheet, 6000 A for 25 ms"},
		{"WE-16", "cable over contactor", float64(section35) / float64(contactor.Withstand()), 27.83336, 3e-3, "IEC 60364-5-54, k rounded to 143"},
	} {
		checktest.Near(t, x.id+" "+x.name, x.got, x.want, 0, x.rel, x.source)
	}
}

// TestCatalogueHoldsTheWireTables compares sections, resistances and ampacities with
// the tables of the handbook.
func TestCatalogueHoldsTheWireTables(t *testing.T) {
	t.Parallel()
	read := func(name string) map[string][]string {
		rows := checktest.Table(t, checktest.Reference(t, name))
		out := map[string][]string{}
		for _, r := range rows[1:] {
			out[r[0]] = r
		}
		return out
	}
	iec, awg, nec := read("handbook_iec60228.csv"), read("handbook_awg.csv"), read("handbook_nec_free_air_copper.csv")
	num := func(s string) float64 {
		v, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	seen := 0
	for _, c := range part.BuiltIn().Cables {
		if c.Gauge == "" {
			r := iec[strconv.FormatFloat(float64(c.Section)/mm2, 'g', 6, 64)]
			checktest.Near(t, c.ID+", Ω/km", float64(c.ResistanceKm), num(r[1]), 1e-9, 0, "IEC 60228 Table 3, class 5")
			seen++
			continue
		}
		gauge := strings.TrimSuffix(c.Gauge, " AWG")
		r := awg[gauge]
		n := int(num(r[1]))
		checktest.Near(t, c.ID+", diameter", float64(circuit.GaugeDiameter(n)), num(r[2])*0.0254, 0, 1.5e-3, "ASTM B258, four digits printed")
		checktest.Near(t, c.ID+", Ω/km", float64(c.ResistanceKm), float64(circuit.GaugeResistance(n, 1000)), 0, 1e-4, "ASTM B258, IEC 60028")
		checktest.Near(t, c.ID+", A", float64(c.AmpacityFree), num(nec[gauge][3]), 1e-9, 0, "NFPA 70 Table 310.17, 90 °C")
		seen++
	}
	if seen < 20 {
		t.Errorf("%d cables compared", seen)
	}
}

// TestPrechargeFollowsNgspice: the curve of WE-13 against the same circuit.
func TestPrechargeFollowsNgspice(t *testing.T) {
	t.Parallel()
	rows := checktest.Ngspice(t, 2, func(out string) []string {
		return []string{"precharge", "V1 a 0 DC 400", "R1 a b 68", "C1 b 0 600u IC=0", ".options reltol=1e-7 method=gear", ".control", "set wr_singlescale", "set numdgt=12",
			"tran 5m 250m 0 20u uic", "linearize", "wrdata " + out + " v(b)", "quit", ".endc", ".end"}
	})
	p := circuit.Precharge{Voltage: 400, Capacitance: 600e-6, Resistance: 68}
	for _, r := range rows {
		// Steps of 20 µs, second order: some mV.
		checktest.Near(t, fmt.Sprintf("voltage at %g s", r[0]), float64(p.At(unit.Time(r[0]))), r[1], 0.05, 0, "ngspice on the same circuit")
	}
	if len(rows) < 40 {
		t.Errorf("%d voltages compared", len(rows))
	}
}
