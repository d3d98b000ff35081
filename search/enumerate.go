package search

import (
	"packyard/cell"
	"packyard/design"
)

// Universe bounds what is looked at, beyond every limit of the brief so that
// what nearly fits is found too. The zero value is the documented default.
type Universe struct {
	Window  float64 // dimensionless: cells in series up to the highest voltage limit times 1+Window, down to the lowest times 1−Window; zero: 0.2
	Supply  float64 // dimensionless: pieces up to those to be had times 1+Supply; zero: 0.35
	Modules int     // most modules in all; zero: 40
}

func (u Universe) orDefault() Universe {
	if u.Window == 0 {
		u.Window = 0.2
	}
	if u.Supply == 0 {
		u.Supply = 0.35
	}
	if u.Modules == 0 {
		u.Modules = 40
	}
	return u
}

// block is one source, form, slices abreast, strings and groups in series: all
// candidates of a block share their wiring and differ in the cut.
type block struct {
	source  int
	form    design.Form
	abreast int
	strings int
	groups  int
}

// blocks lists the blocks of the universe in order.
func blocks(f *design.Frame, u Universe) []block {
	var out []block
	strings := max(1, f.Brief.Targets.StringsMax)
	for s := range f.Lots {
		if f.Lots[s].Why != "" {
			continue
		}
		lo, hi := seriesRange(f, s, u)
		most := slicesMost(f, s, u)
		for n := 1; n <= strings; n++ {
			if m := f.Brief.Sources[s].Module; m != nil {
				for g := roundUp(lo, m.Groups); g <= hi && g*m.SlicesParallel*n <= most && g/m.Groups*n <= u.Modules; g += m.Groups {
					out = append(out, block{s, design.AsBuilt, m.SlicesParallel, n, g})
				}
			}
			if f.Lots[s].Hardware == nil {
				continue
			}
			longest := cell.SlicesLongest(&f.Lots[s].Slice, f.Lots[s].Hardware)
			for a := 1; a <= longest; a++ {
				for g := lo; g <= hi && g*a*n <= most; g++ {
					out = append(out, block{s, design.Regrouped, a, n, g})
				}
			}
		}
	}
	return out
}

func roundUp(x, step int) int { return (x + step - 1) / step * step }

// seriesRange returns the groups in series between the voltage limits of the
// drive, widened by the universe.
func seriesRange(f *design.Frame, source int, u Universe) (lo, hi int) {
	c, s0 := f.Lots[source].Slice.Cell, f.Lots[source].Slice.Series
	b := f.Brief.Drive.Inverter.Bands
	top := (1 + u.Window) * float64(max(b.NeverExceed, b.ReducedMax))
	low := (1 - u.Window) * float64(b.ReducedMin)
	hi = int(top / float64(c.VoltageMax) / float64(s0))
	lo = max(1, int(low/float64(c.VoltageMax)/float64(s0)))
	return lo, hi
}

// slicesMost returns the most slices that the universe looks at.
func slicesMost(f *design.Frame, source int, u Universe) int {
	s := &f.Brief.Sources[source]
	return int((1 + u.Supply) * float64(s.Count-s.Spare) * f.Lots[source].Pieces)
}

// cuts calls yield for every cut of the block: modules of one length, or of
// two, with at most u.Modules modules in all; the longer ones come first. It
// stops when yield returns false.
func cuts(f *design.Frame, b block, u Universe, yield func(design.Cut) bool) {
	if b.form == design.AsBuilt {
		g := f.Brief.Sources[b.source].Module.Groups
		var c design.Cut
		c[0].Groups, c[0].Count = g, b.groups/g
		yield(c)
		return
	}
	hw := f.Lots[b.source].Hardware
	longest := cell.SlicesLongest(&f.Lots[b.source].Slice, hw) / b.abreast
	shortest := max(1, (hw.SlicesMin+b.abreast-1)/b.abreast)
	most := u.Modules / b.strings
	for g1 := min(longest, b.groups); g1 >= shortest; g1-- {
		if b.groups%g1 == 0 && b.groups/g1 <= most {
			var c design.Cut
			c[0].Groups, c[0].Count = g1, b.groups/g1
			if !yield(c) {
				return
			}
		}
		for n1 := min(b.groups/g1, most-1); n1 >= 1; n1-- {
			rest := b.groups - n1*g1
			for g2 := min(g1-1, rest); g2 >= shortest; g2-- {
				if rest%g2 != 0 || n1+rest/g2 > most {
					continue
				}
				var c design.Cut
				c[0].Groups, c[0].Count = g1, n1
				c[1].Groups, c[1].Count = g2, rest/g2
				if !yield(c) {
					return
				}
			}
		}
	}
}
