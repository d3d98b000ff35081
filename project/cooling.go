package project

import (
	"fmt"
	"slices"

	"packyard/check"
	"packyard/design"
	"packyard/heat"
	"packyard/unit"
)

// Stand-ins for cooling. Those without a source are assumptions that the
// builder should replace.
const (
	padThickness     = 1 * unit.Millimetre             // handbook WE-44
	padConductivity  = 3 * unit.WattPerMetreKelvin     // handbook WE-44
	foamConductivity = 0.035 * unit.WattPerMetreKelvin // foam board
	channelWidth     = 20 * unit.Millimetre            // handbook WE-42
	channelHeight    = 4 * unit.Millimetre             // handbook WE-42
	plateChannels    = 3
	plateLoss        = unit.Ratio(3) // two bends and the ends
	flowAssumed      = 8 * unit.LitrePerMinute
	pumpPower        = 30 * unit.Watt
	pumpEfficiency   = unit.Ratio(0.3)
	hoseDiameter     = 19 * unit.Millimetre // car heater hose
	hoseLength       = 6 * unit.Metre
	coolantVolume    = 4 * unit.Litre
	radiatorUA       = 250 * unit.WattPerKelvin
	radiatorAir      = 0.5 * unit.KilogramPerSecond
	radiatorFan      = 120 * unit.Watt
	chillerCOP       = unit.Ratio(1.8) // cooling at 45 °C outside
	coolAbove        = 30.0            // °C
	chillAbove       = 35.0            // °C
	heatBelow        = 5.0             // °C
	coolantLeast     = 10.0            // °C
	coolantMost      = 50.0            // °C
	controlBand      = unit.TemperatureDelta(2)
)

// cooling takes the section; without one the pack is passive, in bare boxes
// and still air.
func (r *reader) cooling() {
	f := r.file.Cooling
	if f == nil {
		f = &CoolingFile{}
	}
	c := &r.brief.Cooling
	list := &c.Assumed
	if !f.Kind.IsGiven() {
		list.Add(check.Assumption{Subject: "cooling.kind: passive", Value: check.Number(1, "yes"), Source: "assumption"})
	}
	c.Plates = f.Kind.Value == "plates"
	c.AirShare = f.AirShare.Or(list, "cooling.air_share", 0, "assumption")
	c.Pads = f.Pads.SI
	if x := f.Insulation; x != nil {
		c.Insulation = heat.Layer{Thickness: x.Thickness.SI, Conductivity: x.Conductivity.Or(list, "cooling.insulation.conductivity", foamConductivity, "assumption")}
	}
	c.Control.Band = controlBand
	if f.Heater != nil || f.Pads.IsGiven() {
		c.Control.HeatBelow = f.HeatBelow.Or(list, "cooling.heat_below", unit.Celsius(heatBelow), "assumption")
	}
	if c.Plates {
		r.plates(f, c)
	} else {
		r.onlyWithPlates(f)
	}
	if f.Heater == nil && !f.Pads.IsGiven() && f.HeatBelow.IsGiven() {
		r.probs.Addf(f.HeatBelow.Pos, "cooling.heat_below", "add heater or heating_pads, or take it out", "nothing can heat the pack")
	}
	if f.Chiller == nil && f.ChillAbove.IsGiven() && c.Plates {
		r.probs.Addf(f.ChillAbove.Pos, "cooling.chill_above", "add chiller, or take it out", "there is no chiller")
	}
	if h, k := c.Control.HeatBelow, c.Control.CoolAbove; h > 0 && k > 0 && h+unit.Temperature(controlBand) > k {
		pos, at := f.HeatBelow.Pos, "cooling.heat_below"
		if pos.IsZero() {
			pos, at = f.CoolAbove.Pos, "cooling.cool_above"
		}
		r.probs.Addf(pos, at, "at least 2 K between heat_below and cool_above are accepted", "heating up to %.3g °C and cooling from %.3g °C would run against each other", h.Celsius()+float64(controlBand), k.Celsius())
	}
}

// onlyWithPlates records what makes no sense without coolant.
func (r *reader) onlyWithPlates(f *CoolingFile) {
	for _, k := range []struct {
		name  string
		pos   check.Pos
		there bool
	}{
		{"flow", f.Flow.Pos, f.Flow.IsGiven()}, {"cool_above", f.CoolAbove.Pos, f.CoolAbove.IsGiven()},
		{"chill_above", f.ChillAbove.Pos, f.ChillAbove.IsGiven()}, {"volume", f.Volume.Pos, f.Volume.IsGiven()},
		{"coolant", f.Coolant.Pos, f.Coolant.IsGiven()}, {"pump", f.Pos, f.Pump != nil}, {"path", f.Pos, len(f.Path) > 0},
		{"radiator", f.Pos, f.Radiator != nil}, {"chiller", f.Pos, f.Chiller != nil}, {"heater", f.Pos, f.Heater != nil},
	} {
		if k.there && f.Kind.IsGiven() && r.read(f.Kind.Pos) {
			r.probs.Addf(k.pos, "cooling."+k.name, "write kind: plates, or take it out", "stands in a passive pack, which has no coolant")
		}
	}
}

