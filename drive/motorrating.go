package drive

import (
	"math"

	"packyard/part"
)

// motorRating follows how long a motor has been above its continuous figures:
// the squares of its torque between continuous and peak fill a counter, which
// the peak fills in its stated duration:
//
//	dh/dt = (T² − T_c(ω)²)/(T_p(ω)² − T_c(ω)²),  0 ≤ h ≤ duration
//	T_c(ω) = min(T_continuous, P_continuous/ω),  T_p(ω) = min(T_peak, P_peak/ω)
//
// Full peak may flow until τ before the end, then the square of the limit falls
// towards that of the continuous figure with the time constant τ, as Derating
// says of cells. Source: assumption (makers state the duration of the peak, not
// the law between; loss grows with the square of the torque).
type motorRating struct {
	torquePeak, torqueCont float64 // N·m
	powerPeak, powerCont   float64 // W
	duration, tau          float64 // s
	used                   float64 // h, s
}

// newMotorRating returns nil where the maker states no duration or no
// continuous figures: then the peak may flow for ever.
func newMotorRating(u *part.DriveUnit, tau, dt float64) *motorRating {
	m := &motorRating{
		torquePeak: float64(u.TorquePeak), torqueCont: min(float64(u.TorqueContinuous), float64(u.TorquePeak)),
		powerPeak: float64(u.PowerPeak), powerCont: min(float64(u.PowerContinuous), float64(u.PowerPeak)),
		duration: float64(u.PeakDuration),
	}
	if !(m.duration > 0) || !(m.torqueCont > 0) || !(m.powerCont > 0) {
		return nil
	}
	m.tau = max(min(tau, m.duration/2), dt)
	return m
}

// spread mixes two limits by their squares: none of the overload at 0, all at 1.
func spread(cont, peak, share float64) float64 {
	return math.Sqrt(cont*cont + (peak*peak-cont*cont)*share)
}

// share returns how much of the overload is left, 0…1.
func (m *motorRating) share() float64 {
	return min(1, max(0, m.duration-m.used)/m.tau)
}

// lower sets the limits of the chain for the next step.
func (m *motorRating) lower(k *chain) {
	s := m.share()
	k.torquePeak, k.powerPeak = spread(m.torqueCont, m.torquePeak, s), spread(m.powerCont, m.powerPeak, s)
}

// continuous sets the limits of the chain to those that hold for ever.
func (m *motorRating) continuous(k *chain) {
	k.torquePeak, k.powerPeak = m.torqueCont, m.powerCont
}

// book counts a step of dt seconds.
func (m *motorRating) book(torque, speed, dt float64) {
	cont, peak := m.torqueCont, m.torquePeak
	if speed > 0 {
		cont, peak = min(cont, m.powerCont/speed), min(peak, m.powerPeak/speed)
	}
	span := peak*peak - cont*cont
	if span <= 0 {
		return // no overload at this speed
	}
	m.used = min(max(0, m.used+(torque*torque-cont*cont)/span*dt), m.duration)
}
