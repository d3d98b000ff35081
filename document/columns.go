package document

// share gives columns their widths in a space: least[i] for the widest word of
// column i, most[i] for its longest text on one line, both with padding, mm.
//
//	if Σ most ≤ space:  most
//	if Σ least ≤ space: least + (space − Σ least)·(most − least)/Σ(most − least)
//	else:               least where that is below an equal share of what is left,
//	                    an equal share for the others; words are broken there
func share(space float64, least, most []float64) []float64 {
	var sumLeast, sumMost float64
	for i := range least {
		sumLeast += least[i]
		sumMost += most[i]
	}
	w := make([]float64, len(least))
	switch {
	case sumMost <= space:
		copy(w, most)
	case sumLeast <= space:
		for i := range w {
			w[i] = least[i] + (space-sumLeast)*(most[i]-least[i])/(sumMost-sumLeast)
		}
	default:
		squeeze(w, space, least)
	}
	return w
}

// squeeze shares a space that is too small for the widest words.
func squeeze(w []float64, space float64, least []float64) {
	open := len(w)
	for settled := true; settled && open > 0; {
		settled = false
		for i := range w {
			if equal := space / float64(open); w[i] == 0 && least[i] <= equal {
				w[i] = least[i]
				space -= least[i]
				open--
				settled = true
				if open == 0 {
					return
				}
			}
		}
	}
	for i := range w {
		if w[i] == 0 {
			w[i] = space / float64(open)
		}
	}
}
