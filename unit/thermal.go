package unit

// Temperature is a temperature in K.
type Temperature float64

// Units of temperature.
const (
	Kelvin Temperature = 1
)

// Kelvins returns the value in the SI unit.
func (t Temperature) Kelvins() float64 { return float64(t) }

func (Temperature) noun() string   { return "temperature" }
func (Temperature) symbol() string { return "K" }
func (Temperature) rows() []Row    { return rowsTemperature }

// Celsius returns the temperature t °C.
func Celsius(t float64) Temperature { return Temperature(t + 273.15) }

// Celsius returns the temperature in °C.
func (t Temperature) Celsius() float64 { return float64(t) - 273.15 }

// TemperatureDelta is a temperature difference in K.
type TemperatureDelta float64

// Units of temperature difference.
const (
	KelvinDelta TemperatureDelta = 1
)

// Kelvins returns the value in the SI unit.
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

// JoulesPerKelvin returns the value in the SI unit.
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

// WattsPerKelvin returns the value in the SI unit.
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

// WattsPerSquareMetreKelvin returns the value in the SI unit.
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

// WattsPerMetreKelvin returns the value in the SI unit.
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

// JoulesPerKilogramKelvin returns the value in the SI unit.
func (s SpecificHeat) JoulesPerKilogramKelvin() float64 { return float64(s) }

func (SpecificHeat) noun() string   { return "specific heat" }
func (SpecificHeat) symbol() string { return "J/(kg·K)" }
func (SpecificHeat) rows() []Row    { return rowsSpecificHeat }

// Ratio is a ratio in 1.
type Ratio float64

// Units of ratio.
const (
	Unity   Ratio = 1
	Percent Ratio = 0.01
)

// Fraction returns the value in the SI unit.
func (r Ratio) Fraction() float64 { return float64(r) }

// Percents returns the value in percents.
func (r Ratio) Percents() float64 { return float64(r / Percent) }

func (Ratio) noun() string   { return "ratio" }
func (Ratio) symbol() string { return "1" }
func (Ratio) rows() []Row    { return rowsRatio }