// plates takes what belongs to coolant.
func (r *reader) plates(f *CoolingFile, c *design.Cooling) {
	list := &c.Assumed
	c.Pad = heat.Layer{
		Thickness:    f.Pad.Thickness.Or(list, "cooling.pad.thickness", padThickness, "assumption"),
		Conductivity: f.Pad.Conductivity.Or(list, "cooling.pad.conductivity", padConductivity, "assumption"),
	}
	c.Channel = heat.Duct{
		Width:  f.Plate.Width.Or(list, "cooling.plate.channel_width", channelWidth, "assumption"),
		Height: f.Plate.Height.Or(list, "cooling.plate.channel_height", channelHeight, "assumption"),
	}
	c.Channels = f.Plate.Channels.Value
	if !f.Plate.Channels.IsGiven() {
		c.Channels = plateChannels
		list.Add(check.Assumption{Subject: "cooling.plate.channels", Value: check.Number(plateChannels, "channels"), Source: "assumption"})
	}
	c.Minor = float64(f.Plate.Minor.Or(list, "cooling.plate.loss_coefficient", plateLoss, "assumption"))
	name := f.Coolant.Value
	if !f.Coolant.IsGiven() {
		name = "glycol-50"
	}
	c.Fluid, _ = heat.FluidOf(name) // the sheet has held the name against the list
	c.Hose = heat.Duct{
		Diameter: f.Hose.Diameter.Or(list, "cooling.hose.diameter", hoseDiameter, "assumption"),
		Length:   f.Hose.Length.Or(list, "cooling.hose.length", hoseLength, "assumption"),
	}
	c.Volume = f.Volume.Or(list, "cooling.volume", coolantVolume, "assumption")
	c.Control.CoolAbove = f.CoolAbove.Or(list, "cooling.cool_above", unit.Celsius(coolAbove), "assumption")
	c.Control.PumpAlways = f.PumpAlways.Value
	r.pump(f, c)
	r.exchangers(f, c)
	r.coolantPath(f, c)
}

// pump takes the flow or the curve.
func (r *reader) pump(f *CoolingFile, c *design.Cooling) {
	list := &c.Assumed
	if f.Pump == nil {
		c.Flow = f.Flow.Or(list, "cooling.flow", flowAssumed, "assumption")
		c.PumpPower = f.PumpPower.Or(list, "cooling.pump_power", pumpPower, "assumption")
		return
	}
	if f.Flow.IsGiven() {
		r.probs.Addf(f.Flow.Pos, "cooling.flow", "take one of the two out", "stands beside pump, whose curve decides the flow")
	}
	p := &heat.Pump{Efficiency: f.Pump.Efficiency.Or(list, "cooling.pump.efficiency", pumpEfficiency, "assumption")}
	for i := range f.Pump.Curve {
		x := &f.Pump.Curve[i]
		if !ok(r, x.Flow) || !ok(r, x.Pressure) {
			return
		}
		p.Curve = append(p.Curve, heat.PumpPoint{Flow: x.Flow.SI, Pressure: x.Pressure.SI})
	}
	if err := p.Validate(); err != nil {
		r.probs.Addf(f.Pump.Pos, "cooling.pump", "at least two points are accepted, the flow rising and the pressure not", "%v", err)
		return
	}
	c.Pump = p
}

// exchangers takes radiator, chiller and heater.
func (r *reader) exchangers(f *CoolingFile, c *design.Cooling) {
	list := &c.Assumed
	if x := f.Radiator; x != nil {
		c.Radiator = &heat.Radiator{
			Exchanger: heat.Exchanger{
				Conductance: x.Conductance.Or(list, "cooling.radiator.conductance", radiatorUA, "assumption"),
				AirRated:    x.Air.Or(list, "cooling.radiator.air", radiatorAir, "assumption"),
			},
			Fan: x.Fan.Or(list, "cooling.radiator.fan", radiatorFan, "assumption"),
		}
	}
	if x := f.Chiller; x != nil {
		c.Chiller = &heat.Chiller{
			Power: x.Power.SI, COP: x.COP.Or(list, "cooling.chiller.performance", chillerCOP, "heat-pump-papers"),
			CoolantMin: x.Least.Or(list, "cooling.chiller.coolant_min", unit.Celsius(coolantLeast), "assumption"),
		}
		c.Control.ChillAbove = f.ChillAbove.Or(list, "cooling.chill_above", unit.Celsius(chillAbove), "assumption")
	}
	if x := f.Heater; x != nil {
		c.Heater = &heat.Heater{Power: x.Power.SI, CoolantMax: x.Most.Or(list, "cooling.heater.coolant_max", unit.Celsius(coolantMost), "assumption")}
	}
}

// coolantPath finds the bays of the path, each passed once.
func (r *reader) coolantPath(f *CoolingFile, c *design.Cooling) {
	seen := map[int]bool{}
	for i := range f.Path {
		var stage []int
		for k, name := range f.Path[i].Bays {
			at := fmt.Sprintf("cooling.path[%d].bays[%d]", i, k)
			if !r.read(name.Pos) {
				continue
			}
			n := slices.IndexFunc(r.file.Bays, func(b BayFile) bool { return b.Name.Value == name.Value })
			switch {
			case n < 0:
				r.probs.Addf(name.Pos, at, "the name of one of bays is accepted", "%q is not a bay", name.Value)
			case seen[n]:
				r.probs.Addf(name.Pos, at, "take one of the two out", "%q is passed twice", name.Value)
			default:
				seen[n] = true
				stage = append(stage, n)
			}
		}
		if len(stage) > 0 {
			c.Path = append(c.Path, stage)
		}
	}
}
