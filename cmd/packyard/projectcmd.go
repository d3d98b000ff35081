package main

import (
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"packyard/project"
)

func (a *app) newCommand() *cobra.Command {
	var title string
	c := &cobra.Command{
		Use:   "new DIR",
		Short: "make a project to start from",
		Long:  "new writes a folder with a commented packyard.yaml that reads without a fault. A project that is there already is left as it is.",
		Args:  cobra.ExactArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			dir := args[0]
			if title == "" {
				title = filepath.Base(filepath.Clean(dir))
			}
			if err := project.New(dir, title); err != nil {
				return err
			}
			fmt.Fprintf(a.out, "wrote %s\nnext: edit it, then packyard check %s and packyard options %s\n", filepath.Join(dir, "packyard.yaml"), dir, dir)
			return nil
		},
	}
	c.Flags().StringVar(&title, "title", "", "title of the project (default: the name of the folder)")
	return c
}

func (a *app) checkCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "check [PROJECT]",
		Short: "read the project and say every fault with its place",
		Args:  cobra.MaximumNArgs(1),
		RunE: func(_ *cobra.Command, args []string) error {
			p, err := project.Open(folder(args))
			if err != nil {
				return err
			}
			fmt.Fprintf(a.out, "%s: no fault: %s, %s, %s\n", filepath.Join(folder(args), "packyard.yaml"),
				plural(len(p.Brief.Bays), "bay"), plural(len(p.Brief.Sources), "source"), plural(len(p.Brief.Donor.Removed)+len(p.Brief.Donor.Added), "ledger item"))
			a.printAssumed(p.Brief.Assumed.List)
			return nil
		},
	}
}

func (a *app) schemaCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "schema",
		Short: "the JSON Schema of packyard.yaml, for completion in an editor",
		Args:  cobra.NoArgs,
		RunE: func(*cobra.Command, []string) error {
			_, err := a.out.Write(project.Schema())
			return err
		},
	}
}
