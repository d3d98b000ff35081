package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"path/filepath"

	"github.com/spf13/cobra"

	"packyard/bench"
	"packyard/cell"
	"packyard/celltest"
	"packyard/project"
	"packyard/unit"
)

func (a *app) benchCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "bench",
		Short: "used cells, slices and modules: intake, logs, results, grades, and which goes where",
		Long: "bench keeps what was measured on used cells in bench.db, in the folder of the project: the intake of each item, its\n" +
			"logs as they were, and results. It grades a lot, says how many more to test and to buy, and puts the items into\n" +
			"groups so that the weakest is as strong as it can be.",
	}
	c.PersistentFlags().StringVar(&a.dir, "project", ".", "folder of the project")
	c.AddCommand(a.benchImportCommand(), a.benchIntakeCommand(), a.benchListCommand(), a.benchShowCommand(), a.benchFitCommand(), a.benchReplayCommand(),
		a.benchGradeCommand(), a.benchMatchCommand(), a.benchJoinCommand(), a.benchJointCommand(), a.benchExportCommand(), a.benchInventCommand())
	return c
}

// onBench opens the bench of the project and calls f with it and the catalogue. The
// folder need not hold a project: then the built-in catalogue counts.
func (a *app) onBench(ctx context.Context, existing bool, f func(*bench.Store, *cell.Catalogue) error) error {
	cells, err := a.benchCells()
	if err != nil {
		return err
	}
	s, err := bench.Open(ctx, filepath.Join(a.dir, bench.FileName), bench.OpenOptions{Existing: existing})
	if existing && errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s holds no %s; packyard bench import and packyard bench intake make it", a.dir, bench.FileName)
	}
	if err != nil {
		return err
	}
	return errors.Join(f(s, cells), s.Close())
}

func (a *app) benchCells() (*cell.Catalogue, error) {
	p, err := project.Open(a.dir)
	switch {
	case err == nil:
		return p.Cells, nil
	case errors.Is(err, project.ErrNoProject):
		return cell.BuiltIn(), nil
	}
	return nil, err
}

// itemFlags are what can be said of an item.
type itemFlags struct {
	item bench.Item
	kind string
}

func (f *itemFlags) add(c *cobra.Command) {
	c.Flags().Var(choice{&f.kind, "kind", []string{"module", "slice", "cell"}}, "kind", "module, slice or cell (default: slice)")
	for _, x := range []struct {
		p             *string
		name, meaning string
	}{
		{&f.item.Parent, "parent", "label of the module that it came out of"},
		{&f.item.Source, "source", "name of the source in packyard.yaml that it belongs to"},
		{&f.item.Lot, "lot", "what was bought together; grades compare within a lot"},
		{&f.item.Origin, "origin", "vehicle, seller"},
		{&f.item.Part, "part", "cell or module of the catalogue, see packyard parts"},
		{&f.item.Position, "position", "where it stands"},
		{&f.item.Photo, "photo", "file of a picture"},
		{&f.item.Note, "note", "a few words"},
	} {
		c.Flags().StringVar(x.p, x.name, "", x.meaning)
	}
}

// take returns the item that the flags describe, its part known.
func (f *itemFlags) take(label string, cells *cell.Catalogue) (bench.Item, error) {
	it := f.item
	it.Label, it.Kind = label, bench.ItemKind(f.kind)
	if it.Part != "" {
		if _, ok := bench.PartOf(cells, it.Part, it.Kind); !ok {
			return it, usagef("--part %q: no cell or module of that name; packyard parts lists them", it.Part)
		}
	}
	return it, nil
}

// quantityFlag reads a flag that holds a quantity; empty is zero.
func quantityFlag[Q unit.Quantity](name, text string) (Q, error) {
	if text == "" {
		return 0, nil
	}
	q, err := unit.Parse[Q](text)
	if err != nil {
		return 0, usagef("--%s: %v", name, err)
	}
	return q, nil
}

// FaultLine is one thing that is wrong or odd in a log.
type FaultLine struct {
	Kind  string `json:"kind"`
	Text  string `json:"text"`
	Hint  string `json:"hint"`
	Lines []int  `json:"lines"`
	Stops bool   `json:"stops"`
}

func faultLines(list []celltest.Fault) []FaultLine {
	out := []FaultLine{}
	for _, f := range list {
		text := f.Text()
		if f.Problem.Pos.Line > 0 && f.Count == 1 {
			text = fmt.Sprintf("line %d: %s", f.Problem.Pos.Line, text)
		}
		out = append(out, FaultLine{string(f.Kind), text, f.Problem.Hint, append([]int{}, f.Lines...), f.Stops})
	}
	return out
}

// resultText prints a result in the units of the bench.
func resultText(r *bench.Result) string {
	switch r.Quantity {
	case bench.Capacity:
		return fixed(unit.Charge(r.Value.SI).AmpereHours(), 3) + " Ah"
	case bench.EnergyOut:
		return fixed(unit.Energy(r.Value.SI).WattHours(), 1) + " Wh"
	case bench.Resistance:
		return fixed(r.Value.SI*1e3, 3) + " mΩ"
	}
	return r.Value.Text(unit.SI)
}

// figureOf prints a figure with a factor and decimals, nothing for zero.
func figureOf(v, factor float64, decimals int) string {
	if v == 0 {
		return ""
	}
	return fixed(v/factor, decimals)
}
