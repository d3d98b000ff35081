package document

import (
	"packyard/check"
	"packyard/drawing"
)

// Document is a text that is to be printed.
type Document struct {
	Title    string
	Subtitle string   // one line under the title
	Cover    []Entry  // figures of the cover
	Stamp    string   // date and state of what it was made from, at the foot of every page
	Notice   string   // at the head of every page, empty: none
	Warnings []string // on the cover, in a frame
	Sections []Section
}

// Entry is one line of a list of figures: what it is, and its value with unit.
type Entry struct {
	Name  string
	Value string
}

// Section is a part of a document with a heading of its own.
type Section struct {
	ID      string // unique in the document: the target of links, "circuit"
	Title   string
	Deep    bool // a heading of the second rank
	NewPage bool // begins on a page of its own
	Blocks  []Block
}

// Block is a piece of a section. The kinds are those of this package.
type Block interface{ block() }

// Paragraph is running text. Lead, if any, is printed before it in bold.
type Paragraph struct {
	Lead string
	Text string
}

// Caution is a text that must not be passed over: set in a frame.
type Caution struct{ Text string }

// List is a list of short texts. Numbered lists are steps in order.
type List struct {
	Numbered bool
	Items    []string
}

// Figures is a list of names with values.
type Figures struct{ Entries []Entry }

// Column is one column of a table.
type Column struct {
	Title string
	Right bool // figures, set to the right
	Write bool // left empty to be filled in by hand
}

// Table is a table. A table without rows prints Empty instead, which must say
// what is missing and why.
type Table struct {
	Title   string
	Columns []Column
	Rows    [][]string // each as long as Columns; cells of Write columns are a limit or a unit, or empty
	Empty   string
}

// Picture is a drawing with its caption.
type Picture struct {
	Sheet   *drawing.Sheet
	Caption string
}

// Workings prints how figures came about.
type Workings struct{ List []check.Working }

func (Paragraph) block() {}
func (Caution) block()   {}
func (List) block()      {}
func (Figures) block()   {}
func (Table) block()     {}
func (Picture) block()   {}
func (Workings) block()  {}
