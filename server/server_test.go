package server

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"sync"
	"testing"
	"time"

	"packyard/check/checktest"
	"packyard/design"
	"packyard/project"
	"packyard/search"
)

// bench is a server that is up, with a browser that has entered.
type bench struct {
	*Server
	t    *testing.T
	dir  string
	base string
	http *http.Client
	stop func() error
}

// projectDir returns a folder with a project to start from, or a copy of one of
// the examples.
func projectDir(t *testing.T, example string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "cart")
	if example == "" {
		if err := project.New(dir, "Cart"); err != nil {
			t.Fatal(err)
		}
		return dir
	}
	if err := os.CopyFS(dir, os.DirFS(filepath.Join(checktest.Root(t), "examples", example))); err != nil {
		t.Fatal(err)
	}
	return dir
}

// smallDir returns a folder with the smallest project, whose search is quick.
func smallDir(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "small")
	if err := os.CopyFS(dir, os.DirFS(filepath.Join(checktest.Root(t), "project", "testdata", "minimal"))); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(dir, project.FileName)
	data, err := os.ReadFile(file)
	if err == nil {
		err = os.WriteFile(file, bytes.Replace(data, []byte("count: 130"), []byte("count: 97"), 1), 0o644)
	}
	if err != nil {
		t.Fatal(err)
	}
	return dir
}

// shared is a server that all tests which only read use together, so that one
// search serves them all.
var shared struct {
	sync.Mutex
	dir  string
	b    *bench
	stop func() error
}

// reading returns the shared server, on the project to start from, with its
// search finished.
func reading(t *testing.T) *bench {
	t.Helper()
	shared.Lock()
	defer shared.Unlock()
	if shared.b == nil {
		root, err := os.MkdirTemp("", "packyard-server-")
		if err != nil {
			t.Fatal(err)
		}
		shared.dir = root
		dir := filepath.Join(root, "cart")
		if err := project.New(dir, "Cart"); err != nil {
			t.Fatal(err)
		}
		shared.b, shared.stop = start(t, dir)
		shared.b.searched()
	}
	b := *shared.b
	b.t = t
	return &b
}

func TestMain(m *testing.M) {
	code := m.Run()
	if shared.b != nil {
		if err := shared.stop(); err != nil {
			fmt.Fprintln(os.Stderr, "the shared server:", err)
			code = 1
		}
		_ = os.RemoveAll(shared.dir)
	}
	os.Exit(code)
}

// up starts a server on a folder for one test.
func up(t *testing.T, dir string) *bench {
	t.Helper()
	b, stop := start(t, dir)
	b.stop = sync.OnceValue(stop)
	t.Cleanup(func() {
		if err := b.stop(); err != nil {
			t.Errorf("stopping: %v", err)
		}
	})
	return b
}

func start(t *testing.T, dir string) (b *bench, stop func() error) {
	t.Helper()
	s, err := New(Options{Dir: dir})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Listen(0); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- s.Serve(ctx) }()
	b = &bench{Server: s, t: t, dir: dir, base: "http://" + s.listener.Addr().String()}
	b.http = b.browser()
	b.enter(b.http)
	return b, func() error {
		cancel()
		return <-done
	}
}

// browser returns a client with cookies and without any.
func (b *bench) browser() *http.Client {
	jar, _ := cookiejar.New(nil)
	return &http.Client{Jar: jar, Timeout: time.Minute, Transport: &http.Transport{}}
}

func (b *bench) enter(c *http.Client) {
	b.t.Helper()
	r, err := c.Get(b.URL())
	if err != nil {
		b.t.Fatal(err)
	}
	r.Body.Close()
	if r.StatusCode != http.StatusOK || r.Request.URL.RawQuery != "" {
		b.t.Fatalf("entering: %s at %s", r.Status, r.Request.URL)
	}
}

