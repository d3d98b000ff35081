package drawing

import (
	"math"
	"strconv"

	"packyard/bay"
	"packyard/design"
	"packyard/unit"
)

// Scene is a thing in three dimensions: boxes, edges and wheels with their
// names, in metres in the axes of glTF.
type Scene struct {
	name  string
	bad   bool // a value shown is not finite: nothing is written
	notes map[string]any
	nodes []sceneNode
}

// sceneNode is one thing of a scene; shape below zero is none.
type sceneNode struct {
	name     string
	shape    int
	look     look
	at       [3]float64
	turn     [4]float64 // unit quaternion x, y, z, w; all zero: none
	size     [3]float64 // all zero: one
	extras   map[string]any
	children []sceneNode
}

// look is the material of a node.
type look uint8

const (
	lookOutline look = iota
	lookTyre
	lookBay
	lookKeepOut
	lookModule
	lookModuleEdge
	lookTerminals
	lookBefore
	lookAfter
	lookCount
)

// axesGLTF takes a vector of the vehicle frame to the axes of glTF: left, up,
// forward. The mapping has a determinant of −1 between a left-handed and a
// right-handed frame, so nothing is mirrored.
func axesGLTF(v [3]float64) [3]float64 { return [3]float64{v[1], v[2], -v[0]} }

// edgesGLTF takes the edge lengths of a box.
func edgesGLTF(v [3]float64) [3]float64 { return [3]float64{v[1], v[2], v[0]} }

// VehicleScene returns the vehicle in three dimensions: overall size, wheels,
// bays with keep-outs and modules, centres of gravity before and after.
func VehicleScene(v View) *Scene {
	d, o := &v.Brief.Donor, v.Brief.Outline
	root := sceneNode{name: "vehicle", shape: -1, extras: map[string]any{"kind": "vehicle"}}
	L := float64(d.Wheelbase)
	if o != (design.Outline{}) {
		size := [3]float64{float64(o.Front+o.Rear) + L, float64(o.Width), float64(o.Height)}
		root.add(boxNode("overall size", "outline", edgesShape, lookOutline,
			cuboid{[3]float64{-float64(o.Front), -float64(o.Width) / 2, 0}, size}))
	}
	r := float64(d.TyreRadius)
	for _, w := range v.wheels() {
		n := sceneNode{
			name: "wheel " + w.name, shape: wheelShape, look: lookTyre,
			at: axesGLTF([3]float64{w.x, w.y, r}), size: [3]float64{tyreWidth * r, r, r},
		}
		loads := map[string]float64{}
		for _, s := range v.states() {
			loads[s.Name] = float64(w.load(s))
		}
		n.extras = map[string]any{"kind": "wheel", "load_kg": loads}
		root.add(n)
	}
	for i := range v.Brief.Bays {
		b := &v.Brief.Bays[i]
		n := v.bayNode(i)
		n.at = axesGLTF([3]float64{float64(b.At.X), float64(b.At.Y), float64(b.At.Z)})
		n.turn = turnOf(b)
		root.add(n)
	}
	for i, s := range v.states() {
		if i > 1 {
			break
		}
		root.add(sceneNode{
			name: "centre of gravity, " + s.Name, shape: centreSign, look: [2]look{lookBefore, lookAfter}[i],
			at:   axesGLTF([3]float64{float64(s.CG[0]), float64(s.CG[1]), float64(s.CG[2])}),
			size: [3]float64{0.05, 0.05, 0.05}, extras: map[string]any{"kind": "cg", "mass_kg": float64(s.Mass)},
		})
	}
	return &Scene{name: "vehicle", bad: v.notFinite(), notes: v.notes(), nodes: []sceneNode{root}}
}

// BayScene returns bay i of the brief alone, in its own frame before it is
// turned. Panics if there is no bay i.
func BayScene(v View, i int) *Scene {
	return &Scene{name: "bay " + v.Brief.Bays[i].Name, bad: v.notFinite(), notes: v.notes(), nodes: []sceneNode{v.bayNode(i)}}
}

func (v View) notes() map[string]any {
	n := map[string]any{"axes": "X to the left, Y up, Z forward, in m", "project": v.Title.Project}
	if v.Title.Invented {
		n["data"] = "invented demonstration data"
	}
	if v.Title.Option != "" {
		n["option"] = v.Title.Option
	}
	return n
}

func (n *sceneNode) add(c sceneNode) { n.children = append(n.children, c) }

// boxNode returns a box or its edges.
func boxNode(name, kind string, shape int, l look, c cuboid) sceneNode {
	centre := [3]float64{c.at[0] + c.size[0]/2, c.at[1] + c.size[1]/2, c.at[2] + c.size[2]/2}
	return sceneNode{name: name, shape: shape, look: l, at: axesGLTF(centre), size: edgesGLTF(c.size), extras: map[string]any{"kind": kind}}
}

