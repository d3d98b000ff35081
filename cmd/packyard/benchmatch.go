package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"packyard/bench"
	"packyard/cell"
	"packyard/check"
	"packyard/match"
	"packyard/project"
	"packyard/unit"
)

// matchFlags are the choices of bench match.
type matchFlags struct {
	gradeFlags
	source, option, give string
	fixed                []string
	mixed                bool
	seed                 int
}

// MatchReport is what bench match prints.
type MatchReport struct {
	Map     bench.CellMap `json:"cell_map"`
	Gap     unit.Ratio    `json:"gap_share"` // of the weakest group below the bound
	From    string        `json:"bound_from"`
	Sorted  unit.Charge   `json:"sorted_as"` // weakest group when like is put with like
	Random  unit.Charge   `json:"random_as"` // mean over draws by lot
	Rejects []string      `json:"rejected"`
}

// randomDraws is how many draws by lot stand for chance.
const randomDraws = 25

func (a *app) benchMatchCommand() *cobra.Command {
	var fl matchFlags
	c := &cobra.Command{
		Use:   "match",
		Short: "the cell map: which item goes into which group",
		Long: "match puts the kept items of a source into groups so that the weakest group is as strong as it can be, then balances\n" +
			"the resistances, and says how far from the best possible it may be. Rules of packyard bench grade hold. It can be\n" +
			"interrupted; the best map so far is printed. --use writes " + project.CellMapName + " into the project, for packyard drive --per-group\n" +
			"--cell-map, and keeps the map.",
		Args: noArgument,
		RunE: func(c *cobra.Command, _ []string) error {
			return a.onBench(c.Context(), true, func(s *bench.Store, cells *cell.Catalogue) error { return a.match(c.Context(), s, cells, &fl) })
		},
	}
	fl.rules(c)
	c.Flags().StringVar(&fl.source, "source", "", "source whose items are matched (default: all items)")
	c.Flags().StringVar(&fl.option, "option", "", "name of an option, in place of --series and --parallel")
	c.Flags().Var(number{&fl.series, "series", 0, 10_000}, "series", "groups of items")
	c.Flags().Var(number{&fl.parallel, "parallel", 0, 1000}, "parallel", "items in each group")
	c.Flags().StringArrayVar(&fl.fixed, "fix", nil, "ITEM=GROUP, an item that stands in a group already, several times")
	yesFlag(c, &fl.mixed, "mixed", "items of different lots may share a group")
	c.Flags().StringVar(&fl.give, "give", "", "share of the weakest capacity that may be given up for equal resistances (default: none)")
	c.Flags().Var(number{&fl.seed, "seed", 0, 1_000_000}, "seed", "of the search")
	yesFlag(c, &fl.use, "use", "write the map into the project, and keep it")
	yesFlag(c, &fl.csv, "csv", "print the map as CSV")
	yesFlag(c, &a.json, "json", "print JSON, SI numbers with the unit in the key")
	return c
}

func (a *app) match(ctx context.Context, s *bench.Store, cells *cell.Catalogue, fl *matchFlags) error {
	rules, err := fl.gradeRules()
	if err != nil {
		return err
	}
	give, err := quantityFlag[unit.Ratio]("give", fl.give)
	if err != nil {
		return err
	}
	list, err := s.Measure(ctx, cells)
	if err != nil {
		return err
	}
	g := bench.Grade(list, rules)
	var r MatchReport
	kept := g.Items[:0:0]
	for _, m := range g.Items {
		switch {
		case fl.source != "" && m.Item.Source != fl.source, m.Capacity == 0 && len(m.Refused) == 0:
		case m.Keep:
			kept = append(kept, m)
		default:
			r.Rejects = append(r.Rejects, m.Item.Label)
		}
	}
	task, err := fl.task(kept, cells)
	if err != nil {
		return err
	}
	plan, err := match.Match(ctx, task, match.Options{Seed: uint64(fl.seed), Give: give})
	if err != nil {
		return usageError{err}
	}
	r.fill(&plan, task, kept, fl.source)
	if err := r.compare(task); err != nil {
		return err
	}
	if fl.use {
		if err := a.useMap(ctx, s, &r.Map); err != nil {
			return err
		}
	}
	switch {
	case a.json:
		return writeJSON(a.out, r)
	case fl.csv:
		return csv.NewWriter(a.out).WriteAll(append([][]string{bench.MapColumns()}, r.Map.Rows()...))
	}
	a.printMatch(&r)
	return nil
}

// optionForm finds strings, cells in series and in parallel in the name of an option.
var optionForm = regexp.MustCompile(`/(?:(\d+)[x×])?(\d+)S(\d+)P/`)

