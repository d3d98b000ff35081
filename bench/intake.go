package bench

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"packyard/check"
	"packyard/unit"
)

// Verdict is the outcome of one step of the intake.
type Verdict string

// Verdicts. Open: looked at, and to be looked at again.
const (
	Good      Verdict = "good"
	Bad       Verdict = "bad"
	Undecided Verdict = "open"
)

// Step is one thing that is looked at before an item is tested.
type Step struct {
	Name   string `json:"step"`
	Asks   string `json:"asks"`
	Noun   string `json:"quantity"` // of the reading, "voltage"; empty: words only
	Limit  string `json:"limit"`    // in words; empty: none
	Source string `json:"source"`   // source key of the limit
}

// Limits of the intake. A builder who knows better enters the verdict himself.
const (
	insulationLeast = 1e6    // Ω; source: assumption, ten thousand times the 100 Ω/V that un-r100 wants of a whole pack at 100 V
	spreadMost      = 0.050  // V; source: assumption, cells of a sound module at rest stay within
	lossMost        = 0.0005 // V per day; source: assumption, 15 mV in a month of quarantine
	chargeLeast     = 0.2    // source: common practice, storage between a fifth and three fifths
	chargeMost      = 0.6    // source: common practice
)

// Names of the steps, in the order of the work.
const (
	StepVisual     = "visual"
	StepDate       = "date"
	StepWater      = "water"
	StepInsulation = "insulation"
	StepSpread     = "spread"
	StepQuarantine = "quarantine"
	StepCharge     = "charge"
	StepTransport  = "transport"
)

// Checklist returns the steps of the intake in the order of the work: what may
// hurt first, what takes weeks at the end.
func Checklist() []Step {
	return []Step{
		{StepVisual, "swelling, leaks, dents, burnt or corroded terminals, torn insulation: none?", "", "none of them", "common-practice"},
		{StepDate, "date code, as it is written on the item", "", "", ""},
		{StepWater, "marks of water or of coolant inside: none?", "", "none", "common-practice"},
		{StepInsulation, "insulation resistance of each terminal against the case", "resistance", "1 MΩ or more", "assumption"},
		{StepSpread, "difference between the highest and the lowest cell at rest", "voltage", "50 mV or less", "assumption"},
		{StepQuarantine, "loss of voltage in a day, over two weeks or more at rest in one place", "voltage", "0.5 mV or less", "assumption"},
		{StepCharge, "state of charge for storage", "share", "20 % to 60 %", "common-practice"},
		{StepTransport, "undamaged, or damaged or defective: other packing and papers are wanted then", "", "undamaged", "common-practice"},
	}
}

// StepByName returns the step of the checklist.
func StepByName(name string) (Step, bool) {
	list := Checklist()
	i := slices.IndexFunc(list, func(s Step) bool { return s.Name == name })
	if i < 0 {
		return Step{}, false
	}
	return list[i], true
}

// Record is one entry of the intake of an item.
type Record struct {
	Item    string       `json:"item"`
	Step    string       `json:"step"`
	Verdict Verdict      `json:"verdict"`
	Words   string       `json:"words"` // as entered: a reading with its unit, or what was seen
	By      string       `json:"by"`
	At      time.Time    `json:"at"`
	Reading check.Figure `json:"reading,omitzero"` // zero: words only
}

// Judge makes a record of what was entered for a step: a reading with its unit is
// held to the limit of the step; for the others the first word is good, bad or open.
//
// Errors: ErrRecord.
func Judge(step, entered string) (Record, error) {
	st, ok := StepByName(step)
	r := Record{Step: step, Words: strings.TrimSpace(entered)}
	if !ok {
		var names []string
		for _, s := range Checklist() {
			names = append(names, s.Name)
		}
		return r, fmt.Errorf("%w: %q is no step of the intake: %s are", ErrRecord, step, strings.Join(names, ", "))
	}
	first, rest, _ := strings.Cut(r.Words, " ")
	if v := Verdict(first); v == Good || v == Bad || v == Undecided {
		r.Verdict, r.Words = v, strings.TrimSpace(rest)
		return r, nil
	}
	var err error
	var good bool
	switch st.Name {
	case StepInsulation:
		q := reading[unit.Resistance](&r, &err)
		good = q >= insulationLeast
	case StepSpread:
		q := reading[unit.Voltage](&r, &err)
		good = math.Abs(float64(q)) <= spreadMost
	case StepQuarantine:
		q := reading[unit.Voltage](&r, &err)
		good = math.Abs(float64(q)) <= lossMost
	case StepCharge:
		q := reading[unit.Ratio](&r, &err)
		good = q >= chargeLeast && q <= chargeMost
	case StepDate:
		if r.Words == "" {
			return r, fmt.Errorf("%w: date: the date code is empty", ErrRecord)
		}
		r.Verdict = Good
		return r, nil
	default:
		return r, fmt.Errorf("%w: %s: %q: good, bad or open is accepted, and words behind it", ErrRecord, step, entered)
	}
	if err != nil {
		return r, fmt.Errorf("%w: %s: %w", ErrRecord, step, err)
	}
	r.Verdict = Bad
	if good {
		r.Verdict = Good
	}
	return r, nil
}

