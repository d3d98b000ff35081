package heat

import (
	"math"
	"testing"

	"packyard/check/checktest"
	"packyard/unit"
)

// row is one figure of a worked example; the tolerance is that of the handbook,
// 1e-3 unless it prints the figure to more digits.
type row struct {
	id, name  string
	got, want float64
	tolerance float64
	source    string
}

func hold(t *testing.T, rows []row) {
	t.Helper()
	for _, r := range rows {
		if r.tolerance == 0 {
			r.tolerance = 1e-3
		}
		checktest.Near(t, r.id+" "+r.name, r.got, r.want, 0, r.tolerance, "handbook "+r.id+": "+r.source)
	}
}

func TestLumpedBodiesOfTheHandbook(t *testing.T) {
	t.Parallel()
	// A body as a network of one source, cooled or warmed until it meets a temperature.
	until := func(capacity, g, from, around, to float64) float64 {
		var n Network
		body := n.Source("body", unit.HeatCapacity(capacity))
		n.Link(body, n.Surroundings("around", unit.Temperature(around)), unit.ThermalConductance(g))
		if err := n.Start(unit.Temperature(from)); err != nil {
			t.Fatal(err)
		}
		d, before := capacity/g/2000, from
		for time := 0.0; time < 20*capacity/g; time += d {
			if err := n.Step([]float64{0}, unit.Time(d)); err != nil {
				t.Fatal(err)
			}
			if now := n.Temperatures()[0]; (now-to)*(from-to) <= 0 {
				return time + d*(before-to)/(before-now)
			} else {
				before = now
			}
		}
		t.Fatal("never met")
		return 0
	}
	const cengel1, incropera1, cengel2 = "Cengel ex. 4-1", "Incropera ex. 5.1 (from memory)", "Cengel ex. 4-2"
	const k = 273.15
	bead := math.Pi * 1e-3 * 1e-3 // m²
	beadC, beadG := math.Pi/6*1e-9*8500*320, 210*bead
	d33 := 6 * 400 / (8500 * 400.0) // diameter for a time constant of 1 s
	c33, g33 := math.Pi/6*d33*d33*d33*8500*400, 400*math.Pi*d33*d33
	volume, surface := math.Pi*0.15*0.15*1.7, 2*math.Pi*0.15*1.7+2*math.Pi*0.15*0.15
	// The book takes water of 617 W/(m²·K)-like properties: 996 kg/m³, 4 178 J/(kg·K), 0.617 W/(m·K).
	hold(t, []row{
		{"WE-32", "Biot", Biot(210, unit.Length(1e-3/6), 35), 0.001, 0, cengel1},
		{"WE-32", "time constant, s", beadC / beadG, 2.15873, 0, cengel1},
		{"WE-32", "time to 99 %, s", until(beadC, beadG, k+25, k+200, k+25+0.99*175), 9.94132, 0, cengel1},
		{"WE-33", "sphere diameter for tau 1 s, m", d33, 0.0007058824, 0, incropera1},
		{"WE-33", "time 25 to 199 C in 200 C gas, s", until(c33, g33, k+25, k+200, k+199), 5.164786, 0, incropera1},
		{"WE-34", "characteristic length, m", volume / surface, 0.06891892, 0, cengel2},
		{"WE-34", "Biot", Biot(8, unit.Length(volume/surface), 0.617), 0.8936002, 0, cengel2},
		{"WE-34", "time, h", until(volume*996*4178, 8*surface, k+37, k+20, k+25) / 3600, 12.1864, 0, cengel2},
	})
	// WE-45: no cooling at all.
	var n Network
	n.Source("cell", 1000)
	if err := n.Start(293.15); err != nil {
		t.Fatal(err)
	}
	loss := 150 * 150 * 1.2e-3
	if err := n.Step([]float64{loss}, 600); err != nil {
		t.Fatal(err)
	}
	hold(t, []row{
		{"WE-45", "heat at 150 A 1.2 mohm, W", loss, 27, 0, "I²R"},
		{"WE-45", "adiabatic rise in 10 min, K", n.Temperatures()[0] - 293.15, 16.2, 1e-9, "energy balance"},
	})
}

