package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"

	"packyard/bench"
	"packyard/cell"
	"packyard/celltest"
	"packyard/check"
)

// importFlags are the choices of bench import.
type importFlags struct {
	itemFlags
	label, mapping, positive, delimiter, mark string
	columns                                   []string
	series, header                            int
	table                                     bool
}

func (a *app) benchImportCommand() *cobra.Command {
	var fl importFlags
	c := &cobra.Command{
		Use:   "import FILE...",
		Short: "logs of cell tests, and tables of items, into the bench",
		Long: "import reads logs: the Battery Data Format, or any CSV or TSV (gzip too) whose columns are named in plain words or\n" +
			"by --column quantity=NAME@UNIT; under --map NAME they are remembered and used again for files with the same\n" +
			"columns. Quantities are " + quantityNames() + ".\n" +
			"A column without a name is #3. A folder stands for the files in it. What is wrong is told with its lines and never\n" +
			"mended; a log with a slip of units or columns is not kept before it is settled. A log that is there already is\n" +
			"recognised. items.csv, or any file with --table, is a table of items: " + strings.Join(bench.TableColumns()[:10], ", ") + ",\n" +
			"steps of the intake, capacity_ah and resistance_mohm.\n" +
			"A log of an item whose part is known is characterised at once, see packyard bench fit.",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usagef("name at least one file or folder")
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error { return a.benchImport(c.Context(), args, &fl) },
	}
	fl.add(c)
	c.Flags().StringVar(&fl.label, "item", "", "label of the item, for one file (default: from the name of the file)")
	c.Flags().StringArrayVar(&fl.columns, "column", nil, "quantity=NAME or quantity=NAME@UNIT, several times")
	c.Flags().StringVar(&fl.mapping, "map", "", "name under which the columns are remembered, or were")
	c.Flags().Var(choice{&fl.positive, "positive", []string{"charging", "discharging"}}, "positive", "what positive current does: charging or discharging (default: found)")
	c.Flags().Var(choice{&fl.delimiter, "delimiter", []string{"comma", "semicolon", "tab", "bar"}}, "delimiter", "between fields: comma, semicolon, tab or bar (default: found)")
	c.Flags().Var(choice{&fl.mark, "decimal", []string{"point", "comma"}}, "decimal", "decimal mark: point or comma (default: found)")
	c.Flags().Var(number{&fl.header, "header-line", 0, 1000}, "header-line", "line that names the columns (default: found)")
	c.Flags().Var(number{&fl.series, "series", 0, 1000}, "series", "cells in series in the item (default: from its part, else 1)")
	yesFlag(c, &fl.table, "table", "the files are tables of items")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	return c
}

func quantityNames() string {
	var s []string
	for _, q := range celltest.Quantities() {
		s = append(s, string(q))
	}
	return listed(s)
}

// ImportLine is what became of one file.
type ImportLine struct {
	File     string      `json:"file"`
	Item     string      `json:"item"`
	Test     int64       `json:"test"`        // zero: nothing was kept
	Known    bool        `json:"known"`       // the log was there already
	Items    int         `json:"items_count"` // of a table
	Rows     int         `json:"rows_count"`
	Columns  string      `json:"columns_from"`
	Positive string      `json:"positive"`
	Because  string      `json:"positive_because"`
	Faults   []FaultLine `json:"faults"`
	Results  int         `json:"results_count"`
	Refused  string      `json:"refused"` // why the file was not kept
}

