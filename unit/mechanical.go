package unit

// Mass is a mass in kg.
type Mass float64

// Units of mass.
const (
	Kilogram Mass = 1
	Gram     Mass = 0.001
)

// Kilograms returns the value in the SI unit.
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

// Metres returns the value in the SI unit.
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

// SquareMetres returns the value in the SI unit.
func (a Area) SquareMetres() float64 { return float64(a) }

// SquareMillimetres returns the value in square millimetres.
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

// CubicMetres returns the value in the SI unit.
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

// Seconds returns the value in the SI unit.
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

// MetresPerSecond returns the value in the SI unit.
func (s Speed) MetresPerSecond() float64 { return float64(s) }

// KilometresPerHour returns the value in kilometres per hour.
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

// MetresPerSecondSquared returns the value in the SI unit.
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

// Newtons returns the value in the SI unit.
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

// NewtonMetres returns the value in the SI unit.
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

// Joules returns the value in the SI unit.
func (e Energy) Joules() float64 { return float64(e) }

// WattHours returns the value in watt hours.
func (e Energy) WattHours() float64 { return float64(e / WattHour) }

// KilowattHours returns the value in kilowatt hours.
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

// Watts returns the value in the SI unit.
func (p Power) Watts() float64 { return float64(p) }

// Kilowatts returns the value in kilowatts.
func (p Power) Kilowatts() float64 { return float64(p / Kilowatt) }

func (Power) noun() string   { return "power" }
func (Power) symbol() string { return "W" }
func (Power) rows() []Row    { return rowsPower }