// bayNode returns bay i with what stands in it, in the frame of the bay.
func (v View) bayNode(i int) sceneNode {
	b, line := &v.Brief.Bays[i], v.bayLine(i)
	root := sceneNode{name: "bay " + b.Name, shape: -1, extras: map[string]any{
		"kind": "bay", "name": b.Name, "index": i, "mass_kg": float64(line.Mass), "opens": string(b.Opens),
	}}
	for k, x := range b.Boxes {
		root.add(boxNode(root.name+" box "+strconv.Itoa(k+1), "bay-box", edgesShape, lookBay, cuboidOf(x)))
	}
	for k, x := range b.KeepOuts {
		name := root.name + " keep-out " + strconv.Itoa(k+1)
		n := boxNode(name, "keep-out", boxShape, lookKeepOut, cuboidOf(x))
		root.add(n)
		root.add(boxNode(name+" edges", "edges", edgesShape, lookOutline, cuboidOf(x).grown(edgeOff)))
	}
	for k, p := range line.Places {
		name, c, m := root.name+" module "+strconv.Itoa(k+1), cuboidOfPlace(p), v.module(p)
		n := boxNode(name, "module", boxShape, lookModule, c)
		n.extras["bay"], n.extras["number"], n.extras["line"] = b.Name, k+1, p.Module
		n.extras["mass_kg"], n.extras["terminals"], n.extras["stands"] = float64(m.Mass), p.Terminals, p.Orientation
		root.add(n)
		root.add(boxNode(name+" edges", "edges", edgesShape, lookModuleEdge, c.grown(edgeOff)))
		if t, ok := terminalPlate(c, bay.Side(p.Terminals)); ok {
			root.add(boxNode(name+" terminals", "terminals", boxShape, lookTerminals, t))
		}
	}
	return root
}

// edgeOff is how far edges stand off the faces of their box, m: lines in the
// plane of a face are drawn in part only.
const edgeOff = 0.0007

// grown returns the box with a rim on every side.
func (c cuboid) grown(rim float64) cuboid {
	for a := range 3 {
		c.at[a] -= rim
		c.size[a] += 2 * rim
	}
	return c
}

// plateThick is the thickness of the plate that marks a terminal face, and its
// share of the face: signs, not dimensions.
const (
	plateThick = 0.006 // m
	plateShare = 0.8
)

// terminalPlate returns a thin box on the face that carries the terminals.
func terminalPlate(c cuboid, s bay.Side) (cuboid, bool) {
	axis, far := 0, false
	switch s {
	case bay.Top:
		axis, far = 2, true
	case bay.Bottom:
		axis = 2
	case bay.Left:
		axis, far = 1, true
	case bay.Right:
		axis = 1
	case bay.Rear:
		far = true
	case bay.Front:
	default:
		return cuboid{}, false
	}
	for a := range 3 {
		if a != axis {
			c.at[a] += c.size[a] * (1 - plateShare) / 2
			c.size[a] *= plateShare
		}
	}
	if far {
		c.at[axis] += c.size[axis]
	} else {
		c.at[axis] -= plateThick
	}
	c.size[axis] = plateThick
	return c, true
}

// turnOf returns the turn of a bay as a quaternion in the axes of glTF: with M
// the mapping of axes and R the turn in the vehicle frame, M·R·Mᵀ.
func turnOf(b *bay.Bay) [4]float64 {
	var g [3][3]float64
	origin := b.ToVehicle(bay.Vec{})
	for column := range 3 {
		// The vector of the bay frame that M takes to this axis of glTF.
		v := [3]bay.Vec{{Y: unit.Metre}, {Z: unit.Metre}, {X: -unit.Metre}}[column]
		p := b.ToVehicle(v)
		to := axesGLTF([3]float64{float64(p.X - origin.X), float64(p.Y - origin.Y), float64(p.Z - origin.Z)})
		for row := range 3 {
			g[row][column] = to[row]
		}
	}
	return quaternion(g)
}

// quaternion returns x, y, z, w of a rotation matrix, w not below zero. Source:
// shepperd-1978.
func quaternion(m [3][3]float64) [4]float64 {
	trace := m[0][0] + m[1][1] + m[2][2]
	squares := [4]float64{1 + 2*m[0][0] - trace, 1 + 2*m[1][1] - trace, 1 + 2*m[2][2] - trace, 1 + trace} // 4·q²
	most := 3
	for i, s := range squares {
		if s > squares[most] {
			most = i
		}
	}
	d := 2 * math.Sqrt(squares[most])
	var q [4]float64
	q[most] = d / 4
	if most == 3 {
		q[0], q[1], q[2] = (m[2][1]-m[1][2])/d, (m[0][2]-m[2][0])/d, (m[1][0]-m[0][1])/d
		return q
	}
	i, j, k := most, (most+1)%3, (most+2)%3
	q[j], q[k], q[3] = (m[j][i]+m[i][j])/d, (m[k][i]+m[i][k])/d, (m[k][j]-m[j][k])/d
	if q[3] < 0 {
		for a := range q {
			q[a] = -q[a]
		}
	}
	return q
}
