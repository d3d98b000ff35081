package heat

import (
	"fmt"
	"math"

	"packyard/unit"
)

// check holds the parts of the network against what can be computed.
func (n *Network) check() error {
	bad := func(format string, a ...any) error {
		return fmt.Errorf("%w: "+format, append([]any{ErrNetwork}, a...)...)
	}
	if len(n.names) == 0 {
		return bad("it has no node")
	}
	notNegative := func(v float64) bool { return v >= 0 && !math.IsInf(v, 0) }
	for i, c := range n.capacity {
		if !notNegative(c) || i < n.sources && c == 0 {
			return bad("heat capacity of %s is %g J/K: it must be above 0 for a source, 0 or more for another node", n.names[i], c)
		}
	}
	known := func(a Node) bool { return int(a) < len(n.names) && -int(a) <= len(n.outside) }
	for _, l := range n.links {
		if !known(l.a) || !known(l.b) || l.a == l.b || !notNegative(l.g) {
			return bad("link of %s and %s with %g W/K: two different nodes and 0 W/K or more are needed", n.name(l.a), n.name(l.b), l.g)
		}
	}
	for _, s := range n.outside {
		if !(s.kelvin > 0) || math.IsInf(s.kelvin, 0) {
			return bad("temperature of %s is %g K: it must be above 0", s.name, s.kelvin)
		}
	}
	if len(n.enters) != len(n.names) {
		n.enters, n.through = make([]float64, len(n.names)), make([]float64, len(n.names))
	}
	enters, through := n.enters, n.through
	clear(enters)
	clear(through)
	for _, s := range n.streams {
		if !known(s.up) || !known(s.down) || s.up == s.down || s.walled && !known(s.wall) || !notNegative(s.flow) || !(s.exchange >= 0 && s.exchange <= s.flow) {
			return bad("stream from %s to %s of %g W/K that exchanges %g W/K: the exchange must be 0 to the flow", n.name(s.up), n.name(s.down), s.flow, s.exchange)
		}
		if s.down >= 0 {
			enters[s.down] += s.flow
			through[s.down] += s.flow
		}
		if s.up >= 0 {
			enters[s.up] -= s.flow
			through[s.up] += s.flow
		}
	}
	for i, d := range enters {
		if math.Abs(d) > 1e-9*through[i] {
			return bad("%g W/K of fluid more enter %s than leave it: they must be the same", d, n.names[i])
		}
	}
	return nil
}

// name returns what a node is called.
func (n *Network) name(a Node) string {
	switch {
	case a >= 0 && int(a) < len(n.names):
		return n.names[a]
	case a < 0 && -int(a) <= len(n.outside):
		return n.outside[-a-1].name
	}
	return fmt.Sprintf("node %d", int(a))
}

// assemble makes the factors for steps of d seconds.
func (n *Network) assemble(d float64) error {
	if err := n.check(); err != nil {
		return err
	}
	n.matrix.Clear()
	clear(n.input)
	n.outlets, n.fixedSum = n.outlets[:0], 0
	for i, c := range n.capacity {
		n.matrix.Add(i, i, c/(gamma*d))
		n.perStep[n.place[i]] = c / (gamma * d)
		n.input[n.place[i]] += n.fixed[i]
		n.fixedSum += n.fixed[i]
	}
	for _, l := range n.links {
		n.flow(l.a, l.a, l.g)
		n.flow(l.a, l.b, -l.g)
		n.flow(l.b, l.b, l.g)
		n.flow(l.b, l.a, -l.g)
	}
	for _, s := range n.streams {
		n.flow(s.up, s.up, s.flow)
		n.flow(s.down, s.up, s.exchange-s.flow)
		if s.walled {
			n.flow(s.down, s.wall, -s.exchange)
			n.flow(s.wall, s.wall, s.exchange)
			n.flow(s.wall, s.up, -s.exchange)
		}
	}
	if err := n.matrix.Factor(); err != nil {
		return fmt.Errorf("%w: a step of %g s: %w", ErrStep, d, err)
	}
	n.step, n.stale = d, false
	return nil
}

// flow books heat g·T_of that leaves node from. Where from is outside, it is
// the negative of what the outside takes; where of is outside, it is known.
func (n *Network) flow(from, of Node, g float64) {
	switch {
	case from >= 0 && of >= 0:
		n.matrix.Add(int(from), int(of), g)
	case from >= 0:
		n.input[n.place[from]] -= g * n.outside[-of-1].kelvin
	case of >= 0:
		n.outlets = append(n.outlets, outlet{n.place[of], int(-from - 1), -g})
	default:
		n.outlets = append(n.outlets, outlet{-1, int(-from - 1), -g * n.outside[-of-1].kelvin})
	}
}

// Step lets d pass with heat[i] in W put into source i, positive into the node,
// length Sources, constant over the step. Any d above zero is stable. Errors:
// ErrStep for a length, a value or a step that cannot be; ErrNetwork when a
// figure set since Start cannot be. The state is then as it was. Nothing is
// allocated.
//
// With L the matrix of conductances and flows, s the heat put in,
// γ = 1 − √½:
//
//	(C/(γ·d) + L)·Y₁ = C/(γ·d)·T + s
//	(C/(γ·d) + L)·Y₂ = C/(γ·d)·(T + (1−γ)/γ·(Y₁ − T)) + s,   T ← Y₂
//
// What leaves for surroundings is taken at (1−γ)·Y₁ + γ·Y₂, with which the
// account of energy closes exactly. A node whose time constant is far shorter
// than the step may pass its new temperature by up to (√2 − 1)/2 of the change,
// a fifth, once. Source: alexander-1977.
func (n *Network) Step(heat []float64, d unit.Time) error {
	dt := float64(d)
	if len(heat) != n.sources || n.matrix == nil {
		return fmt.Errorf("%w: %d heats for %d sources of a started network", ErrStep, len(heat), n.sources)
	}
	if n.stale || dt != n.step {
		if !(dt > 0) || math.IsInf(dt, 0) {
			return fmt.Errorf("%w: a step of %g s: it must be above 0", ErrStep, dt)
		}
		if err := n.assemble(dt); err != nil {
			n.stale = true
			return err
		}
	}
	sum := 0.0
	y, z, now, per, place := n.stage, n.next, n.now, n.perStep, n.place
	copy(y, n.input)
	for i, q := range heat {
		y[place[i]] += q
		sum += q
	}
	if math.IsNaN(sum - sum) {
		return fmt.Errorf("%w: a heat that is not a finite number among %d", ErrStep, len(heat))
	}
	const back = 2.414213562373095 // (1−γ)/γ = 1 + √2
	for i, s := range y {
		y[i] = per[i]*now[i] + s
		z[i] = s
	}
	n.matrix.Solve(y)
	for i, s := range z {
		z[i] = per[i]*(now[i]+back*(y[i]-now[i])) + s
	}
	n.matrix.Solve(z)
	for _, o := range n.outlets {
		t := 1.0
		if o.row >= 0 {
			t = (1-gamma)*y[o.row] + gamma*z[o.row]
		}
		n.outside[o.outside].taken += o.g * t * dt
	}
	n.now, n.next = z, now
	for i, p := range place {
		n.kelvin[i] = z[p]
	}
	n.account.heat += sum * dt
	n.account.fixed += n.fixedSum * dt
	n.account.time += dt
	return nil
}
