package part

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/unit"
)

// drawUnit draws a unit of the catalogue, carried to another size half the
// time.
func drawUnit(t *rapid.T) *DriveUnit {
	u := rapid.SampledFrom(BuiltIn().DriveUnits).Draw(t, "unit")
	if !rapid.Bool().Draw(t, "scaled") {
		return u
	}
	s, err := Scale(u, Scaling{
		Torque: u.TorquePeak * unit.Torque(rapid.Float64Range(0.3, 3).Draw(t, "a")),
		Speed:  u.SpeedMax * unit.AngularSpeed(rapid.Float64Range(0.5, 2).Draw(t, "b")),
	})
	if err != nil {
		t.Fatalf("scale %s: %v", u.ID, err)
	}
	return s
}

// drawPoint draws torque and speed up to a fifth beyond what the unit can do,
// in steps of 1e-9 so that no voltage falls among the numbers below 1e-308
// that carry fewer digits.
func drawPoint(t *rapid.T, u *DriveUnit) (unit.Torque, unit.AngularSpeed) {
	share := func(label string) float64 {
		return math.Round(rapid.Float64Range(0, 1.2).Draw(t, label)*1e9) / 1e9
	}
	torque := u.TorquePeak * unit.Torque(share("T/T_peak"))
	return torque, u.SpeedMax * unit.AngularSpeed(share("w/w_max"))
}

func TestLossIsEvenInTorqueAndSpeedAndNeverNegative(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		u := drawUnit(t)
		torque, speed := drawPoint(t, u)
		p := u.LossAt(torque, speed)
		for _, q := range []unit.Power{u.LossAt(-torque, speed), u.LossAt(torque, -speed), u.LossAt(-torque, -speed)} {
			if p != q {
				t.Fatalf("%s at %v N·m, %v rad/s: %v W and %v W with the signs turned", u.ID, torque, speed, p, q)
			}
		}
		if p < 0 || math.IsNaN(float64(p)) || math.IsInf(float64(p), 0) {
			t.Fatalf("%s: loss %v W", u.ID, p)
		}
	})
}

func TestEfficiencyStaysBelowOneBothWays(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		u := drawUnit(t)
		torque, speed := drawPoint(t, u)
		drive, brake := u.Efficiency(torque, speed), u.Efficiency(-torque, speed)
		if drive < 0 || drive >= 1 || brake < 0 || brake >= 1 {
			t.Fatalf("%s at %v N·m, %v rad/s: %v driving, %v braking", u.ID, torque, speed, drive, brake)
		}
		if drive > 0 && brake > drive {
			t.Fatalf("%s: braking %v above driving %v with the same loss", u.ID, brake, drive)
		}
	})
}

func TestTorqueMaxFallsWithSpeedAndDurationAndRisesWithVoltage(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		u := drawUnit(t)
		_, w1 := drawPoint(t, u)
		w2 := w1 * unit.AngularSpeed(rapid.Float64Range(1, 2).Draw(t, "faster"))
		v1 := u.VoltageRef * unit.Voltage(rapid.Float64Range(0, 1.5).Draw(t, "V/V_ref"))
		v2 := v1 * unit.Voltage(rapid.Float64Range(1, 2).Draw(t, "higher"))
		d1 := unit.Time(rapid.Float64Range(0, 4000).Draw(t, "s"))
		d2 := d1 + unit.Time(rapid.Float64Range(0, 4000).Draw(t, "longer"))
		at := u.TorqueMax(w1, v1, d1)
		if got := u.TorqueMax(w2, v1, d1); got > at {
			t.Fatalf("%s: %v N·m at %v rad/s, %v at %v", u.ID, at, w1, got, w2)
		}
		if got := u.TorqueMax(w1, v2, d1); got < at {
			t.Fatalf("%s: %v N·m at %v V, %v at %v V", u.ID, at, v1, got, v2)
		}
		if got := u.TorqueMax(w1, v1, d2); got > at {
			t.Fatalf("%s: %v N·m for %v s, %v for %v s", u.ID, at, d1, got, d2)
		}
		if at < 0 || at > u.TorquePeak {
			t.Fatalf("%s: %v N·m", u.ID, at)
		}
	})
}

