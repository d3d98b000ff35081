package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"packyard/bench"
	"packyard/cell"
	"packyard/check"
	"packyard/project"
	"packyard/unit"
)

// gradeFlags are the rules and questions of bench grade.
type gradeFlags struct {
	health, within, certainty, weakest string
	growth, score                      float64
	keep, intake, csv, use             bool
	series, parallel                   int
}

func (fl *gradeFlags) rules(c *cobra.Command) {
	c.Flags().StringVar(&fl.health, "least-health", "", "capacity over rated that an item must have (default: 60 %)")
	c.Flags().Float64Var(&fl.growth, "most-growth", 0, "`times` the resistance of a new item that one may have (default 3)")
	c.Flags().Float64Var(&fl.score, "score", 0, "`robust` deviations from the median of the lot at which an item is an outlier (default 3.5)")
	yesFlag(c, &fl.keep, "keep-outliers", "tell outliers and keep them")
	yesFlag(c, &fl.intake, "complete-intake", "reject items whose intake is not complete")
}

func (fl *gradeFlags) gradeRules() (bench.GradeRules, error) {
	health, err := quantityFlag[unit.Ratio]("least-health", fl.health)
	if err != nil {
		return bench.GradeRules{}, err
	}
	if health < 0 || health > 1.2 {
		return bench.GradeRules{}, usagef("--least-health %q: a share up to 120 %% is accepted, such as 60 %%", fl.health)
	}
	if fl.growth < 0 || fl.score < 0 || fl.growth-fl.growth != 0 || fl.score-fl.score != 0 {
		return bench.GradeRules{}, usagef("--most-growth and --score are above zero")
	}
	return bench.GradeRules{Health: health, Growth: unit.Ratio(fl.growth), Score: fl.score, KeepOutside: fl.keep, Intake: fl.intake}, nil
}

// GradeReport is what bench grade prints.
type GradeReport struct {
	Grading bench.Grading     `json:"grading"`
	Health  []bench.LotHealth `json:"health_of_sources"`
	Sample  []SampleLine      `json:"samples"`
	Buy     *bench.BuyAdvice  `json:"buy,omitempty"`
}

// SampleLine says how well a lot is known.
type SampleLine struct {
	Lot   string           `json:"lot"`
	Mean  bench.MeanAdvice `json:"mean"`
	Above unit.Ratio       `json:"above_lowest_share"` // of the lot, at least, lies above the lowest of the sample
}

func (a *app) benchGradeCommand() *cobra.Command {
	var fl gradeFlags
	c := &cobra.Command{
		Use:   "grade",
		Short: "classes, rejects with their reasons, and how many more to test or to buy",
		Long: "grade compares the items of each lot. An item is rejected for its intake, its health, its resistance, or as an outlier\n" +
			"by its distance from the median in robust deviations; the class is a letter for capacity and a number for resistance,\n" +
			"A1 the best. With --series and --parallel, of items, it says how many modules of the lot to buy for such a pack.\n" +
			"--use writes the mean health of each source into " + project.MeasuredName + " of the project, where it takes the place of an assumed one.",
		Args: noArgument,
		RunE: func(c *cobra.Command, _ []string) error {
			return a.onBench(c.Context(), true, func(s *bench.Store, cells *cell.Catalogue) error { return a.grade(c.Context(), s, cells, &fl) })
		},
	}
	fl.rules(c)
	c.Flags().StringVar(&fl.within, "within", "", "half width within which the mean capacity is to be known (default: 2 %)")
	c.Flags().StringVar(&fl.certainty, "certainty", "", "of the answers (default: 95 %)")
	c.Flags().Var(number{&fl.series, "series", 0, 10_000}, "series", "groups of a wanted pack")
	c.Flags().Var(number{&fl.parallel, "parallel", 0, 1000}, "parallel", "items in each group of a wanted pack")
	c.Flags().StringVar(&fl.weakest, "weakest", "", "capacity that the weakest group of a wanted pack must have, such as 100 Ah")
	yesFlag(c, &fl.use, "use", "write the health of the sources into the project")
	yesFlag(c, &fl.csv, "csv", "print the items as CSV")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	return c
}

