package bench

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"packyard/internal/num"
	"packyard/unit"
)

// ErrSample says that a sample cannot answer the question.
var ErrSample = errors.New("sample does not tell")

// Names of the methods, for the reports.
const (
	MethodTolerance = "order statistics (Wilks 1941)"
	MethodMean      = "Student's t"
	MethodBuy       = "bootstrap of modules from a sample that is drawn again itself (Efron 1979)"
)

// testsMost bounds the numbers that are looked for.
const testsMost = 1_000_000

// TestsForShare returns how many items of a large lot must be tested so that, with
// the certainty, at least the share of the lot lies above the lowest but worse of
// those that were tested:
//
//	Σ (i = 0 … worse) C(n, i)·(1−p)^i·p^(n−i) ≤ 1 − γ
//
// With worse = 0 this is n ≥ ln(1 − γ)/ln p. Source: wilks-1941.
//
// Errors: ErrSample for a share or certainty outside 0 to 1.
func TestsForShare(share, certainty unit.Ratio, worse int) (int, error) {
	p, g := float64(share), float64(certainty)
	if !(p > 0 && p < 1 && g > 0 && g < 1) || worse < 0 || worse > 1000 {
		return 0, fmt.Errorf("%w: a share of %v with a certainty of %v: both between 0 and 1 are accepted", ErrSample, p, g)
	}
	n, ok := least(worse+1, testsMost, func(n int) bool { return binomialUpTo(worse, n, 1-p) <= 1-g })
	if !ok {
		return 0, fmt.Errorf("%w: more than %d tests would be needed", ErrSample, testsMost)
	}
	return n, nil
}

// least returns the smallest n from low to high for which ok holds, by bisection: ok
// does not turn false again.
func least(low, high int, ok func(int) bool) (int, bool) {
	if !ok(high) {
		return 0, false
	}
	for low < high {
		mid := low + (high-low)/2
		if ok(mid) {
			high = mid
		} else {
			low = mid + 1
		}
	}
	return low, true
}

// binomialUpTo returns P(X ≤ k) of a binomial with n tries of probability q.
func binomialUpTo(k, n int, q float64) float64 {
	if k >= n {
		return 1
	}
	sum, lnQ, lnP := 0.0, math.Log(q), math.Log1p(-q)
	whole, _ := math.Lgamma(float64(n + 1))
	for i := range k + 1 {
		a, _ := math.Lgamma(float64(i + 1))
		b, _ := math.Lgamma(float64(n - i + 1))
		sum += math.Exp(whole - a - b + float64(i)*lnQ + float64(n-i)*lnP)
	}
	return min(sum, 1)
}

// MeanAdvice is how well a sample knows the mean of its lot, and what it would take
// to know it better.
type MeanAdvice struct {
	Count     int        `json:"count"`        // tested so far
	Half      unit.Ratio `json:"half_share"`   // half width of the interval over the mean
	Wanted    unit.Ratio `json:"wanted_share"` // that was asked for
	Certainty unit.Ratio `json:"certainty_share"`
	More      int        `json:"more_count"` // further items to test
	Method    string     `json:"method"`
}

// TestsForMean returns how many more items must be tested so that the mean capacity
// of the lot lies within the wanted share of the sample's mean: the smallest n with
//
//	t(1 − (1−γ)/2; n−1)·s/√n ≤ half·mean
//
// where s is the deviation of the sample so far. Source: common practice.
//
// Errors: ErrSample for fewer than two capacities or shares outside 0 to 1.
func TestsForMean(capacities []unit.Charge, half, certainty unit.Ratio) (MeanAdvice, error) {
	x := make([]float64, len(capacities))
	for i, c := range capacities {
		x[i] = float64(c)
	}
	d := describe(x)
	g := float64(certainty)
	if d.n < 2 || !(half > 0 && half < 1) || !(g > 0 && g < 1) || !(d.mean > 0) {
		return MeanAdvice{}, fmt.Errorf("%w: %d capacities, a half width of %v and a certainty of %v: two capacities and shares between 0 and 1 are accepted", ErrSample, d.n, float64(half), g)
	}
	width := func(n int) float64 {
		return num.StudentQuantile(1-(1-g)/2, float64(n-1)) * d.sd / math.Sqrt(float64(n)) / d.mean
	}
	n, ok := least(d.n, testsMost, func(n int) bool { return width(n) <= float64(half) })
	if !ok {
		return MeanAdvice{}, fmt.Errorf("%w: more than %d tests would be needed", ErrSample, testsMost)
	}
	return MeanAdvice{Count: d.n, Half: unit.Ratio(width(d.n)), Wanted: half, Certainty: certainty, More: n - d.n, Method: MethodMean}, nil
}