// do makes a request and returns status and body.
func (b *bench) do(method, path string, in any) (int, []byte) {
	b.t.Helper()
	var body io.Reader
	switch x := in.(type) {
	case nil:
	case string:
		body = strings.NewReader(x)
	default:
		data, err := json.Marshal(in)
		if err != nil {
			b.t.Fatal(err)
		}
		body = bytes.NewReader(data)
	}
	q, err := http.NewRequest(method, b.base+path, body)
	if err != nil {
		b.t.Fatal(err)
	}
	if in != nil {
		q.Header.Set("Content-Type", "application/json")
	}
	r, err := b.http.Do(q)
	if err != nil {
		b.t.Fatal(err)
	}
	defer r.Body.Close()
	data, err := io.ReadAll(r.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	return r.StatusCode, data
}

// get reads an answer into v, which must be there.
func get[T any](b *bench, path string) T {
	b.t.Helper()
	return read[T](b, http.StatusOK, "GET", path, nil)
}

// read reads an answer of the wanted status.
func read[T any](b *bench, status int, method, path string, in any) T {
	b.t.Helper()
	var v T
	got, data := b.do(method, path, in)
	if got != status {
		b.t.Fatalf("%s %s: got %d, want %d: %s", method, path, got, status, data)
	}
	if err := json.Unmarshal(data, &v); err != nil {
		b.t.Fatalf("%s %s: %v: %s", method, path, err, data)
	}
	return v
}

func set(path, text string) project.Op {
	return project.Op{Kind: project.OpSet, Path: path, Text: text}
}

// edit changes the project on its present revision.
func (b *bench) edit(ops ...project.Op) EditReply {
	b.t.Helper()
	return read[EditReply](b, http.StatusOK, "POST", "/api/edits", EditRequest{Base: b.session.View().Revision, Client: "test", Ops: ops})
}

// told is one event as a page gets it.
type told struct {
	id, name, data string
}

// page is an open event stream.
type page struct {
	t      *testing.T
	events chan told
	cancel context.CancelFunc
}

// page opens an event stream, after lastID if it is not empty.
func (b *bench) page(lastID string) *page {
	b.t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	b.t.Cleanup(cancel)
	q, err := http.NewRequestWithContext(ctx, "GET", b.base+"/api/events", nil)
	if err != nil {
		b.t.Fatal(err)
	}
	if lastID != "" {
		q.Header.Set("Last-Event-ID", lastID)
	}
	c := &http.Client{Jar: b.http.Jar}
	r, err := c.Do(q)
	if err != nil {
		b.t.Fatal(err)
	}
	if r.StatusCode != http.StatusOK || r.Header.Get("Content-Type") != "text/event-stream" {
		b.t.Fatalf("event stream: %s", r.Status)
	}
	p := &page{t: b.t, events: make(chan told, 1000), cancel: cancel}
	go func() {
		defer r.Body.Close()
		defer close(p.events)
		var e told
		for in := bufio.NewScanner(r.Body); in.Scan(); {
			key, value, _ := strings.Cut(in.Text(), ": ")
			switch key {
			case "id":
				e.id = value
			case "event":
				e.name = value
			case "data":
				e.data = value
				p.events <- e
				e = told{}
			}
		}
	}()
	return p
}

// patience is how long a test waits for something that must come: long, since
// the machine may be busy and the race detector on.
const patience = 5 * time.Minute

// wait returns the next event of that name that test accepts; nil accepts any.
func wait[T any](p *page, name string, test func(T) bool) (T, told) {
	p.t.Helper()
	limit := time.After(patience)
	for {
		select {
		case e, open := <-p.events:
			if !open {
				p.t.Fatalf("the stream ended before an event %s", name)
			}
			if e.name != name {
				continue
			}
			var v T
			if err := json.Unmarshal([]byte(e.data), &v); err != nil {
				p.t.Fatalf("event %s: %v: %s", name, err, e.data)
			}
			if test == nil || test(v) {
				return v, e
			}
		case <-limit:
			p.t.Fatalf("no event %s within %v", name, patience)
		}
	}
}

// searched waits for a finished search of the present revision.
func (b *bench) searched() *OptionList {
	b.t.Helper()
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if st := b.state(); st.Search.Revision == st.Revision && !st.Search.Running && st.Headline != nil {
			o := get[OptionList](b, "/api/options")
			return &o
		}
	}
	b.t.Fatalf("no search was finished: %+v", b.state())
	return nil
}

func TestPageIsFoundAndSaysHowTheFrontEndIsBuilt(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	for _, path := range []string{"/", "/donor", "/bays"} {
		status, data := b.do("GET", path, nil)
		if status != http.StatusOK || !bytes.Contains(data, []byte("packyard")) {
			t.Errorf("%s: %d %s", path, status, data)
		}
	}
	stub, err := os.ReadFile("stub/index.html")
	if err != nil || !bytes.Contains(stub, []byte("make build")) {
		t.Errorf("the stub page does not say make build: %v", err)
	}
	if status, _ := b.do("GET", "/nothing.js", nil); status != http.StatusNotFound {
		t.Errorf("a file that is not there: %d", status)
	}
}

func TestBuiltFrontEndGoesBeforeTheStub(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	for name, text := range map[string]string{"stub/index.html": "stub", "dist/index.html": "dist", "dist/assets/a-1.js": "x"} {
		if err := os.MkdirAll(filepath.Join(dir, filepath.Dir(name)), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	data, err := os.ReadFile(filepath.Join(dir, "dist/index.html"))
	if err != nil || string(data) != "dist" {
		t.Fatal(err)
	}
	f, err := built(os.DirFS(dir)).Open("index.html")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got, _ := io.ReadAll(f); string(got) != "dist" {
		t.Errorf("got %q", got)
	}
}

func TestPortThatIsTakenIsReplacedByAFreeOne(t *testing.T) {
	t.Parallel()
	dir := projectDir(t, "")
	var ports []int
	for _, wantTaken := range []bool{false, true} {
		s, err := New(Options{Dir: dir})
		if err != nil {
			t.Fatal(err)
		}
		port := 0
		if wantTaken {
			port = ports[0]
		}
		taken, err := s.Listen(port)
		if err != nil || taken != wantTaken {
			t.Fatalf("got %v, %v", taken, err)
		}
		defer s.listener.Close()
		ports = append(ports, s.listener.Addr().(*net.TCPAddr).Port)
	}
	if ports[0] == ports[1] {
		t.Error("the same port twice")
	}
}

func TestOnlyLoopbackAddressesAreServed(t *testing.T) {
	t.Parallel()
	s, err := New(Options{Dir: projectDir(t, "")})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("tcp", "0.0.0.0:0")
	if err != nil {
		t.Fatal(err)
	}
	if err := s.attach(l); !errors.Is(err, ErrAddress) {
		t.Errorf("got %v", err)
	}
}

func TestStopSaysGoodByeToOpenPages(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	p := b.page("")
	wait[State](p, "state", nil)
	began := time.Now()
	if err := b.stop(); err != nil {
		t.Error(err)
	}
	if d := time.Since(began); d > stopTime {
		t.Errorf("stopping took %v", d)
	}
	wait[struct{}](p, "bye", nil)
}

func ops(list ...project.Op) []project.Op { return list }

func encoded(t *testing.T, v any) string {
	t.Helper()
	data, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func valueOf(v any) reflect.Value { return reflect.ValueOf(v) }

type searchRow = search.Row

// reportOfBrief searches a brief as the server does.
func reportOfBrief(t *testing.T, b *design.Brief) *search.Report {
	t.Helper()
	f, err := design.NewFrame(b)
	if err != nil {
		t.Fatal(err)
	}
	res, err := search.Run(t.Context(), f, search.Options{Top: rankedMost})
	if err != nil {
		t.Fatal(err)
	}
	return res.Report(f)
}
