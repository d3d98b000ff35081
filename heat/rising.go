package heat

// risesThrough returns where a rising function passes zero between low and high, low
// or high where it does not: the false position with the halved end (Illinois),
// and every third time the middle, so that a step of the function, where the
// flow turns turbulent, does no harm. It ends when the place is known to 1e-10 of
// the whole, or the value to 1e-12 of the span of the values.
// Source: from memory.
func risesThrough(low, high float64, f func(float64) float64) float64 {
	under, over := f(low), f(high)
	switch {
	case under >= 0:
		return low
	case over <= 0:
		return high
	}
	width, span, last := high-low, over-under, 0
	for k := range 60 {
		mid := (low + high) / 2
		if k%3 != 2 {
			mid = low - under*(high-low)/(over-under)
		}
		y := f(mid)
		if y <= 0 {
			if low, under = mid, y; last < 0 {
				over /= 2
			}
			last = -1
		} else {
			if high, over = mid, y; last > 0 {
				under /= 2
			}
			last = 1
		}
		if high-low <= 1e-10*width || max(y, -y) <= 1e-12*span {
			return mid
		}
	}
	return low
}
