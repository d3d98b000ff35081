package bay

import (
	"math/rand/v2"
	"testing"

	"packyard/cell"
	"packyard/unit"
)

// brute is an exhaustive search on a grid of whole centimetres, written from
// the definitions: every cell of every module is looked at, every place is
// tried. It shares nothing with the solver or the checker.
type brute struct {
	n          [3]int
	free       map[[3]int]bool // cells of the bay
	union      map[[3]int]bool
	inset, gap int
	axis, dir  int
	placed     [][2][3]int // least corner and size with connector room
	steps      int
}

// bruteSteps is where the exhaustive search leaves a case undecided.
const bruteSteps = 60_000

func newBrute(b *Bay) *brute {
	br := &brute{free: map[[3]int]bool{}, union: map[[3]int]bool{}}
	cm := func(l unit.Length) int { return int(float64(l)*100 + 0.5) }
	each := func(x Box, f func(c [3]int)) {
		for i := cm(x.At.X); i < cm(x.At.X+x.Size.X); i++ {
			for j := cm(x.At.Y); j < cm(x.At.Y+x.Size.Y); j++ {
				for k := cm(x.At.Z); k < cm(x.At.Z+x.Size.Z); k++ {
					f([3]int{i, j, k})
				}
			}
		}
	}
	for _, x := range b.Boxes {
		each(x, func(c [3]int) {
			br.free[c], br.union[c] = true, true
			for a := range 3 {
				br.n[a] = max(br.n[a], c[a]+1)
			}
		})
	}
	for _, x := range b.KeepOuts {
		each(x, func(c [3]int) { delete(br.free, c) })
	}
	br.inset, br.gap = cm(b.Wall+b.Clearance), cm(b.Gap)
	br.axis = map[Side]int{Front: 0, Rear: 0, Left: 1, Right: 1, Top: 2, Bottom: 2}[b.Opens]
	br.dir = map[Side]int{Front: -1, Rear: 1, Right: -1, Left: 1, Bottom: -1, Top: 1}[b.Opens]
	return br
}

// stays reports whether the box with its inset is inside the bay.
func (br *brute) stays(at, size [3]int) bool {
	for i := at[0] - br.inset; i < at[0]+size[0]+br.inset; i++ {
		for j := at[1] - br.inset; j < at[1]+size[1]+br.inset; j++ {
			for k := at[2] - br.inset; k < at[2]+size[2]+br.inset; k++ {
				if !br.free[[3]int{i, j, k}] {
					return false
				}
			}
		}
	}
	return true
}

func (br *brute) apart(at, size [3]int, others [][2][3]int) bool {
	for _, o := range others {
		near := true
		for a := range 3 {
			near = near && at[a] < o[0][a]+o[1][a]+br.gap && o[0][a] < at[a]+size[a]+br.gap
		}
		if near {
			return false
		}
	}
	return true
}

// straight moves the box step by step towards the opening until it is out.
func (br *brute) straight(at, size [3]int, others [][2][3]int) bool {
	for range 3 * (br.n[br.axis] + size[br.axis] + br.inset + br.gap) {
		if !br.apart(at, size, others) {
			return false
		}
		for i := at[0] - br.inset; i < at[0]+size[0]+br.inset; i++ {
			for j := at[1] - br.inset; j < at[1]+size[1]+br.inset; j++ {
				for k := at[2] - br.inset; k < at[2]+size[2]+br.inset; k++ {
					c := [3]int{i, j, k}
					if br.union[c] && !br.free[c] {
						return false // keep-out
					}
					if !br.union[c] {
						for range br.n[br.axis] + 2 {
							c[br.axis] += br.dir
							if br.union[c] {
								return false // overhang
							}
						}
					}
				}
			}
		}
		at[br.axis] += br.dir
	}
	return true
}

func (br *brute) leaves(at, size [3]int, others [][2][3]int) bool {
	if br.straight(at, size, others) {
		return true
	}
	for a := range 3 {
		if a == br.axis {
			continue
		}
		for _, step := range [2]int{-1, 1} {
			p := at
			for {
				p[a] += step
				if !br.stays(p, size) || !br.apart(p, size, others) {
					break
				}
				if br.straight(p, size, others) {
					return true
				}
			}
		}
	}
	return false
}

// outs reports whether all modules can be taken out in some order.
func (br *brute) outs() bool {
	left := append([][2][3]int(nil), br.placed...)
	for len(left) > 0 {
		out := -1
		for i := range left {
			others := append(append([][2][3]int(nil), left[:i]...), left[i+1:]...)
			if br.leaves(left[i][0], left[i][1], others) {
				out = i
				break
			}
		}
		if out < 0 {
			return false
		}
		left = append(left[:out], left[out+1:]...)
	}
	return true
}

// bruteSizes lists the distinct edges of a module of whole centimetres with its
// connector room, standing as allowed.
func bruteSizes(k Kind, connector int) [][3]int {
	x, y, z := int(float64(k.Size.X)*100+0.5), int(float64(k.Size.Y)*100+0.5), int(float64(k.Size.Z)*100+0.5)
	z += connector
	var out [][3]int
	for _, o := range k.Orientations {
		var s [3]int
		switch o {
		case cell.ZUp:
			s = [3]int{x, y, z}
		case cell.YUp:
			s = [3]int{x, z, y}
		case cell.XUp:
			s = [3]int{y, z, x}
		}
		out = append(out, s)
		if s[0] != s[1] {
			out = append(out, [3]int{s[1], s[0], s[2]})
		}
	}
	return out
}