func TestTubesOfTheHandbook(t *testing.T) {
	t.Parallel()
	const cengel5, sukhatme, som = "Cengel ex. 8-5", "Sukhatme ex. 5.1a", "Som ex. 7.9"
	tube := Duct{Diameter: 0.03, Length: 5}
	water := Properties{Density: 992.1, SpecificHeat: 4170, Conductivity: 0.631, viscosity: 0.658e-6 * 992.1}
	flow := 10e-3 / 60
	v := unit.Speed(flow / float64(tube.Area()))
	re := tube.Reynolds(water, v)
	nuDB := DittusBoelter(re, 4.32, Heated)
	f := Petukhov(re)
	nuG := Gnielinski(re, 4.32, f)
	film := func(nu float64) float64 { return nu * 0.631 / 0.03 }
	heat := flow * 992.1 * 4170 * 50
	flux := heat / float64(tube.Wetted())
	small := Duct{Diameter: 0.015, Length: 1}
	warm := Properties{Density: 1, SpecificHeat: 1, Conductivity: 0.634, viscosity: 0.659e-6}
	vSmall := unit.Speed(0.05 / 3600 / float64(small.Area()))
	fine := Duct{Diameter: 0.004, Length: 1}
	air := Properties{Density: 0.95, SpecificHeat: 1010, Conductivity: 0.03, viscosity: 2.18e-5}
	mass := 0.95 * 2 * float64(fine.Area())
	fluxAir := mass * 1010 * 50 / float64(fine.Wetted())
	filmAir := float64(fine.Film(air, 2, FluxFixed))
	hold(t, []row{
		{"WE-35", "Re", re, 10750.08, 0, cengel5},
		{"WE-35", "Nu Dittus-Boelter", nuDB, 69.35068, 0, cengel5},
		{"WE-35", "h", film(nuDB), 1458.676, 0, cengel5},
		{"WE-35", "heat rate, W", heat, 34475.47, 0, cengel5},
		{"WE-35", "wall flux, W/m²", flux, 73159.23, 0, cengel5},
		{"WE-35", "exit wall, °C", 65 + flux/film(nuDB), 115.1545, 0, cengel5},
		{"WE-35", "f smooth", f, 0.0308511, 0, cengel5},
		{"WE-35", "Nu Gnielinski", nuG, 70.52234, 0, cengel5},
		{"WE-35", "Nu of the duct", tube.Nusselt(re, 4.32, FluxFixed), 70.52234, 0, cengel5},
		{"WE-35", "exit wall by Gnielinski, °C", 65 + flux/film(nuG), 114.3213, 0, cengel5},
		{"WE-38", "Re", small.Reynolds(warm, vSmall), 1788.961, 0, sukhatme},
		{"WE-38", "h", float64(small.Film(warm, vSmall, FluxFixed)), 184.4517, 0, sukhatme},
		{"WE-39", "Re", fine.Reynolds(air, 2), 348.6239, 0, som},
		{"WE-39", "h", filmAir, 32.7, 0, som},
		{"WE-39", "mass flow, kg/s", mass, 2.38761e-5, 0, som},
		{"WE-39", "wall flux, W/m²", fluxAir, 95.95, 0, som},
		{"WE-39", "exit wall, °C", 125 + fluxAir/filmAir, 127.9343, 0, som},
	})
}

