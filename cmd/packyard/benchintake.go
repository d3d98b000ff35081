package main

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"

	"packyard/bench"
	"packyard/cell"
	"packyard/check"
	"packyard/unit"
)

func (a *app) benchIntakeCommand() *cobra.Command {
	var fl itemFlags
	var by string
	c := &cobra.Command{
		Use:   "intake ITEM [STEP=ENTRY...]",
		Short: "the checklist of an item before any test",
		Long: "intake enters an item, and what was found at the steps of its intake: a reading with its unit, which is held to the\n" +
			"limit of the step, or good, bad or open with words behind it. Without an entry it prints the checklist. Nothing is\n" +
			"overwritten: the newest entry of a step counts.",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usagef("name the item")
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			return a.onBench(c.Context(), false, func(s *bench.Store, cells *cell.Catalogue) error {
				return a.intake(c.Context(), s, cells, args, &fl, by)
			})
		},
	}
	fl.add(c)
	c.Flags().StringVar(&by, "by", "", "who looked")
	return c
}

func (a *app) intake(ctx context.Context, s *bench.Store, cells *cell.Catalogue, args []string, fl *itemFlags, by string) error {
	it, err := fl.take(args[0], cells)
	if err != nil {
		return err
	}
	var records []bench.Record
	for _, e := range args[1:] {
		step, entered, ok := strings.Cut(e, "=")
		if !ok {
			return usagef("%q: step=entry is accepted, such as spread=12 mV", e)
		}
		r, err := bench.Judge(step, entered)
		if err != nil {
			return usageError{err}
		}
		r.Item, r.By = it.Label, by
		records = append(records, r)
	}
	if err := s.PutItem(ctx, it); err != nil {
		return err
	}
	for _, r := range records {
		if err := s.PutRecord(ctx, r); err != nil {
			return err
		}
	}
	lines, err := intakeOf(ctx, s, it.Label)
	if err != nil {
		return err
	}
	a.printIntake(lines)
	return nil
}

func (a *app) benchJointCommand() *cobra.Command {
	var torque, resistance string
	var j bench.Joint
	c := &cobra.Command{
		Use:   "joint MODULE PLACE",
		Short: "record the resistance and torque of a joint of a module that was built anew",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return usagef("%d arguments: the module and the place of the joint are accepted", len(args))
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			var err error
			j.Module, j.Place = args[0], args[1]
			if j.Resistance, err = quantityFlag[unit.Resistance]("resistance", resistance); err != nil {
				return err
			}
			if j.Torque, err = quantityFlag[unit.Torque]("torque", torque); err != nil {
				return err
			}
			return a.onBench(c.Context(), false, func(s *bench.Store, _ *cell.Catalogue) error {
				if err := s.PutJoint(c.Context(), j); err != nil {
					return usageError{err}
				}
				fmt.Fprintf(a.out, "%s, %s: %s\n", j.Module, j.Place, of(a, j.Resistance))
				return nil
			})
		},
	}
	c.Flags().StringVar(&resistance, "resistance", "", "measured across the joint, such as 35 µΩ")
	c.Flags().StringVar(&torque, "torque", "", "that the bolt was set to, such as 9 N·m")
	c.Flags().StringVar(&j.By, "by", "", "who set it")
	c.Flags().StringVar(&j.Note, "note", "", "a few words")
	return c
}

// joinFlags are the choices of bench join.
type joinFlags struct{ first, second, current, near string }

func (a *app) benchJoinCommand() *cobra.Command {
	var fl joinFlags
	c := &cobra.Command{
		Use:   "join ITEM ITEM",
		Short: "what happens when two items at rest are joined in parallel",
		Long: "join works out the current that two items drive through each other at the first moment, the difference of voltage at\n" +
			"which the current stays below a limit, and how long they take to settle. Resistance and capacity are those that were\n" +
			"measured; the slope of the voltage is that of the item's part at the charge of its voltage.",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 2 {
				return usagef("%d arguments: the labels of two items are accepted", len(args))
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			return a.onBench(c.Context(), true, func(s *bench.Store, cells *cell.Catalogue) error {
				return a.join(c.Context(), s, cells, args, &fl)
			})
		},
	}
	c.Flags().StringVar(&fl.first, "first", "", "voltage of the first item at rest, such as 7.612 V")
	c.Flags().StringVar(&fl.second, "second", "", "voltage of the second")
	c.Flags().StringVar(&fl.current, "current", "", "that both stand, such as 30 A")
	c.Flags().StringVar(&fl.near, "near", "", "difference that counts as none (default: 5 mV)")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	return c
}

