package server

import (
	"bytes"
	"embed"
	"io/fs"
	"net/http"
	"path"
	"strings"
	"time"
)

// The pages: the folder stub, which is always there, and the folder dist, when
// the front end was built. A pattern of go:embed must match something, so one
// pattern stands for both names and matches one or two.
//
//go:embed all:[ds][it][us][bt]
var embedded embed.FS

// built returns the front end, or the page that says it was not built.
func built(files fs.FS) fs.FS {
	for _, name := range []string{"dist", "stub"} {
		if _, err := fs.Stat(files, name+"/index.html"); err == nil {
			sub, err := fs.Sub(files, name)
			if err == nil {
				return sub
			}
		}
	}
	return files
}

// pages serves the front end. A path without a dot is one of its own pages,
// which index.html draws; names under assets carry their content and are kept
// by the browser for ever.
func pages(files fs.FS) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if !safe(r.Method) {
			http.Error(w, "a page is read, not written", http.StatusMethodNotAllowed)
			return
		}
		name := strings.TrimPrefix(path.Clean("/"+r.URL.Path), "/")
		if !strings.Contains(name, ".") {
			name = "index.html"
		}
		data, err := fs.ReadFile(files, name) // accepts no path out of files
		if err != nil {
			http.Error(w, "there is no page "+name, http.StatusNotFound)
			return
		}
		if strings.HasPrefix(name, "assets/") {
			w.Header().Set("Cache-Control", "private, max-age=31536000, immutable")
		} else {
			w.Header().Set("Cache-Control", "no-cache")
		}
		w.Header().Set("Content-Type", contentType(name))
		http.ServeContent(w, r, name, time.Time{}, bytes.NewReader(data))
	}
}

// contentType does not ask the machine, whose tables differ.
func contentType(name string) string {
	switch path.Ext(name) {
	case ".html":
		return "text/html; charset=utf-8"
	case ".js", ".mjs":
		return "text/javascript; charset=utf-8"
	case ".css":
		return "text/css; charset=utf-8"
	case ".svg":
		return "image/svg+xml"
	case ".png":
		return "image/png"
	case ".ico":
		return "image/x-icon"
	case ".woff2":
		return "font/woff2"
	case ".json", ".webmanifest", ".map":
		return "application/json"
	case ".wasm":
		return "application/wasm"
	}
	return "application/octet-stream"
}
