package project

import (
	"packyard/design"
	"packyard/part"
	"packyard/unit"
	"packyard/vehicle"
)

// putAs makes a setter of a place in the brief that holds the value itself.
func putAs[Q ~float64](place func(b *design.Brief) *Q) setter {
	return func(b *design.Brief, v, _ float64, _ []int) { *place(b) = Q(v) }
}

// putAt is putAs for an entry of a list.
func putAt[Q ~float64](place func(b *design.Brief, i int) *Q) setter {
	return func(b *design.Brief, v, _ float64, at []int) { *place(b, at[0]) = Q(v) }
}

// addTo makes a setter of a place that holds a sum with the value in it.
func addTo[Q ~float64](place func(b *design.Brief) *Q) setter {
	return func(b *design.Brief, v, was float64, _ []int) { *place(b) += Q(v - was) }
}

// scale makes a setter of a place that holds a product with the value in it.
func scale[Q ~float64](place func(b *design.Brief) *Q) setter {
	return func(b *design.Brief, v, was float64, _ []int) { *place(b) *= Q(v / was) }
}

// setters are the values of the project file that range and energy depend on.
// Each changes its own part of the brief only, so that their order is irrelevant.
func setters() map[string]setter {
	out := map[string]setter{
		"road.drag_area":                 putAs(func(b *design.Brief) *unit.Area { return &b.Road.Load.DragArea }),
		"road.rolling_coefficient":       putAs(func(b *design.Brief) *unit.Ratio { return &b.Road.Load.Rolling }),
		"road.driver":                    putAs(func(b *design.Brief) *unit.Mass { return &b.Road.DriverMass }),
		"road.ambient":                   putAs(func(b *design.Brief) *unit.Temperature { return &b.Road.Ambient }),
		"road.altitude":                  putAs(func(b *design.Brief) *unit.Length { return &b.Road.Altitude }),
		"road.headwind":                  putAs(func(b *design.Brief) *unit.Speed { return &b.Road.Headwind }),
		"road.coast_down.a":              putAs(func(b *design.Brief) *unit.Force { return &b.Road.Load.Coast.A }),
		"road.coast_down.b":              putAs(func(b *design.Brief) *unit.Damping { return &b.Road.Load.Coast.B }),
		"road.coast_down.c":              putAs(func(b *design.Brief) *unit.AeroDrag { return &b.Road.Load.Coast.C }),
		"road.coast_down.reference_mass": putAs(func(b *design.Brief) *unit.Mass { return &b.Road.Load.Coast.MassRef }),
		"road.coast_down.reference_density": putAs(func(b *design.Brief) *unit.Density {
			return &b.Road.Load.Coast.DensityRef
		}),
		// The density is a product of one function of temperature and one of altitude.
		"road.coast_down.reference_temperature": func(b *design.Brief, v, was float64, _ []int) {
			b.Road.Load.Coast.DensityRef *= densityShare(vehicle.Air{Temperature: unit.Temperature(v)}, vehicle.Air{Temperature: unit.Temperature(was)})
		},
		"road.coast_down.reference_altitude": func(b *design.Brief, v, was float64, _ []int) {
			const any = 288.15 // K, the same in both
			b.Road.Load.Coast.DensityRef *= densityShare(vehicle.Air{Temperature: any, Altitude: unit.Length(v)}, vehicle.Air{Temperature: any, Altitude: unit.Length(was)})
		},
		"donor.tyre.radius":               putAs(func(b *design.Brief) *unit.Length { return &b.Donor.TyreRadius }),
		"donor.tyre.inertia":              putAs(func(b *design.Brief) *unit.Inertia { return &b.Donor.WheelInertia }),
		"drive.reserve_low":               putAs(func(b *design.Brief) *unit.Ratio { return &b.Drive.ReserveLow }),
		"drive.reserve_high":              putAs(func(b *design.Brief) *unit.Ratio { return &b.Drive.ReserveHigh }),
		"drive.regeneration.share":        putAs(func(b *design.Brief) *unit.Ratio { return &b.Drive.Regen.Share }),
		"drive.regeneration.torque_max":   putAs(func(b *design.Brief) *unit.Torque { return &b.Drive.Regen.TorqueMax }),
		"drive.regeneration.power_max":    putAs(func(b *design.Brief) *unit.Power { return &b.Drive.Regen.PowerMax }),
		"drive.stages[].efficiency":       putAt(func(b *design.Brief, i int) *unit.Ratio { return &b.Drive.Stages[i].Efficiency }),
		"drive.stages[].ratio":            putAt(func(b *design.Brief, i int) *float64 { return &b.Drive.Stages[i].Ratio }),
		"drive.auxiliaries.measured":      putAs(func(b *design.Brief) *unit.Power { return &b.Drive.Auxiliary.Measured }),
		"drive.auxiliaries.pumps":         putAs(func(b *design.Brief) *unit.Power { return &b.Drive.Auxiliary.Pumps }),
		"drive.auxiliaries.steering":      putAs(func(b *design.Brief) *unit.Power { return &b.Drive.Auxiliary.Steering }),
		"drive.auxiliaries.loads[].power": putAt(func(b *design.Brief, i int) *unit.Power { return &b.Drive.Auxiliary.Loads[i].Power }),
		"drive.auxiliaries.loads[].duty":  putAt(func(b *design.Brief, i int) *unit.Ratio { return &b.Drive.Auxiliary.Loads[i].Duty }),
		"build.cooling_share":             putAs(func(b *design.Brief) *unit.Ratio { return &b.Build.CoolingShare }),
		"build.fixed_mass":                putAs(func(b *design.Brief) *unit.Mass { return &b.Build.FixedMass }),
		"build.mass_per_string":           putAs(func(b *design.Brief) *unit.Mass { return &b.Build.MassPerString }),
		"build.box_sheet":                 putAs(func(b *design.Brief) *unit.Length { return &b.Build.BoxSheet }),
		"build.box_density":               putAs(func(b *design.Brief) *unit.Density { return &b.Build.BoxDensity }),
		"build.cable_resistance":          putAs(func(b *design.Brief) *unit.Resistance { return &b.Build.CableResistance }),
		"bays[].box_mass":                 putAt(func(b *design.Brief, i int) *unit.Mass { return &b.Bays[i].BoxMass }),
		"sources[].state_of_health":       putAt(func(b *design.Brief, i int) *unit.Ratio { return &b.Sources[i].Health.CapacityShare }),
		"sources[].resistance_growth":     putAt(func(b *design.Brief, i int) *unit.Ratio { return &b.Sources[i].Health.ResistanceGrowth }),
		"targets.end_of_life.capacity_share": putAs(func(b *design.Brief) *unit.Ratio {
			return &b.Targets.EndOfLife.CapacityShare
		}),
		"targets.end_of_life.resistance_growth": putAs(func(b *design.Brief) *unit.Ratio {
			return &b.Targets.EndOfLife.ResistanceGrowth
		}),
	}
	weighedSetters(out)
	cabinSetters(out)
	return out
}

