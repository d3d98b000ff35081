package project

import (
	"packyard/charge"
	"packyard/check"
	"packyard/design"
	"packyard/drive"
	"packyard/part"
	"packyard/unit"
)

// Stand-ins for the drivetrain.
const (
	regenShare    = unit.Ratio(0.6)
	regenFadeFrom = 12 * unit.KilometrePerHour
	regenFadeTo   = 5 * unit.KilometrePerHour
	// The usable share of long-range cars is 0.90 to 0.95: 0.925 between the
	// two reserves. Source: usable-charge-article.
	reserveLow  = unit.Ratio(0.05)
	reserveHigh = unit.Ratio(0.025)
)

func (r *reader) drivetrain() {
	f, d := &r.file.Drive, &r.brief.Drive
	if f.Pos.IsZero() {
		return
	}
	r.devices()
	d.Stages = r.parts.BuildStages(f.Stages, "drive.stages", &r.brief.Assumed, &r.probs)
	d.DrivenAxle = f.DrivenAxle.Value
	d.Auxiliary = f.Auxiliaries.Build("drive.auxiliaries", &r.brief.Assumed)
	g := &f.Regen
	d.Regen = drive.Regen{
		Share:     or(r, g.Share, "drive.regeneration.share", regenShare, "assumption"),
		FadeFrom:  or(r, g.FadeFrom, "drive.regeneration.fade_from", max(regenFadeFrom, g.FadeTo.SI), "assumption"),
		FadeTo:    or(r, g.FadeTo, "drive.regeneration.fade_to", lesser(regenFadeTo, g.FadeFrom), "assumption"),
		TorqueMax: g.TorqueMax.SI, PowerMax: g.PowerMax.SI,
	}
	if ok(r, g.FadeFrom) && ok(r, g.FadeTo) && g.FadeTo.SI > g.FadeFrom.SI {
		r.probs.Addf(g.FadeTo.Pos, "drive.regeneration.fade_to", "at most fade_from is accepted", "%q is above fade_from, %q", g.FadeTo.Text, g.FadeFrom.Text)
	}
	d.ReserveLow = or(r, f.ReserveLow, "drive.reserve_low", reserveLow, "usable-charge-article")
	d.ReserveHigh = or(r, f.ReserveHigh, "drive.reserve_high", reserveHigh, "usable-charge-article")
	if ok(r, f.ReserveLow) && ok(r, f.ReserveHigh) && f.ReserveLow.SI+f.ReserveHigh.SI >= 0.9 {
		r.probs.Addf(f.ReserveHigh.Pos, "drive.reserve_high", "the two reserves together below 90 % are accepted", "%q and reserve_low, %q, leave next to nothing", f.ReserveHigh.Text, f.ReserveLow.Text)
	}
}

// lesser returns value, or the given one where that is smaller.
func lesser[Q unit.Quantity](value Q, g check.Given[Q]) Q {
	if g.IsGiven() {
		return min(value, g.SI)
	}
	return value
}

// devices looks the parts up in the catalogue.
func (r *reader) devices() {
	f, d := &r.file.Drive, &r.brief.Drive
	if f.Unit.IsGiven() {
		if d.Unit = r.parts.DriveUnit(f.Unit.Value); d.Unit == nil {
			r.unknown(f.Unit, "drive.unit", "drive unit", ids(r.parts.DriveUnits, func(p *part.DriveUnit) string { return p.ID }))
		}
	}
	if f.Inverter.IsGiven() {
		if d.Inverter = r.parts.Inverter(f.Inverter.Value); d.Inverter == nil {
			r.unknown(f.Inverter, "drive.inverter", "inverter", ids(r.parts.Inverters, func(p *part.Inverter) string { return p.ID }))
		}
	}
	if f.Charger.IsGiven() {
		if d.Charger = r.parts.Charger(f.Charger.Value); d.Charger == nil {
			r.unknown(f.Charger, "drive.charger", "charger", ids(r.parts.Chargers, func(p *part.Charger) string { return p.ID }))
		}
	}
	if f.Inlet != nil {
		d.Inlet = charge.Inlet{VoltageMax: f.Inlet.VoltageMax.SI, CurrentMax: f.Inlet.CurrentMax.SI}
	}
	if f.Converter.IsGiven() {
		if d.Converter = r.parts.Converter(f.Converter.Value); d.Converter == nil {
			r.unknown(f.Converter, "drive.converter", "converter", ids(r.parts.Converters, func(p *part.Converter) string { return p.ID }))
		}
	} else {
		r.brief.Assumed.Add(check.Assumption{Subject: "drive.converter.efficiency", Value: check.Of(unit.Ratio(1)), Source: "assumption"})
	}
	r.window()
}

