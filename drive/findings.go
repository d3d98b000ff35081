package drive

import (
	"packyard/check"
	"packyard/part"
	"packyard/unit"
)

// Findings returns what a run says about the design: a schedule that was
// capped, a run that broke off before the charge floor, a motor that is asked
// for more than it gives for long, a pack that is worked harder than its
// continuous current, regeneration that the pack refused. Margins are
// (limit − value)/limit. It is not part of a run, because it allocates.
func (r Result) Findings(d *Demand) []check.Finding {
	out := r.impossible(d)
	if c := r.Capped; c.Steps > 0 {
		out = append(out, check.Finding{Rule: "drive.schedule.capped", Budget: "range", Subject: "speed below the schedule when full and warm",
			Value: check.Of(c.Shortfall), Limit: check.Of(unit.Speed(0)), Margin: -float64(c.Share), Severity: check.Warning,
			Remedy: "a stronger unit, a lower mass or a pack of higher voltage or current; the range is that of the schedule it can follow", Source: "un-gtr-15"})
	}
	if r.End == EndBehind || r.End == EndPower {
		out = append(out, check.Finding{Rule: "drive.run.broke-off", Budget: "range", Subject: "charge left when the run broke off: " + string(r.EndedBy),
			Value: check.Of(r.SoCEnd), Limit: check.Of(unit.Ratio(0)), Margin: -float64(r.SoCEnd), Severity: check.Warning,
			Remedy: "more cells in parallel, cells of lower resistance, or a higher lowest voltage", Source: "un-gtr-15"})
	}
	out = append(out, d.motorFindings()...)
	if r.CurrentContinuous > 0 && r.CurrentRMS > r.CurrentContinuous {
		out = append(out, check.Finding{Rule: "drive.pack.continuous", Budget: "current", Subject: "mean square current of the run",
			Value: check.Of(r.CurrentRMS), Limit: check.Of(r.CurrentContinuous), Margin: float64((r.CurrentContinuous - r.CurrentRMS) / r.CurrentContinuous),
			Severity: check.Warning, Remedy: "more cells in parallel", Source: "common-practice"})
	}
	if n := r.Limited.ChargeVoltage + r.Limited.ChargeCurrent + r.Limited.ChargeFull; n > 0 {
		out = append(out, check.Finding{Rule: "drive.regeneration.refused", Budget: "range", Subject: "seconds in which the pack refused regeneration",
			Value: check.Of(unit.Time(n) * d.Step), Limit: check.Of(r.Duration), Severity: check.Note,
			Remedy: "charge to less than full, or warm the cells", Source: "circuit-law"})
	}
	return out
}

// motorFindings says that the schedule asks the motor for more than its
// continuous power for longer than the maker allows its peak.
func (d *Demand) motorFindings() []check.Finding {
	u := d.train.Unit
	if !(u.PeakDuration > 0) {
		return nil
	}
	return motorOver(u, d.shaftMean(u.PeakDuration))
}

// motorOver holds a power over the peak duration of a motor against its
// continuous one.
func motorOver(u *part.DriveUnit, mean unit.Power) []check.Finding {
	if !(u.PeakDuration > 0 && u.PowerContinuous > 0) || mean <= u.PowerContinuous {
		return nil
	}
	return []check.Finding{{Rule: "drive.motor.continuous", Budget: "current", Subject: "motor power over its peak duration",
		Value: check.Of(mean), Limit: check.Of(u.PowerContinuous), Margin: float64((u.PowerContinuous - mean) / u.PowerContinuous),
		Severity: check.Warning, Remedy: "a unit of higher continuous power, or cooling that the maker allows more for", Source: "common-practice"}}
}

// impossible says why a vehicle does not move at all: cells that may give
// nothing at their temperature, or a grade that it cannot climb.
func (r Result) impossible(d *Demand) []check.Finding {
	var out []check.Finding
	if t, span := r.Temperature, r.Temperatures; span[1] > 0 && (t < span[0] || t > span[1]) {
		a := check.Against[unit.Temperature]{Value: t, Limit: span[1]}
		where, remedy := "above the hottest", "cool the pack before it is driven"
		if t < span[0] {
			a.Limit, a.Lower = span[0], true
			where, remedy = "below the coldest", "warm the pack before it is driven, or choose cells for the cold"
		}
		out = append(out, a.Finding(check.Finding{Rule: "drive.cells.temperature", Budget: "range",
			Subject: "temperature of the cells, " + where + " at which they may be discharged", Remedy: remedy, Source: "battery-trade-limits"}, check.Failure))
	}
	if r.Capped.Stalled {
		if steep, most := d.steepest(), d.climbs(); steep > most {
			out = append(out, check.Against[unit.Slope]{Value: most, Limit: steep, Lower: true}.Finding(check.Finding{
				Rule: "drive.grade.stalled", Budget: "range", Subject: "steepest grade that the drive train climbs at walking pace, against the steepest of the schedule",
				Remedy: "a lower gear, a stronger unit or a lower mass", Source: "gillespie"}, check.Failure))
		}
	}
	return out
}

// steepest returns the steepest grade of the schedule.
func (d *Demand) steepest() unit.Slope {
	most := 0.0
	for _, s := range d.slopes {
		most = max(most, s.sin/s.cos)
	}
	return unit.Slope(most)
}

// climbs returns the steepest grade that the unit climbs at walking pace at the
// voltage of the demand.
func (d *Demand) climbs() unit.Slope {
	k := &d.chain
	spare := func(g float64) float64 {
		return k.forceMax(walking, d.full) - k.force(walking, walking, 1, slopeOf(g))
	}
	const most = 10.0
	switch {
	case spare(0) < 0:
		return 0
	case spare(most) >= 0:
		return most
	}
	return unit.Slope(falsePosition(0, most, spare))
}

// shaftMean returns the largest mean power at the motor shaft, driving only,
// over any time of the given length within one schedule.
func (d *Demand) shaftMean(window unit.Time) unit.Power {
	n := min(max(int(float64(window/d.Step)+0.5), 1), len(d.Shaft))
	sum, most := 0.0, 0.0
	for i, p := range d.Shaft {
		sum += max(p, 0)
		if i >= n {
			sum -= max(d.Shaft[i-n], 0)
		}
		if i >= n-1 {
			most = max(most, sum)
		}
	}
	return unit.Power(most / float64(n))
}
