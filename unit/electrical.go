package unit

// Voltage is a voltage in V.
type Voltage float64

// Units of voltage.
const (
	Volt      Voltage = 1
	Millivolt Voltage = 0.001
)

// Volts returns the value in the SI unit.
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

// Amperes returns the value in the SI unit.
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

// Coulombs returns the value in the SI unit.
func (c Charge) Coulombs() float64 { return float64(c) }

// AmpereHours returns the value in ampere hours.
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

// Ohms returns the value in the SI unit.
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

// Farads returns the value in the SI unit.
func (c Capacitance) Farads() float64 { return float64(c) }

// Microfarads returns the value in microfarads.
func (c Capacitance) Microfarads() float64 { return float64(c / Microfarad) }

func (Capacitance) noun() string   { return "capacitance" }
func (Capacitance) symbol() string { return "F" }
func (Capacitance) rows() []Row    { return rowsCapacitance }

// Inductance is an inductance in H.
type Inductance float64

// Units of inductance.
const (
	Henry Inductance = 1
)

// Henrys returns the value in the SI unit.
func (i Inductance) Henrys() float64 { return float64(i) }

func (Inductance) noun() string   { return "inductance" }
func (Inductance) symbol() string { return "H" }
func (Inductance) rows() []Row    { return rowsInductance }

// SquareAmpereSecond is a let-through I²t in A²s.
type SquareAmpereSecond float64

// Units of let-through I²t.
const (
	AmpereSquaredSecond SquareAmpereSecond = 1
)

// AmpereSquaredSeconds returns the value in the SI unit.
func (s SquareAmpereSecond) AmpereSquaredSeconds() float64 { return float64(s) }

func (SquareAmpereSecond) noun() string   { return "let-through I²t" }
func (SquareAmpereSecond) symbol() string { return "A²s" }
func (SquareAmpereSecond) rows() []Row    { return rowsSquareAmpereSecond }

// CRate is a C-rate in C.
type CRate float64

// Units of C-rate.
const (
	C CRate = 1
)

// PerHour returns the value in the SI unit.
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

// JoulesPerKilogram returns the value in the SI unit.
func (s SpecificEnergy) JoulesPerKilogram() float64 { return float64(s) }

// WattHoursPerKilogram returns the value in watt hours per kilogram.
func (s SpecificEnergy) WattHoursPerKilogram() float64 { return float64(s / WattHourPerKilogram) }

func (SpecificEnergy) noun() string   { return "specific energy" }
func (SpecificEnergy) symbol() string { return "J/kg" }
func (SpecificEnergy) rows() []Row    { return rowsSpecificEnergy }

// EntropicCoefficient is an entropic coefficient in V/K.
type EntropicCoefficient float64

// Units of entropic coefficient.
const (
	VoltPerKelvin EntropicCoefficient = 1
)

// VoltsPerKelvin returns the value in the SI unit.
func (e EntropicCoefficient) VoltsPerKelvin() float64 { return float64(e) }

func (EntropicCoefficient) noun() string   { return "entropic coefficient" }
func (EntropicCoefficient) symbol() string { return "V/K" }
func (EntropicCoefficient) rows() []Row    { return rowsEntropicCoefficient }
