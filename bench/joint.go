package bench

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"time"

	"packyard/unit"
)

// Joint is the record of one bolted or welded joint of a module that was built
// anew: what to measure again at the first service.
type Joint struct {
	Module     string          `json:"module"`
	Place      string          `json:"place"` // "between slice 3 and 4, plus"
	Resistance unit.Resistance `json:"resistance_ohm"`
	Torque     unit.Torque     `json:"torque_nm"` // zero: not bolted
	By         string          `json:"by"`
	Note       string          `json:"note"`
	At         time.Time       `json:"at"`
}

// PutJoint adds the record of a joint. An older one of the same place stays.
//
// Errors: ErrRecord.
func (s *Store) PutJoint(ctx context.Context, j Joint) error {
	r, q := float64(j.Resistance), float64(j.Torque)
	if j.Module == "" || j.Place == "" || !(r > 0) || !(q >= 0) || math.IsInf(r+q, 0) {
		return fmt.Errorf("%w: joint %q of module %q: a module, a place, a resistance above zero and a torque are accepted", ErrRecord, j.Place, j.Module)
	}
	_, err := s.db.ExecContext(ctx, "INSERT INTO joint (module, place, resistance, torque, by, note, at) VALUES (?, ?, ?, ?, ?, ?, ?)",
		j.Module, j.Place, r, q, j.By, j.Note, s.now().Unix())
	return err
}

// Joints returns all records of joints, the oldest first.
func (s *Store) Joints(ctx context.Context) ([]Joint, error) {
	return collect(ctx, s.db, func(scan func(...any) error) (j Joint, err error) {
		var at int64
		err = scan(&j.Module, &j.Place, &j.Resistance, &j.Torque, &j.By, &j.Note, &at)
		j.At = time.Unix(at, 0).UTC()
		return j, err
	}, "SELECT module, place, resistance, torque, by, note, at FROM joint ORDER BY id")
}

// CellMap says which items make which group of a pack.
type CellMap struct {
	Source   string      `json:"source"` // of the project
	Series   int         `json:"series"` // groups
	Parallel int         `json:"parallel"`
	Groups   []MapGroup  `json:"groups"`
	Spares   []string    `json:"spares"`
	Weakest  unit.Charge `json:"weakest_as"`
	Bound    unit.Charge `json:"bound_as"` // no map has a stronger weakest group
	Proven   bool        `json:"proven"`
	At       time.Time   `json:"at"`
}

// MapGroup is one group of the map.
type MapGroup struct {
	Group            int             `json:"group"` // from 1, along the pack
	Items            []string        `json:"items"`
	Capacity         unit.Charge     `json:"capacity_as"`
	Resistance       unit.Resistance `json:"resistance_ohm"`    // zero: not known
	CapacityShare    unit.Ratio      `json:"capacity_share"`    // of the rated capacity of its cells; zero: not known
	ResistanceGrowth unit.Ratio      `json:"resistance_growth"` // against new cells; zero: not known
}

// PutCellMap keeps a map; the newest of a source counts.
func (s *Store) PutCellMap(ctx context.Context, m CellMap) error {
	m.At = s.now().UTC().Truncate(time.Second)
	b, err := json.Marshal(m)
	if err != nil {
		return err
	}
	_, err = s.db.ExecContext(ctx, "INSERT INTO cell_map (source, body, at) VALUES (?, ?, ?)", m.Source, string(b), m.At.Unix())
	return err
}

// CellMaps returns the newest map of each source.
func (s *Store) CellMaps(ctx context.Context) ([]CellMap, error) {
	return collect(ctx, s.db, func(scan func(...any) error) (m CellMap, err error) {
		var body string
		if err := scan(&body); err != nil {
			return m, err
		}
		return m, json.Unmarshal([]byte(body), &m)
	}, "SELECT body FROM cell_map WHERE id IN (SELECT max(id) FROM cell_map GROUP BY source) ORDER BY source")
}