func TestDuctsOfTheHandbook(t *testing.T) {
	t.Parallel()
	const cengel6, cengel55, computed = "Cengel ex. 8-6", "Cengel problem 8-55", "computed from ASHRAE and Shah-London"
	duct := Duct{Width: 0.2, Height: 0.2, Length: 8}
	v := unit.Speed(0.15 / 0.04)
	hot := Properties{Density: 0.9994, SpecificHeat: 1008, Conductivity: 0.02953, viscosity: 2.097e-5 * 0.9994}
	re := duct.Reynolds(hot, v)
	nu := DittusBoelter(re, 0.7154, Cooled)
	film := nu * 0.02953 / 0.2
	w := unit.ThermalConductance(0.9994 * 0.15 * 1008)
	k := float64(Exchange(w, unit.ThermalConductance(film*float64(duct.Wetted()))))
	exit := 80 - k*20/float64(w)
	wide := Duct{Width: 0.15, Height: 0.2, Length: 7}
	mild := Properties{Density: 1.127, SpecificHeat: 1007, Conductivity: 0.02662, viscosity: 1.702e-5 * 1.127}
	reWide := wide.Reynolds(mild, 7)
	fWide := wide.Friction(reWide)
	nuWide := wide.Nusselt(reWide, 0.7255, WallFixed)
	filmWide := nuWide * 0.02662 / float64(wide.HydraulicDiameter())
	wWide := unit.ThermalConductance(1.127 * 7 * 0.03 * 1007)
	kWide := float64(Exchange(wWide, unit.ThermalConductance(filmWide*float64(wide.Wetted()))))
	loss := float64(wide.PressureLoss(mild, 7))
	glycol, err := FluidOf("glycol-50")
	if err != nil {
		t.Fatal(err)
	}
	p := glycol.At(unit.Celsius(40))
	channel := Duct{Width: 0.02, Height: 0.004, Length: 1.5}
	flow := 2e-3 / 60
	speed := unit.Speed(flow / float64(channel.Area()))
	reC := channel.Reynolds(p, speed)
	hold(t, []row{
		{"WE-36", "Re", re, 35765.38, 0, cengel6},
		{"WE-36", "Nu", nu, 91.38245, 0, cengel6},
		{"WE-36", "h", film, 13.49262, 0, cengel6},
		{"WE-36", "exit, °C", exit, 71.29402, 0, cengel6},
		{"WE-36", "log-mean difference, K", (20 - (exit - 60)) / math.Log(20/(exit-60)), 15.23466, 0, cengel6},
		{"WE-36", "heat loss, W", k * 20, 1315.555, 0, cengel6},
		{"WE-37", "hydraulic diameter, m", float64(wide.HydraulicDiameter()), 0.1714286, 0, cengel55},
		{"WE-37", "Re", reWide, 70505.29, 0, cengel55},
		{"WE-37", "f", fWide, 0.01940249, 0, cengel55},
		{"WE-37", "Nu Gnielinski", nuWide, 139.0483, 0, cengel55},
		{"WE-37", "h", filmWide, 21.59189, 0, cengel55},
		{"WE-37", "exit, °C", 50 - kWide*40/float64(wWide), 35.66043, 0, cengel55},
		{"WE-37", "heat rate, W", kWide * 40, 3417.503, 0, cengel55},
		{"WE-37", "pressure drop, Pa", loss, 21.87572, 0, cengel55},
		{"WE-37", "fan power, W", loss * 7 * 0.03, 4.593902, 0, cengel55},
		{"WE-42", "hydraulic diameter, m", float64(channel.HydraulicDiameter()), 0.006666667, 0, computed},
		{"WE-42", "velocity, m/s", float64(speed), 0.4166667, 0, computed},
		{"WE-42", "Re", reC, 1307.35, 0, computed},
		{"WE-42", "Pr", p.Prandtl(), 19.26162, 0, computed},
		{"WE-42", "f Re", FrictionLaminar(0.2), 76.28616, 0, computed},
		{"WE-42", "f", channel.Friction(reC), 0.05835174, 0, computed},
		{"WE-42", "pressure drop, Pa", float64(channel.PressureLoss(p, speed)), 1212.235, 0, computed},
		{"WE-42", "Nu flux", channel.Nusselt(reC, 19, FluxFixed), 5.738254, 0, computed},
		{"WE-42", "Nu temperature", channel.Nusselt(reC, 19, WallFixed), 4.826209, 0, computed},
		{"WE-42", "h flux", float64(channel.Film(p, speed, FluxFixed)), 339.1308, 0, computed},
		{"WE-42", "coolant rise at 500 W, K", 500 / (float64(p.Density) * flow * float64(p.SpecificHeat)), 4.199598, 0, computed},
		{"WE-42", "ideal pump power, W", float64(Pump{Efficiency: 1}.Electric(unit.VolumeFlow(flow), channel.PressureLoss(p, speed))), 0.04040782, 0, computed},
		{"WE-42", "thermal entry length, m", float64(channel.EntryThermal(p, speed)), 8.393895, 0, computed},
	})
}

