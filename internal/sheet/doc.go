// Package sheet reads and edits the YAML files of packyard, and is the only
// importer of the YAML library.
//
// Decode fills a Go struct from one document by the tags of its fields and
// collects every fault of the file in one pass, each with its place:
//
//	sheet:"name"           key in the file; without a tag a field is skipped
//	sheet:"name,required"  must be there
//	sheet:",pos"           of a check.Pos: the place of the mapping itself
//	range:">0 kg..10 t"    plausible range of a check.Given or check.Count
//	oneof:"front,rear"     words that a check.Text may hold
//	doc:"one sentence"     what it is; goes into hints and the JSON Schema
//
// A field is a check.Given of any quantity, check.Text, check.Count,
// check.Flag, check.Price, a struct, a pointer to a struct (left out when not
// written), a slice or an array of these. Embedded structs are flattened.
//
// Only the plain part of YAML is accepted: one document in UTF-8, no anchors,
// aliases, merge keys or tags. Files above BytesMax, DepthMax or NodesMax are
// refused before memory or time is spent on them.
//
// Set, Insert and Delete change one place of a file by splicing bytes, so
// that comments, layout and line endings elsewhere stay as they are. Every
// edit is read back and compared with what was meant; if the two differ the
// edit is refused with ErrEdit and nothing has changed.
//
// Schema writes a JSON Schema (draft 2020-12) from the same tags.
package sheet