// Need is the pack that is wanted of a lot.
type Need struct {
	Groups   int         `json:"series"`
	Parallel int         `json:"parallel"`
	Weakest  unit.Charge `json:"weakest_as"` // capacity that the weakest group must have; zero: only the number of items counts
}

// BuyOptions are the choices of Buy; the zero value is the default.
type BuyOptions struct {
	Certainty unit.Ratio // zero: 95 %
	Draws     int        // zero: 2000
	Seed      uint64
	AsSampled bool // take the sample for the lot itself, without its own uncertainty
}

// BuyAdvice is how many modules to buy.
type BuyAdvice struct {
	Modules   int        `json:"modules"`
	Half      int        `json:"modules_at_half_count"` // that are enough in half of the cases
	Reached   unit.Ratio `json:"reached_share"`         // of the draws in which Modules are enough
	Certainty unit.Ratio `json:"certainty_share"`
	Sample    int        `json:"sample_count"` // modules in the sample
	Draws     int        `json:"draws_count"`
	Method    string     `json:"method"`
}

const (
	certaintyDefault = 0.95
	drawsDefault     = 2000
	buyMost          = 20 // times the fewest that can do; beyond it a lot is no lot to buy
)

// Buy returns how many modules of a lot must be bought so that the pack is reached
// with the certainty. sample holds, for each module that was tested, the capacities
// of its items that may be kept; a module without any is an empty list. Each draw
// takes a lot like the sample (drawn again from it, unless AsSampled), then modules
// from that lot one after the other, and counts how many it takes until the strongest
// items make the pack, dealt out in layers, the strongest of each to the weakest
// group (a plan that can be built, so that the number is on the safe side). The
// number is the order statistic of the draws.
//
// Errors: ErrSample when the sample is empty or too poor for the pack.
func Buy(sample [][]unit.Charge, need Need, o BuyOptions) (BuyAdvice, error) {
	if o.Certainty == 0 {
		o.Certainty = certaintyDefault
	}
	if o.Draws == 0 {
		o.Draws = drawsDefault
	}
	per := 0
	for _, m := range sample {
		per = max(per, len(m))
		for _, c := range m {
			if !(c > 0) || math.IsInf(float64(c), 0) {
				return BuyAdvice{}, fmt.Errorf("%w: a capacity of %v A·s, and it must be above zero", ErrSample, float64(c))
			}
		}
	}
	wanted := need.Groups * need.Parallel
	if per == 0 || need.Groups < 1 || need.Parallel < 1 || wanted > 100_000 || !(need.Weakest >= 0) || !(o.Certainty > 0 && o.Certainty < 1) || o.Draws < 1 || o.Draws > testsMost {
		return BuyAdvice{}, fmt.Errorf("%w: %d modules with %d items at most for %d groups of %d", ErrSample, len(sample), per, need.Groups, need.Parallel)
	}
	fewest := (wanted + per - 1) / per
	pcg := rand.NewPCG(o.Seed, 1)
	rng := rand.New(pcg)
	b := buyer{need: need, most: buyMost * fewest, sums: make([]float64, need.Groups)}
	took := make([]int, o.Draws)
	lot := make([][]unit.Charge, len(sample))
	for i := range took {
		// Each draw has numbers of its own, so that a smaller need meets the same modules.
		pcg.Seed(o.Seed, uint64(i)+1)
		copy(lot, sample)
		if !o.AsSampled {
			for k := range lot {
				lot[k] = sample[rng.IntN(len(sample))]
			}
		}
		took[i] = b.draw(rng, lot, fewest)
	}
	slices.Sort(took)
	// The smallest number with at least the certain share of the draws at or below it.
	at := min(int(math.Ceil(float64(o.Certainty)*float64(o.Draws)-1e-9)), o.Draws) - 1
	n := took[at]
	if n > b.most {
		return BuyAdvice{}, fmt.Errorf("%w: in %.0f %% of the draws %d modules are not enough; test more of the lot, or take another", ErrSample, 100*float64(o.Draws-reached(took, b.most))/float64(o.Draws), b.most)
	}
	return BuyAdvice{Modules: n, Half: took[(o.Draws-1)/2], Reached: unit.Ratio(float64(reached(took, n)) / float64(o.Draws)), Certainty: o.Certainty, Sample: len(sample), Draws: o.Draws, Method: MethodBuy}, nil
}