// weighedSetters enters the masses of the ledger, and the speeds between which
// regeneration fades, which keep their order.
func weighedSetters(out map[string]setter) {
	front := addTo(func(b *design.Brief) *unit.Mass { return &b.Donor.WeighedFront })
	rear := addTo(func(b *design.Brief) *unit.Mass { return &b.Donor.WeighedRear })
	for _, name := range []string{"front", "front_left", "front_right"} {
		out["donor.weighed."+name] = front
	}
	for _, name := range []string{"rear", "rear_left", "rear_right"} {
		out["donor.weighed."+name] = rear
	}
	out["donor.removed[].mass"] = putAt(func(b *design.Brief, i int) *unit.Mass { return &b.Donor.Removed[i].Mass })
	out["donor.added[].mass"] = putAt(func(b *design.Brief, i int) *unit.Mass { return &b.Donor.Added[i].Mass })
	out["drive.regeneration.fade_from"] = func(b *design.Brief, v, _ float64, _ []int) {
		b.Drive.Regen.FadeFrom = max(unit.Speed(v), b.Drive.Regen.FadeTo)
	}
	out["drive.regeneration.fade_to"] = func(b *design.Brief, v, _ float64, _ []int) {
		b.Drive.Regen.FadeTo = unit.Speed(v)
		b.Drive.Regen.FadeFrom = max(b.Drive.Regen.FadeFrom, b.Drive.Regen.FadeTo)
	}
}

