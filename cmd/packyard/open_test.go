package main

import (
	"bufio"
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/cookiejar"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"packyard/check/checktest"
)

// served is a running open command.
type served struct {
	address string
	stop    func() (code int, errs string)
}

// serve runs open on args and waits for its address.
func serve(t *testing.T, args ...string) served {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	out, in := io.Pipe()
	var errs bytes.Buffer
	code := make(chan int, 1)
	go func() {
		code <- run(ctx, append([]string{"open", "--no-browser"}, args...), in, &errs)
		in.Close()
	}()
	line, err := bufio.NewReader(out).ReadString('\n')
	stop := sync.OnceValues(func() (int, string) {
		cancel()
		return <-code, errs.String()
	})
	t.Cleanup(func() { stop() })
	if err != nil {
		_, said := stop()
		t.Fatalf("open %v printed no address: %v\n%s", args, err, said)
	}
	return served{strings.TrimSpace(line), stop}
}

func TestOpenServesTheProjectUntilItIsInterrupted(t *testing.T) {
	t.Parallel()
	dir := filepath.Join(t.TempDir(), "small")
	if err := os.CopyFS(dir, os.DirFS(filepath.Join(checktest.Root(t), "project", "testdata", "minimal"))); err != nil {
		t.Fatal(err)
	}
	s := serve(t, dir)
	form := regexp.MustCompile(`^http://127\.0\.0\.1:(\d+)/\?key=[0-9a-f]{32,}$`)
	m := form.FindStringSubmatch(s.address)
	if m == nil {
		t.Fatalf("address %q", s.address)
	}
	jar, _ := cookiejar.New(nil)
	c := &http.Client{Jar: jar}
	base, _, _ := strings.Cut(s.address, "?")
	for _, get := range []struct{ path, want string }{{s.address, "packyard"}, {base + "api/state", `"project":"Smallest project"`}} {
		r, err := c.Get(get.path)
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(r.Body)
		r.Body.Close()
		if err != nil || r.StatusCode != http.StatusOK || !bytes.Contains(body, []byte(get.want)) {
			t.Errorf("%s: %s, %v: %.300s", get.path, r.Status, err, body)
		}
	}
	if other := serve(t, dir, "--port", m[1]); strings.Contains(other.address, ":"+m[1]+"/") {
		t.Errorf("the taken port %s twice", m[1])
	} else if code, errs := other.stop(); code != exitGood || !strings.Contains(errs, "port "+m[1]+" is taken; a free one was chosen") {
		t.Errorf("exit code %d, said %q", code, errs)
	}
	if code, errs := s.stop(); code != exitGood || !strings.Contains(errs, "interrupt") {
		t.Errorf("exit code %d, said %q", code, errs)
	}
	if conn, err := net.Dial("tcp", "127.0.0.1:"+m[1]); err == nil {
		conn.Close()
		t.Error("still served after the interrupt")
	}
}

func TestOpenServesTheWantedPort(t *testing.T) {
	t.Parallel()
	l, err := net.Listen("tcp4", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	port := strconv.Itoa(l.Addr().(*net.TCPAddr).Port)
	l.Close()
	if s := serve(t, filepath.Join(t.TempDir(), "not-there-yet"), "--port", port); !strings.HasPrefix(s.address, "http://127.0.0.1:"+port+"/") {
		t.Errorf("wanted port %s, got %s", port, s.address)
	}
}

func TestBrowserIsOpenedByTheSystemsOwnCommand(t *testing.T) {
	t.Parallel()
	for system, want := range map[string][]string{
		"linux": {"xdg-open", "http://x/"}, "darwin": {"open", "http://x/"}, "windows": {"rundll32", "url.dll,FileProtocolHandler", "http://x/"},
	} {
		if got := browserCommand(system, "http://x/"); !slices.Equal(got, want) {
			t.Errorf("%s: got %q, want %q", system, got, want)
		}
	}
}
