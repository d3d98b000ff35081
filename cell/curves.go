package cell

import "packyard/unit"

// Line is a quantity over state of charge 0…1. SoC is strictly increasing.
type Line struct {
	SoC   []float64 // 0…1, strictly increasing
	Value []float64 // V for OCV, V/K for dU/dT
}

// Surface is a quantity over state of charge and temperature, bilinear between
// its points; outside its temperatures the nearest row holds unless the maker
// of the surface extended it by Arrhenius.
type Surface struct {
	SoC         []float64   // 0…1, strictly increasing
	Temperature []float64   // K, strictly increasing
	Value       [][]float64 // Value[i][j] at Temperature[i], SoC[j]; in Ω or s
}

// Curves are the electrical curves of one cell, new.
type Curves struct {
	OCV       Line
	DUDT      Line // nil slices: no sourced figure, taken as zero and marked
	R0        Surface
	R1, Tau1  Surface // nil Value: no pair
	R2, Tau2  Surface
	Generic   bool         // "generic curve": of the chemistry, not of this cell
	Source    string       // source key
	OCVChange unit.Voltage // largest change made by the isotonic fit
	// ResistanceFrom and ResistanceTo are the temperatures between which the
	// resistance was measured; beyond them it is extended by Arrhenius. Zero:
	// not stated.
	ResistanceFrom, ResistanceTo unit.Temperature
	// Fine is the finer circuit of this very cell, fitted to its own tests, or
	// nil. It stands for OCV, R0 and both pairs together and holds its own
	// capacity; the fields above stay good by themselves.
	Fine  *Network
	Facts []Fact // one per curve: open-circuit voltage, resistance, entropic coefficient
}
