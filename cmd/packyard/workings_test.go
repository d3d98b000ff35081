package main

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"path/filepath"
	"testing"

	"packyard/check"
	"packyard/check/checktest"
	"packyard/design"
)

// The options whose workings are worked out again: slices regrouped in one and
// two strings, loose cells, modules as they came in two strings.
var workedOptions = map[string][]string{
	"orchard-truck": {
		"salvaged-cans/76S6P/6x10S+2x8S", "salvaged-cans/2x106S2P/3x30S+1x16S", "new-lfp/122S1P/7x16S+1x10S", "closed-nmc/2x84S1P/as-built",
	},
	"harbour-microvan": {"hybrid-pouch/32S4P/6x5S+2x1S", "small-lfp/37S3P/6x6S+1x1S"},
}

// inputs are the inputs of a working by their symbols, in order, in SI.
type inputs map[string][]float64

// one returns the only input of the symbol.
func (x inputs) one(t *testing.T, symbol string) float64 {
	t.Helper()
	if len(x[symbol]) != 1 {
		t.Fatalf("%d inputs %s", len(x[symbol]), symbol)
	}
	return x[symbol][0]
}

// pairs returns Σ a·b over the inputs of two symbols that come in pairs.
func (x inputs) pairs(t *testing.T, a, b string) (sum float64) {
	t.Helper()
	if len(x[a]) != len(x[b]) || len(x[a]) == 0 {
		t.Fatalf("%d inputs %s and %d inputs %s", len(x[a]), a, len(x[b]), b)
	}
	for i := range x[a] {
		sum += x[a][i] * x[b][i]
	}
	return sum
}

func total(list []float64) (sum float64) {
	for _, v := range list {
		sum += v
	}
	return sum
}

// pulse is the current that gives the power at the voltage behind a resistance,
// the largest that there is where the power is too much.
func pulse(w, e, r float64) float64 {
	root := e*e - 4*r*w
	if root < 0 {
		return e / (2 * r)
	}
	return 2 * w / (e + math.Sqrt(root))
}

// formulas are those that the workings print, in their letters.
var formulas = map[string]func(t *testing.T, x inputs) float64{
	"voltage.full": func(t *testing.T, x inputs) float64 { return x.one(t, "S") * x.one(t, "u_max") },
	"voltage.lowest": func(t *testing.T, x inputs) float64 {
		s, p, e := x.one(t, "S"), x.one(t, "P"), x.one(t, "e")
		r := x.one(t, "r_cell") + x.one(t, "R")*p/s
		i := min(pulse(x.one(t, "W")/(s*p), e, r), x.one(t, "i_cold"))
		return s * max(min(x.one(t, "u_min"), e), e-r*i)
	},
	"energy.chemical": func(t *testing.T, x inputs) float64 {
		return x.one(t, "n") * x.one(t, "Q") * x.one(t, "h") * (x.one(t, "z_1") - x.one(t, "z_0")) * x.one(t, "u")
	},
	"mass.pack": func(t *testing.T, x inputs) float64 {
		return x.one(t, "m_modules") + x.one(t, "m_boxes") + x.one(t, "k")*x.one(t, "m_cells") + x.one(t, "m_fixed") + (x.one(t, "N")-1)*x.one(t, "m_string")
	},
	"mass.axle.rear": func(t *testing.T, x inputs) float64 { return x.one(t, "m_0") + x.pairs(t, "m", "x")/x.one(t, "L") },
	"money.pack": func(t *testing.T, x inputs) float64 {
		hours := x.one(t, "t") / 3600
		sum := x.one(t, "n")*x.one(t, "p") + x.one(t, "p_fixed") + (x.one(t, "N")-1)*x.one(t, "p_string") + x.one(t, "n_bays")*x.one(t, "p_bay")
		if len(x["n_modules"]) > 0 { // not where modules stay as they came
			sum += x.one(t, "n_modules")*x.one(t, "p_module") + x.one(t, "n_slices")*x.one(t, "p_slice")
			hours += x.one(t, "n_modules") * x.one(t, "t_module") / 3600
		}
		return sum + hours*x.one(t, "p_hour")
	},
	"supply.source": func(t *testing.T, x inputs) float64 {
		return math.Ceil(x.one(t, "slices")/x.one(t, "per piece") - 1e-9)
	},
	"current.peak": func(t *testing.T, x inputs) float64 {
		s, p := x.one(t, "S"), x.one(t, "P")
		return pulse(x.one(t, "W")/(s*p), x.one(t, "e"), x.one(t, "r_cell")+x.one(t, "R")*p/s)
	},
	"resistance": func(t *testing.T, x inputs) float64 {
		sum := x.one(t, "R_cable") + x.pairs(t, "n", "R_module")
		if len(x["R_joint"]) > 0 { // not where modules stay as they came
			sum += (total(x["n"]) - 1) * x.one(t, "R_joint")
		}
		return sum / x.one(t, "N")
	},
	"auxiliary": func(t *testing.T, x inputs) float64 {
		return total(x["P_12V"]) + x.one(t, "P_loss") + x.one(t, "P_cabin")
	},
	"range": func(t *testing.T, x inputs) float64 { return x.one(t, "E_usable") / x.one(t, "E/s") },
}

