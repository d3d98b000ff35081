#!/usr/bin/env python3
"""One drive run on the same equations by SciPy, for TestScipyRepeatsADriveRun.

Reads one JSON object from standard input, writes one to standard output.
Power at the terminals is constant over each second of the schedule. Charge and
the two RC voltages are integrated as a differential equation,

    dq/dt  = -I,   dV_k/dt = (I*R_k - V_k)/tau_k,
    P      = I*(OCV(q) - V_1 - V_2 - I*R0)      (smaller root)

with the tables read linearly, by an explicit Runge-Kutta pair of order 5(4)
with relative tolerance 1e-9. Nothing is shared with the Go program but the
equations and the input.
"""
import json
import sys

import numpy as np
from scipy.integrate import solve_ivp

p = json.load(sys.stdin)
speed = np.asarray(p["speed_mps"])
G = 9.80665


def terminal_power(v0, v1):
    v = 0.5 * (v0 + v1)
    if v == 0.0:
        return p["loss_constant_w"] / p["inverter"] + p["idle_w"] + p["aux_w"], 0.0
    force = (p["mass_kg"] * G * p["rolling"] + 0.5 * p["density"] * p["drag_area_m2"] * v * v
             + (p["mass_kg"] + p["rotating_kg"]) * (v1 - v0))
    omega = v * p["ratio"] / p["radius_m"]
    if force >= 0:
        torque = force * p["radius_m"] / (p["ratio"] * p["gear"])
        sign = 1.0
    else:
        lo, hi = p["fade_to_mps"], p["fade_from_mps"]
        share = p["share"] * min(1.0, max(0.0, (v - lo) / (hi - lo)))
        torque = -force * share * p["radius_m"] * p["gear"] / p["ratio"]
        sign = -1.0

    def dc(t):
        loss = p["k_copper"] * t * t + p["k_iron"] * omega + p["k_windage"] * omega ** 3 + p["loss_constant_w"]
        ac = sign * t * omega + loss
        return (ac / p["inverter"] if ac >= 0 else ac * p["inverter"]) + p["idle_w"] + p["aux_w"]

    power = dc(torque)
    if sign < 0:
        power = min(power, dc(0.0))
    return power, max(force, 0.0) * v


soc = np.linspace(0.0, 1.0, len(p["ocv_v"]))
ocv, r0, r1, tau1, r2, tau2 = (np.asarray(p[k]) for k in ("ocv_v", "r0_ohm", "r1_ohm", "tau1_s", "r2_ohm", "tau2_s"))
cells = p["series"] * p["parallel"]
joint = p["joints_ohm"] * p["parallel"] / p["series"]


def current(z, v1, v2, power):
    e = np.interp(z, soc, ocv) - v1 - v2
    r = np.interp(z, soc, r0) + joint
    return 2.0 * power / (e + np.sqrt(e * e - 4.0 * r * power))


def voltage(z, v1, v2, power):
    i = current(z, v1, v2, power)
    return np.interp(z, soc, ocv) - v1 - v2 - i * (np.interp(z, soc, r0) + joint)


def right_side(_, y, power):
    z, v1, v2 = y
    i = current(z, v1, v2, power)
    return [-i / p["capacity_as"],
            (i * np.interp(z, soc, r1) - v1) / np.interp(z, soc, tau1),
            (i * np.interp(z, soc, r2) - v2) / np.interp(z, soc, tau2)]


y = np.array([p["soc_start"], 0.0, 0.0])
energy = traction = distance = 0.0
lowest = np.inf
for v0, v1 in zip(speed[:-1], speed[1:]):
    total, wheels = terminal_power(v0, v1)
    power = total / cells
    y = solve_ivp(right_side, (0.0, 1.0), y, args=(power,), method="RK45", rtol=1e-9, atol=1e-12).y[:, -1]
    energy += total
    traction += wheels
    distance += 0.5 * (v0 + v1)
    lowest = min(lowest, voltage(*y, power) * p["series"])

json.dump({"soc_end": y[0], "v1_end_v": y[1], "v2_end_v": y[2], "energy_j": energy, "traction_j": traction,
           "distance_m": distance, "voltage_min_v": lowest}, sys.stdout)
