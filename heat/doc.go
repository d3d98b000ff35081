// Package heat computes temperatures: a network of lumped places joined by
// conductances and by fluids that carry heat, the films and pressure losses of
// coolant and air, and what radiator, chiller, heater and pump do. It knows no
// schedule; the one who owns the clock steps it.
//
// # Network
//
// Each node has one temperature T and a heat capacity C:
//
//	C_i·dT_i/dt = q_i + Σ G_ij·(T_j − T_i) + Σ W·(T_up − T_i) − Σ K·(T_up − T_wall)
//
// q is the heat put in, G a conductance, W the flow of a fluid (mass flow times
// specific heat), K what the fluid exchanges with a wall on its way. Surroundings
// have a temperature that is set. The step is implicit, of second order and
// L-stable (Network.Step), so that any step is stable, a cold soak in minutes as
// well as a run in seconds; the account of energy closes by construction and is
// summed independently (Network.Account).
package heat