// The slack of 1e-12 is the rounding of one product and one quotient.
func TestVoltageNeededIsTheInverseOfTorqueMax(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		u := drawUnit(t)
		torque, speed := drawPoint(t, u)
		sign := rapid.SampledFrom([]float64{-1, 1}).Draw(t, "sign")
		v := u.VoltageNeeded(torque*unit.Torque(sign), speed)
		if v < 0 || math.IsInf(float64(v), 0) || math.IsNaN(float64(v)) {
			t.Fatalf("%s: %v V", u.ID, v)
		}
		if v == VoltageNever {
			if got := u.TorqueMax(speed, 1e6, 0); got >= torque*(1+1e-12) {
				t.Fatalf("%s: never for %v N·m at %v rad/s, yet %v N·m at 1 MV", u.ID, torque, speed, got)
			}
			return
		}
		if v > u.VoltageRef*(1+1e-12) {
			t.Fatalf("%s: %v V needed, above the %v V of the full power", u.ID, v, u.VoltageRef)
		}
		if got := u.TorqueMax(speed, v*(1+1e-12), 0); torque > 0 && got < torque*(1-1e-12) {
			t.Fatalf("%s: %v V for %v N·m at %v rad/s, but that gives %v N·m", u.ID, v, torque, speed, got)
		}
		if got := u.TorqueMax(speed, v*0.999, 0); v > 0 && got >= torque {
			t.Fatalf("%s: %v V for %v N·m at %v rad/s, but less gives %v N·m", u.ID, v, torque, speed, got)
		}
	})
}

func TestGridLossLiesBetweenItsNodes(t *testing.T) {
	t.Parallel()
	u := unitOf(t, "generic-induction-100kw")
	g := &LossGrid{Speed: num50(0, 1300), Torque: num50(0, 160)}
	for _, w := range g.Speed {
		row := make([]float64, len(g.Torque))
		for j, torque := range g.Torque {
			row[j] = float64(u.LossAt(unit.Torque(torque), unit.AngularSpeed(w)))
		}
		g.Loss = append(g.Loss, row)
	}
	indexed, err := NewLossGrid(g.Speed, g.Torque, g.Loss)
	if err != nil {
		t.Fatal(err)
	}
	gridded := *u
	gridded.Loss = Loss{Grid: g, WithInverter: true}
	// Bilinear reading of a convex law is high by at most h²/8 times the second
	// derivative of each axis: 2·k_c for torque, 6·k_w·ω for speed.
	h, k := g.Torque[1], g.Speed[1]
	bound := h*h/8*2*u.Loss.KCopper + k*k/8*6*u.Loss.KWindage*1300
	checktest.Check(t, func(t *rapid.T) {
		torque := unit.Torque(rapid.Float64Range(0, 160).Draw(t, "T"))
		speed := unit.AngularSpeed(rapid.Float64Range(0, 1300).Draw(t, "w"))
		law, read := float64(u.LossAt(torque, speed)), float64(gridded.LossAt(torque, speed))
		if read < law-1e-6 || read > law+bound {
			t.Fatalf("grid %v W, law %v W at %v N·m, %v rad/s, bound %v W", read, law, torque, speed, bound)
		}
		if walked := indexed.at(float64(speed), float64(torque)); walked != read {
			t.Fatalf("%v W by index, %v W by walking", walked, read)
		}
		if !gridded.LossCovers(torque, speed) {
			t.Fatal("a point inside the grid counts as outside")
		}
	})
}

// num50 returns 51 even points.
func num50(from, to float64) []float64 {
	x := make([]float64, 51)
	for i := range x {
		x[i] = from + (to-from)*float64(i)/50
	}
	return x
}

func TestScaledLossIsTheSameInPartsOfItself(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		u := rapid.SampledFrom(BuiltIn().DriveUnits).Draw(t, "unit")
		a, b := rapid.Float64Range(0.25, 4).Draw(t, "a"), rapid.Float64Range(0.25, 4).Draw(t, "b")
		s, err := Scale(u, Scaling{Torque: u.TorquePeak * unit.Torque(a), Speed: u.SpeedMax * unit.AngularSpeed(b)})
		if err != nil {
			t.Fatal(err)
		}
		torque := u.TorquePeak * unit.Torque(rapid.Float64Range(0, 1).Draw(t, "T"))
		speed := u.SpeedMax * unit.AngularSpeed(rapid.Float64Range(0, 1).Draw(t, "w"))
		want := a * b * float64(u.LossAt(torque, speed))
		got := float64(s.LossAt(torque*unit.Torque(a), speed*unit.AngularSpeed(b)))
		// 1e-9 is the rounding of the grid's place inside a cell.
		if math.Abs(got-want) > 1e-9*(1+want) {
			t.Fatalf("%s by %v, %v: loss %v W, want %v W", u.ID, a, b, got, want)
		}
		if math.Abs(float64(s.Efficiency(torque*unit.Torque(a), speed*unit.AngularSpeed(b))-u.Efficiency(torque, speed))) > 1e-9 {
			t.Fatalf("%s: efficiency changes with the size", u.ID)
		}
	})
}

