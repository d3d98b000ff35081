// Package unit holds the physical quantities of packyard: one float64 type per
// quantity, SI inside, in the manner of time.Duration. Build a value with a
// constant (39 * unit.Kilogram), read it with a method (m.Kilograms()), parse
// and print it with Parse and Format.
//
// There is no arithmetic across types: a function strips the types on entry,
// computes in SI and gives the result a type again. Adding two masses is plain
// Go; multiplying a mass by an acceleration is done on float64.
package unit

import "math"

// Mass is a mass in kg.
type Mass float64

// Units of mass.
const (
	Kilogram Mass = 1
	Gram     Mass = 0.001
)

// Kilograms returns the value in SI units.
func (m Mass) Kilograms() float64 { return float64(m) }

// Grams returns the value in grams.
func (m Mass) Grams() float64 { return float64(m / Gram) }

func (Mass) noun() string   { return "mass" }
func (Mass) symbol() string { return "kg" }
func (Mass) rows() []Row    { return rowsMass }

// Length is a length in m.
type Length float64

// Units of length.
const (
	Metre      Length = 1
	Millimetre Length = 0.001
)

// Metres returns the value in SI units.
func (l Length) Metres() float64 { return float64(l) }

// Millimetres returns the value in millimetres.
func (l Length) Millimetres() float64 { return float64(l / Millimetre) }

func (Length) noun() string   { return "length" }
func (Length) symbol() string { return "m" }
func (Length) rows() []Row    { return rowsLength }

// Area is an area in m².
type Area float64

// Units of area.
const (
	SquareMetre      Area = 1
	SquareMillimetre Area = 1e-06
)

// SquareMetres returns the value in SI units.
func (a Area) SquareMetres() float64 { return float64(a) }

// SquareMillimetres returns the value in squareMillimetres.
func (a Area) SquareMillimetres() float64 { return float64(a / SquareMillimetre) }

func (Area) noun() string   { return "area" }
func (Area) symbol() string { return "m²" }
func (Area) rows() []Row    { return rowsArea }

// Volume is a volume in m³.
type Volume float64

// Units of volume.
const (
	CubicMetre Volume = 1
	Litre      Volume = 0.001
)

// CubicMetres returns the value in SI units.
func (v Volume) CubicMetres() float64 { return float64(v) }

// Litres returns the value in litres.
func (v Volume) Litres() float64 { return float64(v / Litre) }

func (Volume) noun() string   { return "volume" }
func (Volume) symbol() string { return "m³" }
func (Volume) rows() []Row    { return rowsVolume }

// Time is a time in s.
type Time float64

// Units of time.
const (
	Second Time = 1
	Minute Time = 60
	Hour   Time = 3600
)

// Seconds returns the value in SI units.
func (t Time) Seconds() float64 { return float64(t) }

// Minutes returns the value in minutes.
func (t Time) Minutes() float64 { return float64(t / Minute) }

// Hours returns the value in hours.
func (t Time) Hours() float64 { return float64(t / Hour) }

func (Time) noun() string   { return "time" }
func (Time) symbol() string { return "s" }
func (Time) rows() []Row    { return rowsTime }

// Speed is a speed in m/s.
type Speed float64

// Units of speed.
const (
	MetrePerSecond   Speed = 1
	KilometrePerHour Speed = 1 / 3.6
)

// MetresPerSecond returns the value in SI units.
func (s Speed) MetresPerSecond() float64 { return float64(s) }

// KilometresPerHour returns the value in kilometresPerHour.
func (s Speed) KilometresPerHour() float64 { return float64(s / KilometrePerHour) }

func (Speed) noun() string   { return "speed" }
func (Speed) symbol() string { return "m/s" }
func (Speed) rows() []Row    { return rowsSpeed }

// Acceleration is an acceleration in m/s².
type Acceleration float64

// Units of acceleration.
const (
	MetrePerSecondSquared Acceleration = 1
)

