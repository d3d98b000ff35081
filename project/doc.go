// Package project reads and keeps the project folder: packyard.yaml, the
// workshop's own parts in parts/, and its schedules and tracks in routes/.
//
// Open reads everything into a design.Brief. What is wrong in the files comes
// back as one *check.Problems with every fault, its place and what is accepted:
// the form of the file first (package sheet), then what contradicts what, such
// as a bay outside the vehicle or axle loads that do not make the stated
// weight. A value that could not be read is not looked at again, so that one
// slip is one fault.
//
// What the builder did not give and a defensible stand-in exists for is filled
// in and recorded in Brief.Assumed with its source; nothing is filled in
// silently, and nothing without a stand-in is guessed.
//
// Set, Insert and Delete change one place of packyard.yaml and keep comments
// and layout. The new state must read without a fault, or nothing is written.
// Writing is atomic, and the states before are kept in .history.
//
// The rules, stand-ins and tolerances are listed in docs/method/project.md.
package project
