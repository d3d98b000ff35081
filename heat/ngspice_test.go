package heat_test

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
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

// A pack of six unequal groups with holders, plates and a ring of coolant under
// heat that steps up and down, against the same network as a circuit. The
// circuit is solved in steps of at most 0.25 s.
func TestNetworkFollowsItsElectricalAnalogue(t *testing.T) {
	t.Parallel()
	ngspice := checktest.Tool(t, "ngspice")
	var a analogue
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
	const end, edge, period = 1800, 1e-3, 300
	// Heat of group i: 30 + 5·i watts in every second period, none in the others.
	deck := []string{"thermal network as a circuit"}
	deck = append(deck, a.cards...)
	for i := range groups {
		q := 30 + 5*float64(i)
		points := []string{"0 " + fmt.Sprint(q)}
		for k := 1; k*period < end; k++ {
			before, after := q, 0.0
			if k%2 == 0 {
				before, after = after, before
			}
			points = append(points, fmt.Sprintf("%d %g", k*period, before), fmt.Sprintf("%.6f %g", float64(k*period)+edge, after))
		}
		deck = append(deck, fmt.Sprintf("I%d 0 %s PWL(%s)", i, a.names[groups[i]], strings.Join(points, " ")))
	}
	dir := t.TempDir()
	out := filepath.Join(dir, "out.txt")
	deck = append(deck, ".options reltol=1e-7 abstol=1e-9 vntol=1e-9 method=gear", ".control", "set wr_singlescale", "set numdgt=12",
		fmt.Sprintf("tran 60 %d 0 0.25 uic", end), "linearize", "wrdata "+out+" "+strings.Join(a.names, " "), "quit", ".endc", ".end")
	file := filepath.Join(dir, "heat.cir")
	if err := os.WriteFile(file, []byte(strings.Join(deck, "\n")), 0o644); err != nil {
		t.Fatal(err)
	}
	if text, err := exec.Command(ngspice, "-b", file).CombinedOutput(); err != nil {
		t.Fatalf("ngspice: %v\n%s", err, text)
	}
	text, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	if err := a.net.Start(293.15); err != nil {
		t.Fatal(err)
	}
	q := make([]float64, len(groups))
	done, compared := 0, 0
	for line := range strings.Lines(string(text)) {
		f := strings.Fields(line)
		at, err := strconv.ParseFloat(f[0], 64)
		if err != nil || len(f) != len(a.names)+1 {
			t.Fatalf("line %q of ngspice: %v", line, err)
		}
		for ; done < int(at+0.5); done++ {
			for i := range q {
				q[i] = 0
				if done/period%2 == 0 {
					q[i] = 30 + 5*float64(i)
				}
			}
			if err := a.net.Step(q, 1); err != nil {
				t.Fatal(err)
			}
		}
		for i := range a.names {
			want, err := strconv.ParseFloat(f[i+1], 64)
			if err != nil {
				t.Fatal(err)
			}
			// Steps of 1 s and of 0.25 s, both of second order, read a minute after an edge
			// of the heat, when only slow modes are left: 1.2e-5 K was found.
			checktest.Near(t, fmt.Sprintf("rise of %s at %g s, K", a.names[i], at), a.net.Temperatures()[i]-293.15, want, 1e-4, 0, "ngspice on the same network")
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
