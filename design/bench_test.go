package design_test

import (
	"testing"

	"packyard/design"
	"packyard/unit"
	"packyard/vehicle"
)

// packed returns a candidate of 8 long and 5 short modules, and three bays that
// hold them in many ways.
func packed(b *testing.B, f *design.Frame) (design.Wiring, design.Modules, *design.Rooms) {
	b.Helper()
	c, err := f.Parse("lfp/105S1P/5x13S+5x8S")
	if err != nil {
		b.Fatal(err)
	}
	m, err := f.Modules(c)
	if err != nil {
		b.Fatal(err)
	}
	var list []*design.Room
	for i := range f.Brief.Bays {
		r := &design.Room{}
		for n := range 7 {
			r.Placed, r.Bound = append(r.Placed, 6-n), append(r.Bound, 6-n)
			sums := make([]design.Sums, 7-n)
			for j := range sums {
				at := func(k int) vehicle.Point {
					return vehicle.Point{X: unit.Length(k) * (f.Brief.Bays[i].At.X + unit.Length(k)*40*unit.Millimetre)}
				}
				sums[j] = design.Sums{at(n), at(j)}
			}
			r.Sum = append(r.Sum, sums)
		}
		list = append(list, r)
	}
	return f.Wire(c.Source, c.Form, c.Abreast, c.Strings, c.Cut.Groups()), m, design.NewRooms(list, [2]unit.Mass{m.Stack[0].Mass, m.Stack[1].Mass})
}

func BenchmarkEvaluate(b *testing.B) {
	f := frame(b, van(b))
	w, m, rooms := packed(b, f)
	l, _ := f.Load(&w, &m, rooms)
	var v design.Values
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		f.Evaluate(&w, &m, &l, &v)
		n++
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "options/s")
}

func BenchmarkLoad(b *testing.B) {
	f := frame(b, van(b))
	w, m, rooms := packed(b, f)
	b.ReportAllocs()
	n := 0
	for b.Loop() {
		f.Load(&w, &m, rooms)
		n++
	}
	b.ReportMetric(float64(n)/b.Elapsed().Seconds(), "loadings/s")
}

func BenchmarkFrame(b *testing.B) {
	brief := van(b)
	b.ReportAllocs()
	for b.Loop() {
		frame(b, brief)
	}
}
