package bench

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"io"

	"packyard/celltest"
)

// PutMapping keeps a mapping of columns under its name, in place of an older one.
// Tests that were imported with the older one keep it.
//
// Errors: ErrRecord without a name or columns.
func (s *Store) PutMapping(ctx context.Context, m celltest.Mapping) error {
	if m.Name == "" || len(m.Columns) == 0 {
		return fmt.Errorf("%w: a mapping has a name and columns", ErrRecord)
	}
	b, err := json.Marshal(m)
	if err != nil {
		return err
	}
	_, err = s.db.ExecContext(ctx, "INSERT INTO mapping (name, body, made) VALUES (?, ?, ?) ON CONFLICT (name) DO UPDATE SET body = excluded.body, made = excluded.made", m.Name, string(b), s.now().Unix())
	return err
}

// ErrNoMapping says that no mapping of that name is kept.
var ErrNoMapping = errors.New("there is no such mapping")

// Mapping returns the mapping that is kept under a name.
//
// Errors: ErrNoMapping.
func (s *Store) Mapping(ctx context.Context, name string) (*celltest.Mapping, error) {
	m, err := scanMapping(s.db.QueryRowContext(ctx, "SELECT body FROM mapping WHERE name = ?", name).Scan)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("mapping %q: %w", name, ErrNoMapping)
	}
	return &m, err
}

// Mappings returns all that are kept, by name.
func (s *Store) Mappings(ctx context.Context) ([]celltest.Mapping, error) {
	return collect(ctx, s.db, scanMapping, "SELECT body FROM mapping ORDER BY name")
}

func scanMapping(scan func(...any) error) (m celltest.Mapping, err error) {
	var body string
	if err := scan(&body); err != nil {
		return m, err
	}
	return m, json.Unmarshal([]byte(body), &m)
}

// MappingFor returns the kept mapping that fits the columns of a file, or nil:
// when the file needs none, when none fits, and when several do, since then the
// builder has to say which. It reads the head of the file.
func (s *Store) MappingFor(ctx context.Context, in io.Reader) (*celltest.Mapping, error) {
	names, labels, err := celltest.Headers(in)
	if err != nil || labels {
		return nil, err
	}
	list, err := s.Mappings(ctx)
	if err != nil {
		return nil, err
	}
	var fit *celltest.Mapping
	for i := range list {
		if !list[i].Fits(names) {
			continue
		}
		if fit != nil {
			return nil, nil
		}
		fit = &list[i]
	}
	return fit, nil
}
