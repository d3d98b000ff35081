package heat

import (
	"math"

	"packyard/unit"
)

// Account is the energy of a network since its start: what came in, what
// stayed, what left. Each is summed by itself.
type Account struct {
	Time   unit.Time
	Heat   unit.Energy // of Step, into the sources
	Other  unit.Energy // of SetHeat, net
	Stored unit.Energy // Σ C·(T − T at the start)
	Left   unit.Energy // taken by all surroundings, net
	Least  unit.Energy // what warms the whole by a millikelvin: below it rounding counts
}

// Missing returns what the account does not close by, as a share of the
// largest of its entries, dimensionless: (Heat + Other − Stored − Left)/max.
func (a Account) Missing() float64 {
	most := 0.0
	for _, e := range []unit.Energy{a.Heat, a.Other, a.Stored, a.Left, a.Least} {
		most = math.Max(most, math.Abs(float64(e)))
	}
	if most == 0 {
		return 0
	}
	return float64(a.Heat+a.Other-a.Stored-a.Left) / most
}

// Account returns the energy since Start.
func (n *Network) Account() Account {
	a := Account{Time: unit.Time(n.account.time), Heat: unit.Energy(n.account.heat), Other: unit.Energy(n.account.fixed)}
	for i, c := range n.capacity {
		a.Stored += unit.Energy(c * (n.kelvin[i] - n.start[i]))
		a.Least += unit.Energy(c * 1e-3)
	}
	for i := range n.outside {
		a.Left += unit.Energy(n.outside[i].taken)
	}
	return a
}

// Taken returns the energy that one of the surroundings has taken since Start,
// negative when it gave.
func (n *Network) Taken(o Node) unit.Energy { return unit.Energy(n.outside[-o-1].taken) }
