package bench

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

// ItemKind is what an item is.
type ItemKind string

// Kinds of items.
const (
	Module ItemKind = "module"
	Slice  ItemKind = "slice"
	Cell   ItemKind = "cell"
)

// Kinds returns the kinds of items.
func Kinds() []ItemKind { return []ItemKind{Module, Slice, Cell} }

// Item is one thing on the bench. The label is what is written on it.
type Item struct {
	Label    string    `json:"label"`
	Kind     ItemKind  `json:"kind"`
	Parent   string    `json:"parent"`   // label of the module that it came out of
	Source   string    `json:"source"`   // name of the source in the project that it belongs to
	Lot      string    `json:"lot"`      // what was bought together
	Origin   string    `json:"origin"`   // vehicle, seller
	Part     string    `json:"part"`     // of the catalogue
	Position string    `json:"position"` // in its parent, or on the shelf
	Photo    string    `json:"photo"`    // file beside the project
	Note     string    `json:"note"`
	Made     time.Time `json:"made"`
	id       int64
}

// labelMost bounds the length of a label.
const labelMost = 80

// PutItem enters an item, or changes what is said of one: fields that are empty
// stay as they are.
//
// Errors: ErrRecord, ErrNoItem for the parent.
func (s *Store) PutItem(ctx context.Context, it Item) error {
	return inTx(ctx, s.db, func(tx *sql.Tx) error {
		_, err := s.putItem(ctx, tx, it)
		return err
	})
}

func (s *Store) putItem(ctx context.Context, tx *sql.Tx, it Item) (id int64, err error) {
	if it.Label == "" || len(it.Label) > labelMost || strings.TrimSpace(it.Label) != it.Label || strings.ContainsAny(it.Label, "\n\r\t") {
		return 0, fmt.Errorf("%w: label %q: one line of 1 to %d characters without blanks at its ends is accepted", ErrRecord, it.Label, labelMost)
	}
	old, err := findItem(ctx, tx, it.Label)
	switch {
	case errors.Is(err, ErrNoItem):
		if it.Kind == "" {
			it.Kind = Slice
		}
		old = Item{Label: it.Label, Kind: it.Kind}
	case err != nil:
		return 0, err
	}
	for _, f := range []struct {
		to   *string
		from string
	}{{&old.Source, it.Source}, {&old.Lot, it.Lot}, {&old.Origin, it.Origin}, {&old.Part, it.Part},
		{&old.Position, it.Position}, {&old.Photo, it.Photo}, {&old.Note, it.Note}, {&old.Parent, it.Parent}} {
		if f.from != "" {
			*f.to = f.from
		}
	}
	if it.Kind != "" {
		old.Kind = it.Kind
	}
	if !slices.Contains(Kinds(), old.Kind) {
		return 0, fmt.Errorf("%w: kind %q: module, slice or cell is accepted", ErrRecord, old.Kind)
	}
	var parent sql.NullInt64
	if old.Parent != "" {
		if old.Parent == old.Label {
			return 0, fmt.Errorf("%w: item %q cannot be its own parent", ErrRecord, old.Label)
		}
		p, err := findItem(ctx, tx, old.Parent)
		if err != nil {
			return 0, err
		}
		parent = sql.NullInt64{Int64: p.id, Valid: true}
	}
	row := tx.QueryRowContext(ctx, `INSERT INTO item (label, kind, parent, source, lot, origin, part, position, photo, note, made)
		VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)
		ON CONFLICT (label) DO UPDATE SET kind = excluded.kind, parent = excluded.parent, source = excluded.source, lot = excluded.lot,
			origin = excluded.origin, part = excluded.part, position = excluded.position, photo = excluded.photo, note = excluded.note
		RETURNING id`,
		old.Label, old.Kind, parent, old.Source, old.Lot, old.Origin, old.Part, old.Position, old.Photo, old.Note, s.now().Unix())
	err = row.Scan(&id)
	return id, err
}

const itemColumns = `i.id, i.label, i.kind, coalesce(p.label, ''), i.source, i.lot, i.origin, i.part, i.position, i.photo, i.note, i.made
	FROM item i LEFT JOIN item p ON p.id = i.parent`

// querier is a database or a transaction.
type querier interface {
	QueryContext(ctx context.Context, query string, args ...any) (*sql.Rows, error)
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
}

func scanItem(scan func(...any) error) (it Item, err error) {
	var made int64
	err = scan(&it.id, &it.Label, &it.Kind, &it.Parent, &it.Source, &it.Lot, &it.Origin, &it.Part, &it.Position, &it.Photo, &it.Note, &made)
	it.Made = time.Unix(made, 0).UTC()
	return it, err
}

func findItem(ctx context.Context, q querier, label string) (Item, error) {
	it, err := scanItem(q.QueryRowContext(ctx, "SELECT "+itemColumns+" WHERE i.label = ?", label).Scan)
	if errors.Is(err, sql.ErrNoRows) {
		return it, fmt.Errorf("item %q: %w", label, ErrNoItem)
	}
	return it, err
}

// Item returns the item with a label.
//
// Errors: ErrNoItem.
func (s *Store) Item(ctx context.Context, label string) (Item, error) {
	return findItem(ctx, s.db, label)
}

// Items returns all items by label, in the order of a person: 2 before 10.
func (s *Store) Items(ctx context.Context) ([]Item, error) {
	list, err := collect(ctx, s.db, scanItem, "SELECT "+itemColumns)
	slices.SortFunc(list, func(a, b Item) int { return compareLabels(a.Label, b.Label) })
	return list, err
}

// collect scans all rows of a query.
func collect[T any](ctx context.Context, q querier, scan func(func(...any) error) (T, error), query string, args ...any) ([]T, error) {
	rows, err := q.QueryContext(ctx, query, args...)
	if err != nil {
		return nil, err
	}
	var out []T
	for rows.Next() {
		v, err := scan(rows.Scan)
		if err != nil {
			return nil, errors.Join(err, rows.Close())
		}
		out = append(out, v)
	}
	return out, rows.Err()
}

// compareLabels compares texts with the numbers in them as numbers.
func compareLabels(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		m, n := digitsBefore(x), digitsBefore(y)
		if m > 0 && n > 0 {
			p, q := strings.TrimLeft(x[:m], "0"), strings.TrimLeft(y[:n], "0")
			if c := len(p) - len(q); c != 0 {
				return c
			}
			if c := strings.Compare(p, q); c != 0 {
				return c
			}
			x, y = x[m:], y[n:]
			continue
		}
		if x[0] != y[0] {
			return int(x[0]) - int(y[0])
		}
		x, y = x[1:], y[1:]
	}
	if c := len(x) - len(y); c != 0 {
		return c
	}
	return strings.Compare(a, b)
}

func digitsBefore(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}