func TestFormulasOfTheHandbook(t *testing.T) {
	t.Parallel()
	const library, white, incropera2, arithmetic = "open heat-transfer library", "White, Fluid Mechanics, ex. 6.7", "Incropera ex. 9.2", "textbook arithmetic"
	pipe := Duct{Diameter: 0.2, Length: 500, Roughness: 0.26e-3}
	oil := Properties{Density: 900, viscosity: 1e-5 * 900}
	v := unit.Speed(0.2 / float64(pipe.Area()))
	re := pipe.Reynolds(oil, v)
	f := Colebrook(re, 0.26/200)
	head := f * 500 / 0.2 * float64(v) * float64(v) / (2 * 9.81)
	nu := FreePlate(1.813e9, 0.69)
	film := nu * 0.0338 / 0.71
	pad := Layer{Thickness: 1e-3, Conductivity: 3}
	touching := pad
	touching.Contact = 2e4 // two contacts of 0.5 cm²·K/W
	hold(t, []row{
		{"WE-40", "Haaland Re 1e5 e/D 1e-4", Haaland(1e5, 1e-4), 0.01826505, 1e-6, library},
		{"WE-40", "Colebrook Re 1e5 e/D 1e-4", Colebrook(1e5, 1e-4), 0.01851387, 1e-6, library},
		{"WE-40", "Gnielinski Re 1e5 Pr 1.2 f 0.0185", Gnielinski(1e5, 1.2, 0.0185), 254.6268, 1e-6, library},
		{"WE-40", "Dittus-Boelter heating", DittusBoelter(1e5, 1.2, Heated), 247.4004, 1e-6, library},
		{"WE-40", "Dittus-Boelter cooling", DittusBoelter(1e5, 1.2, Cooled), 242.9306, 1e-6, library},
		{"WE-40", "Nu at aspect 0.7", NusseltLaminar(0.7, FluxFixed), 3.751763, 1e-6, library},
		{"handbook 6.10", "Nu at aspect 0.5", NusseltLaminar(0.5, FluxFixed), 4.12581, 1e-5, library},
		{"handbook 6.10", "Nu at aspect 0.2", NusseltLaminar(0.2, FluxFixed), 5.73825, 1e-5, library},
		{"handbook 6.10", "Nu of a square", NusseltLaminar(1, FluxFixed), 3.61022, 1e-5, library},
		{"WE-41", "velocity, m/s", float64(v), 6.366198, 0, white},
		{"WE-41", "Re", re, 127324, 0, white},
		{"WE-41", "f Colebrook", f, 0.02272431, 1e-4, white},
		{"WE-41", "f of the duct by Haaland", pipe.Friction(re), 0.02257537, 1e-4, white},
		{"WE-41", "head loss, m", head, 117.3524, 0, white},
		{"WE-41", "pressure drop with 10 degrees of fall, Pa", 900 * 9.81 * (head - 500*math.Sin(10*math.Pi/180)), 269534.5, 0, white},
		{"WE-43", "Nu", nu, 147.119, 0, incropera2},
		{"WE-43", "h", film, 7.003694, 0, incropera2},
		{"WE-43", "heat rate, W", film * 0.71 * 1.02 * (232 - 23), 1060.064, 0, incropera2},
		{"WE-43", "Nu for Pr 0.69 Gr 2.63e9", FreePlate(0.69*2.63e9, 0.69), 147.1619, 1e-6, incropera2},
		{"WE-44", "pad, K/W", 1 / float64(pad.Conductance(0.02)), 0.01666667, 0, arithmetic},
		{"WE-44", "pad with two contacts, K/W", 1 / float64(touching.Conductance(0.02)), 0.02166667, 0, arithmetic},
		{"WE-44", "rise at 20 W, K", 20 / float64(touching.Conductance(0.02)), 0.4333333, 0, arithmetic},
		{"WE-44", "fin efficiency", FinEfficiency(50, 180, 2e-3, 0.05), 0.8187141, 0, arithmetic},
	})
}

