package drawing

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"packyard/bay"
	"packyard/check/checktest"
	"packyard/unit"
)

// glb is a GLB as read back by a reader of its own, which knows the
// specification and not the writer.
type glb struct {
	Asset  struct{ Version string }
	Scene  int
	Scenes []struct{ Nodes []int }
	Nodes  []struct {
		Name        string
		Mesh        *int
		Children    []int
		Translation *[3]float64
		Rotation    *[4]float64
		Scale       *[3]float64
		Matrix      []float64
		Extras      map[string]any
	}
	Meshes []struct {
		Primitives []struct {
			Attributes map[string]int
			Indices    *int
			Material   *int
			Mode       *int
		}
	}
	Materials []struct {
		Name                 string
		AlphaMode            string
		PBRMetallicRoughness struct {
			BaseColorFactor                 []float64
			MetallicFactor, RoughnessFactor *float64
		} `json:"pbrMetallicRoughness"`
	}
	Accessors []struct {
		BufferView, ByteOffset, ComponentType, Count int
		Type                                         string
		Min, Max                                     []float64
	}
	BufferViews []struct{ Buffer, ByteOffset, ByteLength, ByteStride, Target int }
	Buffers     []struct {
		ByteLength int
		URI        *string
	}
	bin []byte
}

// readGLB reads a GLB and fails on everything that the specification forbids
// (Khronos glTF 2.0, sections 3.4 to 3.9 and 4.4), as far as such files use it.
func readGLB(t testing.TB, b []byte) *glb {
	t.Helper()
	u32 := func(at int) int { return int(binary.LittleEndian.Uint32(b[at:])) }
	if len(b) < 28 || string(b[:4]) != "glTF" || u32(4) != 2 || u32(8) != len(b) || len(b)%4 != 0 {
		t.Fatalf("header of %d bytes: % x", len(b), b[:min(len(b), 12)])
	}
	n := u32(12)
	if string(b[16:20]) != "JSON" || n%4 != 0 || 20+n+8 > len(b) {
		t.Fatalf("first chunk of %d bytes is %q", n, b[16:20])
	}
	var g glb
	d := json.NewDecoder(bytes.NewReader(b[20 : 20+n]))
	if err := d.Decode(&g); err != nil {
		t.Fatalf("JSON: %v", err)
	}
	if rest := b[20+int(d.InputOffset()) : 20+n]; strings.Trim(string(rest), " ") != "" {
		t.Fatalf("JSON is padded with %q, spaces are required", rest)
	}
	m := u32(20 + n)
	if string(b[24+n:28+n]) != "BIN\x00" || m%4 != 0 || 28+n+m != len(b) {
		t.Fatalf("second chunk of %d bytes is %q", m, b[24+n:28+n])
	}
	g.bin = b[28+n:]
	if g.Asset.Version != "2.0" || len(g.Buffers) != 1 || g.Buffers[0].URI != nil || len(g.bin)-g.Buffers[0].ByteLength < 0 || len(g.bin)-g.Buffers[0].ByteLength > 3 {
		t.Fatalf("asset %q, buffers %v for %d bytes", g.Asset.Version, g.Buffers, len(g.bin))
	}
	g.checkData(t)
	g.checkNodes(t)
	return &g
}

func (g *glb) checkData(t testing.TB) {
	t.Helper()
	for i, v := range g.BufferViews {
		if v.Buffer != 0 || v.ByteLength < 1 || v.ByteOffset < 0 || v.ByteOffset+v.ByteLength > g.Buffers[0].ByteLength || v.Target != 34962 && v.Target != 34963 {
			t.Fatalf("buffer view %d: %+v", i, v)
		}
	}
	for i, a := range g.Accessors {
		size, parts := map[int]int{5123: 2, 5125: 4, 5126: 4}[a.ComponentType], map[string]int{"SCALAR": 1, "VEC3": 3}[a.Type]
		v := g.BufferViews[a.BufferView]
		if size == 0 || parts == 0 || a.Count < 1 || (v.ByteOffset+a.ByteOffset)%size != 0 || a.ByteOffset+a.Count*size*parts > v.ByteLength {
			t.Fatalf("accessor %d: %+v in %+v", i, a, v)
		}
	}
	for i, m := range g.Meshes {
		if len(m.Primitives) == 0 {
			t.Fatalf("mesh %d has no primitives", i)
		}
		for _, p := range m.Primitives {
			at, ok := p.Attributes["POSITION"]
			if !ok || p.Material == nil || *p.Material >= len(g.Materials) || p.Mode == nil || p.Indices == nil {
				t.Fatalf("mesh %d: %+v", i, p)
			}
			g.checkPrimitive(t, fmt.Sprintf("mesh %d", i), *p.Mode, at, p.Attributes, *p.Indices)
		}
	}
	for i, m := range g.Materials {
		c := m.PBRMetallicRoughness.BaseColorFactor
		if len(c) != 4 || slices.Min(c) < 0 || slices.Max(c) > 1 || m.Name == "" || (c[3] < 1) != (m.AlphaMode == "BLEND") {
			t.Fatalf("material %d: %+v", i, m)
		}
	}
}

