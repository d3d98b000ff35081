package server

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/hex"
	"fmt"
	"net"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"sync"
	"time"
)

// door lets in the builder's own browser and nobody else.
type door struct {
	key    string // in the printed address
	pass   string // in the cookie
	now    func() time.Time
	hosts  []string // as they stand in Host
	cookie string   // its name

	tickets *tickets
}

// tickets are addresses that work once.
type tickets struct {
	mu    sync.Mutex
	until map[string]time.Time
}

const (
	ticketTime = time.Minute
	secretSize = 24 // bytes; 192 bits cannot be guessed
)

func secret() (string, error) {
	b := make([]byte, secretSize)
	if _, err := rand.Read(b); err != nil {
		return "", err
	}
	return hex.EncodeToString(b), nil
}

func newDoor(now func() time.Time) (door, error) {
	d := door{now: now, tickets: &tickets{until: map[string]time.Time{}}}
	var err error
	if d.key, err = secret(); err != nil {
		return d, err
	}
	d.pass, err = secret()
	return d, err
}

// bind sets the address at which the server is reached. The name localhost
// stands for either loopback address.
func (d *door) bind(a *net.TCPAddr) {
	host := a.IP.String()
	if a.IP.To4() == nil {
		host = "[" + host + "]"
	}
	d.hosts = []string{fmt.Sprintf("%s:%d", host, a.Port), fmt.Sprintf("localhost:%d", a.Port)}
	d.cookie = fmt.Sprintf("packyard-%d", a.Port) // cookies know no ports
}

func (d *door) url(name, value string) string {
	return "http://" + d.hosts[0] + "/?" + name + "=" + value
}

// ticket returns a new ticket, which works once.
func (d *door) ticket() string {
	t, err := secret()
	if err != nil {
		return "" // no ticket, nobody is let in
	}
	d.tickets.mu.Lock()
	defer d.tickets.mu.Unlock()
	d.tickets.until[t] = d.now().Add(ticketTime)
	return t
}

// admits takes a ticket.
func (d *door) admits(ticket string) bool {
	d.tickets.mu.Lock()
	defer d.tickets.mu.Unlock()
	until, ok := d.tickets.until[ticket]
	delete(d.tickets.until, ticket)
	return ok && d.now().Before(until)
}

func equal(a, b string) bool { return subtle.ConstantTimeCompare([]byte(a), []byte(b)) == 1 }

// policy forbids a page everything but its own server; pictures may also come
// from what the page drew itself.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; " +
	"connect-src 'self'; worker-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"

// guard answers only the builder's own browser.
func (d *door) guard(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "no-referrer")
		h.Set("X-Frame-Options", "DENY")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
		h.Set("Cache-Control", "no-store")
		if !slices.Contains(d.hosts, r.Host) {
			deny(w, r, http.StatusForbidden, APIError{Kind: "origin", Message: fmt.Sprintf("host %q is not this server", r.Host)})
			return
		}
		if !d.ownPage(r) {
			deny(w, r, http.StatusForbidden, APIError{Kind: "origin", Message: "the request comes from another page"})
			return
		}
		if d.enter(w, r) {
			return
		}
		if c, err := r.Cookie(d.cookie); err != nil || !equal(c.Value, d.pass) {
			deny(w, r, http.StatusUnauthorized, APIError{
				Kind: "key", Message: "this page has no key of this start of the server",
				Hint: "open the address that packyard open printed",
			})
			return
		}
		next.ServeHTTP(w, r)
	})
}

// ownPage reports whether a request comes from a page of this server, from the
// builder's own hand, or from a program that is no browser.
func (d *door) ownPage(r *http.Request) bool {
	origin := r.Header.Get("Origin")
	if origin != "" {
		host, ok := strings.CutPrefix(origin, "http://")
		if !ok || host != r.Host {
			return false
		}
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin":
		return true
	case "none": // typed in, or a bookmark
		return safe(r.Method)
	}
	// A link in a mail or a chat may lead to the first page, and to nothing else.
	return safe(r.Method) && r.Header.Get("Sec-Fetch-Mode") == "navigate" && !strings.HasPrefix(r.URL.Path, "/api/")
}

func safe(method string) bool { return method == http.MethodGet || method == http.MethodHead }

// enter exchanges a key or a ticket in the address for the cookie, and leads on
// to the same page without it.
func (d *door) enter(w http.ResponseWriter, r *http.Request) bool {
	if r.Method != http.MethodGet || strings.HasPrefix(r.URL.Path, "/api/") {
		return false
	}
	q := r.URL.Query()
	key, ticket := q.Get("key"), q.Get("ticket")
	if key == "" && ticket == "" {
		return false
	}
	if !equal(key, d.key) && !d.admits(ticket) {
		deny(w, r, http.StatusUnauthorized, APIError{
			Kind: "key", Message: "the key in this address is not of this start of the server, or was used already",
			Hint: "open the address that packyard open printed",
		})
		return true
	}
	http.SetCookie(w, &http.Cookie{Name: d.cookie, Value: d.pass, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
	q.Del("key")
	q.Del("ticket")
	// Only a path of this server: "//host" would lead elsewhere.
	to := url.URL{Path: "/" + strings.TrimLeft(r.URL.Path, "/\\"), RawQuery: q.Encode()}
	http.Redirect(w, r, to.String(), http.StatusSeeOther)
	return true
}

// deny answers in the form that was asked for.
func deny(w http.ResponseWriter, r *http.Request, status int, e APIError) {
	if strings.HasPrefix(r.URL.Path, "/api/") {
		writeError(w, status, e)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	if r.Method != http.MethodHead {
		fmt.Fprintf(w, deniedPage, status, escape(e.Message), escape(e.Hint))
	}
}

const deniedPage = `<!doctype html>
<html lang="en"><meta charset="utf-8"><title>packyard: %d</title>
<h1>packyard</h1><p>%s</p><p>%s</p></html>
`

func escape(s string) string {
	return strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;").Replace(s)
}