func (a *app) grade(ctx context.Context, s *bench.Store, cells *cell.Catalogue, fl *gradeFlags) error {
	rules, err := fl.gradeRules()
	if err != nil {
		return err
	}
	list, err := s.Measure(ctx, cells)
	if err != nil {
		return err
	}
	g := bench.Grade(list, rules)
	r := GradeReport{Grading: g, Health: append([]bench.LotHealth{}, g.Health()...), Sample: []SampleLine{}}
	if err := fl.answers(&r); err != nil {
		return err
	}
	if fl.use {
		if err := a.useHealth(r.Health); err != nil {
			return err
		}
	}
	switch {
	case a.json:
		return writeJSON(a.out, r)
	case fl.csv:
		return a.gradeTable(&g, true)
	}
	if err := a.gradeTable(&g, false); err != nil {
		return err
	}
	a.printLots(&r)
	return nil
}

// answers says how well the lots are known and how many modules a pack takes.
func (fl *gradeFlags) answers(r *GradeReport) error {
	within, err := quantityFlag[unit.Ratio]("within", fl.within)
	if err != nil {
		return err
	}
	certainty, err := quantityFlag[unit.Ratio]("certainty", fl.certainty)
	if err != nil {
		return err
	}
	if within == 0 {
		within = 0.02
	}
	if certainty == 0 {
		certainty = 0.95
	}
	for _, lot := range r.Grading.Lots {
		var caps []unit.Charge
		for _, m := range r.Grading.Items {
			if m.Item.Lot == lot.Lot && m.Capacity > 0 {
				caps = append(caps, m.Capacity)
			}
		}
		advice, err := bench.TestsForMean(caps, within, certainty)
		if errors.Is(err, bench.ErrSample) && len(caps) < 2 {
			continue
		}
		if err != nil {
			return usageError{err}
		}
		r.Sample = append(r.Sample, SampleLine{Lot: lot.Lot, Mean: advice, Above: bench.ShareAbove(len(caps), certainty)})
	}
	if fl.series == 0 && fl.parallel == 0 {
		return nil
	}
	weakest, err := quantityFlag[unit.Charge]("weakest", fl.weakest)
	if err != nil {
		return err
	}
	advice, err := bench.Buy(moduleSample(&r.Grading), bench.Need{Groups: fl.series, Parallel: fl.parallel, Weakest: weakest}, bench.BuyOptions{Certainty: certainty})
	if err != nil {
		return usageError{err}
	}
	r.Buy = &advice
	return nil
}

// moduleSample gathers the kept items of each module that was tested; an item without
// a module is one by itself.
func moduleSample(g *bench.Grading) [][]unit.Charge {
	at := map[string]int{}
	var out [][]unit.Charge
	for _, m := range g.Items {
		if m.Capacity == 0 && len(m.Refused) == 0 {
			continue // not tested yet
		}
		key := m.Item.Parent
		if key == "" {
			key = "\x00" + m.Item.Label
		}
		i, ok := at[key]
		if !ok {
			i = len(out)
			at[key] = i
			out = append(out, nil)
		}
		if m.Keep {
			out[i] = append(out[i], m.Capacity)
		}
	}
	return out
}

func (a *app) useHealth(list []bench.LotHealth) error {
	if len(list) == 0 {
		return fmt.Errorf("no item has a source and a known part: packyard bench intake ITEM --source NAME --part PART")
	}
	return a.intoProject(project.MeasuredName, func(w io.Writer) error { return project.WriteMeasured(w, list) })
}

