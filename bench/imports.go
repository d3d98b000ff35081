package bench

import (
	"bytes"
	"compress/flate"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"path/filepath"
	"strings"
	"time"

	"packyard/celltest"
)

// Test is one log of one item as it is kept.
type Test struct {
	ID      int64               `json:"test"`
	Item    string              `json:"item"`
	File    string              `json:"file"`
	FileSum string              `json:"file_sha256"` // of the file as it was found
	TextSum string              `json:"text_sha256"` // of its text
	Bytes   int64               `json:"text_bytes_count"`
	Series  int                 `json:"series"` // cells in series in the item
	Mapping *celltest.Mapping   `json:"mapping,omitempty"`
	Report  celltest.ReadReport `json:"report"`
	At      time.Time           `json:"at"` // of the import
}

// ImportOptions are the choices of an import; the zero value is the default.
type ImportOptions struct {
	Item     Item              // that the log belongs to; without a label it is named after the file
	Mapping  *celltest.Mapping // of the columns; nil: labels of the Battery Data Format, or plain words; see MappingFor
	Series   int               // cells in series in the item; zero: 1
	Progress func(bytes int64) // called with the bytes of text read so far; nil: not
}

// Imported says what an import did.
type Imported struct {
	Test  Test `json:"test"`
	Known bool `json:"known"` // the log was there already, and nothing was changed
}

// Import reads a log, checks it and keeps it, all or nothing. The same file a
// second time, compressed or not, is recognised by its text and left out.
//
// Errors: *check.Problems when something must be settled before the log can be
// used (nothing is kept then); ErrRecord; those of the reader and of the database.
func (s *Store) Import(ctx context.Context, name string, in io.Reader, o ImportOptions) (Imported, error) {
	var out Imported
	err := inTx(ctx, s.db, func(tx *sql.Tx) error {
		var err error
		out, err = s.importIn(ctx, tx, name, in, o)
		if err == nil && out.Known {
			return errKnown
		}
		return err
	})
	if errors.Is(err, errKnown) {
		return out, nil
	}
	return out, err
}

// errKnown rolls an import back that brought nothing new.
var errKnown = errors.New("the log is there already")

func (s *Store) importIn(ctx context.Context, tx *sql.Tx, name string, in io.Reader, o ImportOptions) (Imported, error) {
	file := sha256.New()
	raw := &counter{in: io.TeeReader(in, file)}
	if seek, ok := in.(io.Seeker); ok {
		known, sum, err := s.seen(ctx, tx, in, seek)
		if err != nil || known.Known {
			return known, err
		}
		file, raw.in = sum, in
	}
	t := Test{Item: o.Item.Label, File: name, Series: max(o.Series, 1), Mapping: o.Mapping, At: s.now().UTC().Truncate(time.Second)}
	if t.Item == "" {
		t.Item = LabelOf(name)
	}
	o.Item.Label = t.Item
	item, err := s.putItem(ctx, tx, o.Item)
	if err != nil {
		return Imported{}, err
	}
	// The place of the test first, so that blocks can refer to it.
	pending := make([]byte, 16)
	copy(pending, "import running")
	row := tx.QueryRowContext(ctx, `INSERT INTO test (item, file, file_sha256, file_bytes, text_sha256, text_bytes, rows, series, mapping, report, at)
		VALUES (?, ?, ?, 0, ?, 0, 0, ?, '', '', ?) RETURNING id`, item, name, pending, pending, t.Series, t.At.Unix())
	if err := row.Scan(&t.ID); err != nil {
		return Imported{}, err
	}
	text := newBlocks(ctx, tx, t.ID)
	report, err := celltest.Read(raw, celltest.Reading{File: name, Mapping: o.Mapping, Series: t.Series, Text: text, Progress: o.Progress, Ended: ctx.Err})
	if sum, n, errBlocks := text.end(); errors.Join(err, errBlocks) != nil {
		return Imported{}, errors.Join(err, errBlocks)
	} else {
		t.TextSum, t.Bytes = hex.EncodeToString(sum), n
	}
	t.Report = *report
	if p := report.Stops(); p != nil {
		return Imported{Test: t}, p
	}
	if _, err := io.Copy(io.Discard, raw); err != nil { // what stands behind a gzip stream
		return Imported{}, err
	}
	t.FileSum = hex.EncodeToString(file.Sum(nil))
	if known, err := s.testWhere(ctx, tx, "text_sha256 = ?", mustHex(t.TextSum)); err != nil || known != nil {
		if known != nil {
			return Imported{Test: *known, Known: true}, nil
		}
		return Imported{}, err
	}
	return Imported{Test: t}, s.finish(ctx, tx, &t, raw.n)
}

