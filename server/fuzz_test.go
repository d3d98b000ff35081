package server

import (
	"net/http"
	"net/http/httptest"
	"os"
	"strings"
	"testing"

	"packyard/project"
)

// FuzzEdits throws bodies at the edits: no panic, an answer that a page
// understands, and a project that still reads.
func FuzzEdits(f *testing.F) {
	for _, seed := range []string{
		`{"base":1,"ops":[{"op":"set","path":"title","text":"x"}]}`,
		`{"base":1,"force":true,"ops":[{"op":"insert","path":"donor.removed","value":[{"name":"a: b","mass":"560 lb","at":["0 mm","0 mm","1/2 m"]}]}]}`,
		`{"base":1,"force":true,"client":"c","ops":[{"op":"set","path":"donor.weighed.front","text":"640 kg ± 2 kg"},{"op":"delete","path":"invented"}]}`,
		`{"base":1,"force":true,"ops":[{"op":"set","path":"title","text":"\u0000"}]}`,
		`{"base":1,"force":true,"ops":[{"op":"set","path":"title","text":"null"}]}`,
		`{"base":1,"force":true,"ops":[{"op":"insert","path":"bays","value":{"name":"x","at":["1 m","0 m","1 m"],"size":["1 m","1 m","1 m"],"keep_out":[{"at":["0 m","0 m","0 m"],"size":["1 mm","1 mm","1 mm"]}]}}]}`,
		`{"base":1,"force":true,"ops":[{"op":"insert","path":"x","value":[[[[[[[[[["y"]]]]]]]]]]}]}`,
		`{"base":1,"force":true,"ops":[{"op":"set","path":"bays[0].name[0]","text":"- x\n  y: [}"}]}`,
		`{"base":9223372036854775807,"ops":[]}`, `[]`, `{`, ``,
	} {
		f.Add(seed)
	}
	dir := f.TempDir()
	data, err := os.ReadFile("../project/testdata/minimal/packyard.yaml")
	if err != nil {
		f.Fatal(err)
	}
	file := dir + "/" + project.FileName
	f.Fuzz(func(t *testing.T, text string) {
		if err := os.WriteFile(file, data, 0o644); err != nil {
			t.Fatal(err)
		}
		if err := os.RemoveAll(dir + "/.history"); err != nil {
			t.Fatal(err)
		}
		s, err := New(Options{Dir: dir})
		if err != nil {
			t.Fatal(err)
		}
		w := httptest.NewRecorder()
		r := httptest.NewRequest("POST", "/api/edits", strings.NewReader(text))
		r.Header.Set("Content-Type", "application/json")
		s.post(s.edit)(w, r)
		switch w.Code {
		case http.StatusOK, http.StatusBadRequest, http.StatusConflict, http.StatusUnprocessableEntity:
		default:
			t.Errorf("%q: %d %s", text, w.Code, w.Body)
		}
		p, err := project.Open(dir)
		if err != nil {
			t.Fatalf("%q left a project that does not read: %v", text, err)
		}
		if w.Code != http.StatusOK && string(p.Raw) != string(data) {
			t.Errorf("%q: refused, but written", text)
		}
	})
}