// task makes the task of matching: groups of items, which may each be several cells.
func (fl *matchFlags) task(kept []bench.Graded, cells *cell.Catalogue) (*match.Task, error) {
	groups, parallel := fl.series, fl.parallel
	if fl.option != "" {
		m := optionForm.FindStringSubmatch(fl.option)
		if m == nil || len(kept) == 0 {
			return nil, usagef("--option %q: the name of an option such as cans/104S2P/as-built is accepted, and items that are kept", fl.option)
		}
		p, ok := bench.PartOf(cells, kept[0].Item.Part, kept[0].Item.Kind)
		if !ok {
			return nil, usagef("--option: the part of item %s is not known", kept[0].Item.Label)
		}
		strs, _ := strconv.Atoi(m[1])
		series, _ := strconv.Atoi(m[2])
		across, _ := strconv.Atoi(m[3])
		if series%p.Series != 0 || across%p.Parallel != 0 {
			return nil, usagef("--option %q: items of %dS%dP do not make it", fl.option, p.Series, p.Parallel)
		}
		groups, parallel = max(strs, 1)*series/p.Series, across/p.Parallel
	}
	if groups == 0 || parallel == 0 {
		return nil, usagef("--series and --parallel say how many groups of how many items are wanted; --option takes them from an option")
	}
	t := &match.Task{Groups: groups, Parallel: parallel, Mixed: fl.mixed}
	for _, m := range kept {
		t.Items = append(t.Items, match.Item{Name: m.Item.Label, Capacity: m.Capacity, Resistance: m.Resistance, Lot: m.Item.Lot})
	}
	for _, f := range fl.fixed {
		label, group, ok := strings.Cut(f, "=")
		n, err := strconv.Atoi(group)
		i := slices.IndexFunc(t.Items, func(it match.Item) bool { return it.Name == label })
		if !ok || err != nil || i < 0 {
			return nil, usagef("--fix %q: ITEM=GROUP with an item that is kept is accepted, groups from 1", f)
		}
		t.Fixed = append(t.Fixed, match.Fixed{Item: i, Group: n - 1})
	}
	return t, nil
}

// fill turns a plan into the map.
func (r *MatchReport) fill(p *match.Plan, t *match.Task, kept []bench.Graded, source string) {
	r.Map = bench.CellMap{Source: source, Series: t.Groups, Parallel: t.Parallel, Spares: []string{}, Weakest: p.Weakest, Bound: p.Bound, Proven: p.Proven}
	if source == "" && len(kept) > 0 {
		r.Map.Source = kept[0].Item.Source
	}
	r.Gap, r.From = p.Gap(), p.BoundFrom
	if r.Rejects == nil {
		r.Rejects = []string{}
	}
	for g, items := range p.Groups {
		m := bench.MapGroup{Group: g + 1, Capacity: p.Capacity[g], Resistance: p.Resistance[g]}
		rated, fresh := 0.0, 0.0
		for _, i := range items {
			m.Items = append(m.Items, t.Items[i].Name)
			rated += float64(kept[i].Rated)
			if kept[i].New > 0 {
				fresh += 1 / float64(kept[i].New)
			}
		}
		if rated > 0 {
			m.CapacityShare = unit.Ratio(float64(m.Capacity) / rated)
		}
		if fresh > 0 && m.Resistance > 0 {
			m.ResistanceGrowth = unit.Ratio(float64(m.Resistance) * fresh)
		}
		r.Map.Groups = append(r.Map.Groups, m)
	}
	for _, i := range p.Spare {
		r.Map.Spares = append(r.Map.Spares, t.Items[i].Name)
	}
}

// compare weighs what a builder would do without: like with like, and chance.
func (r *MatchReport) compare(t *match.Task) error {
	free := *t
	free.Fixed, free.Mixed = nil, true
	p, err := match.Weigh(&free, match.Graded(&free))
	if err != nil {
		return err
	}
	r.Sorted = p.Weakest
	for seed := range uint64(randomDraws) {
		if p, err = match.Weigh(&free, match.Random(&free, seed)); err != nil {
			return err
		}
		r.Random += p.Weakest / randomDraws
	}
	return nil
}

func (a *app) useMap(ctx context.Context, s *bench.Store, m *bench.CellMap) error {
	if err := a.intoProject(project.CellMapName, func(w io.Writer) error { return project.WriteCellMap(w, m) }); err != nil {
		return err
	}
	return s.PutCellMap(ctx, *m)
}

func (a *app) printMatch(r *MatchReport) {
	t := newTable(">group", "items", ">capacity|Ah", ">of rated|%", ">resistance|mΩ", ">growth|times")
	t.right[1] = false
	for _, g := range r.Map.Groups {
		t.add(fmt.Sprint(g.Group), strings.Join(g.Items, " "), figureOf(float64(g.Capacity), 3600, 3), figureOf(float64(g.CapacityShare), 0.01, 1), figureOf(float64(g.Resistance), 1e-3, 3), figureOf(float64(g.ResistanceGrowth), 1, 2))
	}
	t.print(a.out)
	proof := "no map has a stronger one (" + r.From + ")"
	if !r.Map.Proven {
		proof = fmt.Sprintf("no map has one above %s Ah (%s), %s more", fixed(r.Map.Bound.AmpereHours(), 3), r.From, check.Percent(float64(r.Gap)))
	}
	fmt.Fprintf(a.out, "\nThe weakest group holds %s Ah; %s.\n", fixed(r.Map.Weakest.AmpereHours(), 3), proof)
	fmt.Fprintf(a.out, "Like with like it would hold %s Ah, drawn by lot %s Ah.\n", fixed(r.Sorted.AmpereHours(), 3), fixed(r.Random.AmpereHours(), 3))
	if len(r.Map.Spares) > 0 {
		fmt.Fprintf(a.out, "Spare: %s.\n", strings.Join(r.Map.Spares, ", "))
	}
	if len(r.Rejects) > 0 {
		fmt.Fprintf(a.out, "Rejected: %s.\n", strings.Join(r.Rejects, ", "))
	}
}
