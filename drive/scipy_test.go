package drive

import (
	"bytes"
	"encoding/json"
	"os/exec"
	"testing"

	"packyard/check/checktest"
	"packyard/vehicle"
)

// TestScipyRepeatsADriveRun gives US06 to SciPy, which solves the same equations
// as a differential equation of its own making.
func TestScipyRepeatsADriveRun(t *testing.T) {
	t.Parallel()
	python := checktest.Tool(t, "/usr/bin/python3")
	if exec.Command(python, "-c", "import scipy").Run() != nil {
		checktest.Tool(t, "scipy of python3")
	}
	train, s, tb, p := smallVan(), find(t, "us06"), table(segments+1), pack96()
	train.Unit.PowerPeak, train.Unit.TorquePeak = 200e3, 500 // nothing binds
	lim := cellLimits()
	lim.DischargeContinuous, lim.ChargeContinuous = 5, 3
	l, err := LumpedFrom(tb, lim, 1)
	if err != nil {
		t.Fatal(err)
	}
	var r Run
	d := demand(t, train, s, DemandOptions{})
	res, err := r.Range(d, l, p, Options{SoCStart: 0.8, Cycles: 1})
	if err != nil || res.Limited != (Limited{}) || res.Capped.Steps != 0 || res.End != EndCycles {
		t.Fatalf("%+v %v", res, err)
	}
	k := makeChain(&train)
	in, err := json.Marshal(map[string]any{
		"speed_mps": s.Speed, "mass_kg": train.Mass, "rotating_kg": train.MassRotating, "rolling": train.Road.Rolling,
		"density": float64(vehicle.Air{}.Density()), "drag_area_m2": train.Road.DragArea, "radius_m": train.TyreRadius, "ratio": k.ratio, "gear": k.gear,
		"k_copper": k.kc, "k_iron": k.ki, "k_windage": k.kw, "loss_constant_w": k.k0, "inverter": k.inverter, "idle_w": k.idle, "aux_w": k.auxiliary,
		"share": k.share, "fade_from_mps": k.fadeFrom, "fade_to_mps": k.fadeTo,
		"ocv_v": tb.OCV, "r0_ohm": tb.R0, "r1_ohm": tb.R1, "tau1_s": tb.Tau1, "r2_ohm": tb.R2, "tau2_s": tb.Tau2,
		"capacity_as": tb.Capacity, "series": p.Topology.Series, "parallel": p.Topology.Across(), "joints_ohm": p.Resistance, "soc_start": 0.8,
	})
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(python, "testdata/drive_run.py")
	cmd.Stdin = bytes.NewReader(in)
	var said bytes.Buffer
	cmd.Stderr = &said
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v: %s", err, said.String())
	}
	var py struct {
		SoC      float64 `json:"soc_end"`
		V1       float64 `json:"v1_end_v"`
		V2       float64 `json:"v2_end_v"`
		Energy   float64 `json:"energy_j"`
		Traction float64 `json:"traction_j"`
		Distance float64 `json:"distance_m"`
		Lowest   float64 `json:"voltage_min_v"`
	}
	if err := json.Unmarshal(out, &py); err != nil {
		t.Fatal(err)
	}
	const source = "SciPy solve_ivp, RK45, relative tolerance 1e-9, on the same equations"
	// The demand is plain arithmetic.
	checktest.Near(t, "distance, m", float64(res.Distance), py.Distance, 0, 1e-12, source)
	checktest.Near(t, "traction, J", float64(res.Energy.Traction), py.Traction, 0, 1e-12, source)
	checktest.Near(t, "energy at the terminals, J", float64(res.Energy.Terminals), py.Energy, 0, 1e-12, source)
	// Current is constant over a step here and follows the voltage there, and
	// resistances are constant over a piece of charge here and linear there. That
	// is of the second order for the charge; the voltages at the end of a step see
	// the current of that moment: 20 mV of 342 V, and 2 µV in the pairs.
	checktest.Near(t, "charge used", 0.8-float64(res.SoCEnd), 0.8-py.SoC, 0, 2e-6, source)
	checktest.Near(t, "fast pair at the end, V", r.v1, py.V1, 5e-6, 0, source)
	checktest.Near(t, "slow pair at the end, V", r.v2, py.V2, 5e-6, 0, source)
	checktest.Near(t, "lowest voltage, V", float64(res.VoltageMin), py.Lowest, 0, 2e-4, source)
}
