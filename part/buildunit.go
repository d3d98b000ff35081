package part

import (
	"packyard/cell"
	"packyard/check"
	"packyard/unit"
)

// driveUnit builds one drive unit; so is what has been built so far, for a
// loss that is like that of another unit.
func (b *builder) driveUnit(s *DriveUnitSheet, path string, so *Catalogue) *DriveUnit {
	ok := above(b, s.TorqueContinuous, s.TorquePeak, path+".torque_continuous", "torque_peak")
	ok = above(b, s.PowerContinuous, s.PowerPeak, path+".power_continuous", "power_peak") && ok
	ok = b.names.Take(s.ID, path, b.probs) && ok
	u := &DriveUnit{
		ID: s.ID.Value, Title: s.Title.Value, TorquePeak: s.TorquePeak.SI, TorqueContinuous: s.TorqueContinuous.SI,
		PowerPeak: s.PowerPeak.SI, PowerContinuous: s.PowerContinuous.SI, PeakDuration: s.PeakDuration.SI,
		VoltageRef: s.VoltageRef.SI, SpeedMax: s.SpeedMax.SI, Inertia: s.Inertia.SI,
		Ratio: float64(given(s.Ratio, 1)), RatioEfficiency: given(s.RatioEfficiency, 1), Mass: s.Mass.SI, Price: s.Price,
		NoRegeneration: s.Regenerates.IsGiven() && !s.Regenerates.Value,
	}
	u.Facts = b.facts(s.Facts, path, cell.Stated{Key: "torque_peak", Given: s.TorquePeak.IsGiven()}, cell.Stated{Key: "torque_continuous", Given: s.TorqueContinuous.IsGiven()},
		cell.Stated{Key: "power_peak", Given: s.PowerPeak.IsGiven()}, cell.Stated{Key: "power_continuous", Given: s.PowerContinuous.IsGiven()},
		cell.Stated{Key: "peak_duration", Given: s.PeakDuration.IsGiven()}, cell.Stated{Key: "voltage_ref", Given: s.VoltageRef.IsGiven()},
		cell.Stated{Key: "speed_max", Given: s.SpeedMax.IsGiven()}, cell.Stated{Key: "inertia", Given: s.Inertia.IsGiven()}, cell.Stated{Key: "loss", Given: s.Loss != nil},
		cell.Stated{Key: "ratio", Given: s.Ratio.IsGiven()}, cell.Stated{Key: "ratio_efficiency", Given: s.RatioEfficiency.IsGiven()}, cell.Stated{Key: "regenerates", Given: s.Regenerates.IsGiven()}, cell.Stated{Key: "mass", Given: s.Mass.IsGiven()})
	if s.Ratio.IsGiven() && s.Ratio.SI != 1 && !s.RatioEfficiency.IsGiven() {
		b.probs.Addf(s.Ratio.Pos, path+".ratio", "write ratio_efficiency beside it", "%q has no efficiency", s.Ratio.Text)
		ok = false
	}
	if u.TorquePeak <= 0 || u.SpeedMax <= 0 || u.PowerPeak <= 0 || u.TorqueContinuous <= 0 || u.PowerContinuous <= 0 || u.Ratio <= 0 || u.RatioEfficiency <= 0 {
		ok = false // recorded by the reader
	}
	if s.Loss == nil || !ok {
		return nil
	}
	loss, ok := b.loss(s.Loss, path+".loss", u, so)
	if !ok {
		return nil
	}
	u.Loss = loss
	if s.Loss.Like.IsGiven() {
		for i := range u.Facts {
			if u.Facts[i].Field == "loss" {
				u.Facts[i].Status = StatusScaled
			}
		}
	}
	return u
}

