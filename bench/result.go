package bench

import (
	"context"
	"database/sql"
	"fmt"
	"math"
	"time"

	"packyard/check"
	"packyard/unit"
)

// Quantity is what a result says of an item.
type Quantity string

// Quantities of results.
const (
	Capacity    Quantity = "capacity"
	EnergyOut   Quantity = "energy"
	Resistance  Quantity = "resistance" // of a pulse
	RestVoltage Quantity = "rest-voltage"
	LossPerDay  Quantity = "loss-per-day" // of voltage, at rest
)

// figure returns a value in SI as one of the quantity.
func (q Quantity) figure(si float64) (check.Figure, bool) {
	switch q {
	case Capacity:
		return check.Of(unit.Charge(si)), true
	case EnergyOut:
		return check.Of(unit.Energy(si)), true
	case Resistance:
		return check.Of(unit.Resistance(si)), true
	case RestVoltage, LossPerDay:
		return check.Of(unit.Voltage(si)), true
	}
	return check.Figure{}, false
}

// Result is one figure of an item, with the method that made it.
type Result struct {
	Item      string       `json:"item"`
	Test      int64        `json:"test"` // zero: not from a log that is kept
	Quantity  Quantity     `json:"quantity"`
	Value     check.Figure `json:"value"`
	Deviation check.Figure `json:"deviation,omitzero"` // one standard deviation; zero: not known
	At        Condition    `json:"at"`
	Method    string       `json:"method"`
	Version   int          `json:"version"` // of the method
	Note      string       `json:"note"`
	Made      time.Time    `json:"made"`
}

// Condition is under which a result holds; what is zero is not stated.
type Condition struct {
	Charge      unit.Ratio       `json:"charge_share"` // of the item's own capacity
	Temperature unit.Temperature `json:"temperature_k"`
	Time        unit.Time        `json:"time_s"` // of a pulse
}

// PutResults adds results. One that is there already, from the same test under the
// same condition by the same version of the same method, is left as it is.
//
// Errors: ErrNoItem, ErrNoTest, ErrRecord.
func (s *Store) PutResults(ctx context.Context, list []Result) error {
	return inTx(ctx, s.db, func(tx *sql.Tx) error {
		for i := range list {
			if err := s.putResult(ctx, tx, &list[i]); err != nil {
				return err
			}
		}
		return nil
	})
}

func (s *Store) putResult(ctx context.Context, tx *sql.Tx, r *Result) error {
	want, known := r.Quantity.figure(r.Value.SI)
	sum := r.Value.SI + r.Deviation.SI + float64(r.At.Charge) + float64(r.At.Temperature) + float64(r.At.Time)
	if !known || want != r.Value || r.Method == "" || math.IsNaN(sum) || math.IsInf(sum, 0) {
		return fmt.Errorf("%w: result %q of item %q, value %v by %q: a known quantity, a finite value of it and a method are accepted", ErrRecord, r.Quantity, r.Item, r.Value, r.Method)
	}
	it, err := findItem(ctx, tx, r.Item)
	if err != nil {
		return err
	}
	var test sql.NullInt64
	if r.Test != 0 {
		t, err := s.testWhere(ctx, tx, "id = ?", r.Test)
		if err != nil {
			return err
		}
		if t == nil {
			return fmt.Errorf("test %d: %w", r.Test, ErrNoTest)
		}
		test = sql.NullInt64{Int64: r.Test, Valid: true}
	}
	_, err = tx.ExecContext(ctx, `INSERT INTO result (item, test, quantity, value, deviation, charge, temperature, seconds, method, version, note, at)
		SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12 WHERE NOT EXISTS (
			SELECT 1 FROM result WHERE item = ?1 AND test IS ?2 AND quantity = ?3 AND charge IS ?6 AND temperature IS ?7 AND seconds IS ?8
			AND method = ?9 AND version = ?10 AND (test IS NOT NULL OR value = ?4))`,
		it.id, test, r.Quantity, r.Value.SI, orNull(r.Deviation.SI), orNull(float64(r.At.Charge)), orNull(float64(r.At.Temperature)), orNull(float64(r.At.Time)), r.Method, r.Version, r.Note, s.now().Unix())
	return err
}

func orNull(v float64) sql.NullFloat64 { return sql.NullFloat64{Float64: v, Valid: v != 0} }

const resultColumns = `i.label, coalesce(r.test, 0), r.quantity, r.value, coalesce(r.deviation, 0), coalesce(r.charge, 0), coalesce(r.temperature, 0), coalesce(r.seconds, 0),
	r.method, r.version, r.note, r.at FROM result r JOIN item i ON i.id = r.item`

func scanResult(scan func(...any) error) (r Result, err error) {
	var at int64
	var value, deviation float64
	err = scan(&r.Item, &r.Test, &r.Quantity, &value, &deviation, &r.At.Charge, &r.At.Temperature, &r.At.Time, &r.Method, &r.Version, &r.Note, &at)
	r.Made = time.Unix(at, 0).UTC()
	r.Value, _ = r.Quantity.figure(value)
	if deviation != 0 {
		r.Deviation, _ = r.Quantity.figure(deviation)
	}
	return r, err
}

// Results returns the results of an item, or of all items when label is empty, the
// oldest first.
func (s *Store) Results(ctx context.Context, label string) ([]Result, error) {
	if label == "" {
		return collect(ctx, s.db, scanResult, "SELECT "+resultColumns+" ORDER BY r.id")
	}
	return collect(ctx, s.db, scanResult, "SELECT "+resultColumns+" WHERE i.label = ? ORDER BY r.id", label)
}
