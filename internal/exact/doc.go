// Package exact holds closed forms with their citation, on plain float64 in SI
// units. They are what the tests hold numerical methods to; nothing else uses
// them. Each form states its equation, its range and its source.
package exact
