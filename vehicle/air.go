package vehicle

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// ErrAir says that altitude, temperature or headwind is outside the range of the model.
var ErrAir = errors.New("air outside the range of the model")

// Standard atmosphere. Source: iso-2533 (troposphere).
const (
	seaTemperature = 288.15    // K
	seaPressure    = 101325.0  // Pa
	lapse          = 0.0065    // K/m
	pressurePower  = 5.25588   // 1
	gasConstant    = 287.05287 // J/(kg·K), dry air
	earthRadius    = 6356766.0 // m
	gravity        = 9.80665   // m/s², standard gravity, source: cgpm-1901
	altitudeLow    = -500.0    // m, no road lies lower
	altitudeHigh   = 11000.0   // m, end of the troposphere
	temperatureLow = 173.15    // K, bounds of what is taken for a road day
	temperatureTop = 373.15    // K
	windMost       = 60.0      // m/s
)

// geopotential returns H = R·z/(R + z) in m for the geometric altitude in m,
// held within the troposphere.
func geopotential(altitude float64) float64 {
	z := math.Min(math.Max(altitude, altitudeLow), altitudeHigh)
	return earthRadius * z / (earthRadius + z)
}

// Pressure returns p = 101325·(T_isa/288.15)^5.25588 with
// T_isa = 288.15 − 0.0065·H and H the geopotential altitude. Altitudes are held
// within −500 m and 11 000 m; Validate reports those outside.
// Source: iso-2533.
func (a Air) Pressure() unit.Pressure {
	h := geopotential(a.Altitude.Metres())
	return unit.Pressure(seaPressure * math.Pow((seaTemperature-lapse*h)/seaTemperature, pressurePower))
}

// Density returns ρ = p/(R·T) of dry air: the pressure from the altitude, the
// temperature as given. A temperature of zero stands for the temperature of the
// standard atmosphere at the altitude, so that Air{} is 1.225 kg/m³.
// Humidity is left out: saturated air at 30 °C is 1.6 % lighter.
// Source: iso-2533; gas law.
func (a Air) Density() unit.Density {
	t := a.Temperature.Kelvins()
	if t <= 0 {
		t = seaTemperature - lapse*geopotential(a.Altitude.Metres())
	}
	return unit.Density(float64(a.Pressure()) / (gasConstant * t))
}

// Validate returns ErrAir if altitude (−500 to 11 000 m), temperature (−100 to
// 100 °C, or zero kelvin for the standard atmosphere) or headwind (60 m/s
// either way) is outside the range.
func (a Air) Validate() error {
	z, t, w := a.Altitude.Metres(), a.Temperature.Kelvins(), a.Headwind.MetresPerSecond()
	switch {
	case !(z >= altitudeLow && z <= altitudeHigh):
		return fmt.Errorf("%w: altitude %v m, from %v m to %v m is accepted", ErrAir, z, altitudeLow, altitudeHigh)
	case t != 0 && !(t >= temperatureLow && t <= temperatureTop):
		return fmt.Errorf("%w: temperature %v K, from %v K to %v K is accepted", ErrAir, t, temperatureLow, temperatureTop)
	case !(math.Abs(w) <= windMost):
		return fmt.Errorf("%w: headwind %v m/s, up to %v m/s either way is accepted", ErrAir, w, windMost)
	}
	return nil
}