// seen hashes a file that can be read twice, looks whether it is there, and goes
// back to its beginning.
func (s *Store) seen(ctx context.Context, tx *sql.Tx, in io.Reader, seek io.Seeker) (Imported, hash.Hash, error) {
	sum := sha256.New()
	buf := make([]byte, 1<<18)
	for {
		n, err := in.Read(buf)
		sum.Write(buf[:n])
		if errors.Is(err, io.EOF) {
			break
		}
		if err = errors.Join(err, ctx.Err()); err != nil {
			return Imported{}, nil, err
		}
	}
	if _, err := seek.Seek(0, io.SeekStart); err != nil {
		return Imported{}, nil, err
	}
	known, err := s.testWhere(ctx, tx, "file_sha256 = ?", sum.Sum(nil))
	if err != nil || known == nil {
		return Imported{}, sum, err
	}
	return Imported{Test: *known, Known: true}, sum, nil
}

// finish fills in what is known of a test when its log was read to the end.
func (s *Store) finish(ctx context.Context, tx *sql.Tx, t *Test, fileBytes int64) error {
	mapping := ""
	if t.Mapping != nil {
		b, err := json.Marshal(t.Mapping)
		if err != nil {
			return err
		}
		mapping = string(b)
	}
	report, err := json.Marshal(t.Report)
	if err != nil {
		return err
	}
	_, err = tx.ExecContext(ctx, `UPDATE test SET file_sha256 = ?, file_bytes = ?, text_sha256 = ?, text_bytes = ?, rows = ?, mapping = ?, report = ? WHERE id = ?`,
		mustHex(t.FileSum), fileBytes, mustHex(t.TextSum), t.Bytes, t.Report.Rows, mapping, string(report), t.ID)
	return err
}

func mustHex(s string) []byte {
	b, err := hex.DecodeString(s)
	if err != nil {
		panic("bench: a sum that was made here is no hexadecimal text: " + s)
	}
	return b
}

type counter struct {
	in io.Reader
	n  int64
}

func (c *counter) Read(b []byte) (int, error) {
	n, err := c.in.Read(b)
	c.n += int64(n)
	return n, err
}

// LabelOf names an item after a file. Of a name in the manner of the Battery Data
// Format, institution__cell__date_number, the middle part is the item.
func LabelOf(file string) string {
	base := filepath.Base(file)
	for {
		ext := filepath.Ext(base)
		switch strings.ToLower(ext) {
		case ".gz", ".csv", ".tsv", ".txt", ".bdf", ".log", ".dat":
			base = strings.TrimSuffix(base, ext)
			continue
		}
		break
	}
	if parts := strings.Split(base, "__"); len(parts) == 3 && parts[1] != "" {
		base = parts[1]
	}
	base = strings.TrimSpace(strings.Join(strings.Fields(base), " "))
	if len(base) > labelMost {
		base = strings.ToValidUTF8(base[:labelMost], "")
	}
	if base == "" {
		base = "item"
	}
	return base
}

const blockSize = 1 << 20

// blocks takes the text of a log, hashes it, and keeps it in compressed blocks. The
// compressing and the writing run beside the reading.
type blocks struct {
	sum  hash.Hash
	n    int64
	buf  []byte
	full chan []byte
	free chan []byte
	done chan error
	stop chan struct{} // closed when the writing has failed
}

