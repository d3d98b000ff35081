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

// ErrLossGrid is returned for speeds, torques and losses that make no grid.
var ErrLossGrid = errors.New("not a loss grid")

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
	i := g.speedIndex.cell(g.Speed, speed)
	j := g.torqueIndex.cell(g.Torque, torque)
	a := (speed - g.Speed[i]) / (g.Speed[i+1] - g.Speed[i])
	b := (torque - g.Torque[j]) / (g.Torque[j+1] - g.Torque[j])
	low, high := g.Loss[i], g.Loss[i+1]
	p, q := low[j]+b*(low[j+1]-low[j]), high[j]+b*(high[j+1]-high[j])
	return max(p+a*(q-p), 0)
}

// NewLossGrid returns the grid of losses in W over speeds in rad/s and torques
// in N·m, len(loss) = len(speed) rows of len(torque), with an index that finds
// its cells without walking. The slices are kept, not copied. Errors: ErrLossGrid with what is
// wrong.
func NewLossGrid(speed, torque []float64, loss [][]float64) (*LossGrid, error) {
	g := &LossGrid{Speed: speed, Torque: torque, Loss: loss}
	if wrong := g.valid(); wrong != "" {
		return nil, fmt.Errorf("%w: %s", ErrLossGrid, wrong)
	}
	g.speedIndex, g.torqueIndex = newAxisIndex(speed), newAxisIndex(torque)
	return g, nil
}

// axisIndex cuts an axis into even parts and knows the first cell of each, so
// that only the points inside one part are left to walk over.
type axisIndex struct {
	perUnit float64 // parts per unit of the axis
	first   []int
}

func newAxisIndex(x []float64) axisIndex {
	parts := 4 * len(x)
	k := axisIndex{perUnit: float64(parts) / (x[len(x)-1] - x[0]), first: make([]int, parts)}
	i := 0
	for p := range k.first {
		for start := x[0] + float64(p)/k.perUnit; i < len(x)-2 && start >= x[i+1]; {
			i++
		}
		k.first[p] = i
	}
	return k
}

// cell returns the cell of x that v lies in, or the nearest.
func (k *axisIndex) cell(x []float64, v float64) int {
	i := 0
	if len(k.first) > 0 {
		i = k.first[max(0, min(int((v-x[0])*k.perUnit), len(k.first)-1))]
	}
	// Rounding may put v one part too far; the walk goes both ways.
	for i > 0 && v < x[i] {
		i--
	}
	for i < len(x)-2 && v > x[i+1] {
		i++
	}
	return i
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