func (a *app) benchImport(ctx context.Context, args []string, fl *importFlags) error {
	files, err := benchFiles(args)
	if err != nil {
		return err
	}
	if fl.label != "" && len(files) > 1 {
		return usagef("--item names one item and there are %d files", len(files))
	}
	var lines []ImportLine
	var bad error
	err = a.onBench(ctx, false, func(s *bench.Store, cells *cell.Catalogue) error {
		own, err := fl.mappingOf(ctx, s)
		if err != nil {
			return err
		}
		for _, f := range files {
			line, err := a.importOne(ctx, s, cells, f, own, fl)
			var problems *check.Problems
			if err != nil && !errors.As(err, &problems) {
				return fmt.Errorf("%s: %w", f, err)
			}
			if err != nil {
				bad = errors.Join(bad, err)
				line.Refused = problems.Error()
				a.printProblems(problems)
			}
			lines = append(lines, line)
		}
		return nil
	})
	if err != nil {
		return err
	}
	if a.json {
		err = writeJSON(a.out, lines)
	} else {
		a.printImport(lines)
	}
	if err == nil && bad != nil {
		err = errSaid
	}
	return err
}

// errSaid ends a command that has said on standard error what is wrong with files.
var errSaid = errors.New("files have faults")

// benchFiles puts the files of folders in the place of the folders: tables of items
// first, then all else by name.
func benchFiles(args []string) ([]string, error) {
	var out []string
	for _, arg := range args {
		info, err := os.Stat(arg)
		if err != nil {
			return nil, err
		}
		if !info.IsDir() {
			out = append(out, arg)
			continue
		}
		if err := filepath.WalkDir(arg, func(p string, d fs.DirEntry, err error) error {
			ending := strings.ToLower(filepath.Ext(strings.TrimSuffix(p, ".gz")))
			if err == nil && d.Type().IsRegular() && slices.Contains([]string{".csv", ".tsv", ".txt", ".bdf"}, ending) {
				out = append(out, p)
			}
			return err
		}); err != nil {
			return nil, err
		}
	}
	slices.SortStableFunc(out, func(x, y string) int {
		switch a, b := isTable(x), isTable(y); {
		case a == b:
			return 0
		case a:
			return -1
		}
		return 1
	})
	return out, nil
}

func isTable(file string) bool { return filepath.Base(file) == "items.csv" }

// mappingOf makes the mapping that the flags describe, and keeps it under its name.
func (fl *importFlags) mappingOf(ctx context.Context, s *bench.Store) (*celltest.Mapping, error) {
	if fl.table {
		return nil, nil
	}
	m := &celltest.Mapping{Name: fl.mapping, HeaderLine: fl.header, Positive: celltest.Sign(fl.positive),
		Delimiter: map[string]string{"comma": ",", "semicolon": ";", "tab": "\t", "bar": "|"}[fl.delimiter],
		Mark:      map[string]string{"point": ".", "comma": ","}[fl.mark]}
	for _, c := range fl.columns {
		col, err := celltest.ParseColumn(c)
		if err != nil {
			return nil, usagef("--column: %v", err)
		}
		m.Columns = append(m.Columns, col)
	}
	if len(m.Columns) > 0 {
		if m.Name == "" {
			m.Name = "of the command"
			return m, nil
		}
		return m, s.PutMapping(ctx, *m)
	}
	if fl.mapping != "" {
		kept, err := s.Mapping(ctx, fl.mapping)
		if errors.Is(err, bench.ErrNoMapping) {
			return nil, usagef("--map %q: no columns are remembered under that name; give them with --column", fl.mapping)
		}
		return kept, err
	}
	if fl.positive != "" || fl.delimiter != "" || fl.mark != "" || fl.header > 0 {
		return m, nil // the columns are found
	}
	return nil, nil
}

