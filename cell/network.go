package cell

import (
	"fmt"
	"math"

	"packyard/internal/num"
	"packyard/unit"
)

// Network is a finer circuit of one cell than R0 with two pairs: any number of
// RC pairs with fixed time constants, the first of which falls with current,
// and an open-circuit voltage for each temperature.
//
//	V = OCV(s,T) − I·R0(s,T) − ΣV_k                          I positive on discharge
//	V_k ← V_k·e^(−Δt/τ_k) + I·R_k(s,T)·g_k·(1 − e^(−Δt/τ_k))  over a step of constant I
//	g_1 = asinh(x)/x, x = |I|/Knee(T);  g_k = 1 for the others
//
// asinh is the current law of a charge transfer with equal shares of both
// directions (Butler and Volmer), written for voltage over current. Between two
// temperatures ln R and ln Knee are linear in 1/T, beyond the outer two they go
// on so; the open-circuit voltage is linear between and holds beyond.
//
// Charge is the share of Capacity, not of the rated capacity. The time
// constants are the same at every charge and temperature, so that a caller with
// steps of one length computes each e^(−Δt/τ) once.
type Network struct {
	Capacity    unit.Charge   // what charge 0…1 spans
	SoC         []float64     // 0…1, strictly increasing
	Temperature []float64     // K, strictly increasing: those of the tests
	OCV         [][]float64   // V, non-decreasing in charge: [i][j] at Temperature[i], SoC[j]
	R0          [][]float64   // Ω, above zero: [i][j]
	Tau         []float64     // s, strictly increasing, one per pair
	R           [][][]float64 // Ω, above zero: R[k][i][j] of pair k
	Knee        []float64     // A at Temperature[i]; nil: no pair depends on the current
	Source      string        // source key
}

// NetworkTable is a Network at one temperature on evenly spaced charges 0…1, to
// be read linearly: entry i is at charge i/(n−1).
type NetworkTable struct {
	Capacity unit.Charge // with health
	OCV      []float64   // V, non-decreasing
	R0       []float64   // Ω
	Tau      []float64   // s, one per pair
	R        [][]float64 // Ω, one series per pair
	Knee     unit.Current
}

// Check returns ErrCurves, saying what, unless all grids are full, in order and
// within their ranges.
func (n *Network) Check() error {
	if !(n.Capacity > 0) {
		return fmt.Errorf("%w: capacity %g A·s is not above zero", ErrCurves, float64(n.Capacity))
	}
	if len(n.Tau) != len(n.R) {
		return fmt.Errorf("%w: %d time constants and %d resistances of pairs", ErrCurves, len(n.Tau), len(n.R))
	}
	for _, g := range append([][][]float64{n.OCV, n.R0}, n.R...) {
		s := Surface{n.SoC, n.Temperature, g}
		if err := s.check("network", false); err != nil {
			return err
		}
	}
	if n.SoC[0] != 0 || n.SoC[len(n.SoC)-1] != 1 {
		return fmt.Errorf("%w: network runs from charge %g to %g, wanted is 0 to 1", ErrCurves, n.SoC[0], n.SoC[len(n.SoC)-1])
	}
	for i, row := range n.OCV {
		if !num.NonDecreasing(row) {
			return fmt.Errorf("%w: open-circuit voltage at %g K falls with charge; run the isotonic fit first", ErrCurves, n.Temperature[i])
		}
	}
	if len(n.Tau) > 0 {
		if err := num.StrictlyIncreasing(n.Tau); err != nil || n.Tau[0] <= 0 {
			return fmt.Errorf("%w: time constants of a network rise from above zero", ErrCurves)
		}
	}
	if n.Knee != nil {
		if len(n.Knee) != len(n.Temperature) || num.Finite(n.Knee...) != nil {
			return fmt.Errorf("%w: %d knee currents for %d temperatures", ErrCurves, len(n.Knee), len(n.Temperature))
		}
		for _, k := range n.Knee {
			if k <= 0 {
				return fmt.Errorf("%w: knee current %g A is not above zero", ErrCurves, k)
			}
		}
	}
	return nil
}

