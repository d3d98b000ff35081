package drawing

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"io"
	"math"
)

// GLB writes the scene as glTF 2.0 in its binary container: one buffer, shapes
// shared by their nodes, one material for each role, names and what a node shows
// (extras.kind) at every node. Equal scenes give equal bytes. Errors:
// ErrNotFinite, those of w. Source: gltf-2.
func GLB(w io.Writer, s *Scene) error {
	if s.bad {
		return fmt.Errorf("%s: %w", s.name, ErrNotFinite)
	}
	o := glbWriter{meshes: map[[2]int]int{}}
	o.doc.Asset = asset{Version: "2.0", Generator: "packyard"}
	o.doc.Scenes = []glScene{{Name: s.name, Extras: s.notes}}
	for _, g := range geometries() {
		o.geometry(g)
	}
	for i := range s.nodes {
		o.doc.Scenes[0].Nodes = append(o.doc.Scenes[0].Nodes, o.node(&s.nodes[i]))
	}
	o.doc.Materials = materials()
	if o.err != nil {
		return fmt.Errorf("%s: %w", s.name, o.err)
	}
	pad(&o.bin, 0)
	o.doc.Buffers = []glBuffer{{ByteLength: o.bin.Len()}}
	text, err := json.Marshal(o.doc)
	if err != nil {
		return fmt.Errorf("%s: %w", s.name, err)
	}
	chunk := bytes.NewBuffer(text)
	pad(chunk, ' ')
	var out bytes.Buffer
	total := 12 + 8 + chunk.Len() + 8 + o.bin.Len()
	for _, v := range [...]uint32{magicGLTF, 2, uint32(total), uint32(chunk.Len()), chunkJSON} {
		binary.Write(&out, binary.LittleEndian, v)
	}
	out.Write(chunk.Bytes())
	for _, v := range [...]uint32{uint32(o.bin.Len()), chunkBIN} {
		binary.Write(&out, binary.LittleEndian, v)
	}
	out.Write(o.bin.Bytes())
	_, err = w.Write(out.Bytes())
	return err
}

// Numbers of the container. Source: gltf-2, section 4.4.
const (
	magicGLTF = 0x46546C67
	chunkJSON = 0x4E4F534A
	chunkBIN  = 0x004E4942
)

func pad(b *bytes.Buffer, with byte) {
	for b.Len()%4 != 0 {
		b.WriteByte(with)
	}
}

// The document of glTF, as far as it is used. Source: gltf-2, section 5.
type document struct {
	Asset       asset        `json:"asset"`
	Scene       int          `json:"scene"`
	Scenes      []glScene    `json:"scenes"`
	Nodes       []glNode     `json:"nodes"`
	Meshes      []glMesh     `json:"meshes"`
	Materials   []glMaterial `json:"materials"`
	Accessors   []accessor   `json:"accessors"`
	BufferViews []bufferView `json:"bufferViews"`
	Buffers     []glBuffer   `json:"buffers"`
}

type asset struct {
	Version   string `json:"version"`
	Generator string `json:"generator"`
}

type glScene struct {
	Name   string         `json:"name"`
	Nodes  []int          `json:"nodes"`
	Extras map[string]any `json:"extras,omitempty"`
}

type glNode struct {
	Name        string         `json:"name"`
	Mesh        *int           `json:"mesh,omitempty"`
	Children    []int          `json:"children,omitempty"`
	Translation *[3]float64    `json:"translation,omitempty"`
	Rotation    *[4]float64    `json:"rotation,omitempty"`
	Scale       *[3]float64    `json:"scale,omitempty"`
	Extras      map[string]any `json:"extras,omitempty"`
}

type glMesh struct {
	Name       string        `json:"name"`
	Primitives []glPrimitive `json:"primitives"`
}

type glPrimitive struct {
	Attributes map[string]int `json:"attributes"`
	Indices    int            `json:"indices"`
	Material   int            `json:"material"`
	Mode       int            `json:"mode"`
}

type glMaterial struct {
	Name        string   `json:"name"`
	PBR         metallic `json:"pbrMetallicRoughness"`
	AlphaMode   string   `json:"alphaMode,omitempty"`
	DoubleSided bool     `json:"doubleSided,omitempty"`
}

type metallic struct {
	BaseColor [4]float64 `json:"baseColorFactor"`
	Metallic  float64    `json:"metallicFactor"`
	Roughness float64    `json:"roughnessFactor"`
}

type accessor struct {
	BufferView    int       `json:"bufferView"`
	ComponentType int       `json:"componentType"`
	Count         int       `json:"count"`
	Type          string    `json:"type"`
	Min           []float32 `json:"min,omitempty"`
	Max           []float32 `json:"max,omitempty"`
}

type bufferView struct {
	Buffer     int `json:"buffer"`
	ByteOffset int `json:"byteOffset"`
	ByteLength int `json:"byteLength"`
	Target     int `json:"target"`
}

type glBuffer struct {
	ByteLength int `json:"byteLength"`
}

// Numbers of the document. Source: gltf-2, sections 5.1.3, 5.11.5 and 5.24.4.
const (
	componentU16  = 5123
	componentF32  = 5126
	targetVertex  = 34962
	targetIndex   = 34963
	modeLines     = 1
	modeTriangles = 4
)

type glbWriter struct {
	doc    document
	bin    bytes.Buffer
	shapes []shapeRefs
	meshes map[[2]int]int // by shape and look
	err    error
}

// shapeRefs are the accessors of a shape; normal is below zero for lines.
type shapeRefs struct {
	name                    string
	position, normal, index int
}

