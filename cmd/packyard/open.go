package main

import (
	"fmt"
	"os/exec"
	"runtime"

	"github.com/spf13/cobra"

	"packyard/server"
)

// openFlags are the choices of the open command.
type openFlags struct {
	noBrowser bool
	port      int
}

func (a *app) openCommand() *cobra.Command {
	var fl openFlags
	c := &cobra.Command{
		Use:   "open [PROJECT]",
		Short: "the workbench: the whole job in the browser, live",
		Long: "open serves the workbench of one project folder to the browser of this machine, and to no other, until it is\n" +
			"interrupted. The address that it prints holds a key of this start: who has it can read and change the project.\n" +
			"A folder without a project is opened too; the page then offers to make one.",
		Args: cobra.MaximumNArgs(1),
		RunE: func(c *cobra.Command, args []string) error { return a.workbench(c, args, fl) },
	}
	c.Flags().BoolVar(&fl.noBrowser, "no-browser", false, "print the address and open no browser")
	c.Flags().IntVar(&fl.port, "port", 0, "`number` of the port to serve on; a free one if it is taken or none is given")
	return c
}

func (a *app) workbench(c *cobra.Command, args []string, fl openFlags) error {
	if fl.port < 0 || fl.port > 65535 {
		return usagef("--port %d: accepted are 1 to 65535, and 0 for any free one", fl.port)
	}
	a.dir = "."
	if len(args) > 0 {
		a.dir = args[0]
	}
	// A search keeps every processor busy for seconds. With one place more for
	// goroutines than it takes, an edit is answered at once: the system lets it in, where the
	// scheduler of Go would let the search go on for ten thousandths of a second at each turn.
	searchers := runtime.GOMAXPROCS(0)
	runtime.GOMAXPROCS(searchers + 1)
	s, err := server.New(server.Options{Dir: a.dir, Searchers: searchers})
	if err != nil {
		return err
	}
	taken, err := s.Listen(fl.port)
	if err != nil {
		return err
	}
	if taken {
		a.say("port %d is taken; a free one was chosen", fl.port)
	}
	fmt.Fprintln(a.out, s.URL())
	a.say("the workbench is open at this address; interrupt (Ctrl+C) to stop it")
	if !fl.noBrowser {
		// The command line of a browser can be seen by other users of the machine,
		// so it carries a ticket that works once.
		if err := browse(s.Ticket()); err != nil {
			a.say("no browser could be opened: %v", err)
			a.hint("open the address by hand")
		}
	}
	return s.Serve(c.Context())
}

// browse opens the address in the browser of the desktop.
func browse(address string) error {
	words := browserCommand(runtime.GOOS, address)
	path, err := exec.LookPath(words[0])
	if err != nil {
		return err
	}
	start := exec.Command(path, words[1:]...)
	if err := start.Start(); err != nil {
		return err
	}
	go func() { _ = start.Wait() }() // it may live as long as the browser
	return nil
}

// browserCommand returns the command by which a system opens an address.
func browserCommand(system, address string) []string {
	switch system {
	case "darwin":
		return []string{"open", address}
	case "windows":
		return []string{"rundll32", "url.dll,FileProtocolHandler", address}
	}
	return []string{"xdg-open", address}
}