// At returns the network at temperature t and health h on m evenly spaced
// charges, as Cell.At does. The capacity share acts on the network's own
// capacity. Errors: ErrTableSize, ErrHealth, ErrTemperature, ErrCurves.
func (n *Network) At(t unit.Temperature, h Health, m int) (*NetworkTable, error) {
	if m < 2 || m > TableMax {
		return nil, fmt.Errorf("%w: %d entries, accepted are 2 to %d", ErrTableSize, m, TableMax)
	}
	if err := readableAt(t, h); err != nil {
		return nil, err
	}
	if err := n.Check(); err != nil {
		return nil, err
	}
	tb := n.table(m)
	n.fill(tb, t, h)
	return tb, nil
}

// table returns an empty table of m charges.
func (n *Network) table(m int) *NetworkTable {
	tb := &NetworkTable{OCV: make([]float64, m), R0: make([]float64, m), Tau: append([]float64(nil), n.Tau...), R: make([][]float64, len(n.R))}
	for k := range n.R {
		tb.R[k] = make([]float64, m)
	}
	return tb
}

// fill fills a table of the network for a temperature and health.
func (n *Network) fill(tb *NetworkTable, t unit.Temperature, h Health) {
	w, growth := n.between(float64(t)), float64(h.ResistanceGrowth)
	tb.Capacity = unit.Charge(float64(n.Capacity) * float64(h.CapacityShare))
	tb.Knee = unit.Current(n.knee(w))
	for i := range tb.OCV {
		j, f := num.Cell(n.SoC, float64(i)/float64(len(tb.OCV)-1))
		tb.OCV[i] = w.linear(n.OCV, j, f)
		if i > 0 {
			tb.OCV[i] = math.Max(tb.OCV[i], tb.OCV[i-1]) // rounding on a plateau, as in Cell.At
		}
		tb.R0[i] = growth * w.log(n.R0, j, f)
		for k := range n.R {
			tb.R[k][i] = growth * w.log(n.R[k], j, f)
		}
	}
}

// rowPair is a place between two rows of temperature: share of the upper row in
// 1/T, which may lie outside 0…1, and in T, which does not.
type rowPair struct {
	lo, hi       int
	inverse, lin float64
}

// between finds the place of temperature k. The coldest and hottest that a
// network answers for are those of the surfaces, −30 and 60 °C
// (battery-trade-limits); beyond them the outermost value holds.
func (n *Network) between(k float64) rowPair {
	if len(n.Temperature) == 1 {
		return rowPair{}
	}
	k = math.Min(math.Max(k, float64(unit.Celsius(networkColdest))), float64(unit.Celsius(networkHottest)))
	i, f := num.Cell(n.Temperature, k)
	a, b := n.Temperature[i], n.Temperature[i+1]
	return rowPair{i, i + 1, (1/k - 1/a) / (1/b - 1/a), f}
}

const networkColdest, networkHottest = -30, 60 // °C

func (w rowPair) linear(g [][]float64, j int, f float64) float64 {
	a := lerpRow(g[w.lo], j, f)
	return a + w.lin*(lerpRow(g[w.hi], j, f)-a)
}

func (w rowPair) log(g [][]float64, j int, f float64) float64 {
	a := lerpRow(g[w.lo], j, f)
	if w.lo == w.hi {
		return a
	}
	return a * math.Pow(lerpRow(g[w.hi], j, f)/a, w.inverse)
}

func lerpRow(y []float64, j int, f float64) float64 {
	if f == 0 {
		return y[j]
	}
	return y[j] + f*(y[j+1]-y[j])
}

// knee is the knee current at a place; infinite where no pair has one is zero.
func (n *Network) knee(w rowPair) float64 {
	if n.Knee == nil {
		return 0
	}
	a := n.Knee[w.lo]
	if w.lo == w.hi {
		return a
	}
	return a * math.Pow(n.Knee[w.hi]/a, w.inverse)
}

// CurrentShare returns the share of its resistance that the first pair of a
// network has at a current: asinh(x)/x with x = |I|/knee, 1 without a knee.
func CurrentShare(i, knee unit.Current) unit.Ratio {
	if knee <= 0 {
		return 1
	}
	x := math.Abs(float64(i)) / float64(knee)
	if x < 1e-4 { // the next term of the series is x²/6
		return 1
	}
	return unit.Ratio(math.Asinh(x) / x)
}
