package heat

import (
	"errors"
	"fmt"
	"math"

	"packyard/internal/num"
	"packyard/unit"
)

// Errors of a network.
var (
	ErrNetwork = errors.New("thermal network cannot be computed")
	ErrStep    = errors.New("thermal step cannot be computed")
)

// Node is a place of a network with one temperature: below zero for
// surroundings, whose temperature is set and not computed.
type Node int

// LinkID and StreamID name a link or stream whose figures change.
type (
	LinkID   int
	StreamID int
)

// Network is a thermal network of lumped places. Put it together with Source,
// Mass, Surroundings, Link and Stream, then Start it, then Step it. It serves
// one goroutine. See the package comment for equations and the step.
type Network struct {
	names    []string
	capacity []float64 // J/K, by node
	fixed    []float64 // W put into the node besides the heat of Step, by node
	sources  int
	outside  []surrounding
	links    []link
	streams  []stream

	matrix   *num.Sparse
	stale    bool    // figures have changed since the factors were made
	step     float64 // s, that the factors are made for
	place    []int   // row of each node
	perStep  []float64
	input    []float64 // W by row, without the heat of Step
	stage    []float64 // K by row, first stage
	next     []float64 // K by row, second stage
	now      []float64 // K by row
	outlets  []outlet
	fixedSum float64   // W, sum of fixed
	enters   []float64 // W/K by node, of check: streams in less streams out
	through  []float64 // W/K by node, of check: both together
	kelvin   []float64 // K by node: what Temperatures returns
	start    []float64 // K by node, when started
	account  account
}

type surrounding struct {
	name   string
	kelvin float64
	taken  float64 // J, net, since the start
}

type link struct {
	a, b Node
	g    float64 // W/K
}

type stream struct {
	up, down, wall Node
	flow           float64 // W/K, mass flow times specific heat
	exchange       float64 // W/K, with the wall, over the temperature of up
	walled         bool
}

// outlet is heat that leaves for surroundings: g·(T of row − T outside).
type outlet struct {
	row, outside int
	g            float64
}

type account struct{ heat, fixed, time float64 }

// gamma makes the step L-stable and of second order.
// Source: alexander-1977.
var gamma = 1 - math.Sqrt2/2

// Source adds a node that is given its heat by Step. Sources come before all
// other nodes, so that they are entries 0, 1, … of Temperatures in the order
// in which they were added. Capacity must be above zero.
func (n *Network) Source(name string, capacity unit.HeatCapacity) Node {
	n.sources++
	return n.Mass(name, capacity)
}

// Mass adds a node without heat of its own. A capacity of zero makes its
// temperature follow at once.
func (n *Network) Mass(name string, capacity unit.HeatCapacity) Node {
	n.names = append(n.names, name)
	n.capacity = append(n.capacity, float64(capacity))
	n.fixed = append(n.fixed, 0)
	return Node(len(n.names) - 1)
}

// Surroundings adds a place at a temperature that is set: the air outside, the
// road, an evaporator.
func (n *Network) Surroundings(name string, t unit.Temperature) Node {
	n.outside = append(n.outside, surrounding{name: name, kelvin: float64(t)})
	return Node(-len(n.outside))
}

// Link joins two nodes by a conductance: q = G·(T_a − T_b).
func (n *Network) Link(a, b Node, g unit.ThermalConductance) LinkID {
	n.links = append(n.links, link{a, b, float64(g)})
	return LinkID(len(n.links) - 1)
}

// Stream lets a fluid carry heat from up to down: W·T_up leaves up and enters
// down, W being mass flow times specific heat. What enters a node must leave
// it (Start holds it to that). Surroundings may stand at either end.
func (n *Network) Stream(up, down Node, flow unit.ThermalConductance) StreamID {
	n.streams = append(n.streams, stream{up: up, down: down, flow: float64(flow)})
	return StreamID(len(n.streams) - 1)
}

