package heat_test

import (
	"fmt"
	"strings"
	"testing"

	"packyard/check/checktest"
	"packyard/heat"
	"packyard/unit"
)

// analogue is one network twice: as thermal nodes and as resistors, capacitors
// and controlled sources, a kelvin of rise being a volt, a watt an ampere.
type analogue struct {
	net   heat.Network
	cards []string
	names []string // of the circuit nodes, by thermal node
}

func (a *analogue) source(c float64) heat.Node {
	a.names = append(a.names, fmt.Sprint("n", len(a.names)))
	a.cards = append(a.cards, fmt.Sprintf("C%d %s 0 %g IC=0", len(a.cards), a.names[len(a.names)-1], c))
	return a.net.Source("source", unit.HeatCapacity(c))
}

func (a *analogue) mass(c float64) heat.Node {
	a.names = append(a.names, fmt.Sprint("n", len(a.names)))
	a.cards = append(a.cards, fmt.Sprintf("C%d %s 0 %g IC=0", len(a.cards), a.names[len(a.names)-1], c))
	return a.net.Mass("mass", unit.HeatCapacity(c))
}

func (a *analogue) name(n heat.Node) string {
	if n < 0 {
		return "0"
	}
	return a.names[n]
}

func (a *analogue) link(x, y heat.Node, g float64) {
	a.cards = append(a.cards, fmt.Sprintf("R%d %s %s %.12g", len(a.cards), a.name(x), a.name(y), 1/g))
	a.net.Link(x, y, unit.ThermalConductance(g))
}

// stream: W·T_up leaves up, (W − K)·T_up + K·T_wall enters down, K·(T_up − T_wall)
// enters the wall.
func (a *analogue) stream(up, down, wall heat.Node, w, k float64) {
	control := func(from, to, by heat.Node, g float64) {
		if by >= 0 {
			a.cards = append(a.cards, fmt.Sprintf("G%d %s %s %s 0 %.12g", len(a.cards), a.name(from), a.name(to), a.name(by), g))
		}
	}
	control(up, down, up, w)
	control(down, wall, up, k)
	control(wall, down, wall, k)
	a.net.StreamAlong(up, down, wall, unit.ThermalConductance(w), unit.ThermalConductance(k))
}

// ring is an invented pack of six unequal groups with holders, plates and a ring
// of coolant through a radiator.
func ring() (*analogue, []heat.Node) {
	a := new(analogue)
	var groups []heat.Node
	for i := range 6 {
		groups = append(groups, a.source(1200+150*float64(i)))
	}
	air := a.net.Surroundings("air", 293.15)
	radiator := a.mass(2500)
	at := radiator
	for m := range 2 {
		holder, plate, liquid := a.mass(900), a.mass(1500+200*float64(m)), a.mass(650)
		for i := 3 * m; i < 3*m+3; i++ {
			a.link(groups[i], plate, 4+float64(i)/2)
			a.link(groups[i], holder, 1.5)
		}
		a.link(groups[3*m], groups[3*m+1], 3)
		a.link(groups[3*m+1], groups[3*m+2], 3)
		a.link(holder, air, 0.8)
		a.stream(at, liquid, plate, 210, 60)
		at = liquid
	}
	a.stream(at, radiator, air, 210, 75)
	return a, groups
}

// The heat of the ring: 30 + 5·i watts of group i in every second period.
const (
	ringEnd    = 1800 // s
	ringPeriod = 300  // s
)

func ringHeat(i, second int) float64 {
	if second/ringPeriod%2 == 1 {
		return 0
	}
	return 30 + 5*float64(i)
}

// solveCircuit runs ngspice on the circuit, in steps of at most 0.25 s, and
// returns rows of the time in s and the rise of each node in K.
func (a *analogue) solveCircuit(t *testing.T, groups []heat.Node) [][]float64 {
	t.Helper()
	const edge = 1e-3
	deck := append([]string{"thermal network as a circuit"}, a.cards...)
	for i := range groups {
		points := []string{"0 " + fmt.Sprint(ringHeat(i, 0))}
		for at := ringPeriod; at < ringEnd; at += ringPeriod {
			points = append(points, fmt.Sprintf("%d %g", at, ringHeat(i, at-1)), fmt.Sprintf("%.6f %g", float64(at)+edge, ringHeat(i, at)))
		}
		deck = append(deck, fmt.Sprintf("I%d 0 %s PWL(%s)", i, a.names[groups[i]], strings.Join(points, " ")))
	}
	return checktest.Ngspice(t, len(a.names)+1, func(out string) []string {
		return append(deck, ".options reltol=1e-7 abstol=1e-9 vntol=1e-9 method=gear", ".control", "set wr_singlescale", "set numdgt=12",
			fmt.Sprintf("tran 60 %d 0 0.25 uic", ringEnd), "linearize", "wrdata "+out+" "+strings.Join(a.names, " "), "quit", ".endc", ".end")
	})
}

// The ring under heat that steps up and down, against the same network as a
// circuit.
func TestNetworkFollowsItsElectricalAnalogue(t *testing.T) {
	t.Parallel()
	a, groups := ring()
	if err := a.net.Start(293.15); err != nil {
		t.Fatal(err)
	}
	q := make([]float64, len(groups))
	done, compared := 0, 0
	for _, row := range a.solveCircuit(t, groups) {
		for ; done < int(row[0]+0.5); done++ {
			for i := range q {
				q[i] = ringHeat(i, done)
			}
			if err := a.net.Step(q, 1); err != nil {
				t.Fatal(err)
			}
		}
		for i, want := range row[1:] {
			// Steps of 1 s and of 0.25 s, both of second order, read a minute after an edge
			// of the heat, when only slow modes are left: 1.2e-5 K was found.
			checktest.Near(t, fmt.Sprintf("rise of %s at %g s, K", a.names[i], row[0]), a.net.Temperatures()[i]-293.15, want, 1e-4, 0, "ngspice on the same network")
			compared++
		}
	}
	if compared < 300 {
		t.Errorf("only %d temperatures were compared", compared)
	}
	if rise := a.net.Temperatures()[0] - 293.15; rise < 2 {
		t.Errorf("group 1 ends %g K above the air: the heat is missing", rise)
	}
}