func (a *app) importOne(ctx context.Context, s *bench.Store, cells *cell.Catalogue, file string, own *celltest.Mapping, fl *importFlags) (ImportLine, error) {
	line := ImportLine{File: filepath.Base(file), Faults: []FaultLine{}}
	in, err := os.Open(file)
	if err != nil {
		return line, err
	}
	defer func() { _ = in.Close() }()
	if fl.table || isTable(file) {
		aliases := map[string]string{}
		for _, c := range fl.columns {
			if to, from, ok := strings.Cut(c, "="); ok {
				aliases[to] = from
			}
		}
		line.Items, err = s.ImportTable(ctx, file, in, aliases)
		return line, err
	}
	label := fl.label
	if label == "" {
		label = bench.LabelOf(file)
	}
	it, err := fl.take(label, cells)
	if err != nil {
		return line, err
	}
	part, known := a.partOfItem(ctx, s, cells, it)
	o := bench.ImportOptions{Item: it, Mapping: own, Series: fl.series}
	if o.Series == 0 && known {
		o.Series = part.Series
	}
	if own == nil {
		if o.Mapping, err = s.MappingFor(ctx, in); err != nil {
			return line, err
		}
		if _, err := in.Seek(0, io.SeekStart); err != nil {
			return line, err
		}
	}
	draw, end := a.bytesBar(in, filepath.Base(file))
	o.Progress = draw
	got, err := s.Import(ctx, file, in, o)
	end()
	line.Item = label
	line.take(&got)
	if err != nil || got.Known || !known {
		return line, err
	}
	results, odd, err := s.Characterise(ctx, got.Test.ID, part)
	line.Results = len(results)
	line.Faults = append(line.Faults, faultLines(odd)...)
	if errors.Is(err, celltest.ErrSeries) {
		line.Faults = append(line.Faults, FaultLine{Kind: "analysis", Text: err.Error(), Lines: []int{}})
		err = nil
	}
	return line, err
}

func (l *ImportLine) take(got *bench.Imported) {
	r := &got.Test.Report
	l.Test, l.Known, l.Rows, l.Columns, l.Positive, l.Because = got.Test.ID, got.Known, r.Rows, r.From, string(r.Positive), r.SignFrom
	if got.Test.TextSum != "" && got.Test.FileSum == "" {
		l.Test = 0 // refused
	}
	if got.Known {
		l.Item = got.Test.Item
	}
	l.Faults = append(l.Faults, faultLines(r.Faults)...)
}

// partOfItem returns the part of an item, by the flags or as it was entered before.
func (a *app) partOfItem(ctx context.Context, s *bench.Store, cells *cell.Catalogue, it bench.Item) (bench.Part, bool) {
	if old, err := s.Item(ctx, it.Label); err == nil {
		if it.Part == "" {
			it.Part = old.Part
		}
		if it.Kind == "" {
			it.Kind = old.Kind
		}
	}
	return bench.PartOf(cells, it.Part, it.Kind)
}

// bytesBar draws a bar of bytes on standard error while a large file is read, where
// that is a terminal.
func (a *app) bytesBar(in *os.File, name string) (draw func(int64), end func()) {
	info, err := in.Stat()
	if err != nil || !terminal(a.err) || info.Size() < 8<<20 {
		return nil, func() {}
	}
	bar := progressbar.NewOptions64(info.Size(), progressbar.OptionSetWriter(a.err), progressbar.OptionSetWidth(30), progressbar.OptionShowBytes(true),
		progressbar.OptionSetDescription(name), progressbar.OptionClearOnFinish(), progressbar.OptionThrottle(100*time.Millisecond))
	return func(n int64) { _ = bar.Set64(min(n, info.Size())) }, func() { _ = bar.Finish() }
}

func (a *app) printImport(lines []ImportLine) {
	t := newTable("file", "item", ">test", ">rows", "positive current", ">results", "what is to be known")
	for _, l := range lines {
		test, rows, results := "", "", ""
		var said []string
		switch {
		case l.Refused != "":
			said = append(said, "not kept, see above")
		case l.Items > 0:
			said = append(said, check.Plural(l.Items, "item"))
		case l.Known:
			said = append(said, "was there already")
		}
		if l.Test > 0 {
			test, rows = fmt.Sprint(l.Test), check.Whole(l.Rows)
		}
		if l.Results > 0 {
			results = check.Whole(l.Results)
		}
		if l.Refused == "" && !l.Known {
			for _, f := range l.Faults {
				said = append(said, f.Text)
			}
		}
		t.add(l.File, l.Item, test, rows, l.Positive, results, strings.Join(said, "; "))
	}
	t.print(a.out)
}
