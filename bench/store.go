package bench

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"time"

	_ "modernc.org/sqlite" // the driver
)

// FileName is the name of the store in a project folder.
const FileName = "bench.db"

// Store is an open bench. It may be used by several goroutines, and several
// programs may have the file open; one writes at a time and the others wait.
type Store struct {
	db  *sql.DB
	now func() time.Time
}

// OpenOptions are the choices of Open; the zero value is the default.
type OpenOptions struct {
	Existing bool             // the file must be there; otherwise an empty bench is made
	Now      func() time.Time // clock of the records; nil: that of the machine
}

// busyFor is how long a program waits for another one that writes. One import is
// one transaction, so that it may be long.
const busyFor = 10 * time.Minute

// connections of one program to the file: one that writes and some that read.
const connections = 4

// Open opens the bench at path and brings its tables to the newest version.
//
// Errors: fs.ErrNotExist with Existing; ErrNotBench, ErrNewer; those of the database.
func Open(ctx context.Context, path string, o OpenOptions) (*Store, error) {
	if o.Existing {
		if _, err := os.Stat(path); err != nil {
			return nil, err
		}
	}
	if info, err := os.Stat(filepath.Dir(path)); err != nil {
		return nil, err
	} else if !info.IsDir() {
		return nil, fmt.Errorf("%s: %w", filepath.Dir(path), fs.ErrNotExist)
	}
	s, err := open(path, o.Now)
	if err != nil {
		return nil, err
	}
	if err := migrate(ctx, s.db, migrations()); err != nil {
		return nil, errors.Join(fmt.Errorf("%s: %w", path, err), s.db.Close())
	}
	return s, nil
}

// open opens the database as it is.
func open(path string, now func() time.Time) (*Store, error) {
	absolute, err := filepath.Abs(path)
	if err != nil {
		return nil, err
	}
	// The write-ahead log lets the workbench read during an import; the log is
	// brought to the disk at each commit.
	u := url.URL{Scheme: "file", Path: filepath.ToSlash(absolute), RawQuery: url.Values{
		"_pragma": {fmt.Sprintf("busy_timeout(%d)", busyFor.Milliseconds()), "journal_mode(WAL)", "synchronous(FULL)", "foreign_keys(1)"},
		"_txlock": {"immediate"},
	}.Encode()}
	db, err := sql.Open("sqlite", u.String())
	if err != nil {
		return nil, err
	}
	db.SetMaxOpenConns(connections)
	if now == nil {
		now = time.Now
	}
	return &Store{db: db, now: now}, nil
}

// Close ends the use of the store.
func (s *Store) Close() error { return s.db.Close() }

// Check lets the database look over its own file. A sound one has nothing to say.
func (s *Store) Check(ctx context.Context) error {
	var word string
	if err := s.db.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&word); err != nil {
		return err
	}
	if word != "ok" {
		return fmt.Errorf("the database is damaged: %s", word)
	}
	return nil
}
