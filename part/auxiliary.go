package part

import (
	"sort"

	"packyard/check"
	"packyard/unit"
)

// celsius of a temperature, for reading curves over ambient °C.
func celsius(t unit.Temperature) float64 { return float64(t) - kelvin0 }

// at returns y at x, read linearly; outside the points the end value holds.
// An empty curve is zero.
func (c Curve) at(x float64) float64 {
	n := len(c.X)
	if n == 0 {
		return 0
	}
	i := sort.SearchFloat64s(c.X, x)
	switch i {
	case 0:
		return c.Y[0]
	case n:
		return c.Y[n-1]
	}
	share := (x - c.X[i-1]) / (c.X[i] - c.X[i-1])
	return c.Y[i-1] + share*(c.Y[i]-c.Y[i-1])
}

// DutyAt returns the share of the time the load is on at the ambient
// temperature: Duty, or the curve Duties where it is given.
func (l Load) DutyAt(ambient unit.Temperature) unit.Ratio {
	if len(l.Duties.X) == 0 {
		return l.Duty
	}
	return unit.Ratio(l.Duties.at(celsius(ambient)))
}

// NetPower returns the mean power out on the 12 V net at the ambient
// temperature: Σ power·duty + pumps + vacuum + steering.
func (a Auxiliaries) NetPower(ambient unit.Temperature) unit.Power {
	sum := float64(a.Pumps) + float64(a.Vacuum) + float64(a.Steering)
	for _, l := range a.Loads {
		sum += float64(l.Power) * float64(l.DutyAt(ambient))
	}
	return unit.Power(sum)
}

// PackPower returns the mean power that the pack gives to everything but
// traction, and every term of it.
//
//	P = P_12V/e + P_idle + P_cabin(ambient)   with P_12V = NetPower
//
// The inputs list each consumer as power at the 12 V net, then the loss of the
// converter, then the cabin at the pack; the first entries and the loss add up
// to the share of the 12 V net, all together to the result. A nil converter
// passes the 12 V power one to one. A measured power takes the place of all.
func (a Auxiliaries) PackPower(c *Converter, ambient unit.Temperature) (unit.Power, []check.Input) {
	if a.Measured > 0 {
		return a.Measured, []check.Input{{Symbol: "P", Name: "auxiliaries, measured at the pack", Value: check.Of(a.Measured), Source: "given"}}
	}
	inputs := make([]check.Input, 0, len(a.Loads)+5)
	add := func(symbol, name string, p unit.Power, source string) {
		inputs = append(inputs, check.Input{Symbol: symbol, Name: name, Value: check.Of(p), Source: source})
	}
	for _, l := range a.Loads {
		add("P_12V", l.Name+", mean", unit.Power(float64(l.Power)*float64(l.DutyAt(ambient))), l.Source)
	}
	add("P_12V", "coolant pump and fan, mean", a.Pumps, a.Sources.Pumps)
	add("P_12V", "brake vacuum pump, mean", a.Vacuum, a.Sources.Vacuum)
	add("P_12V", "steering assistance, mean", a.Steering, a.Sources.Steering)
	net := a.NetPower(ambient)
	in, cabin := a.powers(c, ambient)
	add("P_loss", "loss of the 12 V converter", in-net, c.lossSource())
	add("P_cabin", "cabin heat or air-conditioning", cabin, a.Sources.Cabin)
	return in + cabin, inputs
}

// powers returns what the 12 V net takes from the pack, and what the cabin takes.
func (a *Auxiliaries) powers(c *Converter, ambient unit.Temperature) (net, cabin unit.Power) {
	return c.PackPower(a.NetPower(ambient)), unit.Power(a.Cabin.at(celsius(ambient)))
}

// MeanPower returns the power of PackPower alone, without its terms. It
// allocates nothing.
func (a *Auxiliaries) MeanPower(c *Converter, ambient unit.Temperature) unit.Power {
	if a.Measured > 0 {
		return a.Measured
	}
	net, cabin := a.powers(c, ambient)
	return net + cabin
}

// lossSource is where the idle power or else the efficiency comes from.
func (c *Converter) lossSource() string {
	source := "assumption"
	if c == nil {
		return source
	}
	for _, f := range c.Facts {
		if f.Field == "idle" || f.Field == "efficiency" {
			source = f.Source
		}
	}
	return source
}