// blocksAhead is how many blocks wait to be written at most: it bounds the memory.
const blocksAhead = 4

func newBlocks(ctx context.Context, tx *sql.Tx, test int64) *blocks {
	b := &blocks{sum: sha256.New(), full: make(chan []byte, blocksAhead), free: make(chan []byte, blocksAhead+2), done: make(chan error, 1), stop: make(chan struct{})}
	for range blocksAhead + 2 {
		b.free <- make([]byte, 0, blockSize)
	}
	b.buf = <-b.free
	go func() {
		err := b.keep(ctx, tx, test)
		if err != nil {
			close(b.stop)
		}
		for range b.full { // whatever is still on its way
		}
		b.done <- err
	}()
	return b
}

func (b *blocks) keep(ctx context.Context, tx *sql.Tx, test int64) error {
	insert, err := tx.PrepareContext(ctx, "INSERT INTO block (test, n, bytes, deflated) VALUES (?, ?, ?, ?)")
	if err != nil {
		return err
	}
	var out bytes.Buffer
	z, err := flate.NewWriter(&out, flate.BestSpeed)
	for n := 0; err == nil; n++ {
		text, ok := <-b.full
		if !ok {
			break
		}
		out.Reset()
		z.Reset(&out)
		if _, err = z.Write(text); err == nil {
			err = z.Close()
		}
		if err == nil {
			_, err = insert.ExecContext(ctx, test, n, len(text), out.Bytes())
		}
		b.free <- text[:0]
	}
	return errors.Join(err, insert.Close())
}

// Write takes a piece of the text.
func (b *blocks) Write(p []byte) (int, error) {
	b.sum.Write(p)
	b.n += int64(len(p))
	for rest := p; len(rest) > 0; {
		n := min(blockSize-len(b.buf), len(rest))
		b.buf = append(b.buf, rest[:n]...)
		rest = rest[n:]
		if len(b.buf) == blockSize {
			if err := b.send(); err != nil {
				return 0, err
			}
		}
	}
	return len(p), nil
}

var errBlocks = errors.New("the blocks of the log could not be kept")

func (b *blocks) send() error {
	b.full <- b.buf
	select {
	case b.buf = <-b.free:
		return nil
	case <-b.stop:
		return errBlocks
	}
}

// end keeps the last block and returns the sum and length of the text.
func (b *blocks) end() (sum []byte, n int64, err error) {
	if len(b.buf) > 0 {
		b.full <- b.buf
	}
	close(b.full)
	err = <-b.done
	return b.sum.Sum(nil), b.n, err
}

// Text returns the text of a log as it was.
//
// Errors, some of them only of its Read: ErrNoTest; those of the database.
func (s *Store) Text(ctx context.Context, test int64) (io.Reader, error) {
	var n, bytesAll int64
	err := s.db.QueryRowContext(ctx, "SELECT count(*), coalesce(sum(b.bytes), 0) FROM test t LEFT JOIN block b ON b.test = t.id WHERE t.id = ? GROUP BY t.id", test).Scan(&n, &bytesAll)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, fmt.Errorf("test %d: %w", test, ErrNoTest)
	}
	if err != nil {
		return nil, err
	}
	return &textReader{s: s, ctx: ctx, test: test}, nil
}

// textReader reads block after block.
type textReader struct {
	s    *Store
	ctx  context.Context // of the one who asked for the text, for as long as it is read
	test int64
	n    int
	now  io.Reader
}

func (r *textReader) Read(b []byte) (int, error) {
	for {
		if r.now != nil {
			n, err := r.now.Read(b)
			if n > 0 || !errors.Is(err, io.EOF) {
				if errors.Is(err, io.EOF) {
					err = nil
				}
				return n, err
			}
		}
		var packed []byte
		err := r.s.db.QueryRowContext(r.ctx, "SELECT deflated FROM block WHERE test = ? AND n = ?", r.test, r.n).Scan(&packed)
		if errors.Is(err, sql.ErrNoRows) {
			return 0, io.EOF
		}
		if err != nil {
			return 0, err
		}
		r.n++
		r.now = flate.NewReader(bytes.NewReader(packed))
	}
}

