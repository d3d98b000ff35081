// Command packyard plans the battery of a vehicle that is turned from a
// combustion engine to electric drive: which cells, how many in series and in
// parallel, opened and regrouped how, placed where, and how far it will go.
package main

import (
	"os"
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }
