package part

import (
	"math"

	"packyard/unit"
)

// VoltageNever is what VoltageNeeded returns for a point that no DC voltage
// makes possible. It is finite, so that it can be compared and stored.
const VoltageNever unit.Voltage = 1e9

// TorqueMax returns the largest shaft torque, driving or braking, at speed w,
// DC voltage V for the given duration.
//
//	T_max = min(T_r, P_r·min(1, V/V_ref)/|ω|)   for |ω| ≤ ω_max, else 0
//
// T_r and P_r are the peak figures for a duration up to PeakDuration, else the
// continuous ones. Below V_ref the power, and with it the base speed
// P/T_r, falls in proportion to the voltage; above V_ref nothing is gained.
// A V_ref of zero means that the power does not depend on the voltage.
// The highest speed is not lowered with the voltage. The result falls with
// speed and duration and rises with voltage, never strictly.
// Source: common practice (voltage limit of a field-weakened machine at fixed
// current limit: power in proportion to voltage).
func (u *DriveUnit) TorqueMax(w unit.AngularSpeed, V unit.Voltage, duration unit.Time) unit.Torque {
	speed := math.Abs(float64(w))
	if speed > float64(u.SpeedMax) {
		return 0
	}
	torque, power := u.rating(duration)
	power *= u.voltageShare(float64(V))
	if power < torque*speed {
		return unit.Torque(power / speed)
	}
	return unit.Torque(torque)
}

// PowerMax returns the largest shaft power at DC voltage V for the given
// duration, see TorqueMax.
func (u *DriveUnit) PowerMax(V unit.Voltage, duration unit.Time) unit.Power {
	_, power := u.rating(duration)
	return unit.Power(power * u.voltageShare(float64(V)))
}

// BaseSpeed returns the speed up to which the peak torque is there at DC
// voltage V, at most SpeedMax.
func (u *DriveUnit) BaseSpeed(V unit.Voltage) unit.AngularSpeed {
	power := float64(u.PowerPeak) * u.voltageShare(float64(V))
	if power >= float64(u.TorquePeak)*float64(u.SpeedMax) {
		return u.SpeedMax
	}
	return unit.AngularSpeed(power / float64(u.TorquePeak))
}

// VoltageNeeded returns the least DC voltage at which the unit can give the
// torque T (either sign) at speed w within its peak duration; 0 when any
// voltage does, VoltageNever when none does.
//
//	V = V_ref·|T·ω|/P_peak   for |T| ≤ T_peak, |ω| ≤ ω_max, |T·ω| ≤ P_peak
//
// It is the inverse of TorqueMax at peak.
func (u *DriveUnit) VoltageNeeded(T unit.Torque, w unit.AngularSpeed) unit.Voltage {
	torque, speed := math.Abs(float64(T)), math.Abs(float64(w))
	power := torque * speed
	if torque > float64(u.TorquePeak) || speed > float64(u.SpeedMax) || power > float64(u.PowerPeak) {
		if torque == 0 {
			return 0 // turned from outside, giving nothing
		}
		return VoltageNever
	}
	if power == 0 {
		return 0
	}
	return unit.Voltage(float64(u.VoltageRef) * power / float64(u.PowerPeak))
}

// rating returns torque and power for the duration.
func (u *DriveUnit) rating(duration unit.Time) (torque, power float64) {
	if duration <= u.PeakDuration {
		return float64(u.TorquePeak), float64(u.PowerPeak)
	}
	return float64(u.TorqueContinuous), float64(u.PowerContinuous)
}

func (u *DriveUnit) voltageShare(v float64) float64 {
	if u.VoltageRef <= 0 || v >= float64(u.VoltageRef) {
		return 1
	}
	return max(v, 0) / float64(u.VoltageRef)
}
