// Package bay decides whether modules go into a bay, how many at most, and in
// which order they come in. See docs/method/bay.md.
package bay
