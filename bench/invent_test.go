package bench

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"path"
	"slices"
	"strings"
	"testing"

	"packyard/cell"
	"packyard/check"
	"packyard/check/checktest"
	"packyard/unit"
)

// An invented lot goes the whole way: intake, logs, results, grades. What comes out is
// what was put in, since the lot knows its own truth.
func TestAnInventedLotIsReadAsItWasMade(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	s, ctx := empty(t), t.Context()
	cells := cell.BuiltIn()
	files := exported{}
	o := InventOptions{Part: "openable-pouch-lmo-33-2s2p", Source: "salvaged-cans", Count: 10, Seed: 7}
	if err := Invent(cells, o, files.create); err != nil {
		t.Fatal(err)
	}
	again := exported{}
	if err := Invent(cells, o, again.create); err != nil {
		t.Fatal(err)
	}
	if n, err := s.ImportTable(ctx, "items.csv", files["items.csv"], nil); err != nil || n != 10 {
		t.Fatalf("%d items, %v", n, err)
	}
	delete(files, "items.csv")
	var names []string
	for name, b := range files {
		names = append(names, name)
		if !bytes.Equal(b.Bytes(), again[name].Bytes()) {
			t.Errorf("%s differs with the same seed", name)
		}
		if !strings.Contains(b.String()[:60], "Invented") {
			t.Errorf("%s does not say that it is invented", name)
		}
	}
	slices.Sort(names)
	p, _ := PartOf(cells, o.Part, Slice)
	cut := 0
	for _, name := range names {
		got, err := s.Import(ctx, path.Base(name), bytes.NewReader(files[name].Bytes()), ImportOptions{Series: p.Series})
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for _, f := range got.Test.Report.Faults {
			if f.Kind == "truncated" {
				cut++
				continue
			}
			t.Errorf("%s: %s", name, f.Text())
		}
		if _, _, err := s.Characterise(ctx, got.Test.ID, p); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
	}
	if len(names) != 10 || cut != 1 {
		t.Errorf("%d logs, %d cut off; 10 and 1 are wanted", len(names), cut)
	}
	list, err := s.Measure(ctx, cells)
	if err != nil {
		t.Fatal(err)
	}
	g := Grade(list, GradeRules{})
	for i, want := range []struct {
		keep bool
		says string
	}{{true, ""}, {true, ""}, {false, "capacity lies"}, {false, "resistance lies"}, {false, "refused at the intake: visual"}, {true, ""}} {
		m := g.Items[i]
		if m.Keep != want.keep || !strings.Contains(strings.Join(m.Reasons, "; "), want.says) {
			t.Errorf("%s: keep %v, %q, want %v, %q", m.Item.Label, m.Keep, m.Reasons, want.keep, want.says)
		}
	}
	// A discharge at C/3 ends at the lowest voltage a little before empty.
	weak := float64(g.Items[2].Health)
	checktest.Near(t, "capacity of the weak item over rated", weak, inventWeak, 0.015, 0, "what the lot was made with")
	// The pulse of the aged item: growth times that of a new one, whose fall of the
	// open-circuit voltage over ten seconds at 1C is in the measured value and not in
	// the resistance of the curves.
	slope := 2 * (ocvAt(t, p.Cell, 0.5) - ocvAt(t, p.Cell, 0.5-10.0/3600/inventShare)) / float64(p.Rated()/3600)
	measured := float64(g.Items[3].Resistance) - slope
	fresh := float64(p.Fresh(GradeAt()) - p.Taps)
	checktest.Near(t, "resistance of the aged item in mΩ", measured*1e3, (inventAged*fresh+float64(p.Taps))*1e3, 0, 0.04, "what the lot was made with")
	h := g.Health()
	if len(h) != 1 || h[0].Source != "salvaged-cans" || h[0].Items != g.Lots[0].Kept {
		t.Fatalf("health %+v", h)
	}
	checktest.Near(t, "mean share", float64(h[0].CapacityShare), inventShare, 4*inventSpread/math.Sqrt(7), 0, "what the lot was made with, four deviations of its mean")
}

func ocvAt(t *testing.T, c *cell.Cell, charge float64) float64 {
	t.Helper()
	tb, err := c.At(unit.Celsius(25), cell.New, 1001)
	if err != nil {
		t.Fatal(err)
	}
	i := int(charge * 1000)
	return tb.OCV[i] + (charge*1000-float64(i))*(tb.OCV[i+1]-tb.OCV[i])
}