// checkPrimitive looks at the values: least and greatest of positions as said,
// indices inside, normals of length one that point out of a shape around the
// origin, triangles anticlockwise from outside.
func (g *glb) checkPrimitive(t testing.TB, name string, mode, position int, attributes map[string]int, indices int) {
	t.Helper()
	p := g.vectors(position)
	a := g.Accessors[position]
	lo, hi := p[0], p[0]
	for _, v := range p {
		for k := range 3 {
			lo[k], hi[k] = min(lo[k], v[k]), max(hi[k], v[k])
		}
	}
	if !slices.Equal(a.Min, lo[:]) || !slices.Equal(a.Max, hi[:]) {
		t.Fatalf("%s: positions reach from %v to %v, said are %v to %v", name, lo, hi, a.Min, a.Max)
	}
	index := g.indices(indices)
	for _, i := range index {
		if i >= len(p) {
			t.Fatalf("%s: index %d of %d", name, i, len(p))
		}
	}
	switch mode {
	case 1:
		if len(index)%2 != 0 {
			t.Fatalf("%s: %d indices for lines", name, len(index))
		}
	case 4:
		normals := g.vectors(attributes["NORMAL"])
		if len(index)%3 != 0 || len(normals) != len(p) {
			t.Fatalf("%s: %d indices, %d normals for %d positions", name, len(index), len(normals), len(p))
		}
		for i := 0; i < len(index); i += 3 {
			a, b, c := p[index[i]], p[index[i+1]], p[index[i+2]]
			n := cross3(minus3(b, a), minus3(c, a))
			if dot3(n, n) < 1e-12 {
				continue
			}
			middle := [3]float64{(a[0] + b[0] + c[0]) / 3, (a[1] + b[1] + c[1]) / 3, (a[2] + b[2] + c[2]) / 3}
			if dot3(n, middle) <= 0 || dot3(n, normals[index[i]]) <= 0 {
				t.Fatalf("%s: triangle %d is seen from inside", name, i/3)
			}
		}
		for i, n := range normals {
			if math.Abs(dot3(n, n)-1) > 1e-5 {
				t.Fatalf("%s: normal %d is %v", name, i, n)
			}
		}
	default:
		t.Fatalf("%s: mode %d", name, mode)
	}
}

func (g *glb) vectors(accessor int) [][3]float64 {
	a := g.Accessors[accessor]
	at := g.BufferViews[a.BufferView].ByteOffset + a.ByteOffset
	out := make([][3]float64, a.Count)
	for i := range out {
		for k := range 3 {
			out[i][k] = float64(math.Float32frombits(binary.LittleEndian.Uint32(g.bin[at+12*i+4*k:])))
		}
	}
	return out
}

func (g *glb) indices(accessor int) []int {
	a := g.Accessors[accessor]
	at := g.BufferViews[a.BufferView].ByteOffset + a.ByteOffset
	out := make([]int, a.Count)
	for i := range out {
		out[i] = int(binary.LittleEndian.Uint16(g.bin[at+2*i:]))
	}
	return out
}