// TestWorkingsGiveTheirResult works every working of several options out again
// from nothing but the inputs that it prints, by the formula that it prints.
func TestWorkingsGiveTheirResult(t *testing.T) {
	t.Parallel()
	for example, options := range workedOptions {
		for _, option := range options {
			t.Run(option, func(t *testing.T) {
				t.Parallel()
				a := assessed(t, example, option)
				done := map[string]bool{}
				for _, w := range a.Workings {
					formula, known := formulas[w.Name]
					if !known {
						t.Errorf("working %s has no formula here", w.Name)
						continue
					}
					done[w.Name] = true
					x := inputs{}
					for _, in := range w.Inputs {
						x[in.Symbol] = append(x[in.Symbol], in.Value.SI)
						if in.Source == "" && in.Pos.IsZero() {
							t.Errorf("%s: the input %s says nothing of its source", w.Name, in.Symbol)
						}
					}
					// The same sums in another order: a few units in the last place.
					checktest.Near(t, w.Name+", "+w.Formula, w.Result.SI, formula(t, x), 0, 1e-9, "the formula of the working")
				}
				if len(done) != len(formulas) {
					t.Errorf("%d of %d workings were there", len(done), len(formulas))
				}
				compareWithResults(t, a)
			})
		}
	}
}

// compareWithResults holds workings to the figures of the assessment that they
// explain, and to the findings of their rules.
func compareWithResults(t *testing.T, a *design.Assessment) {
	t.Helper()
	result := map[string]check.Figure{}
	for _, w := range a.Workings {
		result[w.Name] = w.Result
	}
	is := func(name string, got float64) {
		t.Helper()
		checktest.Near(t, name+" in the assessment", got, result[name].SI, 0, 1e-12, "the working of the same name")
	}
	is("voltage.full", float64(a.Window.Full))
	is("voltage.lowest", float64(a.Window.Lowest))
	is("range", float64(a.New.Range))
	is("resistance", float64(a.Resistance))
	is("mass.pack", a.Budgets[0].Used.SI)
	is("money.pack", a.Budgets[3].Used.SI)
	for _, f := range a.Findings {
		if w, ok := result[f.Rule]; ok && f.Value.Noun == w.Noun {
			is(f.Rule, f.Value.SI)
		}
	}
}

// TestRunTakesOutTheEnergyOfTheWorking: a run that ends at the charge floor
// takes out ∫ u dq step by step; the working integrates the curve once.
func TestRunTakesOutTheEnergyOfTheWorking(t *testing.T) {
	t.Parallel()
	const example, option = "orchard-truck", "salvaged-cans/76S6P/6x10S+2x8S"
	a := assessed(t, example, option)
	var out, errs bytes.Buffer
	if code := run(context.Background(), []string{"drive", filepath.Join(checktest.Root(t), "examples", example), "--json", "--option", option}, &out, &errs); code != exitGood {
		t.Fatalf("exit code %d: %s", code, &errs)
	}
	var runs []design.DriveReport
	if err := json.Unmarshal(out.Bytes(), &runs); err != nil || len(runs) != 1 {
		t.Fatalf("%d runs, %v", len(runs), err)
	}
	if runs[0].Performance.EndedBy != "charge floor" {
		t.Fatalf("the run ended by %q", runs[0].Performance.EndedBy)
	}
	for _, w := range a.Workings {
		if w.Name == "energy.chemical" {
			// The last step is cut at the floor by a linear estimate: one step
			// of 75 000 is 1.3e-5 of the whole.
			checktest.Near(t, "chemical energy of the run in J", float64(runs[0].Chemical), w.Result.SI, 0, 2e-5, "the integral of the curve, in design")
		}
	}
}

func assessed(t *testing.T, example, option string) *design.Assessment {
	t.Helper()
	project := filepath.Join(checktest.Root(t), "examples", example)
	var out, errs bytes.Buffer
	if code := run(context.Background(), []string{"assess", project, "--json", "--option", option}, &out, &errs); code > exitFindings {
		t.Fatalf("exit code %d: %s", code, &errs)
	}
	var a design.Assessment
	if err := json.Unmarshal(out.Bytes(), &a); err != nil {
		t.Fatal(err)
	}
	return &a
}