// Shah and London's table against the polynomials that the package reads: the
// handbook states 0.1 % for friction and 0.3 % for wall temperature.
func TestRectangularChannelsFollowShahAndLondon(t *testing.T) {
	t.Parallel()
	const source = "Shah and London 1978; Incropera Table 8.1 (handbook_duct_laminar.csv)"
	for _, c := range []struct{ aspect, friction, flux, wall float64 }{
		{1, 56.91, 3.608, 2.976}, {0.7, 58.42, 3.75, 3.08}, {0.5, 62.19, 4.123, 3.391}, {0.3333, 68.36, 4.795, 3.956},
		{0.25, 72.93, 5.331, 4.439}, {0.125, 82.34, 6.49, 5.597}, {0, 96, 8.235, 7.541},
	} {
		checktest.Near(t, "f·Re", FrictionLaminar(c.aspect), c.friction, 0, 1.2e-3, source)
		checktest.Near(t, "Nu, flux", NusseltLaminar(c.aspect, FluxFixed), c.flux, 0, 1e-3, source)
		checktest.Near(t, "Nu, wall", NusseltLaminar(c.aspect, WallFixed), c.wall, 0, 5e-3, source)
	}
}

// Air of the book's example: properties at (232 + 23)/2 °C, two or three digits
// are printed there.
func TestAirIsThatOfTheBook(t *testing.T) {
	t.Parallel()
	const source = "Incropera ex. 9.2 (handbook WE-43, from memory): air at 400 K: k 0.0338, Pr 0.690, Ra 1.813e9"
	p := Air(400, PressureSea)
	checktest.Near(t, "k", float64(p.Conductivity), 0.0338, 0, 6e-3, source)
	checktest.Near(t, "Pr", p.Prandtl(), 0.690, 0, 1e-2, source)
	// The table of the book has 0.8711 kg/m³ at 400 K, 1.3 % below the gas law;
	// density enters twice. The rest is its rounding of ν, α, g and 400.65 K.
	r := Rayleigh(p, unit.Celsius(232), unit.Celsius(23), 0.71)
	checktest.Near(t, "Ra", r*math.Pow(0.8711/float64(p.Density), 2), 1.813e9, 0, 2e-2, source)
	checktest.Near(t, "density at 25 °C", float64(Air(unit.Celsius(25), PressureSea).Density), 1.1839, 0, 1e-4, "gas law (handbook 5.32)")
	checktest.Near(t, "heat by the film of still air, W",
		float64(FilmFree(unit.Celsius(232), unit.Celsius(23), 0.71, PressureSea))*0.71*1.02*209, 1060, 0, 2e-2, source)
}

func TestCoolantsAreThoseOfTheHandbook(t *testing.T) {
	t.Parallel()
	const ashrae, steam = "ASHRAE Handbook, Fundamentals (handbook 6.1 to 6.4)", "NBS/IAPWS steam tables (handbook 6.5, 6.6)"
	for _, c := range []struct {
		fluid                                        string
		celsius, density, heat, k, milliPaS, prandtl float64
		source                                       string
	}{
		{"glycol-50", 0, 1081.08, 3203, 0.364, 8.09, 71.2, ashrae},
		{"glycol-50", 20, 1073.35, 3281, 0.380, 3.94, 34.0, ashrae},
		{"glycol-50", 40, 1063.66, 3358, 0.394, 2.26, 19.3, ashrae},
		{"glycol-50", 60, 1052.04, 3435, 0.404, 1.43, 12.2, ashrae},
		{"water", 20, 998.32, 4181.7, 0.5997, 1.0026, 6.99, steam},
		{"water", 10, 999.79, 4192.2, 0.5821, 1.3076, 9.42, steam},
	} {
		f, err := FluidOf(c.fluid)
		if err != nil {
			t.Fatal(err)
		}
		p := f.At(unit.Celsius(c.celsius))
		for _, r := range []struct{ got, want, tolerance float64 }{
			{float64(p.Density), c.density, 1e-6}, {float64(p.SpecificHeat), c.heat, 1e-6}, {float64(p.Conductivity), c.k, 1e-6},
			{p.viscosity * 1e3, c.milliPaS, 1e-6}, {p.Prandtl(), c.prandtl, 5e-3}, // printed to three digits
		} {
			checktest.Near(t, c.fluid, r.got, r.want, 0, r.tolerance, c.source)
		}
	}
	if len(fluidTable()) != len(FluidNames()) {
		t.Errorf("%d fluids in the table, %d are named", len(fluidTable()), len(FluidNames()))
	}
}
