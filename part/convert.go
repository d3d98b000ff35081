package part

import "packyard/unit"

// DCPower returns the power at the DC terminals of the inverter for the power
// ac at the motor terminals (T·ω plus the loss of the unit, negative when
// braking).
//
//	P_dc = P_ac/e + P_idle   driving      P_dc = P_ac·e + P_idle   braking
//
// Where the loss of the unit holds the inverter (Loss.WithInverter), and where
// inverter is nil, P_dc = P_ac: the loss is never counted twice.
func (i *Inverter) DCPower(u *DriveUnit, ac unit.Power) unit.Power {
	if i == nil || u.Loss.WithInverter {
		return ac
	}
	if ac >= 0 {
		return unit.Power(float64(ac)/float64(i.Efficiency)) + i.Idle
	}
	return unit.Power(float64(ac)*float64(i.Efficiency)) + i.Idle
}

// PackPower returns the power at the pack for the power drawn from the wall;
// never below zero and never above PowerMax.
//
//	P_pack = e·P_wall − P_idle
//
// Source: owner-charger-measurement (C2.4, C2.8).
func (c *Charger) PackPower(wall unit.Power) unit.Power {
	p := float64(c.Efficiency)*float64(wall) - float64(c.Idle)
	return unit.Power(min(max(p, 0), float64(c.PowerMax)))
}

// WallPower returns the power drawn from the wall for the power at the pack,
// the inverse of PackPower: P_wall = (P_pack + P_idle)/e.
func (c *Charger) WallPower(pack unit.Power) unit.Power {
	return unit.Power((float64(pack) + float64(c.Idle)) / float64(c.Efficiency))
}

// PackPower returns the power taken from the pack for the power out on the
// 12 V net.
//
//	P_in = P_out/e + P_idle
//
// A nil converter passes the power one to one.
// Source: owner-dcdc-measurement (C2.3).
func (c *Converter) PackPower(out unit.Power) unit.Power {
	if c == nil {
		return out
	}
	return unit.Power(float64(out)/float64(c.Efficiency)) + c.Idle
}