// MetresPerSecondSquared returns the value in SI units.
func (a Acceleration) MetresPerSecondSquared() float64 { return float64(a) }

func (Acceleration) noun() string   { return "acceleration" }
func (Acceleration) symbol() string { return "m/s²" }
func (Acceleration) rows() []Row    { return rowsAcceleration }

// Force is a force in N.
type Force float64

// Units of force.
const (
	Newton     Force = 1
	Kilonewton Force = 1000.0
)

// Newtons returns the value in SI units.
func (f Force) Newtons() float64 { return float64(f) }

// Kilonewtons returns the value in kilonewtons.
func (f Force) Kilonewtons() float64 { return float64(f / Kilonewton) }

func (Force) noun() string   { return "force" }
func (Force) symbol() string { return "N" }
func (Force) rows() []Row    { return rowsForce }

// Torque is a torque in N·m.
type Torque float64

// Units of torque.
const (
	NewtonMetre Torque = 1
)

// NewtonMetres returns the value in SI units.
func (t Torque) NewtonMetres() float64 { return float64(t) }

func (Torque) noun() string   { return "torque" }
func (Torque) symbol() string { return "N·m" }
func (Torque) rows() []Row    { return rowsTorque }

// Energy is an energy in J.
type Energy float64

// Units of energy.
const (
	Joule        Energy = 1
	WattHour     Energy = 3600
	KilowattHour Energy = 3600000.0
)

// Joules returns the value in SI units.
func (e Energy) Joules() float64 { return float64(e) }

// WattHours returns the value in wattHours.
func (e Energy) WattHours() float64 { return float64(e / WattHour) }

// KilowattHours returns the value in kilowattHours.
func (e Energy) KilowattHours() float64 { return float64(e / KilowattHour) }

func (Energy) noun() string   { return "energy" }
func (Energy) symbol() string { return "J" }
func (Energy) rows() []Row    { return rowsEnergy }

// Power is a power in W.
type Power float64

// Units of power.
const (
	Watt     Power = 1
	Kilowatt Power = 1000.0
)

// Watts returns the value in SI units.
func (p Power) Watts() float64 { return float64(p) }

// Kilowatts returns the value in kilowatts.
func (p Power) Kilowatts() float64 { return float64(p / Kilowatt) }

func (Power) noun() string   { return "power" }
func (Power) symbol() string { return "W" }
func (Power) rows() []Row    { return rowsPower }

// Voltage is a voltage in V.
type Voltage float64

// Units of voltage.
const (
	Volt      Voltage = 1
	Millivolt Voltage = 0.001
)

// Volts returns the value in SI units.
func (v Voltage) Volts() float64 { return float64(v) }

// Millivolts returns the value in millivolts.
func (v Voltage) Millivolts() float64 { return float64(v / Millivolt) }

func (Voltage) noun() string   { return "voltage" }
func (Voltage) symbol() string { return "V" }
func (Voltage) rows() []Row    { return rowsVoltage }

// Current is a current in A.
type Current float64

// Units of current.
const (
	Ampere      Current = 1
	Milliampere Current = 0.001
)

// Amperes returns the value in SI units.
func (c Current) Amperes() float64 { return float64(c) }

// Milliamperes returns the value in milliamperes.
func (c Current) Milliamperes() float64 { return float64(c / Milliampere) }

func (Current) noun() string   { return "current" }
func (Current) symbol() string { return "A" }
func (Current) rows() []Row    { return rowsCurrent }

// Charge is a charge in C.
type Charge float64

// Units of charge.
const (
	Coulomb    Charge = 1
	AmpereHour Charge = 3600
)

// Coulombs returns the value in SI units.
func (c Charge) Coulombs() float64 { return float64(c) }

// AmpereHours returns the value in ampereHours.
func (c Charge) AmpereHours() float64 { return float64(c / AmpereHour) }

