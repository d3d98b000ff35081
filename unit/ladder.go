package unit

// step is a unit of display and the magnitude in SI from which it is used. The
// home step shows zero.
type step struct {
	spelling string
	from     float64
	home     bool
}

// always is a ladder of one step.
func always(spelling string) []step { return []step{{spelling, 0, true}} }

// ladders returns the units in which values of the noun are printed, rising.
// None means the SI unit. Which unit is usual for which size is common practice
// of the trade: packs in kg, Ah and kWh, bays in mm, cables in mm², road
// consumption in Wh/km, work and charging in hours up to a month.
func ladders(noun string, s System) []step {
	if s == US {
		if l := laddersUS(noun); l != nil {
			return l
		}
	}
	if l := laddersElectric(noun); l != nil {
		return l
	}
	switch noun {
	case "mass":
		return []step{{"mg", 0, false}, {"g", 1e-3, false}, {"kg", 1, true}, {"t", 1e4, false}}
	case "length":
		return []step{{"µm", 0, false}, {"mm", 1e-4, true}, {"m", 10, false}, {"km", 1e3, false}}
	case "area":
		return []step{{"mm²", 0, false}, {"m²", 1e-2, true}}
	case "volume":
		return []step{{"mm³", 0, false}, {"cm³", 1e-6, false}, {"L", 1e-3, true}, {"m³", 1, false}}
	case "time":
		return []step{{"µs", 0, false}, {"ms", 1e-3, false}, {"s", 1, true}, {"min", 180, false}, {"h", 7200, false}, {"d", 30 * 86400, false}, {"a", 31557600, false}}
	case "speed":
		return always("km/h")
	case "force":
		return []step{{"N", 0, true}, {"kN", 1e4, false}}
	case "energy":
		return []step{{"J", 0, false}, {"Wh", 3600, false}, {"kWh", 3.6e6, true}, {"MWh", 3.6e10, false}}
	case "power":
		return []step{{"mW", 0, false}, {"W", 1, true}, {"kW", 1e3, false}, {"MW", 1e7, false}}
	case "pressure":
		return []step{{"Pa", 0, false}, {"kPa", 1e3, true}, {"MPa", 1e7, false}}
	case "mass flow":
		return []step{{"g/s", 0, true}, {"kg/s", 1, false}}
	case "volume flow":
		return always("L/min")
	case "rotational speed":
		return always("rpm")
	case "angle":
		return always("°")
	case "stiffness":
		return always("N/mm")
	case "drag per speed":
		return always("N/(km/h)")
	case "drag per speed squared":
		return always("N/(km/h)²")
	case "consumption":
		return always("Wh/km")
	case "ratio", "slope":
		return always("%")
	case "temperature":
		return always("°C")
	case "heat capacity":
		return []step{{"J/K", 0, true}, {"kJ/K", 1e4, false}}
	}
	return nil
}

func laddersElectric(noun string) []step {
	switch noun {
	case "voltage":
		return []step{{"µV", 0, false}, {"mV", 1e-3, false}, {"V", 1, true}, {"kV", 1e4, false}}
	case "current":
		return []step{{"µA", 0, false}, {"mA", 1e-3, false}, {"A", 1, true}, {"kA", 1e4, false}}
	case "charge":
		return []step{{"mAh", 0, false}, {"Ah", 3600, true}}
	case "resistance":
		return []step{{"µΩ", 0, false}, {"mΩ", 1e-4, true}, {"Ω", 1, false}, {"kΩ", 1e3, false}, {"MΩ", 1e6, false}}
	case "capacitance":
		return []step{{"pF", 0, false}, {"nF", 1e-9, false}, {"µF", 1e-6, true}, {"mF", 1e-3, false}, {"F", 1, false}}
	case "inductance":
		return []step{{"nH", 0, false}, {"µH", 1e-6, true}, {"mH", 1e-3, false}, {"H", 1, false}}
	case "let-through I²t":
		return []step{{"A²s", 0, true}, {"kA²s", 1e7, false}}
	case "specific energy":
		return always("Wh/kg")
	case "entropic coefficient":
		return always("mV/K")
	}
	return nil
}

func laddersUS(noun string) []step {
	switch noun {
	case "mass":
		return []step{{"oz", 0, false}, {"lb", pound, true}}
	case "length":
		return []step{{"in", 0, true}, {"ft", 10 * foot, false}, {"mi", mile, false}}
	case "area":
		return []step{{"in²", 0, true}, {"ft²", foot * foot, false}}
	case "volume":
		return []step{{"in³", 0, true}, {"ft³", foot * foot * foot, false}}
	case "speed":
		return always("mph")
	case "acceleration":
		return always("ft/s²")
	case "force":
		return always("lbf")
	case "torque":
		return always("lbf·ft")
	case "pressure":
		return always("psi")
	case "density":
		return always("lb/ft³")
	case "mass flow":
		return always("lb/min")
	case "volume flow":
		return always("gal(US)/min")
	case "moment of inertia":
		return always("lb·ft²")
	case "stiffness":
		return always("lbf/in")
	case "drag per speed":
		return always("lbf/mph")
	case "drag per speed squared":
		return always("lbf/mph²")
	case "consumption":
		return always("Wh/mi")
	case "temperature", "temperature difference":
		return always("°F")
	}
	return nil
}
