// Command packyard plans the battery of a vehicle that is turned from a
// combustion engine to electric drive: which cells, how many in series and in
// parallel, opened and regrouped how, placed where, and how far it will go.
package main

import (
	"context"
	"os"
	"os/signal"
)

func main() { os.Exit(interruptible(os.Args[1:])) }

// interruptible runs the command line; the first interrupt ends the search, a
// second one the program.
func interruptible(args []string) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	defer context.AfterFunc(ctx, stop)()
	return run(ctx, args, os.Stdout, os.Stderr)
}
