package main

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"

	"github.com/spf13/cobra"

	"packyard/bench"
	"packyard/cell"
	"packyard/celltest"
	"packyard/check"
	"packyard/project"
	"packyard/unit"
)

func (a *app) benchFitCommand() *cobra.Command {
	var use bool
	c := &cobra.Command{
		Use:   "fit [ITEM...]",
		Short: "work capacity, energy and pulse resistance out of the logs anew",
		Long: "fit characterises the logs of the items, or of all: capacity and energy of full discharges, and the resistance of\n" +
			"every pulse at 0.1, 2, 10, 18 and 30 s. Results are kept with the version of their method beside the older ones.\n" +
			"The part of an item must be known: packyard bench intake ITEM --part PART.\n" +
			"--use makes the measured curves of each source, open-circuit voltage from slow discharges and charges, R0 with two RC pairs\n" +
			"from the pulses of all items that grading keeps, and writes them into " + project.CircuitName + " of the project, where they take the\n" +
			"place of those of the part.",
		RunE: func(c *cobra.Command, args []string) error {
			return a.onBench(c.Context(), true, func(s *bench.Store, cells *cell.Catalogue) error {
				if use {
					return a.useCurves(c.Context(), s, cells, args)
				}
				return a.fit(c.Context(), s, cells, args)
			})
		},
	}
	yesFlag(c, &use, "use", "write the measured curves of the sources into the project")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	return c
}

func (a *app) fit(ctx context.Context, s *bench.Store, cells *cell.Catalogue, labels []string) error {
	if len(labels) == 0 {
		items, err := s.Items(ctx)
		if err != nil {
			return err
		}
		for _, it := range items {
			labels = append(labels, it.Label)
		}
	}
	all := []bench.Result{}
	for _, label := range labels {
		it, err := s.Item(ctx, label)
		if err != nil {
			return err
		}
		tests, err := s.Tests(ctx, label)
		if err != nil {
			return err
		}
		part, ok := bench.PartOf(cells, it.Part, it.Kind)
		if !ok && len(tests) > 0 {
			a.say("%s: its part %q is not in the catalogue, so that its logs cannot be judged", label, it.Part)
			continue
		}
		for _, t := range tests {
			results, odd, err := s.Characterise(ctx, t.ID, part)
			if err != nil {
				return err
			}
			for _, f := range odd {
				a.say("%s, test %d: %s", label, t.ID, f.Text())
			}
			all = append(all, results...)
		}
	}
	if a.json {
		return writeJSON(a.out, all)
	}
	a.printResults(all, true)
	return nil
}

// useCurves makes the measured curves of the sources and writes them into the
// project, all or none: what is written must stand for the cell of its source.
func (a *app) useCurves(ctx context.Context, s *bench.Store, cells *cell.Catalogue, labels []string) error {
	list, err := s.Measure(ctx, cells)
	if err != nil {
		return err
	}
	g := bench.Grade(list, bench.GradeRules{})
	g.Items = slices.DeleteFunc(g.Items, func(m bench.Graded) bool {
		return !m.Keep && m.Capacity > 0 || len(labels) > 0 && !slices.Contains(labels, m.Item.Label)
	})
	lots, err := s.Circuits(ctx, cells, g.Items)
	if err != nil {
		return err
	}
	lots = slices.DeleteFunc(lots, func(l bench.LotCircuit) bool {
		if err := l.Usable(); err != nil {
			a.say("source %s: %v; its curves stay those of the part", l.Source, err)
			return len(l.Curves.OCV.SoC) == 0
		}
		return false
	})
	if len(lots) == 0 {
		return errors.New("no source has pulses or slow discharges enough for curves of its own: pulses at every tenth of the charge, or a discharge and a charge at C/10 or slower, are wanted")
	}
	if err := a.intoProject(project.CircuitName, func(w io.Writer) error { return project.WriteCircuits(w, lots) }); err != nil {
		return err
	}
	if a.json {
		return writeJSON(a.out, lots)
	}
	t := newTable("source", ">items", ">pulses fitted", ">not fitted", ">slow tests", ">points")
	for _, l := range lots {
		t.add(l.Source, strconv.Itoa(l.Items), strconv.Itoa(l.Pulses), strconv.Itoa(l.Refused), strconv.Itoa(l.Slow), strconv.Itoa(len(l.Curves.Points)))
	}
	t.print(a.out)
	return nil
}

// ReplayReport says how near a cell of the catalogue comes to a measured log.
type ReplayReport struct {
	File     string       `json:"file"`
	Part     string       `json:"part"`
	Rows     int          `json:"rows_count"`
	RMS      unit.Voltage `json:"rms_v"` // of settled rows
	RMSAll   unit.Voltage `json:"rms_all_v"`
	Mean     unit.Voltage `json:"mean_v"`
	Worst    unit.Voltage `json:"worst_v"`
	WorstAt  unit.Time    `json:"worst_s"`
	Measured unit.Energy  `json:"measured_j"`
	Computed unit.Energy  `json:"computed_j"`
}