func (a *app) join(ctx context.Context, s *bench.Store, cells *cell.Catalogue, labels []string, fl *joinFlags) error {
	list, err := s.Measure(ctx, cells)
	if err != nil {
		return err
	}
	var sides [2]bench.Side
	for i, text := range []string{fl.first, fl.second} {
		v, err := quantityFlag[unit.Voltage]([]string{"first", "second"}[i], text)
		if err != nil {
			return err
		}
		if sides[i], err = sideOf(list, cells, labels[i], v); err != nil {
			return err
		}
	}
	var l bench.JoinLimits
	if l.Current, err = quantityFlag[unit.Current]("current", fl.current); err != nil {
		return err
	}
	if l.Near, err = quantityFlag[unit.Voltage]("near", fl.near); err != nil {
		return err
	}
	j, err := bench.Join(sides[0], sides[1], l)
	if err != nil {
		return usageError{err}
	}
	if a.json {
		return writeJSON(a.out, j)
	}
	word := "may be joined"
	if !j.May {
		word = "must not be joined: charge or discharge one of them first"
	}
	fmt.Fprintf(a.out, "%s and %s %s\n\n", labels[0], labels[1], word)
	t := newTable("", ">", "")
	t.add("difference at rest", of(a, j.Difference), "at most "+of(a, j.Allowed)+" keeps "+of(a, l.Current))
	t.add("current at the first moment", of(a, j.Current), "ΔV/(R1 + R2)")
	t.add("settled after", of(a, j.Settling), "at least; a time constant of "+of(a, j.Constant))
	t.add("moves from one to the other", fixed(j.Moved.AmpereHours(), 3)+" Ah", "both end at "+of(a, j.Common))
	t.body(a.out)
	return nil
}

// sideOf describes an item for joining.
func sideOf(list []bench.Measured, cells *cell.Catalogue, label string, v unit.Voltage) (bench.Side, error) {
	for _, m := range list {
		if m.Item.Label != label {
			continue
		}
		p, ok := bench.PartOf(cells, m.Item.Part, m.Item.Kind)
		if !ok || m.Capacity == 0 || m.Resistance == 0 {
			return bench.Side{}, fmt.Errorf("item %s: its part, capacity and resistance must be known before it can be joined", label)
		}
		slope, err := p.Slope(v)
		if err != nil {
			return bench.Side{}, usageError{fmt.Errorf("item %s: %w", label, err)}
		}
		return bench.Side{Voltage: v, Resistance: m.Resistance, Capacity: m.Capacity, Slope: slope}, nil
	}
	return bench.Side{}, fmt.Errorf("item %q: %w", label, bench.ErrNoItem)
}

func (a *app) benchExportCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "export DIR",
		Short: "everything that is kept, as CSV and in the Battery Data Format",
		Args:  oneFolder,
		RunE: func(c *cobra.Command, args []string) error {
			return a.onBench(c.Context(), true, func(s *bench.Store, _ *cell.Catalogue) error {
				n := 0
				if err := s.Export(c.Context(), into(args[0], &n)); err != nil {
					return err
				}
				fmt.Fprintf(a.out, "wrote %s into %s\n", check.Plural(n, "file"), args[0])
				return nil
			})
		},
	}
	return c
}

func oneFolder(_ *cobra.Command, args []string) error {
	if len(args) != 1 {
		return usagef("%d arguments: one folder is accepted", len(args))
	}
	return nil
}

func (a *app) benchInventCommand() *cobra.Command {
	var o bench.InventOptions
	seed := 1
	c := &cobra.Command{
		Use:   "invent DIR",
		Short: "make a salvaged lot up, to try the bench with",
		Long: "invent writes a table of items and their logs as a tester would, for a lot that nobody has: every file says that it is\n" +
			"invented. One item is weak, one has aged, one failed at the intake, and one log breaks off. The same seed makes the\n" +
			"same files. packyard bench import DIR takes them in.",
		Args: oneFolder,
		RunE: func(_ *cobra.Command, args []string) error {
			cells, err := a.benchCells()
			if err != nil {
				return err
			}
			n := 0
			o.Seed = uint64(seed)
			if err := bench.Invent(cells, o, into(args[0], &n)); err != nil {
				return usageError{err}
			}
			fmt.Fprintf(a.out, "wrote %s of an invented lot into %s\n", check.Plural(n, "file"), args[0])
			return nil
		},
	}
	c.Flags().StringVar(&o.Part, "part", "openable-pouch-lmo-33-2s2p", "cell or module of the catalogue")
	c.Flags().StringVar(&o.Source, "source", "salvaged-cans", "name of the source in packyard.yaml")
	c.Flags().Var(number{&o.Count, "count", 0, 10_000}, "count", "items, from 6 (default: 24)")
	c.Flags().Var(number{&seed, "seed", 0, 1_000_000}, "seed", "of the lot")
	return c
}

// into writes files below a folder and counts them.
func into(dir string, n *int) bench.Create {
	return func(name string) (io.WriteCloser, error) {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return nil, err
		}
		*n++
		return os.Create(path)
	}
}
