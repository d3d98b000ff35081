package server

import (
	"bytes"
	"context"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// ask makes a request with headers changed and returns status, headers and body.
func (b *bench) ask(c *http.Client, method, path, body string, headers map[string]string) (int, http.Header, string) {
	b.t.Helper()
	q, err := http.NewRequest(method, b.base+path, strings.NewReader(body))
	if err != nil {
		b.t.Fatal(err)
	}
	q.Header.Set("Content-Type", "application/json")
	for k, v := range headers {
		if k == "Host" {
			q.Host = v
		} else {
			q.Header.Set(k, v)
		}
	}
	r, err := c.Do(q)
	if err != nil {
		b.t.Fatal(err)
	}
	defer r.Body.Close()
	data, err := io.ReadAll(r.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	return r.StatusCode, r.Header, string(data)
}

func TestRequestsFromElsewhereAreRefused(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	_, port, _ := strings.Cut(strings.TrimPrefix(b.base, "http://"), ":")
	for _, c := range []struct {
		name, method, path string
		headers            map[string]string
		want               int
	}{
		{"own page", "GET", "/api/state", map[string]string{"Origin": b.base, "Sec-Fetch-Site": "same-origin"}, 200},
		{"program", "GET", "/api/state", nil, 200},
		{"localhost", "GET", "/api/state", map[string]string{"Host": "localhost:" + port, "Cookie": b.door.cookie + "=" + b.door.pass}, 200},
		{"name of another host", "GET", "/api/state", map[string]string{"Host": "packyard.example:" + port}, 403},
		{"host without port", "GET", "/api/state", map[string]string{"Host": "127.0.0.1"}, 403},
		{"host with another port", "GET", "/api/state", map[string]string{"Host": "127.0.0.1:1"}, 403},
		{"page of another host", "GET", "/api/state", map[string]string{"Origin": "http://evil.example"}, 403},
		{"page of another port", "GET", "/api/state", map[string]string{"Origin": "http://127.0.0.1:1"}, 403},
		{"page of a file", "GET", "/api/state", map[string]string{"Origin": "null"}, 403},
		{"page with https", "GET", "/api/state", map[string]string{"Origin": strings.Replace(b.base, "http", "https", 1)}, 403},
		{"picture in another page", "GET", "/api/state", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}, 403},
		{"link to data", "GET", "/api/state", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}, 403},
		{"page of another port, without origin", "GET", "/api/state", map[string]string{"Sec-Fetch-Site": "same-site", "Sec-Fetch-Mode": "cors"}, 403},
		{"link to the page", "GET", "/", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}, 200},
		{"form of another page", "POST", "/api/undo", map[string]string{"Origin": "http://evil.example"}, 403},
		{"form of another page, without origin", "POST", "/api/undo", map[string]string{"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}, 403},
		{"form that is no JSON", "POST", "/api/undo", map[string]string{"Content-Type": "text/plain"}, 415},
		{"stream for another page", "GET", "/api/events", map[string]string{"Origin": "http://evil.example"}, 403},
		{"search stopped by another page", "DELETE", "/api/search", map[string]string{"Origin": "http://evil.example"}, 403},
		{"route from another page", "PUT", "/api/routes/x.csv", map[string]string{"Origin": "http://evil.example"}, 403},
	} {
		if got, _, body := b.ask(b.http, c.method, c.path, "{}", c.headers); got != c.want {
			t.Errorf("%s: got %d, want %d: %s", c.name, got, c.want, body)
		}
	}
}

func TestNothingIsAnsweredWithoutTheSecret(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	stranger := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	for _, path := range []string{"/", "/index.html", "/assets/x.js", "/api/state", "/api/events", "/api/file", "/api/nothing", "/?key=", "/?key=" + strings.Repeat("0", 48), "/?ticket=" + strings.Repeat("0", 48)} {
		if got, _, body := b.ask(stranger, "GET", path, "", nil); got != 401 || strings.Contains(body, "Smallest") {
			t.Errorf("GET %s: got %d: %s", path, got, body)
		}
	}
	for _, path := range []string{"/api/edits", "/api/undo", "/api/project", "/api/relaxation", "/api/state?key=" + b.door.key} {
		if got, _, body := b.ask(stranger, "POST", path, "{}", nil); got != 401 {
			t.Errorf("POST %s: got %d: %s", path, got, body)
		}
	}
	wrong := map[string]string{"Cookie": b.door.cookie + "=" + b.door.key}
	if got, _, _ := b.ask(stranger, "GET", "/api/state", "", wrong); got != 401 {
		t.Errorf("the key is not the pass: got %d", got)
	}
	if b.door.key == b.door.pass || len(b.door.key) < 32 {
		t.Error("weak secrets")
	}
}

func TestKeyIsExchangedForAHiddenCookie(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	stranger := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	got, h, _ := b.ask(stranger, "GET", "/donor?x=1&key="+b.door.key, "", nil)
	cookie := h.Get("Set-Cookie")
	if got != 303 || h.Get("Location") != "/donor?x=1" || !strings.Contains(cookie, "HttpOnly") || !strings.Contains(cookie, "SameSite=Strict") || strings.Contains(cookie, b.door.key) {
		t.Errorf("got %d, %v", got, h)
	}
	if _, h, _ := b.ask(stranger, "GET", "//evil.example/?key="+b.door.key, "", nil); h.Get("Location") != "" && !strings.HasPrefix(h.Get("Location"), "/evil.example") {
		t.Errorf("led away to %q", h.Get("Location"))
	}
	ticket := strings.TrimPrefix(b.Ticket(), b.base)
	if got, _, _ := b.ask(stranger, "GET", ticket, "", nil); got != 303 {
		t.Errorf("ticket: got %d", got)
	}
	if got, _, _ := b.ask(stranger, "GET", ticket, "", nil); got != 401 {
		t.Errorf("ticket again: got %d", got)
	}
}

func TestTicketEndsAfterAMinute(t *testing.T) {
	t.Parallel()
	now := time.UnixMilli(0)
	d, err := newDoor(func() time.Time { return now })
	if err != nil {
		t.Fatal(err)
	}
	first, second := d.ticket(), d.ticket()
	now = now.Add(ticketTime - time.Second)
	if !d.admits(first) {
		t.Error("within the minute")
	}
	now = now.Add(time.Second)
	if d.admits(second) || d.admits("") {
		t.Error("after the minute")
	}
}

func TestEveryAnswerForbidsWhatAPageDoesNotNeed(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	for _, path := range []string{"/", "/api/state", "/api/nothing", "/nothing.js"} {
		_, h, _ := b.ask(b.http, "GET", path, "", nil)
		for key, want := range map[string]string{
			"Content-Security-Policy": policy, "X-Content-Type-Options": "nosniff", "Referrer-Policy": "no-referrer",
			"X-Frame-Options": "DENY", "Cross-Origin-Resource-Policy": "same-origin",
		} {
			if h.Get(key) != want {
				t.Errorf("%s: %s is %q", path, key, h.Get(key))
			}
		}
	}
	for part := range strings.SplitSeq(policy, ";") {
		for _, source := range strings.Fields(part)[1:] {
			if source != "'self'" && source != "'none'" && source != "data:" && source != "blob:" {
				t.Errorf("the policy lets %s in", source)
			}
		}
	}
}

func TestLargeBodiesAreRefused(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	big := `{"base":1,"ops":[{"op":"set","path":"title","text":"` + strings.Repeat("x", bodyMax) + `"}]}`
	if got, data := b.do("POST", "/api/edits", big); got != http.StatusRequestEntityTooLarge {
		t.Errorf("an edit: got %d: %.200s", got, data)
	}
	if got, data := b.do("PUT", "/api/routes/x.csv", strings.Repeat("x", routeMax+1)); got != http.StatusRequestEntityTooLarge {
		t.Errorf("a route: got %d: %.200s", got, data)
	}
	many := `{"base":1,"ops":[` + strings.Repeat(`{"op":"delete","path":"title"},`, 501) + `{"op":"delete","path":"title"}]}`
	if got, data := b.do("POST", "/api/edits", many); got != http.StatusBadRequest && got != http.StatusConflict {
		t.Errorf("too many changes: got %d: %.200s", got, data)
	}
	if _, err := os.Stat(filepath.Join(b.dir, "routes")); err == nil {
		t.Error("a refused route left a folder behind")
	}
}

func TestNoPathLeavesTheFolder(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	outside := filepath.Join(filepath.Dir(b.dir), "secret.csv")
	if err := os.WriteFile(outside, []byte("time_s,speed_km/h\n0,0\n1,30\n2,0\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{
		"/../secret.csv", "/%2e%2e/secret.csv", "/..%2fsecret.csv", "/assets/../../../secret.csv", "/assets/..%2f..%2f..%2fserver.go", "/server.go", "//etc/passwd", "/.history/x", "/packyard.yaml",
	} {
		if got, data := b.do("GET", path, nil); got == 200 && !bytes.Contains(data, []byte("<!doctype html>")) {
			t.Errorf("%s: got %d: %.80s", path, got, data)
		}
	}
	for _, path := range []string{
		"/api/profile?schedule=../secret.csv", "/api/profile?schedule=" + outside, "/api/profile?schedule=routes/../../secret.csv",
		"/api/drive?schedule=../secret.csv", "/api/ranges?schedule=../secret.csv", "/api/csv/profile?schedule=../secret.csv",
	} {
		if got, data := b.do("GET", path, nil); got == 200 {
			t.Errorf("%s: got %d: %.80s", path, got, data)
		}
	}
	for _, name := range []string{"..%2fx.csv", "..%2F..%2Fx.csv", "%2e%2e%2fx.csv", "a%2fb.csv", "x.yaml", ".x.csv", "packyard.yaml"} {
		if got, data := b.do("PUT", "/api/routes/"+name, "time_s,speed_km/h\n0,0\n1,30\n2,0\n"); got == 200 {
			t.Errorf("PUT %s: got %d: %.80s", name, got, data)
		}
	}
	if got, data := b.do("POST", "/api/edits", EditRequest{Base: b.session.View().Revision, Ops: ops(set("targets.schedule", "../secret.csv"))}); got != 422 {
		t.Errorf("a schedule outside: got %d: %s", got, data)
	}
}

// TestSlowClientIsCutOff sends a request a byte at a time, and opens a stream
// that it does not read.
func TestSlowClientIsCutOff(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	conn, err := net.Dial("tcp", strings.TrimPrefix(b.base, "http://"))
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	began := time.Now()
	if _, err := conn.Write([]byte("GET /api/state HTTP/1.1\r\nHost:")); err != nil {
		t.Fatal(err)
	}
	_ = conn.SetReadDeadline(began.Add(3 * headerTime))
	if _, err := io.ReadAll(conn); err != nil {
		t.Errorf("a head that never ends is still waited for after %v: %v", time.Since(began), err)
	}
	if d := time.Since(began); d < headerTime/2 || d > 2*headerTime {
		t.Errorf("cut off after %v, want about %v", d, headerTime)
	}
}

// TestPageThatDoesNotReadIsDropped fills a page's queue; the others go on.
func TestPageThatDoesNotReadIsDropped(t *testing.T) {
	t.Parallel()
	h := newHub("x")
	stuck, _, _, _, _ := h.join("")
	good, _, _, _, _ := h.join("")
	for i := range eventsWait + 10 {
		h.publish("change", i)
		<-good
	}
	if h.clients() != 1 {
		t.Errorf("%d pages are left", h.clients())
	}
	n := 0
	for range stuck {
		n++
	}
	if n != eventsWait {
		t.Errorf("the stuck page got %d events before it was cut off", n)
	}
	for i := h.clients(); i < streamsMax; i++ {
		if _, _, _, _, ok := h.join(""); !ok {
			t.Fatalf("page %d was refused", i)
		}
	}
	if _, _, _, _, ok := h.join(""); ok {
		t.Error("one page too many")
	}
}

// TestServerMakesNoRequestOfItsOwn: no code of the server can reach out.
func TestServerMakesNoRequestOfItsOwn(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) < 10 {
		t.Fatal(files, err)
	}
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		for _, word := range []string{"http.Client", "http.Get(", "http.Post", "net.Dial", "http.DefaultClient", "os/exec", "https://"} {
			if bytes.Contains(data, []byte(word)) {
				t.Errorf("%s holds %s", f, word)
			}
		}
	}
}

func TestRequestsThatNobodyWaitsForAreStopped(t *testing.T) {
	t.Parallel()
	b := up(t, projectDir(t, "orchard-truck"))
	ctx, cancel := context.WithTimeout(context.Background(), 50*time.Millisecond)
	defer cancel()
	body := `{"option":"salvaged-cans/76S6P/6x10S+2x8S","limits":[{"rule":"money.pack","to_si":12000}]}`
	q, err := http.NewRequestWithContext(ctx, "POST", b.base+"/api/relaxation", strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	q.Header.Set("Content-Type", "application/json")
	if r, err := b.http.Do(q); err == nil {
		r.Body.Close()
		t.Fatal("the search was finished before it could be given up: ", r.Status)
	}
	for end := time.Now().Add(10 * time.Second); len(b.slots) > 0; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("%d requests still compute", len(b.slots))
		}
	}
}