func (Charge) noun() string   { return "charge" }
func (Charge) symbol() string { return "C" }
func (Charge) rows() []Row    { return rowsCharge }

// Resistance is a resistance in Ω.
type Resistance float64

// Units of resistance.
const (
	Ohm      Resistance = 1
	Milliohm Resistance = 0.001
)

// Ohms returns the value in SI units.
func (r Resistance) Ohms() float64 { return float64(r) }

// Milliohms returns the value in milliohms.
func (r Resistance) Milliohms() float64 { return float64(r / Milliohm) }

func (Resistance) noun() string   { return "resistance" }
func (Resistance) symbol() string { return "Ω" }
func (Resistance) rows() []Row    { return rowsResistance }

// Capacitance is a capacitance in F.
type Capacitance float64

// Units of capacitance.
const (
	Farad      Capacitance = 1
	Microfarad Capacitance = 1e-06
)

// Farads returns the value in SI units.
func (c Capacitance) Farads() float64 { return float64(c) }

// Microfarads returns the value in microfarads.
func (c Capacitance) Microfarads() float64 { return float64(c / Microfarad) }

func (Capacitance) noun() string   { return "capacitance" }
func (Capacitance) symbol() string { return "F" }
func (Capacitance) rows() []Row    { return rowsCapacitance }

// Temperature is a temperature in K.
type Temperature float64

// Units of temperature.
const (
	Kelvin Temperature = 1
)

// Kelvins returns the value in SI units.
func (t Temperature) Kelvins() float64 { return float64(t) }

func (Temperature) noun() string   { return "temperature" }
func (Temperature) symbol() string { return "K" }
func (Temperature) rows() []Row    { return rowsTemperature }

// TemperatureDelta is a temperature difference in K.
type TemperatureDelta float64

// Units of temperature difference.
const (
	KelvinDelta TemperatureDelta = 1
)

// Kelvins returns the value in SI units.
func (t TemperatureDelta) Kelvins() float64 { return float64(t) }

func (TemperatureDelta) noun() string   { return "temperature difference" }
func (TemperatureDelta) symbol() string { return "K" }
func (TemperatureDelta) rows() []Row    { return rowsTemperatureDelta }

// HeatCapacity is a heat capacity in J/K.
type HeatCapacity float64

// Units of heat capacity.
const (
	JoulePerKelvin HeatCapacity = 1
)

// JoulesPerKelvin returns the value in SI units.
func (h HeatCapacity) JoulesPerKelvin() float64 { return float64(h) }

func (HeatCapacity) noun() string   { return "heat capacity" }
func (HeatCapacity) symbol() string { return "J/K" }
func (HeatCapacity) rows() []Row    { return rowsHeatCapacity }

// ThermalConductance is a thermal conductance in W/K.
type ThermalConductance float64

// Units of thermal conductance.
const (
	WattPerKelvin ThermalConductance = 1
)

// WattsPerKelvin returns the value in SI units.
func (t ThermalConductance) WattsPerKelvin() float64 { return float64(t) }

func (ThermalConductance) noun() string   { return "thermal conductance" }
func (ThermalConductance) symbol() string { return "W/K" }
func (ThermalConductance) rows() []Row    { return rowsThermalConductance }

// HeatTransferCoefficient is a heat transfer coefficient in W/(m²·K).
type HeatTransferCoefficient float64

// Units of heat transfer coefficient.
const (
	WattPerSquareMetreKelvin HeatTransferCoefficient = 1
)

// WattsPerSquareMetreKelvin returns the value in SI units.
func (h HeatTransferCoefficient) WattsPerSquareMetreKelvin() float64 { return float64(h) }

func (HeatTransferCoefficient) noun() string   { return "heat transfer coefficient" }
func (HeatTransferCoefficient) symbol() string { return "W/(m²·K)" }
func (HeatTransferCoefficient) rows() []Row    { return rowsHeatTransferCoefficient }

