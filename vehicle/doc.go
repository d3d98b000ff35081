// Package vehicle holds the donor: its mass ledger, its axle and wheel loads,
// its stability and its resistance on the road. It defines the axes of the
// whole program.
//
// # Frame
//
// X points rearward from the front axle line, Y to the left from the centre
// line, Z up from the ground. A driver in a vehicle with the wheel on the left
// sits at positive Y. Loads are given as masses in kg: what a scale under the
// wheel shows.
//
// # Mass ledger
//
// The weighed vehicle, less what is removed, plus what is added and the
// battery, plus a load case. With L the wheelbase, T the track and m, x, y, z of
// each item:
//
//	rear axle  = Σ m·x/L              front axle = Σ m − rear axle
//	left wheel = F/2 + M/T            right wheel = F/2 − M/T
//	M front    = Σ m·y·(1 − x/L)      M rear = Σ m·y·x/L
//
// A rigid body on four wheels is statically indeterminate in its lateral
// split. The share M above is the usual planar assumption: an item loads the
// wheels as it loads the axles. It is exact for items over an axle and for a
// frame soft in torsion; a stiff frame on springs shares by roll stiffness.
//
// # Road load
//
//	F = m·g·Crr·cosθ + ½·ρ·Cd·A·|v+w|·(v+w) + m·g·sinθ + (m + m_rot)·dv/dt
//
// or with the coefficients of a coast-down at their reference mass and density,
// a = A·(m/m_ref), b = B, c = C·(ρ/ρ_ref), in place of the first two terms. The
// headwind w is positive against the vehicle. At standstill no tyre force acts.
//
// # Assumptions and range
//
// Rigid vehicle, level ground for scales, straight road, no side wind, no lift;
// rolling resistance in proportion to the weight; dry air of the standard
// atmosphere's pressure from −500 m to 11 000 m at the temperature given. Speeds
// to about 60 m/s. The equations, sources and tests are in docs/method/vehicle.md.
//
// Sources: T. D. Gillespie, Fundamentals of Vehicle Dynamics, ch. 1, 2 and 4;
// J. Y. Wong, Theory of Ground Vehicles, ch. 3; R. N. Jazar, Vehicle Dynamics,
// ch. 2; ISO 2533; ISO 10521-1; ISO 10392.
package vehicle
