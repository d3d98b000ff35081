// Package document writes what leaves the office: a text of sections with
// paragraphs, tables, workings, drawings and fields to be filled in by hand,
// once as a model and then as PDF and as one file of HTML; and tables as a
// workbook (XLSX).
//
// # Model
//
// A Document is a list of sections, each a list of blocks. Nothing in it knows
// a page. The writer of PDF lays the blocks out in two steps: first on pages of
// marks (text with its place, rules, drawings), then, when every section has
// its page, the contents with their numbers and links, and the marks go to the
// file. Lines are broken at spaces, and within a word only where the word alone
// is wider than its column. A table gives each column what its words need and
// shares the rest by the length of its text; its head is repeated on every page,
// and a row is split only if it is taller than a page.
//
// The same document gives the same bytes: the date is the caller's, no clock is
// read, and files carry no identifier made up at random.
//
// # Assumptions and range
//
// Left-to-right text. Paper of A4 and Letter, upright; a drawing is made smaller
// to fit the page, never larger, and says the scale that it was made for only if
// it is printed at its own size.
//
// docs/method/document.md says which test holds what.
package document