func ids[T any](list []*T, id func(*T) string) []string {
	out := make([]string, len(list))
	for i, p := range list {
		out[i] = id(p)
	}
	return out
}

// window lays the bands of the inverter in hand over those of the part, on a
// copy of it.
func (r *reader) window() {
	w, d := r.file.Drive.Window, &r.brief.Drive
	if w == nil {
		return
	}
	const at = "drive.inverter_window."
	named := []struct {
		name  string
		value check.Given[unit.Voltage]
	}{{"reduced_min", w.ReducedMin}, {"full_min", w.FullMin}, {"full_max", w.FullMax}, {"reduced_max", w.ReducedMax}, {"never_exceed", w.NeverExceed}}
	for i, n := range named {
		if !ok(r, n.value) {
			continue
		}
		for _, m := range named[i+1:] {
			if ok(r, m.value) && n.value.SI > m.value.SI {
				r.probs.Addf(n.value.Pos, at+n.name, "at most "+m.name+" is accepted", "%q is above %s, %q", n.value.Text, m.name, m.value.Text)
				return
			}
		}
	}
	if d.Inverter == nil || !ok(r, w.FullMin) || !ok(r, w.FullMax) {
		return
	}
	own := *d.Inverter
	own.Bands = part.Bands{FullMin: w.FullMin.SI, FullMax: w.FullMax.SI, ReducedMin: w.FullMin.SI, ReducedMax: w.FullMax.SI}
	if w.ReducedMin.IsGiven() {
		own.Bands.ReducedMin = w.ReducedMin.SI
	}
	if w.ReducedMax.IsGiven() {
		own.Bands.ReducedMax = w.ReducedMax.SI
	}
	own.Bands.NeverExceed = own.Bands.ReducedMax
	if w.NeverExceed.IsGiven() {
		own.Bands.NeverExceed = w.NeverExceed.SI
	}
	d.Inverter = &own
}

// Stand-ins for what a pack needs besides cells and module hardware, all of
// them assumptions that the builder should replace.
const (
	coolingAssumed   = unit.Ratio(0.05)
	fixedAssumed     = 20 * unit.Kilogram
	perStringAssumed = 6 * unit.Kilogram
	boxSheetAssumed  = 3 * unit.Millimetre
	// boxDensityAssumed is aluminium 5754 sheet. Source: en-sheet-grades.
	boxDensityAssumed = 2670 * unit.KilogramPerCubicMetre
	cableAssumed      = 4 * unit.Milliohm
	hoursAssumed      = 40 * unit.Hour
)

func (r *reader) buildParts() {
	f := &r.file.Build
	r.brief.Build = design.Build{
		CoolingShare:    or(r, f.Cooling, "build.cooling_share", coolingAssumed, "assumption"),
		FixedMass:       or(r, f.Fixed, "build.fixed_mass", fixedAssumed, "assumption"),
		MassPerString:   or(r, f.PerString, "build.mass_per_string", perStringAssumed, "assumption"),
		BoxSheet:        or(r, f.BoxSheet, "build.box_sheet", boxSheetAssumed, "assumption"),
		BoxDensity:      or(r, f.BoxDensity, "build.box_density", boxDensityAssumed, "en-sheet-grades"),
		CableResistance: or(r, f.CableResistance, "build.cable_resistance", cableAssumed, "assumption"),
		HoursFixed:      or(r, f.Hours, "build.hours", hoursAssumed, "assumption"),
		FixedPrice:      r.money(f.FixedPrice, "build.fixed_price"),
		PricePerString:  r.money(f.PricePerString, "build.price_per_string"),
		PricePerBay:     r.money(f.PricePerBay, "build.price_per_bay"),
		HourRate:        r.money(f.HourRate, "build.hour_rate"),
	}
}

// money returns a price, or zero, which is then recorded as not counted.
func (r *reader) money(p check.Price, at string) float64 {
	if !p.IsGiven() {
		r.brief.Assumed.Add(check.Assumption{Subject: at, Value: check.Money(0, r.brief.Currency), Source: "assumption"})
	}
	return r.price(p, at)
}