// cabinSetters enters the figures of the cabin, whose power follows from them
// over the ambient temperature.
func cabinSetters(out map[string]setter) {
	for name, place := range map[string]func(c *part.Cabin, v float64){
		"conductance":   func(c *part.Cabin, v float64) { c.Conductance = unit.ThermalConductance(v) },
		"temperature":   func(c *part.Cabin, v float64) { c.Comfort = unit.Temperature(v) },
		"gains":         func(c *part.Cabin, v float64) { c.Gains = unit.Power(v) },
		"heat_pump_cop": func(c *part.Cabin, v float64) { c.HeatCOP = v },
		"heater_max":    func(c *part.Cabin, v float64) { c.HeatMax = unit.Power(v) },
		"cooling":       func(c *part.Cabin, v float64) { c.CoolPower = unit.Power(v) },
		"cooling_max":   func(c *part.Cabin, v float64) { c.CoolMax = unit.Power(v) },
	} {
		out["drive.auxiliaries.cabin."+name] = func(b *design.Brief, v, _ float64, _ []int) {
			a := &b.Drive.Auxiliary
			place(&a.Room, v)
			a.Cabin = a.Room.Curve()
		}
	}
}

// factors are the values that enter the brief as a factor of a product.
func factors() map[string]setter {
	drag := scale(func(b *design.Brief) *unit.Area { return &b.Road.Load.DragArea })
	vacuum := scale(func(b *design.Brief) *unit.Power { return &b.Drive.Auxiliary.Vacuum })
	return map[string]setter{
		"road.drag_coefficient": drag, "road.frontal_area": drag,
		"drive.auxiliaries.vacuum_pump": vacuum, "drive.auxiliaries.vacuum_duty": vacuum,
	}
}

// densityShare returns the density of one air over that of another.
func densityShare(a, of vehicle.Air) unit.Density { return a.Density() / of.Density() }

// deviceSetters are the values of devices in parts/ that range and energy depend on.
func deviceSetters() map[string]func(b *design.Brief, v float64) {
	return map[string]func(b *design.Brief, v float64){
		"chargers[].efficiency":          func(b *design.Brief, v float64) { b.Drive.Charger.Efficiency = unit.Ratio(v) },
		"chargers[].idle":                func(b *design.Brief, v float64) { b.Drive.Charger.Idle = unit.Power(v) },
		"converters[].efficiency":        func(b *design.Brief, v float64) { b.Drive.Converter.Efficiency = unit.Ratio(v) },
		"converters[].idle":              func(b *design.Brief, v float64) { b.Drive.Converter.Idle = unit.Power(v) },
		"inverters[].efficiency":         func(b *design.Brief, v float64) { b.Drive.Inverter.Efficiency = unit.Ratio(v) },
		"inverters[].idle":               func(b *design.Brief, v float64) { b.Drive.Inverter.Idle = unit.Power(v) },
		"drive_units[].ratio_efficiency": func(b *design.Brief, v float64) { b.Drive.Unit.RatioEfficiency = unit.Ratio(v) },
		"drive_units[].inertia":          func(b *design.Brief, v float64) { b.Drive.Unit.Inertia = unit.Inertia(v) },
	}
}

// cellSetters are the values of cells in parts/ that range and energy depend on,
// of source i.
func cellSetters() map[string]func(b *design.Brief, v float64, i int) {
	return map[string]func(b *design.Brief, v float64, i int){
		"cells[].capacity": func(b *design.Brief, v float64, i int) {
			s := &b.Sources[i]
			if s.Module != nil {
				s.Module.Slice.Cell.Capacity = unit.Charge(v)
				return
			}
			s.Cell.Capacity = unit.Charge(v)
		},
		"cells[].mass": func(b *design.Brief, v float64, i int) { b.Sources[i].Cell.Mass = unit.Mass(v) },
	}
}
