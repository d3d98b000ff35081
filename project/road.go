package project

import (
	"packyard/check"
	"packyard/unit"
	"packyard/vehicle"
)

// Stand-ins for the road.
const (
	// rollingAssumed is the middle of 0.013 to 0.015, car tyre on asphalt or
	// concrete. Source: bosch-handbook.
	rollingAssumed = unit.Ratio(0.014)
	// driverAssumed is the driver of the mass in running order. Source:
	// iso-1176.
	driverAssumed = 75 * unit.Kilogram
)

func (r *reader) road() {
	f, b := &r.file.Road, &r.brief.Road
	if f.Pos.IsZero() {
		return
	}
	b.DriverMass = or(r, f.Driver, "road.driver", driverAssumed, "iso-1176")
	b.Ambient = or(r, f.Ambient, "road.ambient", unit.Celsius(20), "assumption")
	b.Altitude = or(r, f.Altitude, "road.altitude", 0, "assumption")
	b.Headwind = or(r, f.Headwind, "road.headwind", 0, "assumption")
	if f.Coast != nil {
		r.coastDown()
		return
	}
	b.Load.Rolling = or(r, f.Rolling, "road.rolling_coefficient", rollingAssumed, "bosch-handbook")
	switch {
	case f.DragArea.IsGiven() && f.Drag.IsGiven() && f.FrontalArea.IsGiven():
		product := unit.Area(float64(f.Drag.SI) * float64(f.FrontalArea.SI))
		if ok(r, f.DragArea) && ok(r, f.Drag) && ok(r, f.FrontalArea) && !within(float64(f.DragArea.SI), float64(product), sumTolerance) {
			r.probs.Addf(f.DragArea.Pos, "road.drag_area", "take one of the two out", "%q does not match drag_coefficient times frontal_area, which is %.4g m²", f.DragArea.Text, product.SquareMetres())
		}
		b.Load.DragArea = f.DragArea.SI
	case f.DragArea.IsGiven():
		b.Load.DragArea = f.DragArea.SI
	case f.Drag.IsGiven() && f.FrontalArea.IsGiven():
		b.Load.DragArea = unit.Area(float64(f.Drag.SI) * float64(f.FrontalArea.SI))
	case f.Drag.IsGiven():
		r.missing(f.Drag.Pos, "road", "frontal_area", "write it beside drag_coefficient, such as 2.1 m²")
	case f.FrontalArea.IsGiven():
		r.missing(f.FrontalArea.Pos, "road", "drag_coefficient", "write it beside frontal_area, such as 0.38")
	default:
		r.missing(f.Pos, "road", "drag_area", "write drag_area, or drag_coefficient and frontal_area, or coast_down")
	}
}

// within reports whether a differs from b by at most the share of b.
func within(a, b, share float64) bool { return a-b <= share*b && b-a <= share*b }

// coastDown takes the coefficients; mass and density of the test belong to
// them, since the forces scale with both.
func (r *reader) coastDown() {
	f := r.file.Road.Coast
	for _, g := range []struct {
		pos  check.Pos
		name string
	}{{r.file.Road.DragArea.Pos, "drag_area"}, {r.file.Road.Drag.Pos, "drag_coefficient"}, {r.file.Road.FrontalArea.Pos, "frontal_area"}, {r.file.Road.Rolling.Pos, "rolling_coefficient"}} {
		if !g.pos.IsZero() {
			r.probs.Addf(g.pos, "road."+g.name, "take one of the two out", "stands beside a coast-down, which holds it already")
		}
	}
	c := &vehicle.CoastDown{A: f.A.SI, B: f.B.SI, C: f.C.SI, MassRef: f.Mass.SI, DensityRef: f.Density.SI, HoldsDrag: !f.HoldsDrag.IsGiven() || f.HoldsDrag.Value}
	r.brief.Road.Load.Coast = c
	if !f.HoldsDrag.IsGiven() {
		r.brief.Assumed.Add(check.Assumption{Subject: "road.coast_down.holds_driveline_drag", Value: check.Number(1, "yes"), Source: "assumption"})
	}
	switch {
	case f.Density.IsGiven() && f.Temperature.IsGiven():
		r.probs.Addf(f.Temperature.Pos, "road.coast_down.reference_temperature", "take one of the two out", "stands beside reference_density")
	case f.Density.IsGiven():
	case f.Temperature.IsGiven():
		altitude := or(r, f.Altitude, "road.coast_down.reference_altitude", 0, "assumption")
		if !ok(r, f.Temperature) || f.Altitude.IsGiven() && !ok(r, f.Altitude) {
			return
		}
		c.DensityRef = vehicle.Air{Temperature: f.Temperature.SI, Altitude: altitude}.Density()
	default:
		r.missing(f.Pos, "road.coast_down", "reference_density", "write reference_density, such as 1.19 kg/m³, or reference_temperature and reference_altitude of the test")
	}
}
