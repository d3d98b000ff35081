package heat

import (
	"math"

	"packyard/unit"
)

// Passage is how the two fluids of an exchanger pass each other.
type Passage uint8

// Passages.
const (
	Crossing   Passage = iota // both unmixed, as in a car radiator
	Counter                   // against each other
	Along                     // the same way
	OneAtPoint                // one side at one temperature: evaporator, immersed body
)

// Effectiveness returns the heat exchanged as a share of the most that could
// be, dimensionless, from the number of transfer units NTU = U·A/W_min and the
// ratio c = W_min/W_max of the two streams, both dimensionless:
//
//	crossing      Σ P_n(NTU)·P_n(c·NTU)/(c·NTU), n = 0, 1, …, P_n(x) = 1 − e^(−x)·Σ_{m≤n} x^m/m!
//	counter       (1 − e^(−NTU·(1−c)))/(1 − c·e^(−NTU·(1−c))),  NTU/(1+NTU) at c = 1
//	along         (1 − e^(−NTU·(1+c)))/(1+c)
//	one at a point, and any at c = 0: 1 − e^(−NTU)
//
// The series is exact for two unmixed streams; it is taken to 200 terms, and
// NTU above 60 counts as 60. Source: mason-1955 (crossing), kays-london (from
// memory); held against a numerical solution of the crossing streams.
func (p Passage) Effectiveness(ntu, c float64) float64 {
	if !(ntu > 0) {
		return 0
	}
	if c <= 0 || p == OneAtPoint {
		return -math.Expm1(-ntu)
	}
	switch p {
	case Counter:
		if math.Abs(1-c) < 1e-9 {
			return ntu / (1 + ntu)
		}
		e := math.Exp(-ntu * (1 - c))
		return (1 - e) / (1 - c*e)
	case Along:
		return -math.Expm1(-ntu*(1+c)) / (1 + c)
	default:
		return crossed(ntu, c)
	}
}

// Bounds of crossed.
const (
	crossedTerms = 200
	crossedMost  = 60.0 // e^−60 is still far above the smallest number
)

// crossed sums the series of two unmixed crossing streams until a term no
// longer counts.
func crossed(ntu, c float64) float64 {
	ntu = min(ntu, crossedMost)
	x, y := ntu, c*ntu
	termX, termY := math.Exp(-x), math.Exp(-y)
	leftX, leftY := -math.Expm1(-x), -math.Expm1(-y) // P_n
	sum := 0.0
	for n := 1; n <= crossedTerms; n++ {
		add := leftX * leftY
		sum += add
		if add < 1e-14*sum {
			break
		}
		termX, termY = termX*x/float64(n), termY*y/float64(n)
		leftX, leftY = max(leftX-termX, 0), max(leftY-termY, 0)
	}
	return min(sum/y, 1)
}

// Exchanger is a radiator: coolant inside, air outside.
type Exchanger struct {
	Passage Passage
	// Conductance U·A at the rated air flow; it follows the air flow to the power
	// 0.6, the film on the air side being the larger resistance by far.
	Conductance unit.ThermalConductance
	AirRated    unit.MassFlow
}

// airFilmPower is how U·A of a radiator follows its air flow.
// Source: from-memory (0.5 to 0.7 for louvred fins).
const airFilmPower = 0.6

// Exchange returns what the coolant stream W gives over the difference of its
// inlet to the air's inlet: K = ε·W_min, zero without flow or air.
func (x Exchanger) Exchange(coolant unit.ThermalConductance, air unit.MassFlow) unit.ThermalConductance {
	w := float64(air) * airHeat
	least, most := min(float64(coolant), w), max(float64(coolant), w)
	if least <= 0 || x.AirRated <= 0 {
		return 0
	}
	ua := float64(x.Conductance) * math.Pow(float64(air/x.AirRated), airFilmPower)
	return unit.ThermalConductance(x.Passage.Effectiveness(ua/least, least/most) * least)
}
