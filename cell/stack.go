package cell

import (
	"errors"
	"fmt"

	"packyard/unit"
)

// Errors of building a stack.
var (
	ErrClosed        = errors.New("closed module cannot be opened")
	ErrNoHardware    = errors.New("no module hardware")
	ErrStackCount    = errors.New("slices in parallel and groups must be at least one")
	ErrStackTooLong  = errors.New("stack is longer than its hardware allows")
	ErrStackTooShort = errors.New("stack has fewer slices than its hardware allows")
)

// SlicesMax bounds the slices of one stack, against a slip of the pen.
const SlicesMax = 10_000

// Build returns the module made of groups in series of slicesParallel slices
// side by side, with n = slicesParallel·groups:
//
//	X = end plates + n·pitch       Y, Z = slice + margin
//	mass = end plates + n·(slice + mass per slice)
//	R = groups·R_slice/slicesParallel + (groups − 1)·R_joint
//
// R is without the cells. Errors: ErrNoHardware, ErrStackCount,
// ErrStackTooLong (n·pitch above StackMax, when that is stated) and
// ErrStackTooShort (n below SlicesMin).
func Build(slice *Slice, hw *Hardware, slicesParallel, groups int) (Stack, error) {
	switch {
	case hw == nil:
		return Stack{}, ErrNoHardware
	case slicesParallel < 1 || groups < 1:
		return Stack{}, fmt.Errorf("%w: %d in parallel, %d groups", ErrStackCount, slicesParallel, groups)
	case slicesParallel > SlicesMax || groups > SlicesMax || slicesParallel*groups > SlicesMax:
		return Stack{}, fmt.Errorf("%w: %d × %d slices, at most %d", ErrStackTooLong, slicesParallel, groups, SlicesMax)
	}
	n := slicesParallel * groups
	length := unit.Length(n) * slice.Pitch
	// A stack that fills the hardware exactly is allowed: a relative slack of
	// 1e-9 keeps rounding of n·pitch from deciding.
	if hw.StackMax > 0 && float64(length) > float64(hw.StackMax)*(1+1e-9) {
		return Stack{}, fmt.Errorf("%w: %d slices are %.1f mm, accepted are %.1f mm", ErrStackTooLong, n, length.Millimetres(), hw.StackMax.Millimetres())
	}
	if n < hw.SlicesMin {
		return Stack{}, fmt.Errorf("%w: %d slices, at least %d", ErrStackTooShort, n, hw.SlicesMin)
	}
	return Stack{
		Slice: slice, Groups: groups, SlicesParallel: slicesParallel,
		Size: Size{
			X: hw.EndPlates + length,
			Y: slice.Width + hw.Margin.Y,
			Z: slice.Height + hw.Margin.Z,
		},
		Mass: hw.EndPlatesMass + unit.Mass(n)*(slice.Mass+hw.MassPerSlice),
		Resistance: unit.Resistance(groups)*slice.Resistance/unit.Resistance(slicesParallel) +
			unit.Resistance(groups-1)*hw.JointResistance,
		Orientations: hw.Orientations,
	}, nil
}

// SlicesLongest returns the most slices that one stack of this hardware takes,
// SlicesMax when no largest stack is stated.
func SlicesLongest(slice *Slice, hw *Hardware) int {
	if hw.StackMax <= 0 || slice.Pitch <= 0 {
		return SlicesMax
	}
	return min(int(float64(hw.StackMax)/float64(slice.Pitch)*(1+1e-9)), SlicesMax)
}

// Regroup returns the module that slices of this opened module make. Errors:
// ErrClosed, and those of Build.
func (m *Module) Regroup(slicesParallel, groups int) (Stack, error) {
	if m.Hardware == nil {
		return Stack{}, fmt.Errorf("%w: %s", ErrClosed, m.ID)
	}
	s, err := Build(&m.Slice, m.Hardware, slicesParallel, groups)
	if err != nil {
		return Stack{}, fmt.Errorf("%s: %w", m.ID, err)
	}
	return s, nil
}

// AsBuilt returns the module as it came.
func (m *Module) AsBuilt() Stack {
	return Stack{
		Slice: &m.Slice, Groups: m.Groups, SlicesParallel: m.SlicesParallel,
		Size: m.Size, Mass: m.Mass, Resistance: m.Resistance, Orientations: m.Orientations,
	}
}

// Slices returns how many slices the module holds as built.
func (m *Module) Slices() int { return m.Groups * m.SlicesParallel }

// SliceOf returns a loose cell as a slice: a prismatic or pouch cell with its
// plate or frame, or a holder row of hw.RowCells cylindrical cells in parallel
// (none stated: one).
//
//	prismatic, pouch:        pitch = thickness + gap, width and height of the cell
//	cylindrical, in square:  pitch = d + gap, width = RowCells·(d + gap)
//	cylindrical, staggered:  pitch = (d + gap)·√3/2, width = (RowCells + ½)·(d + gap)
//
// A nil hardware means no gap, no plate and one cell.
func SliceOf(c *Cell, hw *Hardware) Slice {
	if hw == nil {
		hw = &Hardware{}
	}
	s := Slice{
		Cell: c, Series: 1, Parallel: 1,
		Pitch: c.Size.X + hw.Gap, Width: c.Size.Y, Height: c.Size.Z,
		Mass: c.Mass + hw.PlateMass, Resistance: hw.SliceResistance,
	}
	if c.Format != Cylindrical {
		return s
	}
	pitch := c.Size.X + hw.Gap
	s.Parallel = max(hw.RowCells, 1)
	s.Pitch, s.Width = pitch, pitch*unit.Length(s.Parallel)
	if hw.Staggered {
		s.Pitch, s.Width = pitch*rowPitch, s.Width+pitch/2
	}
	s.Mass = unit.Mass(s.Parallel)*c.Mass + hw.PlateMass
	return s
}

// rowPitch is √3/2, the distance of rows of close-packed circles in diameters.
const rowPitch = 0.8660254037844386
