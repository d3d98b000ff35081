package server

import (
	"bytes"
	"fmt"
	"net/http"
	"slices"
	"time"

	"packyard/book"
	"packyard/check"
	"packyard/document"
	"packyard/project"
)

// BookReply is what the build book of an option holds and lacks.
type BookReply struct {
	Revision int64           `json:"revision"`
	Option   string          `json:"option"`
	Date     string          `json:"date"`
	Project  string          `json:"project_hash"`
	Cleared  bool            `json:"cleared"`
	Open     []check.Finding `json:"open"` // safety findings that nobody has acknowledged
	Missing  []book.Gap      `json:"missing"`
	Chapters []BookChapter   `json:"chapters"`
	Bill     []BillRow       `json:"bill"`
}

// BookChapter is one heading of the book.
type BookChapter struct {
	ID    string `json:"id"`
	Title string `json:"title"`
	Deep  bool   `json:"deep"`
	Parts int    `json:"parts_count"` // tables, drawings, lists
}

// BillRow is one line of the bill of materials, as printed.
type BillRow struct {
	Cells []string `json:"cells"`
}

// gatherBook works out the book of the option asked for. Its date is today's.
func (s *Server) gatherBook(r *http.Request) (*book.Input, int64, time.Time, error) {
	day := s.now().UTC().Truncate(24 * time.Hour)
	snap, revision, a, err := s.needed(r)
	if err != nil {
		return nil, 0, day, err
	}
	system, err := systemOf(r)
	if err != nil {
		return nil, 0, day, err
	}
	f, err := snap.frame()
	if err != nil {
		return nil, 0, day, err
	}
	hash, err := project.Fingerprint(s.session.Dir())
	if err != nil {
		return nil, 0, day, err
	}
	o := book.Options{Date: day.Format("2 January 2006"), Hash: hash, System: system}
	if found, _ := s.live.newest(); found != nil && found.report != nil {
		o.Search = found.report
	}
	in, err := book.Gather(r.Context(), f, a.placed, o)
	return in, revision, day, err
}

func (s *Server) book(r *http.Request) (any, error) {
	in, revision, _, err := s.gatherBook(r)
	if err != nil {
		return nil, err
	}
	d := book.Make(in)
	open := in.Open()
	out := &BookReply{
		Revision: revision, Option: in.Assess.Option, Date: in.Date, Project: in.Hash, Cleared: len(open) == 0,
		Open: append([]check.Finding{}, open...), Missing: append([]book.Gap{}, in.Missing...), Chapters: []BookChapter{}, Bill: []BillRow{},
	}
	for _, c := range d.Sections {
		out.Chapters = append(out.Chapters, BookChapter{ID: c.ID, Title: c.Title, Deep: c.Deep, Parts: len(c.Blocks)})
	}
	bill := book.Bill(in)
	head := make([]string, len(bill.Columns))
	for j, c := range bill.Columns {
		head[j] = c.Title
	}
	out.Bill = append(out.Bill, BillRow{Cells: head})
	for _, row := range bill.Rows {
		out.Bill = append(out.Bill, BillRow{Cells: row})
	}
	return out, nil
}

// bookPolicy lets the book, one file with its own style, show itself, and nothing else.
const bookPolicy = "default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"

// bookFile answers with one file of the book, made anew.
func (s *Server) bookFile(w http.ResponseWriter, r *http.Request) {
	var b bytes.Buffer
	kind := ""
	s.answerWith(w, r, func() error {
		paper, err := paperOf(r)
		if err != nil {
			return err
		}
		files, name := book.Files(), r.PathValue("name")
		i := slices.IndexFunc(files, func(f book.File) bool { return f.Name == name })
		if i < 0 {
			return fmt.Errorf("%q %w: there are build-book.pdf, build-book.html, bill-of-materials.xlsx and vehicle.glb", name, errNotFound)
		}
		in, _, day, err := s.gatherBook(r)
		if err != nil {
			return err
		}
		kind = files[i].Kind
		return files[i].Write(&b, in, document.Print{Paper: paper, System: in.System, Made: day})
	}, func() {
		h, name := w.Header(), r.PathValue("name")
		h.Set("Content-Type", kind)
		h.Set("Cache-Control", "no-store")
		if name == "build-book.html" {
			h.Set("Content-Security-Policy", bookPolicy)
		} else {
			h.Set("Content-Disposition", `attachment; filename="`+name+`"`)
		}
		_, _ = w.Write(b.Bytes()) // a page that is gone needs no book
	})
}

func paperOf(r *http.Request) (document.Paper, error) {
	text := r.URL.Query().Get("paper")
	if text == "" {
		return document.A4, nil
	}
	p, ok := document.PaperOf(text)
	if !ok {
		return p, fmt.Errorf("%w: paper %q: A4 and Letter are accepted", errRequest, text)
	}
	return p, nil
}