// geometry writes a shape into the buffer.
func (o *glbWriter) geometry(g geometry) {
	r := shapeRefs{name: g.name, normal: -1}
	lo, hi := g.position[0], g.position[0]
	for _, p := range g.position {
		for a := range 3 {
			lo[a], hi[a] = min(lo[a], p[a]), max(hi[a], p[a])
		}
	}
	r.position = o.accessor(g.position, accessor{ComponentType: componentF32, Count: len(g.position), Type: "VEC3", Min: lo[:], Max: hi[:]}, targetVertex)
	if len(g.normal) > 0 {
		r.normal = o.accessor(g.normal, accessor{ComponentType: componentF32, Count: len(g.normal), Type: "VEC3"}, targetVertex)
	}
	r.index = o.accessor(g.index, accessor{ComponentType: componentU16, Count: len(g.index), Type: "SCALAR"}, targetIndex)
	o.shapes = append(o.shapes, r)
}

func (o *glbWriter) accessor(data any, a accessor, target int) int {
	pad(&o.bin, 0)
	v := bufferView{ByteOffset: o.bin.Len(), Target: target}
	binary.Write(&o.bin, binary.LittleEndian, data)
	v.ByteLength = o.bin.Len() - v.ByteOffset
	a.BufferView = len(o.doc.BufferViews)
	o.doc.BufferViews = append(o.doc.BufferViews, v)
	o.doc.Accessors = append(o.doc.Accessors, a)
	return len(o.doc.Accessors) - 1
}

// node writes a node after its children and returns its index.
func (o *glbWriter) node(n *sceneNode) int {
	g := glNode{Name: n.name, Extras: n.extras}
	for i := range n.children {
		g.Children = append(g.Children, o.node(&n.children[i]))
	}
	o.finite(n.at[:], n.turn[:], n.size[:])
	if n.at != [3]float64{} {
		at := n.at
		g.Translation = &at
	}
	if n.turn != [4]float64{} && n.turn != [4]float64{3: 1} {
		turn := n.turn
		g.Rotation = &turn
	}
	if n.shape >= 0 {
		m := o.mesh(n.shape, n.look)
		g.Mesh = &m
		if n.size != [3]float64{} {
			size := n.size
			g.Scale = &size
		}
	}
	o.doc.Nodes = append(o.doc.Nodes, g)
	return len(o.doc.Nodes) - 1
}

func (o *glbWriter) finite(lists ...[]float64) {
	for _, l := range lists {
		for _, v := range l {
			if (math.IsNaN(v) || math.IsInf(v, 0)) && o.err == nil {
				o.err = ErrNotFinite
			}
		}
	}
}

// mesh returns the mesh of a shape in a look, made once.
func (o *glbWriter) mesh(shape int, l look) int {
	key := [2]int{shape, int(l)}
	if m, ok := o.meshes[key]; ok {
		return m
	}
	r := o.shapes[shape]
	p := glPrimitive{Attributes: map[string]int{"POSITION": r.position}, Indices: r.index, Material: int(l), Mode: modeLines}
	if r.normal >= 0 {
		p.Attributes["NORMAL"] = r.normal
		p.Mode = modeTriangles
	}
	o.doc.Meshes = append(o.doc.Meshes, glMesh{Name: r.name + ", " + looksInSpace[l].name, Primitives: []glPrimitive{p}})
	o.meshes[key] = len(o.doc.Meshes) - 1
	return o.meshes[key]
}

// looksInSpace are the materials: names and colours in sRGB, and opacity.
var looksInSpace = [lookCount]struct {
	name    string
	rgb     [3]uint8
	opacity float64
}{
	lookOutline:    {"faint line", [3]uint8{0x6d, 0x68, 0x5f}, 1},
	lookTyre:       {"tyre", [3]uint8{0x7a, 0x76, 0x6e}, 1},
	lookBay:        {"ink line", [3]uint8{0x22, 0x21, 0x1f}, 1},
	lookKeepOut:    {"keep-out", [3]uint8{0x8a, 0x85, 0x7b}, 0.45},
	lookModule:     {"high voltage, module", [3]uint8{0xf0, 0xc9, 0xa6}, 1},
	lookModuleEdge: {"high voltage, line", [3]uint8{0xa8, 0x4a, 0x05}, 1},
	lookTerminals:  {"high voltage, terminals", [3]uint8{0xd9, 0x62, 0x0a}, 1},
	lookBefore:     {"faint", [3]uint8{0x6d, 0x68, 0x5f}, 1},
	lookAfter:      {"ink", [3]uint8{0x22, 0x21, 0x1f}, 1},
}

func materials() []glMaterial {
	out := make([]glMaterial, lookCount)
	for i, l := range looksInSpace {
		m := glMaterial{Name: l.name, PBR: metallic{Roughness: 0.9, BaseColor: [4]float64{3: l.opacity}}}
		for c, v := range l.rgb {
			m.PBR.BaseColor[c] = linear(v)
		}
		if l.opacity < 1 {
			m.AlphaMode, m.DoubleSided = "BLEND", true
		}
		out[i] = m
	}
	return out
}

// linear returns the linear value of an sRGB one to four digits. Source:
// iec-61966-2-1 (from memory).
func linear(v uint8) float64 {
	x := float64(v) / 255
	if x <= 0.04045 {
		x /= 12.92
	} else {
		x = math.Pow((x+0.055)/1.055, 2.4)
	}
	return math.Round(x*1e4) / 1e4
}