// loss builds the loss of u from exactly one of the three forms.
func (b *builder) loss(s *LossSheet, path string, u *DriveUnit, so *Catalogue) (Loss, bool) {
	textbook := s.Copper.IsGiven() || s.Iron.IsGiven() || s.Windage.IsGiven() || s.Constant.IsGiven()
	forms := 0
	for _, has := range []bool{textbook, s.Grid != nil, s.Like.IsGiven()} {
		if has {
			forms++
		}
	}
	if forms != 1 {
		b.probs.Addf(s.Pos, path, "write copper, iron, windage and constant, or a grid, or like", "holds %d forms of a loss and not one", forms)
		return Loss{}, false
	}
	switch {
	case textbook:
		if !s.Copper.IsGiven() {
			b.probs.Addf(s.Pos, path, "write copper, in "+copperSpellings[0], "has no copper loss: an unloaded motor is not enough to drive with")
			return Loss{}, false
		}
		return Loss{KCopper: s.Copper.si, KIron: s.Iron.si, KWindage: s.Windage.si, Constant: s.Constant.SI, WithInverter: s.WithInverter.Value}, true
	case s.Grid != nil:
		g, ok := b.grid(s.Grid, path+".grid", u)
		return Loss{Grid: g, WithInverter: s.WithInverter.Value}, ok
	}
	return b.lossLike(s, path, u, so)
}

// lossLike carries the loss of another unit to u, see Scale.
func (b *builder) lossLike(s *LossSheet, path string, u *DriveUnit, so *Catalogue) (Loss, bool) {
	other := so.DriveUnit(s.Like.Value)
	if other == nil {
		var ids []string
		for _, o := range so.DriveUnits {
			ids = append(ids, o.ID)
		}
		b.probs.Addf(s.Like.Pos, path+".like", unknownHint(s.Like.Value, ids), "%q is not a drive unit that was read before this one", s.Like.Value)
		return Loss{}, false
	}
	scaled, err := Scale(other, Scaling{Torque: u.TorquePeak, Speed: s.LikeSpeed.SI})
	if err != nil {
		b.probs.Addf(s.Like.Pos, path+".like", "take a unit nearer in size", "%s", err.Error())
		return Loss{}, false
	}
	if g := scaled.Loss.Grid; g != nil && !g.covers(float64(u.SpeedMax), float64(u.TorquePeak)) {
		b.probs.Addf(s.Like.Pos, path+".like", "lower speed_max or take another unit",
			"the loss of %q ends at %.0f rpm, below speed_max", s.Like.Value, unit.AngularSpeed(g.Speed[len(g.Speed)-1]).RevolutionsPerMinute())
		return Loss{}, false
	}
	if s.WithInverter.IsGiven() {
		scaled.Loss.WithInverter = s.WithInverter.Value
	}
	return scaled.Loss, true
}

// grid builds the loss grid and holds it against what the unit can do, so that
// no loss is ever asked beyond it.
func (b *builder) grid(s *LossGridSheet, path string, u *DriveUnit) (*LossGrid, bool) {
	var rows [][]float64
	for _, row := range s.Loss {
		rows = append(rows, values(row))
	}
	g, err := NewLossGrid(values(s.Speed), values(s.Torque), rows)
	if err != nil {
		b.probs.Addf(s.Pos, path, "one row of losses for each speed, one loss for each torque", "%s", err.Error())
		return nil, false
	}
	if g.Speed[0] > 0 || g.Torque[0] > 0 {
		b.probs.Addf(s.Pos, path, "begin speeds and torques at zero", "begins at %.4g rpm and %.4g N·m",
			unit.AngularSpeed(g.Speed[0]).RevolutionsPerMinute(), g.Torque[0])
		return nil, false
	}
	if !g.covers(float64(u.SpeedMax), float64(u.TorquePeak)) {
		b.probs.Addf(s.Pos, path, "extend the grid, or lower speed_max and torque_peak",
			"ends at %.0f rpm and %.4g N·m, below what the unit can do",
			unit.AngularSpeed(g.Speed[len(g.Speed)-1]).RevolutionsPerMinute(), g.Torque[len(g.Torque)-1])
		return nil, false
	}
	return g, true
}

func values[Q unit.Quantity](list []check.Given[Q]) []float64 {
	out := make([]float64, len(list))
	for i, g := range list {
		out[i] = float64(g.SI)
	}
	return out
}
