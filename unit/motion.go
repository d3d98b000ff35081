package unit

import "math"

// Pressure is a pressure in Pa.
type Pressure float64

// Units of pressure.
const (
	Pascal     Pressure = 1
	Kilopascal Pressure = 1000.0
	Bar        Pressure = 100000.0
)

// Pascals returns the value in the SI unit.
func (p Pressure) Pascals() float64 { return float64(p) }

// Kilopascals returns the value in kilopascals.
func (p Pressure) Kilopascals() float64 { return float64(p / Kilopascal) }

// Bars returns the value in bars.
func (p Pressure) Bars() float64 { return float64(p / Bar) }

func (Pressure) noun() string   { return "pressure" }
func (Pressure) symbol() string { return "Pa" }
func (Pressure) rows() []Row    { return rowsPressure }

// Density is a density in kg/m³.
type Density float64

// Units of density.
const (
	KilogramPerCubicMetre Density = 1
)

// KilogramsPerCubicMetre returns the value in the SI unit.
func (d Density) KilogramsPerCubicMetre() float64 { return float64(d) }

func (Density) noun() string   { return "density" }
func (Density) symbol() string { return "kg/m³" }
func (Density) rows() []Row    { return rowsDensity }

// MassFlow is a mass flow in kg/s.
type MassFlow float64

// Units of mass flow.
const (
	KilogramPerSecond MassFlow = 1
)

// KilogramsPerSecond returns the value in the SI unit.
func (m MassFlow) KilogramsPerSecond() float64 { return float64(m) }

func (MassFlow) noun() string   { return "mass flow" }
func (MassFlow) symbol() string { return "kg/s" }
func (MassFlow) rows() []Row    { return rowsMassFlow }

// VolumeFlow is a volume flow in m³/s.
type VolumeFlow float64

// Units of volume flow.
const (
	CubicMetrePerSecond VolumeFlow = 1
	LitrePerMinute      VolumeFlow = 1e-3 / 60
)

// CubicMetresPerSecond returns the value in the SI unit.
func (v VolumeFlow) CubicMetresPerSecond() float64 { return float64(v) }

// LitresPerMinute returns the value in litres per minute.
func (v VolumeFlow) LitresPerMinute() float64 { return float64(v / LitrePerMinute) }

func (VolumeFlow) noun() string   { return "volume flow" }
func (VolumeFlow) symbol() string { return "m³/s" }
func (VolumeFlow) rows() []Row    { return rowsVolumeFlow }

// AngularSpeed is a rotational speed in rad/s.
type AngularSpeed float64

// Units of rotational speed.
const (
	RadianPerSecond     AngularSpeed = 1
	RevolutionPerMinute AngularSpeed = math.Pi / 30
)

// RadiansPerSecond returns the value in the SI unit.
func (a AngularSpeed) RadiansPerSecond() float64 { return float64(a) }

// RevolutionsPerMinute returns the value in revolutions per minute.
func (a AngularSpeed) RevolutionsPerMinute() float64 { return float64(a / RevolutionPerMinute) }

func (AngularSpeed) noun() string   { return "rotational speed" }
func (AngularSpeed) symbol() string { return "rad/s" }
func (AngularSpeed) rows() []Row    { return rowsAngularSpeed }

// Angle is an angle in rad.
type Angle float64

// Units of angle.
const (
	Radian Angle = 1
	Degree Angle = math.Pi / 180
)

// Radians returns the value in the SI unit.
func (a Angle) Radians() float64 { return float64(a) }

// Degrees returns the value in degrees.
func (a Angle) Degrees() float64 { return float64(a / Degree) }

func (Angle) noun() string   { return "angle" }
func (Angle) symbol() string { return "rad" }
func (Angle) rows() []Row    { return rowsAngle }

// Inertia is a moment of inertia in kg·m².
type Inertia float64

// Units of moment of inertia.
const (
	KilogramSquareMetre Inertia = 1
)

// KilogramSquareMetres returns the value in the SI unit.
func (i Inertia) KilogramSquareMetres() float64 { return float64(i) }

func (Inertia) noun() string   { return "moment of inertia" }
func (Inertia) symbol() string { return "kg·m²" }
func (Inertia) rows() []Row    { return rowsInertia }

// Consumption is a consumption in J/m.
type Consumption float64

// Units of consumption.
const (
	JoulePerMetre        Consumption = 1
	WattHourPerKilometre Consumption = 3.6
)

// JoulesPerMetre returns the value in the SI unit.
func (c Consumption) JoulesPerMetre() float64 { return float64(c) }

// WattHoursPerKilometre returns the value in watt hours per kilometre.
func (c Consumption) WattHoursPerKilometre() float64 { return float64(c / WattHourPerKilometre) }

func (Consumption) noun() string   { return "consumption" }
func (Consumption) symbol() string { return "J/m" }
func (Consumption) rows() []Row    { return rowsConsumption }

// Slope is a slope in 1.
type Slope float64

// Units of slope.
const (
	Grade Slope = 1
)

// Fraction returns the value in the SI unit.
func (s Slope) Fraction() float64 { return float64(s) }

func (Slope) noun() string   { return "slope" }
func (Slope) symbol() string { return "1" }
func (Slope) rows() []Row    { return rowsSlope }

// Damping is a drag per speed in N/(m/s).
type Damping float64

// Units of drag per speed.
const (
	NewtonSecondPerMetre Damping = 1
)

// NewtonSecondsPerMetre returns the value in the SI unit.
func (d Damping) NewtonSecondsPerMetre() float64 { return float64(d) }

func (Damping) noun() string   { return "drag per speed" }
func (Damping) symbol() string { return "N/(m/s)" }
func (Damping) rows() []Row    { return rowsDamping }

// AeroDrag is a drag per speed squared in N/(m/s)².
type AeroDrag float64

// Units of drag per speed squared.
const (
	NewtonSecondSquaredPerSquareMetre AeroDrag = 1
)

// NewtonSecondsSquaredPerSquareMetre returns the value in the SI unit.
func (a AeroDrag) NewtonSecondsSquaredPerSquareMetre() float64 { return float64(a) }

func (AeroDrag) noun() string   { return "drag per speed squared" }
func (AeroDrag) symbol() string { return "N/(m/s)²" }
func (AeroDrag) rows() []Row    { return rowsAeroDrag }

// Stiffness is a stiffness in N/m.
type Stiffness float64

// Units of stiffness.
const (
	NewtonPerMetre Stiffness = 1
)

// NewtonsPerMetre returns the value in the SI unit.
func (s Stiffness) NewtonsPerMetre() float64 { return float64(s) }

func (Stiffness) noun() string   { return "stiffness" }
func (Stiffness) symbol() string { return "N/m" }
func (Stiffness) rows() []Row    { return rowsStiffness }
