package bay

// corners fills a region greedily: each piece goes to the first of the corner
// points left by walls, blocks and the pieces before it, in an order of the
// axes. It is quick, takes any blocks, and proves nothing.
type corners struct {
	points []vec
	spots  []spot
	ends   []vec // far corners of spots
	left   []int
}

// axisOrders are the six ways to rank the axes.
var axisOrders = [6][3]int{{0, 1, 2}, {0, 2, 1}, {1, 0, 2}, {1, 2, 0}, {2, 0, 1}, {2, 1, 0}}

// fill places pieces, trying at each step the shapes in the order given on the
// points in the order of the axes, until nothing more fits or counts are used up.
// byShape puts the first shape that fits anywhere; else the first point that
// takes any shape is filled.
func (c *corners) fill(r *region, shapes []shape, order []int, counts []int, axes [3]int, byShape bool) []spot {
	c.points, c.spots, c.ends = c.points[:0], c.spots[:0], c.ends[:0]
	c.left = append(c.left[:0], counts...)
	c.add(r, vec{}, axes)
	for i := range r.blocks {
		c.offer(r, r.blocks[i].lo, r.blocks[i].hi, axes)
	}
	for c.one(r, shapes, order, axes, byShape) {
	}
	return c.spots
}

func (c *corners) one(r *region, shapes []shape, order []int, axes [3]int, byShape bool) bool {
	if byShape {
		for _, i := range order {
			for _, p := range c.points {
				if c.try(r, shapes, i, p, axes) {
					return true
				}
			}
		}
		return false
	}
	for _, p := range c.points {
		for _, i := range order {
			if c.try(r, shapes, i, p, axes) {
				return true
			}
		}
	}
	return false
}

func (c *corners) try(r *region, shapes []shape, i int, p vec, axes [3]int) bool {
	sh := &shapes[i]
	if c.left[sh.kind] <= 0 || c.covered(p, sh.size) || !r.clear(p, sh.size) {
		return false
	}
	c.left[sh.kind]--
	hi := vec{p[0] + sh.size[0], p[1] + sh.size[1], p[2] + sh.size[2]}
	c.spots = append(c.spots, spot{i, p})
	c.ends = append(c.ends, hi)
	kept := c.points[:0]
	one := vec{1, 1, 1}
	b := block{p, hi}
	for _, q := range c.points {
		if !b.meets(q, one) {
			kept = append(kept, q)
		}
	}
	c.points = kept
	c.offer(r, p, hi, axes)
	return true
}

func (c *corners) covered(p, s vec) bool {
	for i := range c.spots {
		if (block{c.spots[i].at, c.ends[i]}).meets(p, s) {
			return true
		}
	}
	return false
}

// offer adds the corner points that a box from lo to hi makes: its three far
// corners, each slid towards the other two axes as far as it goes.
func (c *corners) offer(r *region, lo, hi vec, axes [3]int) {
	for a := range 3 {
		if hi[a] >= r.size[a] {
			continue
		}
		p := vec{max(lo[0], 0), max(lo[1], 0), max(lo[2], 0)}
		p[a] = hi[a]
		c.add(r, p, axes)
		for k := range 3 {
			if k != a {
				q := p
				q[k] = c.slide(r, p, k)
				c.add(r, q, axes)
				m := 3 - a - k
				q[m] = c.slide(r, q, m)
				c.add(r, q, axes)
			}
		}
	}
}

// slide moves a point down axis k until it meets a piece, a block or the wall.
func (c *corners) slide(r *region, p vec, k int) int64 {
	u, v := (k+1)%3, (k+2)%3
	to := int64(0)
	stop := func(lo, hi vec) {
		if hi[k] <= p[k] && hi[k] > to && p[u] >= lo[u] && p[u] < hi[u] && p[v] >= lo[v] && p[v] < hi[v] {
			to = hi[k]
		}
	}
	for i := range c.spots {
		stop(c.spots[i].at, c.ends[i])
	}
	for i := range r.blocks {
		stop(r.blocks[i].lo, r.blocks[i].hi)
	}
	return to
}

// add inserts the point in its place of the order, once.
func (c *corners) add(r *region, p vec, axes [3]int) {
	for a := range 3 {
		if p[a] < 0 || p[a] >= r.size[a] {
			return
		}
	}
	less := func(q vec) int {
		for _, a := range axes {
			if p[a] != q[a] {
				if p[a] < q[a] {
					return -1
				}
				return 1
			}
		}
		return 0
	}
	at := len(c.points)
	for at > 0 {
		d := less(c.points[at-1])
		if d == 0 {
			return
		}
		if d > 0 {
			break
		}
		at--
	}
	c.points = append(c.points, vec{})
	copy(c.points[at+1:], c.points[at:])
	c.points[at] = p
}
