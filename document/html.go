package document

import (
	"bufio"
	"fmt"
	"html"
	"io"
	"strings"

	"packyard/drawing"
	"packyard/unit"
)

// HTML writes the document as one file that needs no other: text, tables and
// drawings in place, a style for the screen, light and dark, and one for paper.
// Equal documents give equal bytes. Errors: as PDF.
func (d *Document) HTML(w io.Writer, o Print) error {
	h := htmlWriter{out: bufio.NewWriter(w), system: o.System, cited: &citations{}}
	h.print("<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n")
	h.printf("<title>%s</title>\n<style>\n%s%s</style>\n</head>\n<body>\n", esc(d.Title), sheetStyle, drawing.Style())
	h.cover(d)
	for i := range d.Sections {
		if err := h.section(&d.Sections[i]); err != nil {
			return fmt.Errorf("%s: section %q: %w", d.Title, d.Sections[i].Title, err)
		}
	}
	h.printf("<footer>%s</footer>\n</body>\n</html>\n", esc(d.Stamp))
	return h.out.Flush()
}

// sheetStyle is the style of a page: ink on paper, figures of equal width.
const sheetStyle = `:root{--ink:#22211f;--faint:#6d685f;--paper:#fdfcf8;--line:#cfc9bc;color-scheme:light dark}
@media (prefers-color-scheme:dark){:root{--ink:#ece8df;--faint:#a8a295;--paper:#1b1a18;--line:#4a463f}}
body{margin:0 auto;padding:1.5rem;max-width:60rem;background:var(--paper);color:var(--ink);font:0.95rem/1.45 "Helvetica Neue",Helvetica,Arial,"Liberation Sans",sans-serif;font-variant-numeric:tabular-nums}
h1{font-size:2rem;margin:1rem 0 .2rem}h2{font-size:1.35rem;margin:2.4rem 0 .6rem;border-top:2px solid var(--ink);padding-top:.5rem}h3{font-size:1.08rem;margin:1.6rem 0 .4rem}
.wide{overflow-x:auto}table{border-collapse:collapse;margin:.4rem 0;font-size:.88rem}caption{text-align:left;font-weight:600;padding:.2rem 0}
th{text-align:left;vertical-align:bottom;border-bottom:1.5px solid var(--ink);padding:.2rem .55rem}td{vertical-align:top;border-bottom:1px solid var(--line);padding:.2rem .55rem}
.right{text-align:right}.write{min-width:7rem;height:1.9rem;border-left:1px solid var(--line);border-right:1px solid var(--line)}
.caution,.notice{border:2px solid var(--ink);padding:.6rem .8rem;margin:.7rem 0;font-weight:600}.notice{position:sticky;top:0;background:var(--paper)}
dl{display:grid;grid-template-columns:max-content 1fr;gap:.15rem 1.2rem}dt{color:var(--faint)}dd{margin:0;font-weight:600}
figure{margin:.8rem 0}figure svg{max-width:100%;height:auto}figcaption,.from,footer{color:var(--faint);font-size:.85rem}.working{margin:.5rem 0}.working p{margin:0 0 0 1.2rem}
nav li{list-style:none}nav .deep{padding-left:1.4rem}a{color:inherit}
@media print{:root{--ink:#000;--faint:#444;--paper:#fff;--line:#999}body{max-width:none;padding:0}.new{break-before:page}tr,figure,.caution{break-inside:avoid}h2,h3{break-after:avoid}.notice{position:static}}
`

type htmlWriter struct {
	out    *bufio.Writer
	system unit.System
	cited  *citations
}

func (h *htmlWriter) print(s string)                 { h.out.WriteString(s) } // bufio keeps the error for Flush
func (h *htmlWriter) printf(format string, a ...any) { fmt.Fprintf(h.out, format, a...) }

// esc makes text safe; a line break in it stays one.
func esc(s string) string { return strings.ReplaceAll(html.EscapeString(s), "\n", "<br>") }

func (h *htmlWriter) cover(d *Document) {
	if d.Notice != "" {
		h.printf("<p class=\"notice\">%s</p>\n", esc(d.Notice))
	}
	h.printf("<header>\n<h1>%s</h1>\n<p>%s</p>\n", esc(d.Title), esc(d.Subtitle))
	h.figures(Figures{Entries: d.Cover})
	for _, w := range d.Warnings {
		h.caution(Caution{Text: w})
	}
	h.print("</header>\n<nav aria-label=\"Contents\">\n<h2>Contents</h2>\n<ul>\n")
	for _, s := range d.Sections {
		class := ""
		if s.Deep {
			class = ` class="deep"`
		}
		h.printf("<li%s><a href=\"#%s\">%s</a></li>\n", class, esc(s.ID), esc(s.Title))
	}
	h.print("</ul>\n</nav>\n")
}

