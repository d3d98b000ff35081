package drive

import "testing"

func BenchmarkDemandFill(b *testing.B) {
	s := find(b, "wltc-class3b")
	var d Demand
	t := smallVan()
	if err := d.Fill(t, s, DemandOptions{}); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		t.Mass += 0.001
		if err := d.Fill(t, s, DemandOptions{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)*float64(d.Steps())/b.Elapsed().Seconds(), "steps/s")
}

func BenchmarkRangeWLTC(b *testing.B) {
	t := smallVan()
	t.Mass, t.Road.DragArea = 1.2*tonne, 0.6 // about 20 000 steps to empty
	d := demand(b, t, find(b, "wltc-class3b"), DemandOptions{})
	l, p := lumped(b, segments+1, 1), pack96()
	var r Run
	var steps float64
	b.ReportAllocs()
	for b.Loop() {
		res, err := r.Range(d, l, p, Options{})
		if err != nil {
			b.Fatal(err)
		}
		steps = float64(res.Duration)
	}
	b.ReportMetric(steps, "steps/run")
	b.ReportMetric(float64(b.N)*steps/b.Elapsed().Seconds(), "steps/s")
	b.ReportMetric(b.Elapsed().Seconds()*1e9/(float64(b.N)*steps), "ns/step")
}

// BenchmarkRangeShortOfPower is a pack whose continuous current, lowest voltage
// and charging limits bind often: the slow way of many steps.
func BenchmarkRangeShortOfPower(b *testing.B) {
	d := demand(b, smallVan(), find(b, "wltc-class3b"), DemandOptions{})
	lim := cellLimits()
	lim.DischargePeak, lim.DischargeContinuous, lim.ChargePeak, lim.ChargeContinuous = 4, 0.9, 0.5, 0.2
	l, err := LumpedFrom(table(segments+1), lim, 1)
	if err != nil {
		b.Fatal(err)
	}
	p := pack96()
	var r Run
	var res Result
	b.ReportAllocs()
	for b.Loop() {
		if res, err = r.Range(d, l, p, Options{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(res.Duration), "steps/run")
	b.ReportMetric(float64(res.Limited.Drive()+res.Limited.ChargeCurrent+res.Limited.ChargeVoltage), "limited/run")
	b.ReportMetric(b.Elapsed().Seconds()*1e9/(float64(b.N)*float64(res.Duration)), "ns/step")
}
