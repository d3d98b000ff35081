package drawing

import "math"

// geometry is a shape that nodes share, around the origin, in the axes of glTF.
// Indices make triangles, or lines where there are no normals.
type geometry struct {
	name     string
	position [][3]float32
	normal   [][3]float32
	index    []uint16
}

// Shapes of a scene.
const (
	boxShape   = iota // edges of length 1
	edgesShape        // the twelve edges of the same box, as lines
	wheelShape        // radius 1, width 1, its axis along X
	centreSign        // octahedron of radius 1
	shapeCount
)

// geometries returns the shapes in the order of their constants.
func geometries() [shapeCount]geometry {
	return [shapeCount]geometry{boxGeometry(), edgesGeometry(), wheelGeometry(), centreGeometry()}
}

// face4 adds a flat quadrilateral, anticlockwise seen from outside.
func (g *geometry) face4(normal [3]float32, corners ...[3]float32) {
	first := uint16(len(g.position))
	for _, c := range corners {
		g.position = append(g.position, c)
		g.normal = append(g.normal, normal)
	}
	for i := 2; i < len(corners); i++ {
		g.index = append(g.index, first, first+uint16(i)-1, first+uint16(i))
	}
}

func boxGeometry() geometry {
	g := geometry{name: "box"}
	const h = 0.5
	for axis := range 3 {
		for _, side := range [2]float32{1, -1} {
			var n [3]float32
			n[axis] = side
			u, w := (axis+1)%3, (axis+2)%3
			corner := func(a, b float32) [3]float32 {
				var c [3]float32
				c[axis], c[u], c[w] = h*side, h*a*side, h*b
				return c
			}
			// u × w = axis, so this order is anticlockwise from outside on both sides.
			g.face4(n, corner(-1, -1), corner(1, -1), corner(1, 1), corner(-1, 1))
		}
	}
	return g
}

func edgesGeometry() geometry {
	g := geometry{name: "edges"}
	for i := range 8 {
		var c [3]float32
		for a := range 3 {
			c[a] = float32(i>>a&1) - 0.5
		}
		g.position = append(g.position, c)
		for a := range 3 {
			if i>>a&1 == 0 {
				g.index = append(g.index, uint16(i), uint16(i|1<<a))
			}
		}
	}
	return g
}

func wheelGeometry() geometry {
	g := geometry{name: "wheel"}
	const n = 32
	at := func(i int, x float32) [3]float32 {
		sin, cos := math.Sincos(2 * math.Pi * float64(i%n) / n)
		return [3]float32{x, float32(cos), float32(sin)}
	}
	for i := range n {
		first := uint16(len(g.position))
		for _, p := range [4][3]float32{at(i, -0.5), at(i, 0.5), at(i+1, 0.5), at(i+1, -0.5)} {
			g.position = append(g.position, p)
			g.normal = append(g.normal, [3]float32{0, p[1], p[2]})
		}
		g.index = append(g.index, first, first+2, first+1, first, first+3, first+2)
	}
	for _, side := range [2]float32{1, -1} {
		var rim [][3]float32
		for i := range n {
			k := i
			if side < 0 {
				k = n - i
			}
			rim = append(rim, at(k, 0.5*side))
		}
		g.face4([3]float32{side, 0, 0}, rim...)
	}
	return g
}

func centreGeometry() geometry {
	g := geometry{name: "centre"}
	s := float32(1 / math.Sqrt(3))
	for i := range 8 {
		var sign [3]float32
		flip := false
		for a := range 3 {
			sign[a] = 1 - 2*float32(i>>a&1)
			flip = flip != (sign[a] < 0)
		}
		a, b, c := [3]float32{sign[0], 0, 0}, [3]float32{0, sign[1], 0}, [3]float32{0, 0, sign[2]}
		if flip {
			b, c = c, b
		}
		g.face4([3]float32{sign[0] * s, sign[1] * s, sign[2] * s}, a, b, c)
	}
	return g
}