func TestInverterAndConverterLosePowerBothWays(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		u := drawUnit(t)
		i := rapid.SampledFrom(BuiltIn().Inverters).Draw(t, "inverter")
		ac := unit.Power(rapid.Float64Range(-2e5, 2e5).Draw(t, "W"))
		dc := i.DCPower(u, ac)
		switch {
		case u.Loss.WithInverter && dc != ac:
			t.Fatalf("%s holds the inverter, yet %v W became %v W", u.ID, ac, dc)
		case dc < ac:
			t.Fatalf("%s: %v W at the motor from %v W", i.ID, ac, dc)
		}
		c := rapid.SampledFrom(BuiltIn().Converters).Draw(t, "converter")
		out := unit.Power(rapid.Float64Range(0, 2000).Draw(t, "out"))
		if in := c.PackPower(out); in < out {
			t.Fatalf("%s: %v W out of %v W", c.ID, out, in)
		}
	})
}

func TestFitsIsCheckWithoutFailure(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		volts := func(label string, from float64) unit.Voltage {
			return unit.Voltage(from + float64(rapid.IntRange(0, 30).Draw(t, label)))
		}
		b := Bands{ReducedMin: volts("reduced_min", 100)}
		b.FullMin = volts("full_min", float64(b.ReducedMin))
		b.FullMax = volts("full_max", float64(b.FullMin))
		b.ReducedMax = volts("reduced_max", float64(b.FullMax))
		b.NeverExceed = volts("never", float64(b.ReducedMax))
		if rapid.Bool().Draw(t, "not stated") {
			b = Bands{}
		}
		lowest := volts("lowest", 90)
		full := volts("full", float64(lowest)) * 2
		broken, warned := false, false
		for _, f := range b.Check("inverter", full, lowest) {
			broken = broken || f.Severity == check.Failure
			warned = true
		}
		if b.Fits(full, lowest) == broken {
			t.Fatalf("%+v, %v to %v V: fits %v, failure %v", b, lowest, full, !broken, broken)
		}
		if b.IsGiven() && !warned && (b.At(full) != Full || b.At(lowest) != Full) {
			t.Fatalf("%+v, %v to %v V: nothing said, yet not in full function", b, lowest, full)
		}
	})
}

func TestCabinCurveIsTheLaw(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(t *rapid.T) {
		c := Cabin{
			Conductance: unit.ThermalConductance(rapid.Float64Range(0, 500).Draw(t, "UA")),
			Comfort:     unit.Temperature(kelvin0 + rapid.Float64Range(0, 35).Draw(t, "comfort")),
			Gains:       unit.Power(rapid.Float64Range(0, 2000).Draw(t, "gains")),
			HeatCOP:     rapid.Float64Range(1, 4).Draw(t, "COP"),
			HeatMax:     unit.Power(rapid.Float64Range(0, 9000).Draw(t, "heater")),
			CoolFrom:    kelvin0 + 25, CoolAt: kelvin0 + 35,
			CoolPower: unit.Power(rapid.Float64Range(0, 3000).Draw(t, "cool")),
			CoolMax:   unit.Power(rapid.Float64Range(0, 4000).Draw(t, "coolMax")),
		}
		curve := c.Curve()
		x := rapid.Float64Range(ambientMinC, ambientMaxC).Draw(t, "°C")
		got, want := curve.at(x), float64(c.PowerAt(unit.Temperature(x+kelvin0)))
		if math.Abs(got-want) > 1e-6 || want < 0 {
			t.Fatalf("%+v at %v °C: curve %v W, law %v W", c, x, got, want)
		}
	})
}

func TestBeyondTheGridIsNamedAndContinuedLinearly(t *testing.T) {
	t.Parallel()
	u := &DriveUnit{ID: "four nodes", Loss: Loss{Grid: &LossGrid{Speed: []float64{0, 100}, Torque: []float64{0, 10}, Loss: [][]float64{{0, 10}, {20, 50}}}}}
	checktest.Near(t, "centre, W", float64(u.LossAt(5, 50)), 20, 1e-12, 0, "closed form: mean of four nodes")
	checktest.Near(t, "one width beyond, W", float64(u.LossAt(10, 200)), 90, 1e-12, 0, "closed form: line through 10 and 50")
	if p, err := u.LossWithin(5, 50); err != nil || p != 20 {
		t.Errorf("inside: %v, %v", p, err)
	}
	if _, err := u.LossWithin(10, 200); err == nil {
		t.Error("no error beyond the grid")
	}
}
