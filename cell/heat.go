package cell

import "packyard/unit"

// Operation is one moment of a cell for the heat it gives off.
type Operation struct {
	Current     unit.Current    // positive on discharge
	R0          unit.Resistance //
	VoltageRC1  unit.Voltage    // across the first RC pair
	R1          unit.Resistance // zero: no pair
	VoltageRC2  unit.Voltage    // across the second RC pair
	R2          unit.Resistance // zero: no pair
	Temperature unit.Temperature
	DUDT        unit.EntropicCoefficient // dU/dT
}

// Heat returns the heat that the cell gives off, negative when it takes heat up:
//
//	q = I²·R0 + V₁²/R1 + V₂²/R2 − I·T·dU/dT   (I positive on discharge, T in K)
//
// Enthalpy of mixing and phase change are not in it. Source: bernardi-1985.
func (o Operation) Heat() unit.Power {
	i := float64(o.Current)
	q := i*i*float64(o.R0) - i*float64(o.Temperature)*float64(o.DUDT)
	if o.R1 > 0 {
		q += float64(o.VoltageRC1) * float64(o.VoltageRC1) / float64(o.R1)
	}
	if o.R2 > 0 {
		q += float64(o.VoltageRC2) * float64(o.VoltageRC2) / float64(o.R2)
	}
	return unit.Power(q)
}