// intoProject writes a table into the folder of the project, whole or not at all,
// and says so.
func (a *app) intoProject(name string, write func(w io.Writer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	path := filepath.Join(a.dir, name)
	if err := project.WriteFile(path, b.Bytes()); err != nil {
		return err
	}
	a.say("wrote %s", path)
	return nil
}

func (a *app) gradeTable(g *bench.Grading, csv bool) error {
	head := []string{"item", "lot", "class", ">capacity|Ah", ">health|%", ">resistance|mΩ", ">growth|times", ">score of capacity", ">of resistance", "reasons"}
	if csv {
		head = []string{"item", "lot", "class", "capacity_ah", "health_percent", "resistance_mohm", "growth_times", "score_capacity", "score_resistance", "reasons"}
	}
	t := newTable(head...)
	items := slices.Clone(g.Items)
	for _, m := range items {
		class := m.Class
		if !m.Keep {
			class = a.mark("reject", !csv)
		}
		t.add(m.Item.Label, m.Item.Lot, class, figureOf(float64(m.Capacity), 3600, 3), figureOf(float64(m.Health), 0.01, 1), figureOf(float64(m.Resistance), 1e-3, 3),
			figureOf(float64(m.Growth), 1, 2), figureOf(m.ScoreCapacity, 1, 1), figureOf(m.ScoreResistance, 1, 1), strings.Join(m.Reasons, "; "))
	}
	if csv {
		return t.csv(a.out)
	}
	t.print(a.out)
	return nil
}

func (a *app) printLots(r *GradeReport) {
	a.heading("Lots")
	t := newTable("lot", ">tested", ">kept", ">mean|Ah", ">deviation|Ah", ">median|Ah", ">least|Ah", ">most|Ah", ">resistance|mΩ", ">deviation|mΩ")
	for _, l := range r.Grading.Lots {
		t.add(l.Lot, fmt.Sprint(l.Count), fmt.Sprint(l.Kept), figureOf(float64(l.CapacityMean), 3600, 3), figureOf(float64(l.CapacitySD), 3600, 3), figureOf(float64(l.CapacityMedian), 3600, 3),
			figureOf(float64(l.CapacityMin), 3600, 3), figureOf(float64(l.CapacityMax), 3600, 3), figureOf(float64(l.ResistanceMean), 1e-3, 3), figureOf(float64(l.ResistanceSD), 1e-3, 3))
	}
	t.print(a.out)
	for _, x := range r.Sample {
		m := x.Mean
		more := "no more tests are needed"
		if m.More > 0 {
			more = check.Plural(m.More, "more test") + " would bring it"
		}
		a.sentence("%s: the mean is known to ± %s with %s certainty (%s); for ± %s %s. At least %s of the lot lie above the lowest of the %d (%s).",
			lotName(x.Lot), check.Percent(float64(m.Half)), check.Percent(float64(m.Certainty)), m.Method, check.Percent(float64(m.Wanted)), more, check.Percent(float64(x.Above)), m.Count, bench.MethodTolerance)
	}
	for _, h := range r.Health {
		growth := ""
		if h.ResistanceGrowth > 0 {
			growth = fmt.Sprintf(", %.2f times the resistance of new ones", float64(h.ResistanceGrowth))
		}
		a.sentence("%s: the %s that are kept hold %s of their rated capacity%s.", h.Source, check.Plural(h.Items, "item"), check.Percent(float64(h.CapacityShare)), growth)
	}
	if b := r.Buy; b != nil {
		a.sentence("Buy %s: enough in %s of %s draws; in half of them %d are enough (%s, from %d that were tested).",
			check.Plural(b.Modules, "module"), check.Percent(float64(b.Reached)), check.Whole(b.Draws), b.Half, b.Method, b.Sample)
	}
}

// sentence prints a paragraph of its own, folded.
func (a *app) sentence(format string, args ...any) {
	fmt.Fprintf(a.out, "\n%s\n", strings.Join(fold(fmt.Sprintf(format, args...), widthMost), "\n"))
}

func lotName(lot string) string {
	if lot == "" {
		return "Items without a lot"
	}
	return "Lot " + lot
}
