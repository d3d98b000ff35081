package drive

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"packyard/check/checktest"
	"packyard/unit"
)

// No group of a random unequal pack is ever outside its limits, whatever power
// is asked for, and the record tells of every step in which less was given.
func TestNoGroupPassesItsLimits(t *testing.T) {
	t.Parallel()
	tb := groupTable(t)
	seen := map[Limiter]int{}
	checktest.Check(t, func(q *rapid.T) {
		strings := rapid.IntRange(1, 2).Draw(q, "strings")
		p := packOf(rapid.IntRange(5, 30).Draw(q, "series"), strings)
		n := p.Topology.Series * strings
		start := unequal(n, rapid.Uint64().Draw(q, "seed"))
		mean := rapid.SampledFrom([]float64{-25, -15, 0, 20, 40, 45, 58}).Draw(q, "celsius")
		charge := rapid.SampledFrom([]float64{0.04, 0.1, 0.5, 0.9, 1}).Draw(q, "charge")
		for i := range start {
			start[i].Temperature += unit.Temperature(mean - 20)
			if i >= p.Topology.Series { // strings of unlike charge even themselves out by more than any limit: that is not what is tried here
				start[i] = start[i-p.Topology.Series]
			}
			start[i].Charge = unit.Ratio(math.Min(charge+0.02*float64(start[i].CapacityShare), 1))
		}
		off := rapid.Bool().Draw(q, "hard limits")
		g, err := NewGroups(tb, p, GroupOptions{Start: start, Derating: Derating{Off: off}})
		if err != nil {
			q.Fatal(err)
		}
		less := 0
		scale := float64(p.Topology.Series*strings) * 4 * 100
		for range 150 {
			ask := rapid.Float64Range(-2, 6).Draw(q, "share of 1 C power") * scale
			s, err := g.StepPower(unit.Power(ask))
			if err != nil {
				q.Fatal(err)
			}
			checkGroups(q, g, s, ask)
			if s.Limiter != LimitNone {
				less++
				seen[s.Limiter]++
			}
		}
		events := 0.0
		for _, e := range g.Record().Events() {
			events += float64(e.To - e.From)
			if e.Limiter == LimitNone || e.Group < -1 || e.Group >= n {
				q.Errorf("event %+v", e)
			}
		}
		if math.Abs(events-float64(less)) > 1e-6 {
			q.Errorf("%d steps gave less than was asked for, the record tells of %g", less, events)
		}
	})
	for _, l := range []Limiter{LimitVoltage, LimitVoltageMax, LimitCurrent, LimitTemperature, LimitEmpty, LimitFull} {
		if seen[l] == 0 {
			t.Errorf("%q never limited: the case does not try it", l)
		}
	}
}

// checkGroups looks at a step from outside.
func checkGroups(q *rapid.T, g *Groups, s GroupStep, ask float64) {
	p := float64(s.Power)
	if math.IsNaN(p+float64(s.Current)+float64(s.Voltage)) || s.Limiter == LimitNone && math.Abs(p-ask) > 1e-9*math.Abs(ask)+1e-6 {
		q.Fatalf("asked for %g W, given without a limit: %+v", ask, s)
	}
	if math.Abs(p) > math.Abs(ask)*(1+1e-9)+1e-6 || p*ask < -1e-9 {
		q.Fatalf("asked for %g W, given %g W", ask, p)
	}
	amps := g.table.capacity / 3600 * g.cells
	for i, u := range g.Voltages() {
		cur := g.str[i/g.series].cur
		t := unit.Temperature(g.fixed.read[i])
		if cur > 0 {
			if u < g.table.voltageMin-1e-9 {
				q.Fatalf("group %d: %g V at %g A: %+v", i, u, cur, s)
			}
			if most := float64(g.table.limits.DischargeRate(t, 10)) * amps; cur > most*(1+1e-9)+1e-9 {
				q.Fatalf("group %d: %g A, peak %g A at %g K: %+v", i, cur, most, float64(t), s)
			}
		}
		if cur < 0 {
			if u > g.table.voltageMax+1e-9 {
				q.Fatalf("group %d: %g V at %g A: %+v", i, u, cur, s)
			}
			if most := float64(g.table.limits.ChargeRate(t, 10)) * amps; -cur > most*(1+1e-9)+1e-9 {
				q.Fatalf("group %d: %g A, peak %g A at %g K: %+v", i, cur, most, float64(t), s)
			}
		}
		if x := g.now.x[i]; x > g.full*(1+1e-12) || x < g.floor-1e-9 {
			q.Fatalf("group %d: charge %g of %g to %g: %+v", i, x, g.floor, g.full, s)
		}
	}
}

// The law of derating by voltage: above the band the whole peak current, within
// it I = I_peak·(U − U_min)/B, at the lowest voltage nothing.
func TestDeratingByVoltageFollowsItsLaw(t *testing.T) {
	t.Parallel()
	const band = 0.1
	last := math.Inf(1)
	for z := 0.30; z > 0.001; z -= 0.005 {
		p := packOf(10, 1)
		p.SoCMin = 0
		g := groups(t, p, GroupOptions{Charge: unit.Ratio(z), Derating: Derating{Voltage: band}})
		l := g.DischargeLimit()
		peak := 5 * 50 * 2.0
		s, err := g.StepCurrent(1e6)
		if err != nil {
			t.Fatal(err)
		}
		checktest.Near(t, "current given over that announced", float64(s.Current), float64(l.Current), 0, 1e-9, "the engine itself")
		if l.Limiter == LimitVoltage {
			checktest.Near(t, "current in the band, A", float64(s.Current), peak*(float64(s.VoltageMin)-2.8)/band, 1e-9, 1e-9, "law of derating, docs/method/drive.md")
		} else if l.Limiter == LimitCurrent {
			checktest.Near(t, "current above the band, A", float64(s.Current), peak, 0, 1e-9, "limits of the cell")
			if s.VoltageMin < 2.8+band-1e-9 {
				t.Errorf("charge %.3f: the whole current at %g V, inside the band", z, float64(s.VoltageMin))
			}
		}
		if float64(s.Current) > last*(1+1e-12) {
			t.Errorf("charge %.3f: %g A is more than at a higher charge", z, float64(s.Current))
		}
		last = float64(s.Current)
	}
	if last > 0.4*500 {
		t.Errorf("near empty the pack still gives %g A: the band was hardly entered", last)
	}
}

