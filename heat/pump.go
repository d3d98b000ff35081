package heat

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// ErrPump says that a pump has no operating point.
var ErrPump = errors.New("pump cannot be computed")

// PumpPoint is one point of the curve of a pump.
type PumpPoint struct {
	Flow     unit.VolumeFlow
	Pressure unit.Pressure
}

// Pump is a pump at its rated speed: pressure over flow, flow rising, pressure
// not rising. Between the points the curve is straight; beyond the last point
// it gives nothing more.
type Pump struct {
	Curve      []PumpPoint
	Efficiency unit.Ratio // hydraulic over electric power
}

// Validate returns ErrPump for a curve that does not fall, or an efficiency
// that is not above 0 and at most 1.
func (p Pump) Validate() error {
	if len(p.Curve) < 2 {
		return fmt.Errorf("%w: a curve of %d points: at least two are needed", ErrPump, len(p.Curve))
	}
	if !(p.Efficiency > 0 && p.Efficiency <= 1) {
		return fmt.Errorf("%w: efficiency %g: it must be above 0 and at most 1", ErrPump, float64(p.Efficiency))
	}
	for i, c := range p.Curve {
		if !(c.Flow >= 0 && c.Pressure >= 0) || math.IsInf(float64(c.Flow), 0) || math.IsInf(float64(c.Pressure), 0) {
			return fmt.Errorf("%w: point %d: %g m³/s at %g Pa: both must be 0 or more", ErrPump, i+1, float64(c.Flow), float64(c.Pressure))
		}
		if i > 0 && !(c.Flow > p.Curve[i-1].Flow && c.Pressure <= p.Curve[i-1].Pressure) {
			return fmt.Errorf("%w: point %d: the flow must rise and the pressure must not: %g m³/s at %g Pa after %g m³/s at %g Pa", ErrPump, i+1,
				float64(c.Flow), float64(c.Pressure), float64(p.Curve[i-1].Flow), float64(p.Curve[i-1].Pressure))
		}
	}
	return nil
}

// At returns the pressure that the pump gives at a flow: the first before its
// curve, zero beyond it.
func (p Pump) At(q unit.VolumeFlow) unit.Pressure {
	c := p.Curve
	if q <= c[0].Flow {
		return c[0].Pressure
	}
	for i := 1; i < len(c); i++ {
		if q <= c[i].Flow {
			share := unit.Pressure((q - c[i-1].Flow) / (c[i].Flow - c[i-1].Flow))
			return c[i-1].Pressure + share*(c[i].Pressure-c[i-1].Pressure)
		}
	}
	return 0
}

// Operating returns the flow at which the pump gives what the circuit loses,
// loss being its pressure loss over flow, which rises: halved until flow is
// known to 1e-9 of the largest of the curve. A circuit that loses more than the
// pump gives at rest has no flow. Error: ErrPump.
func (p Pump) Operating(loss func(unit.VolumeFlow) unit.Pressure) (unit.VolumeFlow, error) {
	if err := p.Validate(); err != nil {
		return 0, err
	}
	// Where it does not cross, the circuit takes all that the curve shows.
	most := float64(p.Curve[len(p.Curve)-1].Flow)
	q := risesThrough(0, most, func(q float64) float64 { return float64(loss(unit.VolumeFlow(q)) - p.At(unit.VolumeFlow(q))) })
	return unit.VolumeFlow(q), nil
}

// Electric returns the power that the pump draws: Δp·Q/η.
// Source: textbook mechanics (handbook, WE-42 for η = 1).
func (p Pump) Electric(q unit.VolumeFlow, dp unit.Pressure) unit.Power {
	return unit.Power(float64(q) * float64(dp) / float64(p.Efficiency))
}

// Plate is a cold plate: parallel channels in metal.
type Plate struct {
	Channel  Duct
	Channels int     // side by side, all alike
	Minor    float64 // sum of loss coefficients of inlet, outlet, bends, on the speed in the channel; dimensionless
}

// Loss returns the pressure loss at a flow through the plate: friction of the
// channels and ζ·ρ·v²/2.
func (c Plate) Loss(p Properties, q unit.VolumeFlow) unit.Pressure {
	v := c.speed(q)
	return c.Channel.PressureLoss(p, v) + unit.Pressure(c.Minor*float64(p.Density)*float64(v)*float64(v)/2)
}

func (c Plate) speed(q unit.VolumeFlow) unit.Speed {
	return unit.Speed(float64(q) / (float64(c.Channel.Area()) * float64(max(c.Channels, 1))))
}

// Film returns h·A between the plate and the coolant at a flow.
func (c Plate) Film(p Properties, q unit.VolumeFlow) unit.ThermalConductance {
	h := c.Channel.Film(p, c.speed(q), FluxFixed)
	return unit.ThermalConductance(float64(h) * float64(c.Channel.Wetted()) * float64(max(c.Channels, 1)))
}

// Volume returns the coolant in the plate.
func (c Plate) Volume() unit.Volume {
	return unit.Volume(float64(c.Channel.Area()) * float64(c.Channel.Length) * float64(max(c.Channels, 1)))
}

// split shares a flow over branches so that all lose the same pressure, and
// writes the shares into out, which sum up to the flow. Each branch is the
// plates one after the other. The pressure is halved until it is known to 1e-9
// of the largest.
func split(branches [][]Plate, p Properties, q unit.VolumeFlow, out []unit.VolumeFlow) unit.Pressure {
	if len(branches) == 1 {
		out[0] = q
		return lossOf(branches[0], p, q)
	}
	clear(out)
	if q <= 0 {
		return 0
	}
	// The branch that loses least at the whole flow bounds the pressure.
	high := math.Inf(1)
	for _, b := range branches {
		high = min(high, float64(lossOf(b, p, q)))
	}
	sum := unit.VolumeFlow(0)
	dp := risesThrough(0, high, func(dp float64) float64 {
		sum = 0
		for i, b := range branches {
			out[i] = flowAt(b, p, q, unit.Pressure(dp))
			sum += out[i]
		}
		return float64(sum - q)
	})
	for i := range out {
		if sum > 0 {
			out[i] *= q / sum
		} else {
			out[i] = q / unit.VolumeFlow(len(out)) // no branch loses anything
		}
	}
	return unit.Pressure(dp)
}

func lossOf(plates []Plate, p Properties, q unit.VolumeFlow) unit.Pressure {
	sum := unit.Pressure(0)
	for _, c := range plates {
		sum += c.Loss(p, q)
	}
	return sum
}

// flowAt returns the flow, at most most, at which a branch loses dp.
func flowAt(plates []Plate, p Properties, most unit.VolumeFlow, dp unit.Pressure) unit.VolumeFlow {
	return unit.VolumeFlow(risesThrough(0, float64(most), func(q float64) float64 { return float64(lossOf(plates, p, unit.VolumeFlow(q)) - dp) }))
}
