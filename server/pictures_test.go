package server

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"net/http"
	"slices"
	"strings"
	"testing"

	"packyard/check/checktest"
)

// drawn reads a picture, which must be well-formed XML with an svg element at
// its root, and returns its text and how many objects of each kind it holds.
func (b *bench) drawn(path string) (string, map[string]int) {
	b.t.Helper()
	status, data := b.do("GET", path, nil)
	if status != http.StatusOK {
		b.t.Fatalf("%s: %d %s", path, status, data)
	}
	kinds := map[string]int{}
	d := xml.NewDecoder(bytes.NewReader(data))
	root := ""
	for {
		t, err := d.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			b.t.Fatalf("%s is not well-formed: %v", path, err)
		}
		e, ok := t.(xml.StartElement)
		if !ok {
			continue
		}
		if root == "" {
			root = e.Name.Local
		}
		for _, a := range e.Attr {
			if a.Name.Local == "data-kind" {
				kinds[a.Value]++
			}
		}
	}
	if root != "svg" {
		b.t.Fatalf("%s: root is %q, want svg", path, root)
	}
	return string(data), kinds
}

func TestPicturesShowWhatTheAnswersSay(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	b := up(t, projectDir(t, "orchard-truck"))
	b.searched()
	bays := get[Bays](b, "/api/bays")
	assessment := get[AssessmentReply](b, "/api/assessment").Assessment
	modules := 0
	for _, x := range bays.Bays {
		modules += len(x.Places)
	}
	if modules == 0 {
		t.Fatal("no modules are placed; the test needs some")
	}
	_, side := b.drawn("/api/pictures/side.svg")
	if got := side["module"]; got != modules {
		t.Errorf("side view draws %d modules, want %d as /api/bays says", got, modules)
	}
	if got, want := side["axle-load"], 2*len(assessment.Vehicle); got != want {
		t.Errorf("side view has %d axle loads, want %d: two for each state of /api/assessment", got, want)
	}
	if _, top := b.drawn("/api/pictures/top.svg"); top["bay"] != len(bays.Bays) {
		t.Errorf("top view has %d bays, want %d", top["bay"], len(bays.Bays))
	}
	for _, name := range []string{"window", "options", "options.svg?by=price", "trace.svg?along=distance", "flow", "cell-" + assessment.Cell.ID} {
		if !strings.Contains(name, ".svg") {
			name += ".svg"
		}
		b.drawn("/api/pictures/" + name)
	}
	si, _ := b.drawn("/api/pictures/bay-0.svg")
	us, _ := b.drawn("/api/pictures/bay-0.svg?system=us")
	if !strings.Contains(si, " mm") || !strings.Contains(us, " in") || strings.Contains(us, " mm<") {
		t.Error("bay view: the units of the system asked for are not those written")
	}
}

func TestPicturesBeforeThereIsAnOptionShowTheVehicleAlone(t *testing.T) {
	t.Parallel()
	b := up(t, projectDir(t, "wishful-roadster"))
	for _, name := range []string{"side", "top", "bay-0", "window"} {
		b.drawn("/api/pictures/" + name + ".svg")
	}
}

func TestPicturesThatAreNoneAreNotFound(t *testing.T) {
	t.Parallel()
	b := up(t, projectDir(t, ""))
	for path, want := range map[string]int{
		"/api/pictures/side.png":             http.StatusNotFound,
		"/api/pictures/rear.svg":             http.StatusNotFound,
		"/api/pictures/bay-99.svg":           http.StatusNotFound,
		"/api/pictures/bay--1.svg":           http.StatusNotFound,
		"/api/pictures/cell-none.svg":        http.StatusNotFound,
		"/api/pictures/side.svg?system=cgs":  http.StatusBadRequest,
		"/api/pictures/side.svg?option=none": http.StatusNotFound,
		"/api/scene.glb?bay=99":              http.StatusNotFound,
	} {
		if status, data := b.do("GET", path, nil); status != want {
			t.Errorf("%s: %d %s, want %d", path, status, data, want)
		}
	}
}

// The header and chunks of a binary glTF file. Source: Khronos glTF 2.0
// Specification, 4.4 "Binary glTF Layout".
func TestSceneIsBinaryGLTFWithTheBays(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	b := up(t, projectDir(t, "orchard-truck"))
	b.searched()
	for _, path := range []string{"/api/scene.glb", "/api/scene.glb?bay=1"} {
		status, data := b.do("GET", path, nil)
		if status != http.StatusOK || len(data) < 20 {
			t.Fatalf("%s: %d, %d bytes", path, status, len(data))
		}
		word := func(at int) uint32 { return binary.LittleEndian.Uint32(data[at:]) }
		if word(0) != 0x46546C67 || word(4) != 2 || int(word(8)) != len(data) || word(16) != 0x4E4F534A {
			t.Fatalf("%s: header %#x, version %d, length %d of %d, first chunk %#x", path, word(0), word(4), word(8), len(data), word(16))
		}
		var doc struct {
			Nodes []struct {
				Name string `json:"name"`
			} `json:"nodes"`
		}
		if err := json.Unmarshal(data[20:20+word(12)], &doc); err != nil {
			t.Fatal(err)
		}
		found := false
		for _, n := range doc.Nodes {
			found = found || n.Name == "bay left side"
		}
		if !found {
			t.Errorf("%s: no node %q in %v", path, "bay left side", doc.Nodes)
		}
	}
}

func TestPictureOpenedAloneMayUseItsOwnStyleOnly(t *testing.T) {
	t.Parallel()
	b := up(t, projectDir(t, ""))
	r, err := b.http.Get(b.base + "/api/pictures/side.svg")
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	if got := r.Header.Values("Content-Security-Policy"); !slices.Equal(got, []string{svgPolicy}) {
		t.Errorf("policy %q, want %q alone", got, svgPolicy)
	}
}