func TestTablesOfItemsAreRead(t *testing.T) {
	t.Parallel()
	s, ctx := empty(t), t.Context()
	table := "cell,nominal_ah,capacity_ah,soh,r_dis_5s_mohm,r_dis_5s_half_mohm\nC-1,10,8.1,0.81,12,11.5\nC-2,10,7.9,0.79,13,12.5\n"
	n, err := s.ImportTable(ctx, "cells.csv", strings.NewReader(table), map[string]string{"item": "cell", "resistance": "r_dis_5s_half_mohm"})
	if n != 2 || err != nil {
		t.Errorf("%d items, %v", n, err)
	}
	list, err := s.Measure(ctx, nil)
	if err != nil || len(list) != 2 || list[1].Capacity != 7.9*unit.AmpereHour {
		t.Fatalf("%+v, %v", list, err)
	}
	for name, bad := range map[string]string{
		"no label": "kind,note\nslice,x\n", "empty": "", "bad intake": "item,spread\nA,80\n", "bad capacity": "item,capacity\nA,80\n",
		"too many fields": "item,note\nA,x,y\n", "no parent": "item,parent\nA,M\n", "negative": "item,capacity\nA,-3 Ah\n",
	} {
		var problems *check.Problems
		if _, err := s.ImportTable(ctx, "t.csv", strings.NewReader(bad), nil); !errors.As(err, &problems) {
			t.Errorf("%s: %v, want problems", name, err)
		}
	}
	if items, err := s.Items(ctx); err != nil || len(items) != 2 {
		t.Errorf("%d items after tables with faults, %v", len(items), err)
	}
}

// TestCurvesOfAnInventedItemAreThoseItWasMadeWith: the longer test of the first
// item gives back the open-circuit voltage and the resistance it was made from.
func TestCurvesOfAnInventedItemAreThoseItWasMadeWith(t *testing.T) {
	t.Parallel()
	s, cells, files := empty(t), cell.BuiltIn(), exported{}
	o := InventOptions{Part: "openable-pouch-lmo-33-2s2p", Source: "salvaged-cans", Count: 6, Seed: 7}
	if err := Invent(cells, o, files.create); err != nil {
		t.Fatal(err)
	}
	p, _ := PartOf(cells, o.Part, Slice)
	for _, name := range []string{"logs/invented__S-01__20260301_001.csv", "logs/invented__S-01__20260308_002.csv"} {
		item := Item{Label: "S-01", Kind: Slice, Source: o.Source, Part: o.Part}
		got, err := s.Import(t.Context(), path.Base(name), bytes.NewReader(files[name].Bytes()), ImportOptions{Item: item, Series: p.Series})
		if err != nil {
			t.Fatal(err)
		}
		if _, _, err := s.Characterise(t.Context(), got.Test.ID, p); err != nil {
			t.Fatal(err)
		}
	}
	list, err := s.Measure(t.Context(), cells)
	if err != nil {
		t.Fatal(err)
	}
	g := Grade(list, GradeRules{})
	lots, err := s.Circuits(t.Context(), cells, g.Items)
	if err != nil || len(lots) != 1 {
		t.Fatalf("%d circuits, %v", len(lots), err)
	}
	if err := lots[0].Usable(); err != nil {
		t.Fatal(err)
	}
	got, err := p.Cell.WithMeasured(lots[0].Curves)
	if err != nil {
		t.Fatal(err)
	}
	for _, charge := range []unit.Ratio{0.2, 0.5, 0.8} {
		want, err := p.Cell.Curves.PulseResistance(unit.Celsius(25), charge, 10)
		have, errHave := got.Curves.PulseResistance(unit.Celsius(25), charge, 10)
		if err := errors.Join(err, errHave); err != nil {
			t.Fatal(err)
		}
		// Growth is known from one pulse with the fall of the open-circuit voltage in
		// it, and levels are sorted into twentieths: together 6 %.
		checktest.Near(t, fmt.Sprintf("pulse resistance at charge %g", float64(charge)), float64(have), float64(want), 0, 0.06, "what the lot was made with")
	}
	worst := 0.0
	for i, q := range lots[0].Curves.OCV.SoC {
		if q >= 0.05 && q <= 0.95 {
			worst = max(worst, math.Abs(lots[0].Curves.OCV.Value[i]-ocvAt(t, p.Cell, q)))
		}
	}
	// Charge and discharge at C/20 end a little before empty and full, which
	// stretches the middle.
	checktest.Near(t, "open-circuit voltage, largest difference", worst, 0, 0.015, 0, "what the lot was made with")
}