// Conductivity is a thermal conductivity in W/(m·K).
type Conductivity float64

// Units of thermal conductivity.
const (
	WattPerMetreKelvin Conductivity = 1
)

// WattsPerMetreKelvin returns the value in SI units.
func (c Conductivity) WattsPerMetreKelvin() float64 { return float64(c) }

func (Conductivity) noun() string   { return "thermal conductivity" }
func (Conductivity) symbol() string { return "W/(m·K)" }
func (Conductivity) rows() []Row    { return rowsConductivity }

// SpecificHeat is a specific heat in J/(kg·K).
type SpecificHeat float64

// Units of specific heat.
const (
	JoulePerKilogramKelvin SpecificHeat = 1
)

// JoulesPerKilogramKelvin returns the value in SI units.
func (s SpecificHeat) JoulesPerKilogramKelvin() float64 { return float64(s) }

func (SpecificHeat) noun() string   { return "specific heat" }
func (SpecificHeat) symbol() string { return "J/(kg·K)" }
func (SpecificHeat) rows() []Row    { return rowsSpecificHeat }

// Density is a density in kg/m³.
type Density float64

// Units of density.
const (
	KilogramPerCubicMetre Density = 1
)

// KilogramsPerCubicMetre returns the value in SI units.
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

// KilogramsPerSecond returns the value in SI units.
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

// CubicMetresPerSecond returns the value in SI units.
func (v VolumeFlow) CubicMetresPerSecond() float64 { return float64(v) }

// LitresPerMinute returns the value in litresPerMinute.
func (v VolumeFlow) LitresPerMinute() float64 { return float64(v / LitrePerMinute) }

func (VolumeFlow) noun() string   { return "volume flow" }
func (VolumeFlow) symbol() string { return "m³/s" }
func (VolumeFlow) rows() []Row    { return rowsVolumeFlow }

// Pressure is a pressure in Pa.
type Pressure float64

// Units of pressure.
const (
	Pascal     Pressure = 1
	Kilopascal Pressure = 1000.0
	Bar        Pressure = 100000.0
)

// Pascals returns the value in SI units.
func (p Pressure) Pascals() float64 { return float64(p) }

// Kilopascals returns the value in kilopascals.
func (p Pressure) Kilopascals() float64 { return float64(p / Kilopascal) }

// Bars returns the value in bars.
func (p Pressure) Bars() float64 { return float64(p / Bar) }

func (Pressure) noun() string   { return "pressure" }
func (Pressure) symbol() string { return "Pa" }
func (Pressure) rows() []Row    { return rowsPressure }

// AngularSpeed is a rotational speed in rad/s.
type AngularSpeed float64

// Units of rotational speed.
const (
	RadianPerSecond     AngularSpeed = 1
	RevolutionPerMinute AngularSpeed = math.Pi / 30
)

// RadiansPerSecond returns the value in SI units.
func (a AngularSpeed) RadiansPerSecond() float64 { return float64(a) }

// RevolutionsPerMinute returns the value in revolutionsPerMinute.
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

// Radians returns the value in SI units.
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

// KilogramSquareMetres returns the value in SI units.
func (i Inertia) KilogramSquareMetres() float64 { return float64(i) }

func (Inertia) noun() string   { return "moment of inertia" }
func (Inertia) symbol() string { return "kg·m²" }
func (Inertia) rows() []Row    { return rowsInertia }

// Inductance is an inductance in H.
type Inductance float64

// Units of inductance.
const (
	Henry Inductance = 1
)

// Henrys returns the value in SI units.
func (i Inductance) Henrys() float64 { return float64(i) }

func (Inductance) noun() string   { return "inductance" }
func (Inductance) symbol() string { return "H" }
func (Inductance) rows() []Row    { return rowsInductance }

// EntropicCoefficient is an entropic coefficient in V/K.
type EntropicCoefficient float64

