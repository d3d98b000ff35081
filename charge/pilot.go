package charge

import (
	"fmt"

	"packyard/unit"
)

// Edges of the control pilot's duty cycle. Source: iec-61851-1 Annex A; the edges
// of sae-j1772 differ from it by up to 1.5 points and are inside.
const (
	dutyLow     = 0.10 // from here the first law
	dutyBend    = 0.85 // up to here the first law
	dutyHigh    = 0.96 // up to here the second law
	dutyHighest = 0.97 // up to here its largest current
	dutyLowest  = 0.08 // from here its smallest current
	pilotFirst  = 60.0 // A per duty of 1
	pilotSecond = 250.0
	pilotOffset = 0.64
	pilotLeast  = 6.0  // A
	pilotMost   = 80.0 // A
)

// PilotCurrent returns the current per phase that a duty cycle of the control
// pilot allows. A duty of 3 to 7 % asks for digital communication, and zero comes
// back as it does for all that allows no current; digital tells them apart.
// Source: iec-61851-1 Annex A, sae-j1772.
func PilotCurrent(duty unit.Ratio) (current unit.Current, digital bool) {
	switch d := float64(duty); {
	case d >= 0.03 && d <= 0.07:
		return 0, true
	case d >= dutyLowest && d < dutyLow:
		return pilotLeast, false
	case d >= dutyLow && d <= dutyBend:
		return unit.Current(pilotFirst * d), false
	case d > dutyBend && d <= dutyHigh:
		return unit.Current(pilotSecond * (d - pilotOffset)), false
	case d > dutyHigh && d <= dutyHighest:
		return pilotMost, false
	}
	return 0, false
}

// PilotDuty returns the duty cycle with which a charging point allows a current.
// Errors: ErrSupply below 6 A and above 80 A. Source: iec-61851-1 Annex A.
func PilotDuty(current unit.Current) (unit.Ratio, error) {
	switch i := float64(current); {
	case i >= pilotLeast && i <= pilotFirst*dutyBend:
		return unit.Ratio(i / pilotFirst), nil
	case i > pilotFirst*dutyBend && i <= pilotMost:
		return unit.Ratio(i/pilotSecond + pilotOffset), nil
	default:
		return 0, fmt.Errorf("%w: a pilot of %g A: 6 A to 80 A can be said", ErrSupply, i)
	}
}

// CableCurrent returns the current that a cable may carry by the resistance
// between its proximity contact and ground; false when no code is near (within a
// tenth). Source: iec-61851-1 Annex B.
func CableCurrent(r unit.Resistance) (unit.Current, bool) {
	for _, code := range [...]struct{ ohm, ampere float64 }{{1500, 13}, {680, 20}, {220, 32}, {100, 63}} {
		if x := float64(r); x >= 0.9*code.ohm && x <= 1.1*code.ohm {
			return unit.Current(code.ampere), true
		}
	}
	return 0, false
}
