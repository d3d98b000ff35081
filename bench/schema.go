package bench

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
)

// applicationID marks the file as a bench: the letters PKYB.
const applicationID = 0x504b5942

// Errors of the store.
var (
	ErrNotBench = errors.New("is no bench database")
	ErrNewer    = errors.New("was written by a newer packyard")
	ErrNoItem   = errors.New("there is no such item")
	ErrNoTest   = errors.New("there is no such test")
	ErrRecord   = errors.New("record is not of the wanted form")
)

// migrations bring a database from version i to i+1. A released one is never
// changed: a change of the tables is a new entry, and testdata keeps a file of each
// version.
func migrations() []string {
	return []string{schema1, schema2}
}

const schema1 = `
CREATE TABLE item (
	id INTEGER PRIMARY KEY,
	label TEXT NOT NULL UNIQUE,
	kind TEXT NOT NULL CHECK (kind IN ('module', 'slice', 'cell')),
	parent INTEGER REFERENCES item(id),
	source TEXT NOT NULL, lot TEXT NOT NULL, origin TEXT NOT NULL, part TEXT NOT NULL,
	position TEXT NOT NULL, photo TEXT NOT NULL, note TEXT NOT NULL,
	made INTEGER NOT NULL
) STRICT;
CREATE TABLE intake (
	id INTEGER PRIMARY KEY,
	item INTEGER NOT NULL REFERENCES item(id),
	step TEXT NOT NULL, verdict TEXT NOT NULL CHECK (verdict IN ('good', 'bad', 'open')),
	value REAL, words TEXT NOT NULL, by TEXT NOT NULL, at INTEGER NOT NULL
) STRICT;
CREATE INDEX intake_item ON intake(item, step, id);
CREATE TABLE mapping (
	name TEXT PRIMARY KEY,
	body TEXT NOT NULL,
	made INTEGER NOT NULL
) STRICT;
CREATE TABLE test (
	id INTEGER PRIMARY KEY,
	item INTEGER NOT NULL REFERENCES item(id),
	file TEXT NOT NULL, file_sha256 BLOB NOT NULL, file_bytes INTEGER NOT NULL,
	text_sha256 BLOB NOT NULL UNIQUE, text_bytes INTEGER NOT NULL,
	rows INTEGER NOT NULL, series INTEGER NOT NULL,
	mapping TEXT NOT NULL, report TEXT NOT NULL,
	at INTEGER NOT NULL
) STRICT;
CREATE INDEX test_item ON test(item);
CREATE TABLE block (
	id INTEGER PRIMARY KEY,
	test INTEGER NOT NULL REFERENCES test(id),
	n INTEGER NOT NULL, bytes INTEGER NOT NULL,
	deflated BLOB NOT NULL,
	UNIQUE (test, n)
) STRICT;
CREATE TABLE result (
	id INTEGER PRIMARY KEY,
	item INTEGER NOT NULL REFERENCES item(id),
	test INTEGER REFERENCES test(id),
	quantity TEXT NOT NULL, value REAL NOT NULL, deviation REAL,
	charge REAL, temperature REAL, seconds REAL,
	method TEXT NOT NULL, version INTEGER NOT NULL,
	note TEXT NOT NULL, at INTEGER NOT NULL
) STRICT;
CREATE INDEX result_item ON result(item, quantity, id);
`

// schema2 adds what happens after the modules are built anew.
const schema2 = `
CREATE TABLE joint (
	id INTEGER PRIMARY KEY,
	module TEXT NOT NULL, place TEXT NOT NULL,
	resistance REAL NOT NULL, torque REAL NOT NULL,
	by TEXT NOT NULL, note TEXT NOT NULL, at INTEGER NOT NULL
) STRICT;
CREATE TABLE cell_map (
	id INTEGER PRIMARY KEY,
	source TEXT NOT NULL, body TEXT NOT NULL, at INTEGER NOT NULL
) STRICT;
`

// migrate brings the database to the newest version, each step in a transaction
// of its own.
func migrate(ctx context.Context, db *sql.DB, steps []string) error {
	var id, version int
	if err := db.QueryRowContext(ctx, "PRAGMA application_id").Scan(&id); err != nil {
		return fmt.Errorf("%w: %w", ErrNotBench, err)
	}
	if err := db.QueryRowContext(ctx, "PRAGMA user_version").Scan(&version); err != nil {
		return err
	}
	if id == 0 && version == 0 {
		var tables int
		if err := db.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&tables); err != nil {
			return err
		}
		if tables > 0 {
			return fmt.Errorf("%w: it holds other tables", ErrNotBench)
		}
	} else if id != applicationID {
		return fmt.Errorf("%w: it belongs to another program", ErrNotBench)
	}
	if version > len(steps) {
		return fmt.Errorf("%w: version %d, and this one reads up to %d", ErrNewer, version, len(steps))
	}
	for v := version; v < len(steps); v++ {
		if err := inTx(ctx, db, func(tx *sql.Tx) error {
			// Another program may have been quicker.
			var now int
			if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&now); err != nil || now > v {
				return err
			}
			if _, err := tx.ExecContext(ctx, steps[v]); err != nil {
				return err
			}
			_, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA user_version = %d; PRAGMA application_id = %d", v+1, applicationID))
			return err
		}); err != nil {
			return fmt.Errorf("tables of version %d: %w", v+1, err)
		}
	}
	return nil
}

// inTx runs f in a transaction.
func inTx(ctx context.Context, db *sql.DB, f func(*sql.Tx) error) error {
	tx, err := db.BeginTx(ctx, nil)
	if err != nil {
		return err
	}
	if err := f(tx); err != nil {
		return errors.Join(err, rolled(tx.Rollback()))
	}
	return tx.Commit()
}

// rolled leaves out that a transaction whose context ended is rolled back already.
func rolled(err error) error {
	if errors.Is(err, sql.ErrTxDone) {
		return nil
	}
	return err
}
