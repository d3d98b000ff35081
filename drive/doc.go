// Package drive drives a vehicle with its pack along a schedule: what the road
// asks, what the drive train makes of it, what the pack can give, and how far
// it goes.
//
// # Model
//
// Demand. A schedule is cut into even steps, one second unless said. Over a
// step from speed v0 to v1 everything is taken at v = (v0+v1)/2:
//
//	F     = a·cosθ + b·v + c·(v+w)·|v+w| + m·g·sinθ + (m+m_rot)·(v1−v0)/Δt
//	T, ω  = F·r/(i·η), v·i/r       (braking: F_m·r·η/i, F_m the part the motor takes)
//	P     = (T·ω + loss(T, ω))/e + P_idle + P_aux      (·e when negative)
//
// The motor takes of the braking what share, low-speed fade, grip, its torque
// and the power limit leave; the friction brakes take the rest. A step that the
// unit cannot give at the full voltage of the pack, or that the driven axle
// cannot pass to the road, is followed at the speed that is reached, and so are
// the steps after it until the schedule is met again: the schedule is capped.
//
// Pack, fidelity "lumped": all cells alike, at one temperature and health, with
// the open-circuit voltage linear and the resistances constant over each of 200
// pieces of charge. Current is constant over a step, RC pairs follow their exact
// exponential, and the power of the step is its mean power:
//
//	P = I·(Ū − Σ f_k·V_k − R·I),  R = R0 + Σ R_k·(1 − f_k) + joints
//	f_k = (1 − e^(−Δt/τ_k))·τ_k/Δt,  V_k ← V_k·e^(−Δt/τ_k) + I·R_k·(1 − e^(−Δt/τ_k))
//	Ū = ∫ OCV dq over the step / its charge, by the antiderivative
//
// Within a piece this is I = 2·P/(E + √(E² − 4·R·P)) with the slope of the
// open-circuit voltage in R; across pieces Newton's method goes on. Mean voltages
// of the RC pairs, not those at the end, enter the power, because only then does
// the energy balance close exactly; voltages at the end of the step, the lowest
// or highest of it, are compared with the limits.
//
// Limits come first: the current of cells and inverter, where ten seconds of
// peak current fill a counter of I² − I_cont² and the continuous current is what
// may flow when it is full; the lowest voltage of the cells; what motor and
// inverter give at the voltage that is left; then at most E²/(4·R). What remains
// is given, and the vehicle is as slow as that makes it. Charging is limited by
// current in the same manner, by the highest voltage of cells and inverter, and
// by a full pack; the friction brakes take what the pack refuses.
//
// A range run repeats the schedule. It ends at the charge floor, or when the
// speed is more than 2 km/h below the schedule for four seconds in a row. A
// vehicle that cannot follow even when full gets the schedule that it can
// follow, says so, and still has a range.
//
// Pack, fidelity "per group": every series group (the cells in parallel of one
// string) with its own capacity, resistance, RC states, charge, temperature and
// health, resistances over charge and temperature. Strings in parallel have one
// mean voltage over a step:
//
//	E_j = Σ (Ū − Σ f·V),  Z_j = Σ (R0 + Σ R·(1 − f)) + joints
//	1/Z = Σ 1/Z_j,  E = Z·Σ E_j/Z_j,  P = I·(E − Z·I),  I_j = (E_j − E + Z·I)/Z_j
//	q = I²·R0 + Σ mean(V²/R) − I·T·dU/dT  into each group
//
// Limits are those of the weakest group: its current by temperature, its voltage
// at the end of the step, its charge floor or its being full. Before a limit the
// controller lowers the current by the laws of Derating, and a Record says who
// limited what and when. Groups is the pack alone, stepped by power or current;
// RangeGroups puts it under a vehicle, and a thermal model beside it.
//
// Pace. From a standstill everything is given that motor, grip and pack allow;
// the speed at the end of a step is the root of the force that is left, with all
// figures at the speed halfway. The motor's peak holds for its stated duration.
// What is held is asked of a pack that gives constant power for that time: ten
// seconds with the peaks, ten minutes with what may flow for ever.
//
// # Assumptions and range
//
// In the fidelity "lumped" temperature and health stay as they are over a run;
// per group the temperatures come from outside, or stay. Auxiliary power is
// constant. Gears lose a share of the power that passes; their drag without load
// counts as part of the road load. On a schedule the torque of the motor may be
// used without regard to how long (Demand.PowerMean shows it). Steps from 0.1 to
// 10 s. Tyres do not slip, and a gear stays in.
//
// # Sources
//
// Wong, Theory of Ground Vehicles, ch. 3, and Gillespie, ch. 1 and 4 (road
// load, grip); Larminie and Lowry, ch. 8 (schedule step by step, loss when
// braking); UN GTR No. 15 (tolerance and break-off, from memory); closed-form RC
// step and circuit law. Measured vehicles: docs/method/road-energy.md.
package drive