// checkNodes: a strict tree of finite transforms, quaternions of length one.
func (g *glb) checkNodes(t testing.TB) {
	t.Helper()
	if g.Scene >= len(g.Scenes) {
		t.Fatalf("scene %d of %d", g.Scene, len(g.Scenes))
	}
	parents := make([]int, len(g.Nodes))
	for i, n := range g.Nodes {
		if len(n.Matrix) > 0 || n.Mesh != nil && *n.Mesh >= len(g.Meshes) {
			t.Fatalf("node %d: %+v", i, n)
		}
		if q := n.Rotation; q != nil && math.Abs(q[0]*q[0]+q[1]*q[1]+q[2]*q[2]+q[3]*q[3]-1) > 1e-9 {
			t.Fatalf("node %q turns by %v", n.Name, *q)
		}
		for _, c := range n.Children {
			parents[c]++
		}
	}
	for _, r := range g.Scenes[g.Scene].Nodes {
		parents[r]++
	}
	for i, n := range parents {
		if n != 1 {
			t.Fatalf("node %q has %d parents", g.Nodes[i].Name, n)
		}
	}
}

// world returns where a point of every named node's parent frame lies: the
// node's own origin, by walking down from the roots.
func (g *glb) world() map[string][3]float64 {
	out := map[string][3]float64{}
	var walk func(i int, to func([3]float64) [3]float64)
	walk = func(i int, to func([3]float64) [3]float64) {
		n := g.Nodes[i]
		here := func(p [3]float64) [3]float64 {
			if n.Scale != nil {
				for k := range 3 {
					p[k] *= n.Scale[k]
				}
			}
			if n.Rotation != nil {
				p = rotate(*n.Rotation, p)
			}
			if n.Translation != nil {
				for k := range 3 {
					p[k] += n.Translation[k]
				}
			}
			return to(p)
		}
		out[n.Name] = here([3]float64{})
		for _, c := range n.Children {
			walk(c, here)
		}
	}
	for _, r := range g.Scenes[g.Scene].Nodes {
		walk(r, func(p [3]float64) [3]float64 { return p })
	}
	return out
}

// rotate applies a unit quaternion: p + 2w(q×p) + 2q×(q×p).
func rotate(q [4]float64, p [3]float64) [3]float64 {
	v := [3]float64{q[0], q[1], q[2]}
	c := cross3(v, p)
	d := cross3(v, c)
	for k := range 3 {
		p[k] += 2*q[3]*c[k] + 2*d[k]
	}
	return p
}

func cross3(a, b [3]float64) [3]float64 {
	return [3]float64{a[1]*b[2] - a[2]*b[1], a[2]*b[0] - a[0]*b[2], a[0]*b[1] - a[1]*b[0]}
}
func dot3(a, b [3]float64) float64      { return a[0]*b[0] + a[1]*b[1] + a[2]*b[2] }
func minus3(a, b [3]float64) [3]float64 { return [3]float64{a[0] - b[0], a[1] - b[1], a[2] - b[2]} }

func glbOf(t testing.TB, s *Scene) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := GLB(&b, s); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestGLBKeepsToTheSpecification(t *testing.T) {
	t.Parallel()
	v := cartView(unit.SI)
	bare := View{Brief: v.Brief}
	for name, s := range map[string]*Scene{"vehicle": VehicleScene(v), "bay": BayScene(v, 1), "vehicle without pack": VehicleScene(bare)} {
		b := glbOf(t, s)
		readGLB(t, b)
		if !bytes.Equal(b, glbOf(t, s)) {
			t.Errorf("%s: two writings differ", name)
		}
	}
}

// TestLeftIsLeftAndFrontIsFront: a glTF asset faces +Z with Y up, so its left is
// at +X. Nothing is mirrored.
func TestLeftIsLeftAndFrontIsFront(t *testing.T) {
	t.Parallel()
	v := cartView(unit.SI)
	w := readGLB(t, glbOf(t, VehicleScene(v))).world()
	for name, want := range map[string][3]float64{
		"wheel front left": {0.625, 0.28, 0}, "wheel front right": {-0.625, 0.28, 0},
		"wheel rear left": {0.6, 0.28, -2.1}, "wheel rear right": {-0.6, 0.28, -2.1},
		"overall size": {0, 0.85, 0.6 - 1.7}, "bay front bay keep-out 1": {-0.35 + 0.08, 0.48 + 0.09, 0.35 - 0.525},
	} {
		got, ok := w[name]
		if !ok {
			t.Errorf("no node %q", name)
		}
		for k, axis := range []string{"left", "up", "forward"} {
			checktest.Near(t, name+" "+axis+" in m", got[k], want[k], 1e-9, 0, "Khronos glTF 2.0, 3.4: Y up, the front of an asset faces +Z, right is -X")
		}
	}
}