// replayFlags are the choices of bench replay.
type replayFlags struct {
	part, start string
	run         int
	csv         bool
}

func (a *app) benchReplayCommand() *cobra.Command {
	var fl replayFlags
	c := &cobra.Command{
		Use:   "replay LOG",
		Short: "run the current of a log on a cell and lay the voltages over each other",
		Long: "replay runs the measured current of a log, a file or the number of a kept test, on one cell of the catalogue, and says how far its voltage\n" +
			"lies from the measured one. Errors are computed less measured; rows soon after a step of the current count apart.",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return usagef("%d arguments: one log is accepted", len(args))
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error { return a.replay(c.Context(), args[0], &fl) },
	}
	c.Flags().StringVar(&fl.part, "part", "", "cell or module of the catalogue (default: that of the item of the test)")
	c.Flags().StringVar(&fl.start, "start", "", "state of charge of the first row (default: 100 %)")
	c.Flags().Var(number{&fl.run, "run", 0, 1000}, "run", "run of the clock, where the log has several")
	yesFlag(c, &fl.csv, "csv", "print the two voltages as CSV")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	return c
}

// replayLog finds the log and the part that replay is asked for.
func (a *app) replayLog(ctx context.Context, name string, fl *replayFlags) (l *celltest.Log, id string, p bench.Part, err error) {
	id = fl.part
	kind := bench.Slice
	cells, err := a.benchCells()
	if err != nil {
		return nil, "", p, err
	}
	if n, errNumber := strconv.ParseInt(name, 10, 64); errNumber == nil {
		err = a.onBench(ctx, true, func(s *bench.Store, _ *cell.Catalogue) error {
			t, err := s.Test(ctx, n)
			if err != nil {
				return err
			}
			it, err := s.Item(ctx, t.Item)
			if err != nil {
				return err
			}
			if id == "" {
				id, kind = it.Part, it.Kind
			}
			l, err = s.Log(ctx, n, fl.run)
			return err
		})
	} else {
		in, errOpen := os.Open(name)
		if errOpen != nil {
			return nil, "", p, errOpen
		}
		defer func() { _ = in.Close() }()
		series := 1
		if q, ok := bench.PartOf(cells, id, kind); ok {
			series = q.Series
		}
		l, _, err = celltest.ReadLog(in, celltest.Reading{File: filepath.Base(name), Series: series, Run: fl.run})
	}
	if err != nil {
		return nil, "", p, err
	}
	p, ok := bench.PartOf(cells, id, kind)
	if !ok {
		return nil, "", p, usagef("--part %q: name a cell or module of packyard parts", id)
	}
	return l, id, p, nil
}

func (a *app) replay(ctx context.Context, name string, fl *replayFlags) error {
	start, err := quantityFlag[unit.Ratio]("start", fl.start)
	if err != nil {
		return err
	}
	l, id, p, err := a.replayLog(ctx, name, fl)
	if err != nil {
		return err
	}
	one := p.OneCell(l)
	r, err := celltest.RunReplay(p.Cell, one, celltest.ReplayOptions{Start: start})
	if err != nil {
		return err
	}
	if fl.csv {
		return a.replayTrace(one, r)
	}
	rep := ReplayReport{File: name, Part: id, Rows: r.Rows, RMS: r.RMSSettled, RMSAll: r.RMSAll, Mean: r.MeanSettled, Worst: r.Worst, WorstAt: r.WorstTime, Measured: r.EnergyMeasured, Computed: r.EnergyComputed}
	if a.json {
		return writeJSON(a.out, rep)
	}
	fmt.Fprintf(a.out, "%s on one cell of %s, %s rows\n\n", name, id, check.Whole(rep.Rows))
	t := newTable("", ">", "")
	t.add("voltage, rms of settled rows", of(a, rep.RMS), "of all rows "+of(a, rep.RMSAll))
	t.add("voltage, mean", of(a, rep.Mean), "above zero: computed too high")
	t.add("voltage, worst of settled rows", of(a, rep.Worst), "at "+of(a, rep.WorstAt))
	t.add("energy out, measured", of(a, rep.Measured), "")
	t.add("energy out, computed", of(a, rep.Computed), check.Percent(float64(r.EnergyError()))+" off")
	t.body(a.out)
	return nil
}

func (a *app) replayTrace(l *celltest.Log, r *celltest.Replay) error {
	w := csv.NewWriter(a.out)
	if err := w.Write([]string{"time_s", "current_a", "measured_v", "computed_v", "charge_share"}); err != nil {
		return err
	}
	number := func(v float64) string { return strconv.FormatFloat(v, 'g', 7, 64) }
	for k := range min(len(r.Computed), l.Len()) {
		if err := w.Write([]string{number(l.Time[k]), number(l.Current[k]), number(l.Voltage[k]), number(r.Computed[k]), number(r.Charge[k])}); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}
