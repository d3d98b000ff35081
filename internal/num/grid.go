package num

import "fmt"

// Grid is a value over two strictly increasing axes, Value[i][j] at Row[i],
// Col[j], read bilinearly; outside an axis its nearest end holds.
type Grid struct {
	Row, Col []float64
	Value    [][]float64
}

// Check returns ErrLength, ErrNotIncreasing or ErrNotFinite if the grid is not
// well formed.
func (g Grid) Check() error {
	if len(g.Row) == 0 || len(g.Col) == 0 || len(g.Value) != len(g.Row) {
		return fmt.Errorf("%w: %d rows of values on an axis of %d by %d", ErrLength, len(g.Value), len(g.Row), len(g.Col))
	}
	if err := StrictlyIncreasing(g.Row); err != nil {
		return fmt.Errorf("row axis: %w", err)
	}
	if err := StrictlyIncreasing(g.Col); err != nil {
		return fmt.Errorf("column axis: %w", err)
	}
	for i, row := range g.Value {
		if len(row) != len(g.Col) {
			return fmt.Errorf("%w: row %d has %d values on an axis of %d", ErrLength, i, len(row), len(g.Col))
		}
		if err := Finite(row...); err != nil {
			return fmt.Errorf("row %d: %w", i, err)
		}
	}
	return nil
}

// At reads the grid; panics if an axis is empty.
func (g Grid) At(row, col float64) float64 {
	i, s := Cell(g.Row, row)
	j, t := Cell(g.Col, col)
	low := lerp(g.Value[i], j, t)
	if s == 0 {
		return low
	}
	return low + s*(lerp(g.Value[i+1], j, t)-low)
}

func lerp(y []float64, j int, t float64) float64 {
	if t == 0 {
		return y[j]
	}
	return y[j] + t*(y[j+1]-y[j])
}
