package bench

import (
	"bufio"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"packyard/check/checktest"
)

// importEnv names the database that the test binary, run as a child, imports into.
const importEnv = "PACKYARD_TEST_IMPORT_INTO"

func TestMain(m *testing.M) {
	if path := os.Getenv(importEnv); path != "" {
		importUntilKilled(path)
	}
	os.Exit(m.Run())
}

// childRows is the length of the logs: some blocks of text.
const childRows = 27_000

// importUntilKilled imports logs one after the other and says which of them are in.
func importUntilKilled(path string) {
	s, err := Open(contextOfChild(), path, OpenOptions{})
	if err != nil {
		fmt.Println("open:", err)
		os.Exit(1)
	}
	base, err := os.ReadFile(path + ".csv")
	if err != nil {
		fmt.Println("read:", err)
		os.Exit(1)
	}
	text := string(base)
	for i := range 10_000 {
		name := fmt.Sprintf("%d-%d", os.Getpid(), i)
		fmt.Println("begin")
		own := text + fmt.Sprintf("%d,3.9,0,-1,3,25.%d\n", childRows, os.Getpid()*10_000+i) // every text is another one
		if _, err := s.Import(contextOfChild(), name+".csv", strings.NewReader(own), ImportOptions{}); err != nil {
			fmt.Println("import:", err)
			os.Exit(1)
		}
		fmt.Println(name)
	}
	os.Exit(0)
}

// A hundred times a program that imports is killed at a moment drawn by lot. Every
// log that it said was in is in, whole; what was half in is not there at all.
func TestKilledImportsLeaveTheLastGoodState(t *testing.T) {
	checktest.Long(t)
	const kills = 100
	path := filepath.Join(t.TempDir(), FileName)
	if err := os.WriteFile(path+".csv", []byte(discharge(2, childRows-1)), 0o600); err != nil {
		t.Fatal(err)
	}
	k := killer{t: t, path: path, rng: rand.New(rand.NewPCG(1, 2)), said: map[string]bool{}}
	for range kills {
		k.one()
	}
	said := k.said
	s, err := Open(t.Context(), path, OpenOptions{Existing: true})
	if err != nil {
		t.Fatal(err)
	}
	defer func() { _ = s.Close() }()
	if err := s.Check(t.Context()); err != nil {
		t.Error(err)
	}
	tests, err := s.Tests(t.Context(), "")
	if err != nil {
		t.Fatal(err)
	}
	kept := map[string]bool{}
	for i, x := range tests {
		kept[x.Item] = true
		if err := s.Verify(t.Context(), x.ID); err != nil {
			t.Errorf("test %d: %v", i, err)
		}
		if x.Report.Rows != childRows {
			t.Errorf("test %d has %d rows, want %d", i, x.Report.Rows, childRows)
		}
	}
	for name := range said {
		if !kept[name] {
			t.Errorf("%s was said to be in and is not", name)
		}
	}
	items, err := s.Items(t.Context())
	if err != nil || len(items) != len(tests) {
		t.Errorf("%d items of %d tests: %v", len(items), len(tests), err)
	}
	var loose int
	if err := s.db.QueryRowContext(t.Context(), "SELECT count(*) FROM block WHERE test NOT IN (SELECT id FROM test)").Scan(&loose); err != nil || loose > 0 {
		t.Errorf("%d blocks without a test, %v", loose, err)
	}
	if len(said) < 10 || len(tests)-len(said) > kills {
		t.Errorf("%d imports were said to be in and %d are: the kills came at no useful moments", len(said), len(tests))
	}
	t.Logf("%d kills: %d imports said, %d in", kills, len(said), len(tests))
}

// killer runs children that import, and kills them.
type killer struct {
	t     *testing.T
	path  string
	rng   *rand.Rand
	whole time.Duration   // of one import, from the first child, which is killed after three
	said  map[string]bool // imports that a child said were in
}

// one runs a child and kills it somewhere within its first import or its second.
func (k *killer) one() {
	t := k.t
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command(self)
	c.Env = append(os.Environ(), importEnv+"="+k.path)
	out, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	var timer *time.Timer
	var begun time.Time
	begins := 0
	for lines := bufio.NewScanner(out); lines.Scan(); {
		switch l := lines.Text(); {
		case l == "begin":
			begins++
			switch {
			case k.whole == 0 && begins == 4:
				k.whole = max(time.Since(begun)/3, time.Millisecond)
				_ = c.Process.Kill()
			case k.whole == 0 && begins == 1:
				begun = time.Now()
			case k.whole > 0 && timer == nil:
				timer = time.AfterFunc(time.Duration(k.rng.Int64N(int64(k.whole)*3/2)), func() { _ = c.Process.Kill() })
			}
		case strings.Contains(l, ":"):
			t.Error(l)
		default:
			k.said[l] = true
		}
	}
	if timer != nil {
		timer.Stop()
	}
	var exit *exec.ExitError
	if err := c.Wait(); !errors.As(err, &exit) || exit.Exited() {
		t.Fatalf("the child ended by itself: %v", err)
	}
}
