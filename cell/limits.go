package cell

import (
	"packyard/unit"
)

// DischargeRate returns the highest discharge rate that is allowed for dur at
// cell temperature t, zero outside the temperatures of the limits or when none
// are stated. Between temperatures it is linear; of the stated durations the
// shortest that is not below dur counts, and for a longer dur the longest
// (continuous).
func (l Limits) DischargeRate(t unit.Temperature, dur unit.Time) unit.CRate {
	return rate(l.Discharge, t, dur)
}

// ChargeRate is DischargeRate for charging and regeneration; the rate is a
// positive number.
func (l Limits) ChargeRate(t unit.Temperature, dur unit.Time) unit.CRate {
	return rate(l.Charge, t, dur)
}

func rate(points []LimitPoint, t unit.Temperature, dur unit.Time) unit.CRate {
	var lowT, highT unit.Temperature
	var low, high unit.CRate
	var haveLow, haveHigh bool
	for i := 0; i < len(points); {
		j := i
		for j < len(points) && points[j].Temperature == points[i].Temperature {
			j++
		}
		r := rateFor(points[i:j], dur)
		if points[i].Temperature <= t {
			lowT, low, haveLow = points[i].Temperature, r, true
		}
		if points[i].Temperature >= t {
			highT, high, haveHigh = points[i].Temperature, r, true
			break
		}
		i = j
	}
	switch {
	case !haveLow || !haveHigh:
		return 0
	case highT == lowT:
		return low
	}
	share := float64(t-lowT) / float64(highT-lowT)
	return low + unit.CRate(share)*(high-low)
}

// rateFor picks among points of one temperature, sorted by duration.
func rateFor(points []LimitPoint, dur unit.Time) unit.CRate {
	for _, p := range points {
		if p.Duration >= dur {
			return p.Rate
		}
	}
	return points[len(points)-1].Rate
}
