package book

import (
	"io"

	"packyard/document"
	"packyard/drawing"
)

// File is one of the files in which a book leaves the office.
type File struct {
	Name  string // "build-book.pdf"
	Kind  string // media type
	Write func(w io.Writer, in *Input, p document.Print) error
}

// Files returns the files of a book: the book as PDF and as one file of HTML, the
// bill of materials as a workbook, the vehicle with its pack in three dimensions.
func Files() []File {
	return []File{
		{"build-book.pdf", "application/pdf", func(w io.Writer, in *Input, p document.Print) error { return Make(in).PDF(w, p) }},
		{"build-book.html", "text/html; charset=utf-8", func(w io.Writer, in *Input, p document.Print) error { return Make(in).HTML(w, p) }},
		{"bill-of-materials.xlsx", "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", func(w io.Writer, in *Input, p document.Print) error {
			return document.Workbook(w, p.Made, Bill(in))
		}},
		{"vehicle.glb", "model/gltf-binary", func(w io.Writer, in *Input, _ document.Print) error {
			return drawing.GLB(w, drawing.VehicleScene(in.View()))
		}},
	}
}
