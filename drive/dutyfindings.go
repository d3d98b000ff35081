package drive

import (
	"math"
	"strings"

	"packyard/cell"
	"packyard/check"
	"packyard/unit"
)

// spreadMost is the difference between groups above which they age apart.
// Source: common-practice.
const spreadMost = 5 * unit.KelvinDelta

// findings says what the duty shows about the design: temperatures outside the
// range of the cells, derating, a grade that cannot be climbed, coolant that
// does not flow, a wide spread, preheating that does not get there.
func (r *duty) findings() {
	add := func(f check.Finding) {
		if f.Severity == check.Note {
			f.Remedy = "" // nothing to be done
		}
		r.res.Findings = append(r.res.Findings, f)
	}
	r.gradeFinding(add)
	r.cellFindings(add)
	r.coolantFindings(add)
	res := &r.res
	if res.Derated {
		add(check.Finding{
			Rule: "heat.derating", Budget: "current", Subject: "time until the pack gives or takes less than asked, held back by the " + string(res.DeratedBy),
			Value: check.Of(res.DeratedFrom), Limit: check.Of(r.d.longest()),
			Margin: float64(res.DeratedFrom/r.d.longest()) - 1, Severity: check.Warning,
			Remedy: "more cells in parallel, cells of lower resistance, or more cooling", Source: "common-practice",
		})
	}
	if res.Spread > spreadMost {
		add(check.Against[unit.TemperatureDelta]{Value: res.Spread, Limit: spreadMost}.Finding(check.Finding{
			Rule: "heat.spread", Budget: "current", Subject: "largest difference between two groups",
			Remedy: "let the coolant pass the bays in parallel, or raise its flow", Source: "common-practice",
		}, check.Warning))
	}
	if r.d.Preheat != 0 && res.End == DutyUnheld {
		remedy := "a stronger heater, or insulation of the boxes"
		if res.HeaterEnergy == 0 {
			remedy = "add a heater or heating pads: nothing heated the pack"
		}
		add(check.Against[unit.Temperature]{Value: r.coldest(), Limit: r.d.Preheat, Lower: true}.Finding(check.Finding{
			Rule: "heat.preheat", Budget: "current", Subject: "coldest group after twelve hours of preheating",
			Remedy: remedy, Source: "given",
		}, check.Failure))
	}
}

// coldest returns the temperature of the coldest group at the end.
func (r *duty) coldest() unit.Temperature {
	_, cold := r.c.Heat.Extremes()
	return unit.Temperature(r.c.Heat.Temperatures()[cold])
}

func (r *duty) gradeFinding(add func(check.Finding)) {
	if r.d.Kind != DutyGrade || r.res.Held {
		return
	}
	f := check.Finding{
		Rule: "heat.grade", Budget: "range", Subject: "steepest grade that the drive train holds at " + unit.Format(r.d.Speed, unit.SI),
		Remedy: "a lower gear, a slower climb, a stronger unit or a lower mass; the temperatures are those of the steepest grade it holds", Source: "gillespie",
	}
	add(check.Against[unit.Slope]{Value: r.res.GradeMost, Limit: r.d.Grade, Lower: true}.Finding(f, check.Failure))
}

// stated returns the lowest and highest temperature of limit points, between which
// currents are stated.
func stated(points []cell.LimitPoint) (low, high unit.Temperature, any bool) {
	low, high = unit.Temperature(math.Inf(1)), unit.Temperature(math.Inf(-1))
	for _, p := range points {
		low, high = min(low, p.Temperature), max(high, p.Temperature)
	}
	return low, high, len(points) > 0
}

// limitSource returns the source of the current limits of a cell.
func limitSource(c *cell.Cell, charging bool) string {
	way := "discharge"
	if charging {
		way = "charge"
	}
	source := "given"
	for _, f := range c.Facts {
		if strings.HasPrefix(f.Field, way+" ") {
			source = f.Source
		}
	}
	return source
}

// cellFindings holds the temperatures of the groups against the limits of their
// cells in the direction of the current.
func (r *duty) cellFindings(add func(check.Finding)) {
	points, way := r.c.Pack.Cell.Limits.Discharge, "driving"
	if r.d.Kind == DutyCharge {
		points, way = r.c.Pack.Cell.Limits.Charge, "charging"
	}
	source := limitSource(r.c.Pack.Cell, r.d.Kind == DutyCharge)
	low, high, any := stated(points)
	if !any {
		add(check.Finding{
			Rule: "heat.cell.limits", Budget: "current", Subject: "temperatures at which the cells state a current for " + way,
			Value: check.Number(0, "temperatures"), Limit: check.Number(1, "temperatures"), Margin: -1, Severity: check.Failure,
			Remedy: "add current limits to the cell: without them nothing is given or taken", Source: "given",
		})
		return
	}
	add(check.Against[unit.Temperature]{Value: r.res.Hottest.Temperature, Limit: high}.Finding(check.Finding{
		Rule: "heat.hottest", Budget: "current", Subject: "hottest group, " + r.res.Hottest.Name,
		Remedy: "more coolant flow, a larger radiator, a chiller, or more cells in parallel", Source: source,
	}, check.Failure))
	severity := check.Failure
	if r.d.Kind == DutySoak {
		severity, way = check.Warning, "standing" // it cannot be driven off before it is heated
	}
	add(check.Against[unit.Temperature]{Value: r.res.Coldest.Temperature, Limit: low, Lower: true}.Finding(check.Finding{
		Rule: "heat.coldest", Budget: "current", Subject: "coldest group while " + way + ", " + r.res.Coldest.Name,
		Remedy: "preheat the pack: below this temperature the cells state no current", Source: source,
	}, severity))
}

// coolantFindings looks at coolant that cannot do its work.
func (r *duty) coolantFindings(add func(check.Finding)) {
	c := r.c.Heat.Circuit()
	if c == nil {
		return
	}
	if f := c.Fluid.Freezes; f > 0 && min(r.c.Air, r.c.Start) <= f {
		add(check.Against[unit.Temperature]{Value: min(r.c.Air, r.c.Start), Limit: f, Lower: true}.Finding(check.Finding{
			Rule: "heat.coolant.freezes", Budget: "safety", Subject: "outside temperature against the freezing point of the coolant",
			Remedy: "more antifreeze in the coolant, or keep the vehicle warmer; frozen coolant stands still and can burst plates", Source: "ashrae-fundamentals",
		}, check.Failure))
	}
	if r.c.Heat.FlowWanted() && r.res.FlowMax <= 0 {
		add(check.Finding{
			Rule: "heat.coolant.flow", Budget: "current", Subject: "coolant flow when cooling or heating asked for it",
			Value: check.Of(r.res.FlowMax), Limit: check.Of(unit.VolumeFlow(0)), Margin: -1, Severity: check.Failure,
			Remedy: "state a flow above zero, or a pump that overcomes the circuit", Source: "given",
		})
	}
}