// reached counts the values, which rise, up to n.
func reached(rising []int, n int) int {
	i, _ := slices.BinarySearch(rising, n+1)
	return i
}

// buyer holds the buffers of one question.
type buyer struct {
	need  Need
	most  int
	items []float64 // A·s
	drawn []int     // index of each module that was drawn
	sums  []float64
}

// draw returns how many modules of a lot it takes; most + 1 for too many. Modules
// are drawn as they are needed, a quarter more each time until they are enough.
func (b *buyer) draw(rng *rand.Rand, lot [][]unit.Charge, fewest int) int {
	b.drawn = b.drawn[:0]
	low := fewest
	for n := fewest; ; n = min(n+(n+3)/4, b.most) {
		for len(b.drawn) < n {
			b.drawn = append(b.drawn, rng.IntN(len(lot)))
		}
		if b.enough(lot, n) {
			at, _ := least(low, n, func(n int) bool { return b.enough(lot, n) })
			return at
		}
		if n == b.most {
			return b.most + 1
		}
		low = n + 1
	}
}

// enough reports whether the first n modules make the pack.
func (b *buyer) enough(lot [][]unit.Charge, n int) bool {
	wanted := b.need.Groups * b.need.Parallel
	count := 0
	for _, i := range b.drawn[:n] {
		count += len(lot[i])
	}
	if count < wanted {
		return false
	}
	if b.need.Weakest == 0 {
		return true
	}
	b.items = b.items[:0]
	for _, i := range b.drawn[:n] {
		for _, c := range lot[i] {
			b.items = append(b.items, float64(c))
		}
	}
	slices.Sort(b.items)
	strong := b.items[count-wanted:]
	sum := 0.0
	for _, c := range strong {
		sum += c
	}
	if sum < float64(b.need.Weakest)*float64(b.need.Groups) {
		return false // not even the mean group is strong enough
	}
	slices.Reverse(strong)
	return b.packs(strong)
}

// packs deals items, falling, out in layers, and reports whether the weakest group
// is strong enough. In each layer every group gets one item, the weakest group the
// strongest.
func (b *buyer) packs(items []float64) bool {
	for g := range b.sums {
		b.sums[g] = 0
	}
	for layer := range b.need.Parallel {
		part := items[layer*b.need.Groups : (layer+1)*b.need.Groups]
		slices.Sort(b.sums) // rising, so that the weakest comes first
		for g := range b.sums {
			b.sums[g] += part[g]
		}
	}
	return slices.Min(b.sums) >= float64(b.need.Weakest)
}

// ShareAbove returns the share of a large lot that, with the certainty, lies at least
// above the lowest of n that were tested: (1 − γ)^(1/n). Source: wilks-1941. It is
// zero without a test.
func ShareAbove(n int, certainty unit.Ratio) unit.Ratio {
	if n < 1 || !(certainty > 0 && certainty < 1) {
		return 0
	}
	return unit.Ratio(math.Pow(1-float64(certainty), 1/float64(n)))
}
