package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"packyard/check"
	"packyard/project"
)

func (a *app) newCommand() *cobra.Command {
	var title string
	c := &cobra.Command{
		Use:   "new DIR",
		Short: "make a project to start from",
		Long:  "new writes a folder with a commented packyard.yaml that reads without a fault. A project that is there already is left as it is.",
		Args:  newFolder,
		RunE:  func(_ *cobra.Command, args []string) error { return a.newProject(args[0], title) },
	}
	c.Flags().StringVar(&title, "title", "", "title of the project (default: the name of the folder)")
	yesFlag(c, &a.json, "json", "print the path of the file as JSON")
	return c
}

func newFolder(_ *cobra.Command, args []string) error {
	if len(args) != 1 || args[0] == "" {
		return usagef("%s: the folder of the new project is needed, and nothing else", check.Plural(len(args), "argument"))
	}
	return nil
}

func (a *app) newProject(dir, title string) error {
	if err := project.New(dir, title); err != nil {
		return err
	}
	file := filepath.Join(dir, project.FileName)
	if a.json {
		return writeJSON(a.out, NewReport{file})
	}
	fmt.Fprintf(a.out, "wrote %s\nnext: edit it, then packyard check %s and packyard options %s\n", file, quote(dir), quote(dir))
	return nil
}

// NewReport is what new prints as JSON.
type NewReport struct {
	File string `json:"file"`
}

// CheckReport is what check prints as JSON.
type CheckReport struct {
	File     string             `json:"file"`
	Problems []check.Problem    `json:"problems"`
	More     int                `json:"problems_not_listed"`
	Assumed  []check.Assumption `json:"assumptions"`
}

func (a *app) checkCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "check [PROJECT]",
		Short: "read the project and say every fault with its place",
		Args:  atMostOneProject,
		RunE:  func(_ *cobra.Command, args []string) error { return a.check(args) },
	}
	yesFlag(c, &a.json, "json", "print the faults and assumptions as JSON")
	return c
}

func (a *app) check(args []string) error {
	p, err := a.open(args)
	file := filepath.Join(a.dir, project.FileName)
	var problems *check.Problems
	switch {
	case errors.As(err, &problems) && a.json:
		if err := writeJSON(a.out, CheckReport{file, problems.List, problems.More, []check.Assumption{}}); err != nil {
			return err
		}
		return err
	case err != nil:
		return err
	case a.json:
		return writeJSON(a.out, CheckReport{file, []check.Problem{}, 0, append([]check.Assumption{}, p.Brief.Assumed.List...)})
	}
	b := &p.Brief
	fmt.Fprintf(a.out, "%s: no fault: %s, %s, %s\n", file,
		check.Plural(len(b.Bays), "bay"), check.Plural(len(b.Sources), "source"), check.Plural(len(b.Donor.Removed)+len(b.Donor.Added), "ledger item"))
	a.printAssumed(b.Assumed.List)
	return nil
}

func (a *app) schemaCommand() *cobra.Command {
	var parts bool
	c := &cobra.Command{
		Use:   "schema",
		Short: "the JSON Schema of packyard.yaml, for completion in an editor",
		Args:  noArgument,
		RunE: func(*cobra.Command, []string) error {
			schema := project.Schema()
			if parts {
				schema = project.PartsSchema()
			}
			_, err := a.out.Write(schema)
			return err
		},
	}
	yesFlag(c, &parts, "parts", "the schema of the files in parts/ instead")
	return c
}
