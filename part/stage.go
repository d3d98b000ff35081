package part

import (
	"fmt"

	"packyard/check"
	"packyard/unit"
)

// Reduction returns the built-in reduction of the unit as a stage, and whether
// it has one.
func (u *DriveUnit) Reduction() (Stage, bool) {
	if u.Ratio == 1 && (u.RatioEfficiency == 1 || u.RatioEfficiency == 0) {
		return Stage{}, false
	}
	return Stage{Name: "built-in reduction", Ratio: u.Ratio, Efficiency: u.RatioEfficiency}, true
}

// AllStages returns the unit's own reduction, where it has one, followed by
// the kept stages, from motor to wheel.
func (u *DriveUnit) AllStages(kept []Stage) []Stage {
	own, has := u.Reduction()
	if !has {
		return append([]Stage(nil), kept...)
	}
	return append([]Stage{own}, kept...)
}

// CheckStages compares the peak torque and the highest speed of the unit,
// carried through its own reduction and the kept stages, with the rating at
// the input of each stage.
//
//	T_in,k = T_peak·Π_{j<k} i_j·η_j      ω_in,k = ω_max/Π_{j<k} i_j
//
// Rule driveline.torque: a failure where even the continuous torque passes the
// rating, a warning where only the peak does (it can be held back in the
// inverter, and the remedy says to what). Rule driveline.speed: a warning.
// A rating of zero is not looked at; CheckRatings lists those.
// Source: common practice (statics of a gear train).
func CheckStages(u *DriveUnit, stages []Stage) []check.Finding {
	var out []check.Finding
	gain, ratio := 1.0, 1.0 // torque gained and speed lost so far
	for _, s := range u.AllStages(stages) {
		peak, continuous := float64(u.TorquePeak)*gain, float64(u.TorqueContinuous)*gain
		if limit := float64(s.TorqueMax); limit > 0 && peak > limit {
			f := check.Finding{
				Rule: "driveline.torque", Budget: "safety", Subject: s.Name + " input torque",
				Value: check.Of(unit.Torque(peak)), Limit: check.Of(s.TorqueMax), Margin: (limit - peak) / limit,
				Severity: check.Warning, Source: "common-practice",
				Remedy: fmt.Sprintf("hold the motor to %.3g N·m in the inverter, or use a stage of a higher rating", limit/gain),
			}
			if continuous > limit {
				f.Severity = check.Failure
			}
			out = append(out, f)
		}
		speed := float64(u.SpeedMax) / ratio
		if limit := float64(s.SpeedMax); limit > 0 && speed > limit {
			out = append(out, check.Finding{
				Rule: "driveline.speed", Budget: "safety", Subject: s.Name + " input speed",
				Value: check.Of(unit.AngularSpeed(speed)), Limit: check.Of(s.SpeedMax), Margin: (limit - speed) / limit,
				Severity: check.Warning, Source: "common-practice",
				Remedy: fmt.Sprintf("hold the motor to %.0f rpm", unit.AngularSpeed(limit*ratio).RevolutionsPerMinute()),
			})
		}
		gain *= s.Ratio * float64(s.Efficiency)
		ratio *= s.Ratio
	}
	return out
}

// CheckRatings returns a note for each kept stage whose torque rating was not
// stated: nothing was compared there.
func CheckRatings(stages []Stage) []check.Finding {
	var out []check.Finding
	for _, s := range stages {
		if s.TorqueMax > 0 {
			continue
		}
		out = append(out, check.Finding{
			Rule: "driveline.rating", Budget: "safety", Subject: s.Name + " has no torque rating",
			Severity: check.Note, Remedy: "state the highest input torque from the maker's figures", Source: "common-practice",
		})
	}
	return out
}