// TestModulesStandWherePackageBayPutsThem turns a bay at random and compares
// every module with bay.ToVehicle.
func TestModulesStandWherePackageBayPutsThem(t *testing.T) {
	t.Parallel()
	checktest.Check(t, func(rt *rapid.T) {
		v := cartView(unit.SI)
		b := &v.Brief.Bays[1]
		b.Yaw = unit.Angle(rapid.Float64Range(-math.Pi, math.Pi).Draw(rt, "yaw"))
		b.Pitch = unit.Angle(rapid.Float64Range(-math.Pi, math.Pi).Draw(rt, "pitch"))
		w := readGLB(t, glbOf(t, VehicleScene(v))).world()
		for k, p := range v.Assessment.Bays[1].Places {
			c := b.ToVehicle(bay.Vec{X: p.X + p.Length/2, Y: p.Y + p.Width/2, Z: p.Z + p.Height/2})
			want := [3]float64{float64(c.Y), float64(c.Z), -float64(c.X)}
			got := w["bay "+b.Name+" module "+strconv.Itoa(k+1)]
			for a := range 3 {
				if math.Abs(got[a]-want[a]) > 1e-9 {
					rt.Fatalf("module %d is at %v, want %v", k+1, got, want)
				}
			}
		}
	})
}

func TestEveryModuleIsInTheSceneOnceWithItsTerminals(t *testing.T) {
	t.Parallel()
	v := cartView(unit.SI)
	g := readGLB(t, glbOf(t, VehicleScene(v)))
	kinds := map[any]int{}
	mass := 0.0
	for _, n := range g.Nodes {
		kinds[n.Extras["kind"]]++
		if n.Extras["kind"] == "module" {
			mass += n.Extras["mass_kg"].(float64)
		}
		if n.Name == "" {
			t.Errorf("a node without a name: %+v", n)
		}
	}
	for kind, want := range map[any]int{"module": 4, "terminals": 4, "bay": 2, "keep-out": 1, "wheel": 4, "cg": 2, "outline": 1} {
		if kinds[kind] != want {
			t.Errorf("%d nodes of kind %v, want %d", kinds[kind], kind, want)
		}
	}
	checktest.Near(t, "modules in kg", mass, 4*21.5, 1e-9, 0, "the assessment drawn")
}

// TestAnotherReaderSeesTheSameVehicle asks the Open Asset Import Library for
// the room that the scene takes.
func TestAnotherReaderSeesTheSameVehicle(t *testing.T) {
	t.Parallel()
	tool := checktest.Tool(t, "assimp")
	file := filepath.Join(t.TempDir(), "vehicle.glb")
	v := cartView(unit.SI)
	if err := os.WriteFile(file, glbOf(t, VehicleScene(v)), 0o600); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(tool, "info", file).CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	o := v.Brief.Outline
	for what, want := range map[string][3]float64{
		"Minimum point": {-float64(o.Width) / 2, 0, -float64(v.Brief.Donor.Wheelbase + o.Rear)},
		"Maximum point": {float64(o.Width) / 2, float64(o.Height), float64(o.Front)},
	} {
		m := regexp.MustCompile(what + ` +\((\S+) (\S+) (\S+)\)`).FindSubmatch(out)
		if m == nil {
			t.Fatalf("no %s in %s", what, out)
		}
		for k := range 3 {
			got, err := strconv.ParseFloat(string(m[k+1]), 64)
			if err != nil {
				t.Fatal(err)
			}
			checktest.Near(t, fmt.Sprintf("%s, axis %d, in m", what, k), got, want[k], 2e-6, 0, "assimp info (Open Asset Import Library), six decimals printed")
		}
	}
	// Boxes, edges and wheels: the box that holds the most vertices is known.
	if !regexp.MustCompile(`Nodes: +\d+`).Match(out) || !bytes.Contains(out, []byte("high voltage, module")) {
		t.Errorf("materials are not named: %s", out)
	}
}

func BenchmarkGLB(b *testing.B) {
	v := cartView(unit.SI)
	b.ReportAllocs()
	size := 0
	for b.Loop() {
		var out bytes.Buffer
		if err := GLB(&out, VehicleScene(v)); err != nil {
			b.Fatal(err)
		}
		size = out.Len()
	}
	b.ReportMetric(float64(size)/1024, "kB/scene")
}
