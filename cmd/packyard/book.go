package main

import (
	"bytes"
	"context"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"packyard/book"
	"packyard/document"
	"packyard/project"
	"packyard/search"
)

// bookFlags are the choices of the book command.
type bookFlags struct {
	option, paper, date string
}

// BookReport says what was written.
type BookReport struct {
	Option  string     `json:"option"`
	Project string     `json:"project_hash"` // book.Input: state of the project
	Cleared bool       `json:"cleared"`
	Open    int        `json:"open_safety_findings"`
	Files   []string   `json:"files"`
	Missing []book.Gap `json:"missing"`
}

func (a *app) bookCommand() *cobra.Command {
	var fl bookFlags
	c := &cobra.Command{
		Use:   "book [PROJECT]",
		Short: "the build book: drawings, tables, checks and records for the builder and the inspector",
		Long: "book writes what leaves the office about one option into the folder book of the project: the book as PDF and as one\n" +
			"file of HTML, the bill of materials as a workbook, the vehicle with its pack in three dimensions as GLB.\n" +
			"As long as a safety finding is open, \"not cleared\" stands on every page. The same project and date give the same bytes.",
		Args: atMostOneProject,
		RunE: func(c *cobra.Command, args []string) error { return a.book(c.Context(), args, &fl) },
	}
	c.Flags().StringVar(&fl.option, "option", "", "name of the option (default: the one that the project fixes, else the first of packyard options)")
	c.Flags().StringVar(&fl.paper, "paper", "A4", "paper: A4 or Letter")
	c.Flags().StringVar(&fl.date, "date", "", "date on every page, \"2026-11-24\" (default: today)")
	yesFlag(c, &a.json, "json", "print JSON: what was written, and what is missing")
	return c
}

// bookDay is how a date is written on the command line.
const bookDay = "2006-01-02"

// read checks the choices.
func (fl *bookFlags) read() (document.Print, error) {
	p := document.Print{Made: time.Now()}
	var ok bool
	if p.Paper, ok = document.PaperOf(fl.paper); !ok {
		return p, usagef("--paper %s: A4 or Letter is accepted", quote(fl.paper))
	}
	if fl.date != "" {
		var err error
		if p.Made, err = time.Parse(bookDay, fl.date); err != nil {
			return p, usagef("--date %s: a date like 2026-11-24 is accepted", quote(fl.date))
		}
	}
	y, m, d := p.Made.Date()
	p.Made = time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	return p, nil
}

func (a *app) book(ctx context.Context, args []string, fl *bookFlags) error {
	print, err := fl.read()
	if err != nil {
		return err
	}
	print.System = a.system
	f, o, found, err := a.chosenWith(ctx, args, fl.option, book.RankedMost)
	if err != nil {
		return err
	}
	opts := book.Options{Date: print.Made.Format("2 January 2006"), System: a.system}
	if found != nil {
		opts.Search = found.Report(f)
	}
	if opts.Hash, err = project.Fingerprint(a.dir); err != nil {
		return err
	}
	draw, clear := a.progress("drawing the book")
	opts.Progress = draw
	in, err := book.Gather(ctx, f, search.Place(f, o), opts)
	clear()
	if err != nil {
		return err
	}
	r := BookReport{Option: o.ID, Project: opts.Hash, Open: len(in.Open()), Files: []string{}, Missing: append([]book.Gap{}, in.Missing...)}
	r.Cleared = r.Open == 0
	if err := a.writeBook(in, print, &r); err != nil {
		return err
	}
	if a.json {
		err = writeJSON(a.out, r)
	} else {
		a.printBook(&r)
	}
	if err != nil {
		return err
	}
	return verdict(in.Assess.Findings)
}

// writeBook writes the files of a book, each whole or not at all.
func (a *app) writeBook(in *book.Input, print document.Print, r *BookReport) error {
	for _, file := range book.Files() {
		var b bytes.Buffer
		if err := file.Write(&b, in, print); err != nil {
			return err
		}
		path, err := project.Keep(a.dir, file.Name, b.Bytes())
		if err != nil {
			return err
		}
		r.Files = append(r.Files, path)
	}
	return nil
}

func (a *app) printBook(r *BookReport) {
	fmt.Fprintf(a.out, "option %s, project %s\n", r.Option, r.Project)
	for _, f := range r.Files {
		fmt.Fprintln(a.out, "written: "+f)
	}
	for _, g := range r.Missing {
		wrapped(a.out, "", "  ", "missing: "+g.Part+": "+g.Why)
	}
	if !r.Cleared {
		fmt.Fprintf(a.out, "not cleared: %d safety findings are open; the book says so on every page\n", r.Open)
	}
}