const testColumns = `t.id, i.label, t.file, t.file_sha256, t.text_sha256, t.text_bytes, t.series, t.mapping, t.report, t.at FROM test t JOIN item i ON i.id = t.item`

func scanTest(scan func(...any) error) (t Test, err error) {
	var file, text []byte
	var mapping, report string
	var at int64
	if err := scan(&t.ID, &t.Item, &t.File, &file, &text, &t.Bytes, &t.Series, &mapping, &report, &at); err != nil {
		return t, err
	}
	t.FileSum, t.TextSum, t.At = hex.EncodeToString(file), hex.EncodeToString(text), time.Unix(at, 0).UTC()
	if mapping != "" {
		t.Mapping = &celltest.Mapping{}
		if err := json.Unmarshal([]byte(mapping), t.Mapping); err != nil {
			return t, fmt.Errorf("test %d: mapping: %w", t.ID, err)
		}
	}
	if err := json.Unmarshal([]byte(report), &t.Report); err != nil {
		return t, fmt.Errorf("test %d: report: %w", t.ID, err)
	}
	return t, nil
}

func (s *Store) testWhere(ctx context.Context, q querier, where string, args ...any) (*Test, error) {
	t, err := scanTest(q.QueryRowContext(ctx, "SELECT "+testColumns+" WHERE t."+where, args...).Scan)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	return &t, nil
}

// Test returns a test by its number.
//
// Errors: ErrNoTest.
func (s *Store) Test(ctx context.Context, id int64) (Test, error) {
	t, err := s.testWhere(ctx, s.db, "id = ?", id)
	if err != nil {
		return Test{}, err
	}
	if t == nil {
		return Test{}, fmt.Errorf("test %d: %w", id, ErrNoTest)
	}
	return *t, nil
}

// Tests returns the tests of an item, or of all items when label is empty, in the
// order of their import.
func (s *Store) Tests(ctx context.Context, label string) ([]Test, error) {
	if label == "" {
		return collect(ctx, s.db, scanTest, "SELECT "+testColumns+" ORDER BY t.id")
	}
	return collect(ctx, s.db, scanTest, "SELECT "+testColumns+" WHERE i.label = ? ORDER BY t.id", label)
}

// reading is how the log of a test is read again: in the way that was settled when
// it was imported.
func (t *Test) reading() celltest.Reading {
	return celltest.Reading{File: t.File, Mapping: t.Mapping, Series: t.Series}
}

// Log reads the log of a test, or one run of its clock from 1, for the analyses.
//
// Errors: ErrNoTest; those of celltest.ReadLog.
func (s *Store) Log(ctx context.Context, test int64, run int) (*celltest.Log, error) {
	t, err := s.Test(ctx, test)
	if err != nil {
		return nil, err
	}
	text, err := s.Text(ctx, test)
	if err != nil {
		return nil, err
	}
	o := t.reading()
	o.Run = run
	l, _, err := celltest.ReadLog(text, o)
	return l, err
}

// ErrSum says that a kept log is not what was imported.
var ErrSum = errors.New("kept text differs from what was imported")

// Verify reads a log back and compares its sum with the one of the import.
//
// Errors: ErrNoTest, ErrSum.
func (s *Store) Verify(ctx context.Context, test int64) error {
	t, err := s.Test(ctx, test)
	if err != nil {
		return err
	}
	text, err := s.Text(ctx, test)
	if err != nil {
		return err
	}
	sum := sha256.New()
	n, err := io.Copy(sum, text)
	if err != nil {
		return err
	}
	if n != t.Bytes || hex.EncodeToString(sum.Sum(nil)) != t.TextSum {
		return fmt.Errorf("test %d: %w", test, ErrSum)
	}
	return nil
}