// Units of entropic coefficient.
const (
	VoltPerKelvin EntropicCoefficient = 1
)

// VoltsPerKelvin returns the value in SI units.
func (e EntropicCoefficient) VoltsPerKelvin() float64 { return float64(e) }

func (EntropicCoefficient) noun() string   { return "entropic coefficient" }
func (EntropicCoefficient) symbol() string { return "V/K" }
func (EntropicCoefficient) rows() []Row    { return rowsEntropicCoefficient }

// SquareAmpereSecond is a let-through I²t in A²s.
type SquareAmpereSecond float64

// Units of let-through I²t.
const (
	AmpereSquaredSecond SquareAmpereSecond = 1
)

// AmpereSquaredSeconds returns the value in SI units.
func (s SquareAmpereSecond) AmpereSquaredSeconds() float64 { return float64(s) }

func (SquareAmpereSecond) noun() string   { return "let-through I²t" }
func (SquareAmpereSecond) symbol() string { return "A²s" }
func (SquareAmpereSecond) rows() []Row    { return rowsSquareAmpereSecond }

// Ratio is a ratio in 1.
type Ratio float64

// Units of ratio.
const (
	Unity   Ratio = 1
	Percent Ratio = 0.01
)

// Fraction returns the value in SI units.
func (r Ratio) Fraction() float64 { return float64(r) }

// Percents returns the value in percents.
func (r Ratio) Percents() float64 { return float64(r / Percent) }

func (Ratio) noun() string   { return "ratio" }
func (Ratio) symbol() string { return "1" }
func (Ratio) rows() []Row    { return rowsRatio }

// CRate is a C-rate in C.
type CRate float64

// Units of C-rate.
const (
	C CRate = 1
)

// PerHour returns the value in SI units.
func (c CRate) PerHour() float64 { return float64(c) }

func (CRate) noun() string   { return "C-rate" }
func (CRate) symbol() string { return "C" }
func (CRate) rows() []Row    { return rowsCRate }

// SpecificEnergy is a specific energy in J/kg.
type SpecificEnergy float64

// Units of specific energy.
const (
	JoulePerKilogram    SpecificEnergy = 1
	WattHourPerKilogram SpecificEnergy = 3600
)

// JoulesPerKilogram returns the value in SI units.
func (s SpecificEnergy) JoulesPerKilogram() float64 { return float64(s) }

// WattHoursPerKilogram returns the value in wattHoursPerKilogram.
func (s SpecificEnergy) WattHoursPerKilogram() float64 { return float64(s / WattHourPerKilogram) }

func (SpecificEnergy) noun() string   { return "specific energy" }
func (SpecificEnergy) symbol() string { return "J/kg" }
func (SpecificEnergy) rows() []Row    { return rowsSpecificEnergy }

// Consumption is a consumption in J/m.
type Consumption float64

// Units of consumption.
const (
	JoulePerMetre        Consumption = 1
	WattHourPerKilometre Consumption = 3.6
)

// JoulesPerMetre returns the value in SI units.
func (c Consumption) JoulesPerMetre() float64 { return float64(c) }

// WattHoursPerKilometre returns the value in wattHoursPerKilometre.
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

// Fraction returns the value in SI units.
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

// NewtonSecondsPerMetre returns the value in SI units.
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

// NewtonSecondsSquaredPerSquareMetre returns the value in SI units.
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

// NewtonsPerMetre returns the value in SI units.
func (s Stiffness) NewtonsPerMetre() float64 { return float64(s) }

func (Stiffness) noun() string   { return "stiffness" }
func (Stiffness) symbol() string { return "N/m" }
func (Stiffness) rows() []Row    { return rowsStiffness }

// Celsius returns the temperature t °C.
func Celsius(t float64) Temperature { return Temperature(t + 273.15) }

// Celsius returns the temperature in °C.
func (t Temperature) Celsius() float64 { return float64(t) - 273.15 }