// StreamAlong is Stream along a wall, which takes K·(T_up − T_wall) on the way.
// With K = W·(1 − e^(−h·A/W)), see Film.Exchange, and down the fluid within, down
// takes in steady state exactly the temperature that leaves a duct of one wall
// temperature. K must be 0 to W.
func (n *Network) StreamAlong(up, down, wall Node, flow, exchange unit.ThermalConductance) StreamID {
	n.streams = append(n.streams, stream{up, down, wall, float64(flow), float64(exchange), true})
	return StreamID(len(n.streams) - 1)
}

// SetLink changes a conductance.
func (n *Network) SetLink(id LinkID, g unit.ThermalConductance) {
	if l := &n.links[id]; l.g != float64(g) {
		l.g, n.stale = float64(g), true
	}
}

// SetStream changes flow and exchange of a stream.
func (n *Network) SetStream(id StreamID, flow, exchange unit.ThermalConductance) {
	if s := &n.streams[id]; s.flow != float64(flow) || s.exchange != float64(exchange) {
		s.flow, s.exchange, n.stale = float64(flow), float64(exchange), true
	}
}

// SetSurroundings changes the temperature of surroundings.
func (n *Network) SetSurroundings(o Node, t unit.Temperature) {
	if s := &n.outside[-o-1]; s.kelvin != float64(t) {
		s.kelvin, n.stale = float64(t), true
	}
}

// SetHeat sets the heat put into any node from now on besides that of Step: a
// heater in the coolant, negative what a chiller takes.
func (n *Network) SetHeat(at Node, p unit.Power) {
	if n.fixed[at] != float64(p) {
		n.fixed[at], n.stale = float64(p), true
	}
}

// Sources returns the number of sources.
func (n *Network) Sources() int { return n.sources }

// Nodes returns the names of the nodes, sources first, as Temperatures has them.
func (n *Network) Nodes() []string { return n.names }

// Temperatures returns the temperatures of the nodes in K, length Nodes,
// sources first. The slice is the network's own and changes with Step.
func (n *Network) Temperatures() []float64 { return n.kelvin }

// Start checks the network and sets all nodes to one temperature. It may be
// called again to begin anew. Error: ErrNetwork.
func (n *Network) Start(t unit.Temperature) error {
	if err := n.check(); err != nil {
		return err
	}
	if !(t > 0) || math.IsInf(float64(t), 0) {
		return fmt.Errorf("%w: temperature at the start %g K: it must be above 0", ErrNetwork, float64(t))
	}
	if n.matrix == nil {
		if err := n.shape(); err != nil {
			return err
		}
	}
	for i := range n.kelvin {
		n.kelvin[i], n.start[i], n.now[i] = float64(t), float64(t), float64(t)
	}
	n.account, n.stale = account{}, true
	for i := range n.outside {
		n.outside[i].taken = 0
	}
	return nil
}

// SetTemperature sets one node, after Start and before the first Step: a body
// that begins warmer than the rest.
func (n *Network) SetTemperature(at Node, t unit.Temperature) {
	n.kelvin[at], n.start[at], n.now[n.place[at]] = float64(t), float64(t), float64(t)
}

// shape lays out the matrix and the buffers.
func (n *Network) shape() error {
	var at [][2]int
	add := func(a, b Node) {
		if a >= 0 && b >= 0 {
			at = append(at, [2]int{int(a), int(b)})
		}
	}
	for _, l := range n.links {
		add(l.a, l.b)
	}
	for _, s := range n.streams {
		add(s.up, s.down)
		if s.walled {
			add(s.down, s.wall)
			add(s.up, s.wall)
		}
	}
	m, err := num.NewSparse(len(n.names), at)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrNetwork, err)
	}
	n.matrix = m
	n.place = make([]int, len(n.names))
	for i := range n.place {
		n.place[i] = m.Place(i)
	}
	for _, b := range []*[]float64{&n.perStep, &n.input, &n.stage, &n.next, &n.now, &n.kelvin, &n.start} {
		*b = make([]float64, len(n.names))
	}
	n.outlets = make([]outlet, 0, 2*len(n.links)+4*len(n.streams))
	return nil
}
