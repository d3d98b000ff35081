package bench

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// ErrEqualise says that two items cannot be joined as asked.
var ErrEqualise = errors.New("items cannot be equalised so")

// Side is one of two items that are to be joined in parallel, at rest.
type Side struct {
	Voltage    unit.Voltage
	Resistance unit.Resistance // of pulses of a minute or so; above zero
	Capacity   unit.Charge     // above zero
	Slope      unit.Voltage    // rise of the open-circuit voltage over the whole capacity at this charge, dU/dSoC; above zero
}

// Joining is what happens when two items are joined in parallel.
type Joining struct {
	Difference unit.Voltage `json:"difference_v"`
	Current    unit.Current `json:"current_a"`     // at the first moment
	Allowed    unit.Voltage `json:"allowed_v"`     // largest difference that keeps the current
	May        bool         `json:"may_be_joined"` // the difference is not above the allowed one
	Constant   unit.Time    `json:"constant_s"`    // time constant of the settling
	Settling   unit.Time    `json:"settling_s"`    // until the difference is below Near
	Moved      unit.Charge  `json:"moved_as"`      // from one to the other, in the end
	Common     unit.Voltage `json:"common_v"`      // that both end at
}

// JoinLimits are what may happen; the zero value is the default.
type JoinLimits struct {
	Current unit.Current // that both items stand; above zero
	Near    unit.Voltage // difference that counts as none; zero: 5 mV
}

// nearDefault is a difference that counts as none: common practice, the accuracy of
// a good hand-held meter at 4 V.
const nearDefault = 0.005 // V

// Join works out what happens when a and b are joined in parallel:
//
//	I = ΔV/(R1 + R2), τ = (R1 + R2)/(k1 + k2), k = dU/dSoC / capacity
//	t = τ·ln(ΔV/δ), q = ΔV/(k1 + k2), U = U1 − k1·q
//
// with constant slopes: see the package comment.
//
// Errors: ErrEqualise.
func Join(a, b Side, l JoinLimits) (Joining, error) {
	for _, s := range []Side{a, b} {
		if v := float64(s.Voltage) + float64(s.Resistance) + float64(s.Capacity) + float64(s.Slope); !(s.Voltage > 0) || !(s.Resistance > 0) || !(s.Capacity > 0) || !(s.Slope > 0) || math.IsInf(v, 0) {
			return Joining{}, fmt.Errorf("%w: %v V, %v Ω, %v A·s and a slope of %v V: all above zero are accepted", ErrEqualise, float64(s.Voltage), float64(s.Resistance), float64(s.Capacity), float64(s.Slope))
		}
	}
	near := float64(l.Near)
	if near == 0 {
		near = nearDefault
	}
	if !(l.Current > 0) || !(near > 0) || math.IsInf(float64(l.Current)+near, 0) {
		return Joining{}, fmt.Errorf("%w: a current of %v A and a difference of %v V that counts as none: above zero are accepted", ErrEqualise, float64(l.Current), near)
	}
	if a.Voltage < b.Voltage {
		a, b = b, a
	}
	dv := float64(a.Voltage - b.Voltage)
	r := float64(a.Resistance + b.Resistance)
	ka, kb := float64(a.Slope)/float64(a.Capacity), float64(b.Slope)/float64(b.Capacity)
	j := Joining{
		Difference: unit.Voltage(dv), Current: unit.Current(dv / r), Allowed: unit.Voltage(float64(l.Current) * r),
		Constant: unit.Time(r / (ka + kb)), Moved: unit.Charge(dv / (ka + kb)),
	}
	j.May = j.Difference <= j.Allowed
	j.Common = a.Voltage - unit.Voltage(ka*float64(j.Moved))
	if dv > near {
		j.Settling = unit.Time(float64(j.Constant) * math.Log(dv/near))
	}
	return j, nil
}
