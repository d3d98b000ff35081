package drawing

// keyRow sets signs with their words one after the other, in as many rows as
// they need.
type keyRow struct {
	g           *group
	x, y        float64 // of the next sign; y is its baseline
	left, right float64
	wide        float64 // of a sign, mm; zero: 2.4
}

func (k *keyRow) item(draw func(c point), words string) {
	f := textOf(ink, sizeSmall)
	lead := max(k.wide, 2.4) + 2.6
	w := lead + widthOf(words, f) + 5
	if k.x+w-5 > k.right && k.x > k.left {
		k.x, k.y = k.left, k.y+rowHeight+0.4
	}
	draw(point{k.x + (lead-2.6)/2, k.y - 1})
	k.g.text(f, point{k.x + lead, k.y}, fit(words, f, k.right-k.x-lead))
	k.x += w
}