func reading[Q unit.Quantity](r *Record, err *error) Q {
	q, e := unit.Parse[Q](r.Words)
	*err = e
	r.Reading = check.Of(q)
	return q
}

// PutRecord adds a record to the intake of an item. Older ones of the same step
// stay.
//
// Errors: ErrNoItem, ErrRecord.
func (s *Store) PutRecord(ctx context.Context, r Record) error {
	if _, ok := StepByName(r.Step); !ok {
		return fmt.Errorf("%w: %q is no step of the intake", ErrRecord, r.Step)
	}
	return inTx(ctx, s.db, func(tx *sql.Tx) error {
		it, err := findItem(ctx, tx, r.Item)
		if err != nil {
			return err
		}
		return s.putRecord(ctx, tx, it.id, r)
	})
}

func (s *Store) putRecord(ctx context.Context, tx *sql.Tx, item int64, r Record) error {
	value := sql.NullFloat64{Float64: r.Reading.SI, Valid: !r.Reading.IsZero()}
	_, err := tx.ExecContext(ctx, "INSERT INTO intake (item, step, verdict, value, words, by, at) VALUES (?, ?, ?, ?, ?, ?, ?)",
		item, r.Step, r.Verdict, value, r.Words, r.By, s.now().Unix())
	return err
}

const recordColumns = `i.label, r.step, r.verdict, r.value, r.words, r.by, r.at FROM intake r JOIN item i ON i.id = r.item`

func scanRecord(scan func(...any) error) (r Record, err error) {
	var at int64
	var value sql.NullFloat64
	err = scan(&r.Item, &r.Step, &r.Verdict, &value, &r.Words, &r.By, &at)
	r.At = time.Unix(at, 0).UTC()
	if value.Valid {
		switch r.Step {
		case StepInsulation:
			r.Reading = check.Of(unit.Resistance(value.Float64))
		case StepCharge:
			r.Reading = check.Of(unit.Ratio(value.Float64))
		default:
			r.Reading = check.Of(unit.Voltage(value.Float64))
		}
	}
	return r, err
}

// Records returns the whole intake of an item, or of all items when label is
// empty, the oldest record first.
func (s *Store) Records(ctx context.Context, label string) ([]Record, error) {
	if label == "" {
		return collect(ctx, s.db, scanRecord, "SELECT "+recordColumns+" ORDER BY r.id")
	}
	return collect(ctx, s.db, scanRecord, "SELECT "+recordColumns+" WHERE i.label = ? ORDER BY r.id", label)
}

// Latest returns the newest record of each step of an item's intake, in the order
// of the checklist, and the steps that have none.
func Latest(records []Record, label string) (latest []Record, lacking []string) {
	for _, st := range Checklist() {
		found := false
		for _, r := range slices.Backward(records) {
			if r.Item == label && r.Step == st.Name {
				latest = append(latest, r)
				found = true
				break
			}
		}
		if !found {
			lacking = append(lacking, st.Name)
		}
	}
	return latest, lacking
}

// ErrQuarantine says that two readings make no quarantine.
var ErrQuarantine = errors.New("readings make no quarantine")

// Quarantine are two readings of the voltage at rest.
type Quarantine struct {
	First, Last unit.Voltage
	Between     unit.Time
}

// Loss returns the loss of voltage in a day. Rests below a week say too little,
// since a cell still settles for days (common practice).
//
// Errors: ErrQuarantine.
func (q Quarantine) Loss() (unit.Voltage, error) {
	const week = 7 * 86400
	if !(q.Between >= week) || !(q.First > 0) || !(q.Last > 0) || math.IsInf(float64(q.First+q.Last)+float64(q.Between), 0) {
		return 0, fmt.Errorf("%w: %v V and %v V over %v days: two voltages a week or more apart are accepted", ErrQuarantine, float64(q.First), float64(q.Last), float64(q.Between)/86400)
	}
	return unit.Voltage(float64(q.First-q.Last) / (float64(q.Between) / 86400)), nil
}
