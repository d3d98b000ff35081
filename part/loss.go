package part

import (
	"errors"
	"fmt"
	"math"

	"packyard/unit"
)

// ErrBeyondLoss is returned where a loss is asked outside the speeds and
// torques that its grid covers.
var ErrBeyondLoss = errors.New("outside the loss grid")

// LossAt returns the loss of the drive unit at shaft torque T and speed w,
// signs free: it depends on |T| and |w| only, so that braking loses as much as
// driving and the loss comes off the shaft power.
//
//	P_loss = k_c·T² + k_i·|ω| + k_w·|ω|³ + C, or the grid read bilinearly
//
// Whether the loss of the inverter is in it says Loss.WithInverter; that of
// the built-in reduction never is. Beyond the grid the last cell is continued
// linearly, never below zero; LossCovers says where that happens, and a unit
// from a catalogue has a grid that covers all it can do, so that the case
// cannot arise within TorqueMax.
// Source: larminie-lowry (equation and sign when braking).
func (u *DriveUnit) LossAt(T unit.Torque, w unit.AngularSpeed) unit.Power {
	t, s := math.Abs(float64(T)), math.Abs(float64(w))
	l := &u.Loss
	if l.Grid != nil {
		return unit.Power(l.Grid.at(s, t))
	}
	return unit.Power(l.KCopper*t*t + (l.KIron+l.KWindage*s*s)*s + float64(l.Constant))
}

// LossCovers reports whether the loss at T and w is read inside the grid. The
// textbook form covers everything.
func (u *DriveUnit) LossCovers(T unit.Torque, w unit.AngularSpeed) bool {
	return u.Loss.Grid == nil || u.Loss.Grid.covers(math.Abs(float64(w)), math.Abs(float64(T)))
}

// LossWithin returns LossAt, or ErrBeyondLoss where the grid would have to be
// continued.
func (u *DriveUnit) LossWithin(T unit.Torque, w unit.AngularSpeed) (unit.Power, error) {
	if !u.LossCovers(T, w) {
		return 0, fmt.Errorf("%s at %.4g N·m and %.4g rad/s: %w", u.ID, float64(T), float64(w), ErrBeyondLoss)
	}
	return u.LossAt(T, w), nil
}

// covers takes |speed| and |torque|; the small slack lets a limit that was
// computed from rev/min or horsepower meet the edge it stands on.
func (g *LossGrid) covers(speed, torque float64) bool {
	const slack = 1e-9
	return speed >= g.Speed[0]*(1-slack) && speed <= g.Speed[len(g.Speed)-1]*(1+slack) &&
		torque >= g.Torque[0]*(1-slack) && torque <= g.Torque[len(g.Torque)-1]*(1+slack)
}

func (g *LossGrid) at(speed, torque float64) float64 {
	i, a := cellOf(g.Speed, speed)
	j, b := cellOf(g.Torque, torque)
	low, high := g.Loss[i], g.Loss[i+1]
	p := (1-a)*((1-b)*low[j]+b*low[j+1]) + a*((1-b)*high[j]+b*high[j+1])
	return max(p, 0)
}

// cellOf returns the cell of x that v lies in, or the nearest, and the place
// inside it, 0…1 inside and beyond that outside.
func cellOf(x []float64, v float64) (int, float64) {
	i := 0
	for i < len(x)-2 && v > x[i+1] {
		i++
	}
	return i, (v - x[i]) / (x[i+1] - x[i])
}

// valid says what is wrong with the grid, or "".
func (g *LossGrid) valid() string {
	if len(g.Speed) < 2 || len(g.Torque) < 2 {
		return "a loss grid needs at least two speeds and two torques"
	}
	for _, axis := range [][]float64{g.Speed, g.Torque} {
		for i, v := range axis {
			if !finite(v) || v < 0 || i > 0 && v <= axis[i-1] {
				return "speeds and torques of a loss grid must rise strictly from zero or above"
			}
		}
	}
	if len(g.Loss) != len(g.Speed) {
		return fmt.Sprintf("the loss grid has %d rows for %d speeds", len(g.Loss), len(g.Speed))
	}
	for i, row := range g.Loss {
		if len(row) != len(g.Torque) {
			return fmt.Sprintf("row %d of the loss grid has %d losses for %d torques", i+1, len(row), len(g.Torque))
		}
		for _, p := range row {
			if !finite(p) || p < 0 {
				return "every loss of the grid must be zero or more"
			}
		}
	}
	return ""
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