func (h *htmlWriter) section(s *Section) error {
	level, class := 2, ""
	if s.Deep {
		level = 3
	}
	if s.NewPage {
		class = ` class="new"`
	}
	h.printf("<section id=\"%s\"%s>\n<h%d>%s</h%d>\n", esc(s.ID), class, level, esc(s.Title), level)
	for _, b := range s.Blocks {
		if err := h.block(b); err != nil {
			return err
		}
	}
	h.print("</section>\n")
	return nil
}

func (h *htmlWriter) block(b Block) error {
	switch b := b.(type) {
	case Paragraph:
		h.paragraph(b)
	case Caution:
		h.caution(b)
	case List:
		h.list(b)
	case Figures:
		h.figures(b)
	case Table:
		return h.table(b)
	case Picture:
		h.print("<figure>\n")
		if err := b.Sheet.Inline(h.out); err != nil {
			return err
		}
		h.printf("<figcaption>%s</figcaption>\n</figure>\n", esc(b.Caption))
	case Workings:
		h.workings(b)
	case Cited:
		h.sources()
	default:
		return fmt.Errorf("block of kind %T has no form in HTML", b)
	}
	return nil
}

func (h *htmlWriter) paragraph(p Paragraph) {
	h.print("<p>")
	if p.Lead != "" {
		h.printf("<strong>%s</strong><br>", esc(p.Lead))
	}
	h.printf("%s</p>\n", esc(p.Text))
}

func (h *htmlWriter) caution(c Caution) { h.printf("<p class=\"caution\">%s</p>\n", esc(c.Text)) }

func (h *htmlWriter) list(l List) {
	kind := "ul"
	if l.Numbered {
		kind = "ol"
	}
	h.printf("<%s>\n", kind)
	for _, item := range l.Items {
		h.printf("<li>%s</li>\n", esc(item))
	}
	h.printf("</%s>\n", kind)
}

func (h *htmlWriter) figures(l Figures) {
	if len(l.Entries) == 0 {
		return
	}
	h.print("<dl>\n")
	for _, e := range l.Entries {
		h.printf("<dt>%s</dt><dd>%s</dd>\n", esc(e.Name), esc(e.Value))
	}
	h.print("</dl>\n")
}

func (h *htmlWriter) table(t Table) error {
	if err := t.sound(); err != nil {
		return err
	}
	if len(t.Rows) == 0 {
		h.paragraph(Paragraph{Lead: t.Title, Text: t.Empty})
		return nil
	}
	h.print("<div class=\"wide\">\n<table>\n")
	if t.Title != "" {
		h.printf("<caption>%s</caption>\n", esc(t.Title))
	}
	h.print("<thead><tr>")
	for _, c := range t.Columns {
		h.printf("<th scope=\"col\"%s>%s</th>", c.class(), esc(c.Title))
	}
	h.print("</tr></thead>\n<tbody>\n")
	for _, r := range t.Rows {
		h.print("<tr>")
		for j, cell := range r {
			h.printf("<td%s>%s</td>", t.Columns[j].class(), esc(cell))
		}
		h.print("</tr>\n")
	}
	h.print("</tbody>\n</table>\n</div>\n")
	return nil
}

func (c Column) class() string {
	switch {
	case c.Write:
		return ` class="write"`
	case c.Right:
		return ` class="right"`
	}
	return ""
}

func (h *htmlWriter) workings(l Workings) {
	for i := range l.List {
		w := &l.List[i]
		h.printf("<div class=\"working\">\n<strong>%s = %s</strong>\n<p>%s</p>\n", esc(w.Name), esc(w.Result.Text(h.system)), esc(w.Formula))
		for _, in := range w.Inputs {
			h.printf("<p>%s = %s %s", esc(in.Symbol), esc(in.Text(h.system)), esc(in.Name))
			if from := h.cited.origin(&in); from != "" {
				h.printf(" <span class=\"from\">(%s)</span>", esc(from))
			}
			h.print("</p>\n")
		}
		if w.Source != "" {
			h.printf("<p class=\"from\">method: %s</p>\n", esc(h.cited.number(w.Source)))
		}
		h.print("</div>\n")
	}
}

func (h *htmlWriter) sources() {
	h.print("<ol>\n")
	for _, title := range h.cited.titles() {
		h.printf("<li>%s</li>\n", esc(title))
	}
	h.print("</ol>\n")
}