// fits tries all places for module i of the list; modules of one kind are taken
// in rising order of their places.
func (br *brute) fits(list []int, sizes [][][3]int, i int, from int) bool {
	if i == len(list) {
		br.steps += 500
		return br.outs()
	}
	if br.steps++; br.steps > bruteSteps {
		return false
	}
	if i == 0 || list[i] != list[i-1] {
		from = 0
	}
	all := br.n[0] * br.n[1] * br.n[2]
	for c := from; c < all; c++ {
		at := [3]int{c / (br.n[1] * br.n[2]), c / br.n[2] % br.n[1], c % br.n[2]}
		for _, s := range sizes[list[i]] {
			if br.stays(at, s) && br.apart(at, s, br.placed) {
				br.placed = append(br.placed, [2][3]int{at, s})
				if br.fits(list, sizes, i+1, c) {
					return true
				}
				br.placed = br.placed[:len(br.placed)-1]
			}
		}
	}
	return false
}

func randomSmall(r *rand.Rand, steps bool) (Bay, []Kind) {
	cm := func(n int) unit.Length { return unit.Length(n) / 100 }
	vec := func(x, y, z int) Vec { return Vec{cm(x), cm(y), cm(z)} }
	n := [3]int{3 + r.IntN(4), 2 + r.IntN(4), 2 + r.IntN(3)}
	b := Bay{Opens: []Side{Top, Bottom, Front, Rear, Left, Right}[r.IntN(6)]}
	b.Boxes = []Box{{vec(0, 0, 0), vec(n[0], n[1], n[2])}}
	part := func() Box {
		var at, size [3]int
		for a := range 3 {
			at[a] = r.IntN(n[a])
			size[a] = 1 + r.IntN(n[a]-at[a])
		}
		return Box{vec(at[0], at[1], at[2]), vec(size[0], size[1], size[2])}
	}
	if steps {
		for range r.IntN(3) {
			b.Boxes = append(b.Boxes, Box{vec(r.IntN(4), r.IntN(4), r.IntN(3)), vec(1+r.IntN(4), 1+r.IntN(4), 1+r.IntN(3))})
		}
		for range r.IntN(3) {
			k := part()
			k.Size = vec(1, 1, 1)
			if r.IntN(2) == 0 {
				k = part()
			}
			b.KeepOuts = append(b.KeepOuts, k)
		}
	}
	if r.IntN(4) == 0 {
		b.Gap = cm(1)
	}
	if r.IntN(6) == 0 {
		b.Clearance = cm(1)
	}
	if r.IntN(4) == 0 {
		b.Connector = cm(1)
	}
	var kinds []Kind
	for k := range 1 + r.IntN(3) {
		o := [][]cell.Orientation{{cell.ZUp}, {cell.YUp}, {cell.XUp}, {cell.ZUp, cell.YUp}, {cell.ZUp, cell.YUp, cell.XUp}}[r.IntN(5)]
		kinds = append(kinds, Kind{
			Name: string(rune('a' + k)), Size: cell.Size{X: cm(1 + r.IntN(3)), Y: cm(1 + r.IntN(3)), Z: cm(1 + r.IntN(2))},
			Orientations: o, Count: 1 + r.IntN(3),
		})
	}
	return b, kinds
}

// TestPlaceAgreesWithExhaustiveSearch compares hundreds of small bays with the
// exhaustive search: what it says fits must fit, and what it proves must be so.
func TestPlaceAgreesWithExhaustiveSearch(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(2, 6))
	verdicts, undecided := map[Verdict]int{}, 0
	for i := range 600 {
		b, kinds := randomSmall(r, i%3 > 0)
		if b.Validate() != nil {
			continue
		}
		var list []int
		var sizes [][][3]int
		for k := range kinds {
			sizes = append(sizes, bruteSizes(kinds[k], int(float64(b.Connector)*100+0.5)))
			for range kinds[k].Count {
				list = append(list, k)
			}
		}
		got := Place(&b, kinds, Options{})
		verdicts[got.Verdict]++
		if got.Verdict == NotProven {
			t.Logf("case %d: not proven: %s", i, got.Reason)
			continue
		}
		br := newBrute(&b)
		want := br.fits(list, sizes, 0, 0)
		if !want && br.steps > bruteSteps {
			undecided++
			continue
		}
		if (got.Verdict == Fits) != want {
			t.Fatalf("case %d: got %s (%s), exhaustive search says %v\nbay %+v\nkinds %+v", i, got.Verdict, got.Reason, want, b, kinds)
		}
	}
	t.Log(verdicts, undecided, "undecided by the exhaustive search")
	if verdicts[NotProven] > 6 || verdicts[Fits] < 100 || verdicts[NotFit] < 100 {
		t.Errorf("verdicts %v, want at most 6 not proven and at least 100 of each of the others", verdicts)
	}
}
