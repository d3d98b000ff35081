// Package celltest reads the logs of cell tests and works out what they say of a
// cell.
package celltest