// Over the last kelvins before the hottest temperature with a limit the current
// falls in a straight line, and is nothing beyond.
func TestDeratingByTemperatureFollowsItsLaw(t *testing.T) {
	t.Parallel()
	g := groups(t, packOf(12, 1), GroupOptions{Charge: 0.9})
	temp := append([]float64(nil), g.Temperatures()...)
	for _, c := range []struct{ celsius, share float64 }{{50, 1}, {55, 1}, {56, 0.8}, {57.5, 0.5}, {59, 0.2}, {60, 0}, {70, 0}} {
		temp[7] = 273.15 + c.celsius
		if err := g.SetTemperatures(temp); err != nil {
			t.Fatal(err)
		}
		l := g.DischargeLimit()
		checktest.Near(t, "current over that of cool cells", float64(l.Current)/500, c.share, 1e-9, 0, "law of derating, docs/method/drive.md")
		if c.share < 1 && (l.Limiter != LimitTemperature || l.Group != 7) {
			t.Errorf("at %g °C the limiter is %q of group %d, want the temperature of group 7", c.celsius, l.Limiter, l.Group)
		}
	}
}

// Peak current may flow in full until half of the ten-second counter is used,
// then its square falls to that of the continuous current with 5 s.
func TestOverloadFallsExponentially(t *testing.T) {
	t.Parallel()
	p := packOf(10, 1)
	g := groups(t, p, GroupOptions{Charge: 0.9, Step: 0.1})
	const peak, cont = 500.0, 300.0
	for k := 1; k <= 300; k++ {
		s, err := g.StepCurrent(1e6)
		if err != nil {
			t.Fatal(err)
		}
		at := float64(k) * 0.1
		want := peak * peak
		if at > 5 {
			want = cont*cont + (peak*peak-cont*cont)*math.Exp(-(at-5)/5)
		}
		// The counter is brought up at the end of a step: one step is 2 % of 5 s.
		checktest.Near(t, "square of the current over continuous, A²", float64(s.Current*s.Current)-cont*cont, want-cont*cont, 0.0205*(peak*peak-cont*cont), 0, "law of derating, docs/method/drive.md")
	}
}

// The weakest group is the one that is said to limit.
func TestTheWeakestGroupLimits(t *testing.T) {
	t.Parallel()
	start := make([]GroupStart, 20)
	for i := range start {
		start[i] = GroupStart{Charge: 0.12, CapacityShare: 1, ResistanceGrowth: 1, Temperature: unit.Celsius(25)}
	}
	start[13].ResistanceGrowth = 3
	g := groups(t, packOf(20, 1), GroupOptions{Start: start})
	s, err := g.StepCurrent(480)
	if err != nil || s.Limiter != LimitVoltage || s.Group != 13 || s.GroupMin != 13 {
		t.Errorf("a group of three times the resistance: %+v, %v; want group 13 by voltage", s, err)
	}
	start[13].ResistanceGrowth, start[4].Charge = 1, 0.051
	g = groups(t, packOf(20, 1), GroupOptions{Start: start})
	for range 60 {
		if s, err = g.StepCurrent(30); err != nil || s.Limiter == LimitEmpty {
			break
		}
	}
	if z, at := g.Charge(); s.Limiter != LimitEmpty || s.Group != 4 || at != 4 || math.Abs(float64(z)-0.05) > 1e-12 {
		t.Errorf("the emptiest group: %+v, charge of the pack %g of group %d; want group 4 at 0.05", s, float64(z), at)
	}
	start[4].Charge, start[9].Charge = 0.12, 1
	g = groups(t, packOf(20, 1), GroupOptions{Start: start})
	if s, err = g.StepCurrent(-30); err != nil || s.Group != 9 || s.Current > 1e-9 && s.Current < -1e-3 || s.Limiter == LimitNone {
		t.Errorf("charging with one full group: %+v, %v", s, err)
	}
	e := g.Record().Events()
	if len(e) != 1 || e[0].Group != 9 || !e[0].Charging {
		t.Errorf("record %+v", e)
	}
}

// Groups of unequal charge and capacity give until one of them is empty.
func TestEnergyLeftIsWhatADischargeGives(t *testing.T) {
	t.Parallel()
	g := groups(t, packOf(30, 1), GroupOptions{Start: unequal(30, 8), NoLimits: true, Step: 10})
	left := float64(g.EnergyLeft())
	sum := 0.0
	for {
		b := stateOf(g)
		if z, _ := g.Charge(); z <= 0.0501 {
			break
		}
		if _, err := g.StepCurrent(3); err != nil {
			t.Fatal(err)
		}
		for i := range b.x {
			sum += g.table.energy(g.now.x[i], b.x[i]) * g.fixed.capacity[i] / g.full
		}
	}
	checktest.Near(t, "energy of the open-circuit voltages, J", sum+float64(g.EnergyLeft()), left, 0, 1e-9, "area under the open-circuit voltage")
}
