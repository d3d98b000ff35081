package design

import (
	"packyard/check"
	"packyard/heat"
	"packyard/unit"
)

// Cooling is how the pack is kept at temperature. What the builder did not
// state is filled in by the reader and stands in Assumed, apart from the
// assumptions of the brief: they count only where heat is computed.
type Cooling struct {
	Plates     bool       // liquid plates under the modules; else passive
	Pad        heat.Layer // between cells and cold plate
	Insulation heat.Layer // of the battery boxes; zero: bare
	AirShare   unit.Ratio // speed of the air at the boxes over that of the vehicle
	Pads       unit.Power // heating pads on the modules of the whole pack
	Channel    heat.Duct  // of a plate; its length is that of the module
	Channels   int        // side by side in a plate
	Minor      float64    // sum of loss coefficients of a plate, dimensionless
	Fluid      *heat.Fluid
	Flow       unit.VolumeFlow // held, without a pump curve
	PumpPower  unit.Power      // of the pump that holds it
	Pump       *heat.Pump
	Hose       heat.Duct
	Volume     unit.Volume // coolant outside the plates
	Path       [][]int     // stages in the order of the flow, of each its bays in parallel, as indices into Brief.Bays; empty: one after the other
	Radiator   *heat.Radiator
	Chiller    *heat.Chiller
	Heater     *heat.Heater
	Control    heat.Control
	Assumed    check.Assumptions
}
