package drive

import (
	"fmt"

	"packyard/check"
	"packyard/unit"
)

// leftMost is the share of the energy above which it is worth a word that
// unequal groups keep it from being used. Source: assumption.
const leftMost = 0.02

// Findings returns what a run per group says about the design: what
// Result.Findings says, the group for which the drive was lowered the longest,
// what unequal groups keep from being used, and cells that become hotter than
// they may.
func (r GroupResult) Findings(d *Demand) []check.Finding {
	out := r.Result.Findings(d)
	if hot := r.Temperatures[1]; hot > 0 && r.TemperatureMax > hot && r.Temperature <= hot {
		out = append(out, check.Against[unit.Temperature]{Value: r.TemperatureMax, Limit: hot}.Finding(check.Finding{
			Rule: "drive.group.hot", Budget: "current", Subject: "hottest, " + groupName(r.Hottest) + ", against what its cells bear",
			Remedy: "more cooling, more cells in parallel, or cells of lower resistance", Source: "battery-trade-limits"}, check.Failure))
	}
	if by, group, seconds := r.longest(); seconds > 0 {
		out = append(out, check.Finding{Rule: "drive.group.lowered", Budget: "current",
			Subject: "time in which the drive was lowered for " + groupName(group) + ": " + string(by),
			Value:   check.Of(seconds), Limit: check.Of(r.Duration), Margin: 1 - float64(seconds/r.Duration), Severity: check.Warning,
			Remedy: "look at that group first: its cells, its place, its cooling", Source: "circuit-law"})
	}
	if all := r.Left + r.Energy.Chemical; r.End == EndFloor && all > 0 {
		if share := unit.Ratio(r.Left / all); share > leftMost {
			out = append(out, check.Finding{Rule: "drive.group.left", Budget: "range",
				Subject: "share of the energy that stays in the other groups when " + groupName(r.Empties) + " is empty",
				Value:   check.Of(share), Limit: check.Of(unit.Ratio(leftMost)), Margin: float64((leftMost - share) / leftMost), Severity: check.Note,
				Remedy: "match the groups better, or balance them", Source: "circuit-law"})
		}
	}
	return out
}

func groupName(i int) string {
	if i < 0 {
		return "the pack as a whole"
	}
	return fmt.Sprintf("group %d", i+1)
}

// longest returns the limiter and group that lowered the drive for the longest
// time in all, the motor left out.
func (r GroupResult) longest() (by Limiter, group int, seconds unit.Time) {
	type who struct {
		by    Limiter
		group int
	}
	sum := map[who]unit.Time{}
	for _, e := range r.Events {
		if e.Charging || e.Limiter == LimitMotor || e.Limiter == LimitMotorTime {
			continue
		}
		w := who{e.Limiter, e.Group}
		if sum[w] += e.To - e.From; sum[w] > seconds {
			by, group, seconds = w.by, w.group, sum[w]
		}
	}
	return by, group, seconds
}
