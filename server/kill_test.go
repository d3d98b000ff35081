package server

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net/http"
	"net/http/cookiejar"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"packyard/check/checktest"
	"packyard/project"
)

// process is packyard open as a program of its own.
type process struct {
	cmd  *exec.Cmd
	base string
	http *http.Client
}

func launch(t *testing.T, program, dir string) *process {
	t.Helper()
	p := &process{cmd: exec.Command(program, "open", dir, "--no-browser")}
	p.cmd.Stderr = io.Discard
	out, err := p.cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := p.cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = p.cmd.Process.Kill(); _ = p.cmd.Wait() })
	line, err := bufio.NewReader(out).ReadString('\n')
	if err != nil {
		t.Fatalf("the program printed no address: %v", err)
	}
	jar, _ := cookiejar.New(nil)
	p.http = &http.Client{Jar: jar, Timeout: time.Minute}
	r, err := p.http.Get(strings.TrimSpace(line))
	if err != nil {
		t.Fatal(err)
	}
	r.Body.Close()
	p.base, _, _ = strings.Cut(strings.TrimSpace(line), "/?")
	return p
}

// post sends JSON; an error means that the program is gone.
func (p *process) post(path string, in any) (status int, out []byte, err error) {
	data, err := json.Marshal(in)
	if err != nil {
		return 0, nil, err
	}
	r, err := p.http.Post(p.base+path, "application/json", bytes.NewReader(data))
	if err != nil {
		return 0, nil, err
	}
	defer r.Body.Close()
	out, err = io.ReadAll(r.Body)
	return r.StatusCode, out, err
}

func (p *process) state(t *testing.T) State {
	t.Helper()
	r, err := p.http.Get(p.base + "/api/state")
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	var s State
	if err := json.NewDecoder(r.Body).Decode(&s); err != nil {
		t.Fatal(err)
	}
	return s
}

// killedEdits is how many edits are made in all; killedTimes is how often the
// program is killed among them.
const (
	killedEdits = 200
	killedTimes = 8
)

// TestKilledProgramLosesAtMostTheEditInFlight runs the real program, kills it
// without warning in the middle of random edits, undos and redos, and opens the
// folder again: each answer that was given still holds, and the project reads.
func TestKilledProgramLosesAtMostTheEditInFlight(t *testing.T) {
	checktest.Long(t)
	t.Parallel()
	program := filepath.Join(t.TempDir(), "packyard")
	build := exec.Command("go", "build", "-o", program, "./cmd/packyard")
	build.Dir = checktest.Root(t)
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("building the program: %v\n%s", err, out)
	}
	dir := smallDir(t)
	withList := strings.Replace(onDisk(t, dir), "road:", "  added:\n    - {name: unit, mass: 40 kg, at: [0 mm, 0 mm, 500 mm]}\nroad:", 1)
	if err := os.WriteFile(filepath.Join(dir, project.FileName), []byte(withList), 0o644); err != nil {
		t.Fatal(err)
	}
	random := rand.New(rand.NewPCG(1, 2))
	p := launch(t, program, dir)
	last := onDisk(t, dir) // what was answered for
	made, kills := 0, 0
	for made < killedEdits {
		var before string
		for range killedEdits/killedTimes - 1 {
			made++
			if status, out, err := p.random(t, random); err != nil || status != 200 && status != 404 {
				t.Fatalf("edit %d: %d %s %v", made, status, out, err)
			}
			last = onDisk(t, dir)
		}
		// One more is in flight when the program is killed, after a moment that is
		// drawn: before, during or after its writing.
		made++
		before = last
		base := p.state(t).Revision
		text := fmt.Sprintf("in flight %d", made)
		done := make(chan bool)
		go func() {
			_, _, _ = p.post("/api/edits", EditRequest{Base: base, Ops: ops(set("title", text))})
			close(done)
		}()
		time.Sleep(time.Duration(random.IntN(12000)) * time.Microsecond)
		if err := p.cmd.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		<-done
		_ = p.cmd.Wait()
		kills++
		read, err := project.Open(dir)
		if err != nil {
			t.Fatalf("kill %d: the project does not read: %v", kills, err)
		}
		if now := string(read.Raw); now != before && read.Brief.Title != text {
			t.Fatalf("kill %d: neither the state before nor the one in flight is there:\n%s", kills, now)
		}
		p = launch(t, program, dir)
		if s := p.state(t); s.Undo == 0 || s.Broken != nil || s.Project != read.Brief.Title {
			t.Fatalf("kill %d: %+v", kills, s)
		}
		last = string(read.Raw)
	}
	// Every state that is kept reads, and the way back leads to its beginning.
	for s := p.state(t); s.Undo > 0; s = p.state(t) {
		if status, out, err := p.post("/api/undo", StepRequest{Base: s.Revision}); err != nil || status != 200 {
			t.Fatalf("undo: %d %s %v", status, out, err)
		}
		if next := p.state(t); next.Undo != s.Undo-1 {
			t.Fatalf("undo: %d states left after %d", next.Undo, s.Undo)
		}
	}
	t.Logf("%d edits, killed %d times", made, kills)
}

// random makes a random change.
func (p *process) random(t *testing.T, r *rand.Rand) (int, []byte, error) {
	s := p.state(t)
	switch n := r.IntN(10); {
	case n < 2:
		return p.post("/api/undo", StepRequest{Base: s.Revision})
	case n < 3:
		return p.post("/api/redo", StepRequest{Base: s.Revision})
	case n < 5:
		value := fmt.Sprintf(`{"name":"item %d","mass":"%d g","at":["0 mm","%d mm","500 mm"]}`, r.IntN(1000), 1+r.IntN(900), r.IntN(300))
		return p.post("/api/edits", EditRequest{Base: s.Revision, Ops: ops(project.Op{Kind: "insert", Path: "donor.added", Value: json.RawMessage(value)})})
	case n < 7:
		return p.post("/api/edits", EditRequest{Base: s.Revision, Ops: ops(set("donor.added[0].mass", fmt.Sprintf("%d lb", 1+r.IntN(90))))})
	}
	return p.post("/api/edits", EditRequest{Base: s.Revision, Ops: ops(set("title", fmt.Sprintf("title %d", r.IntN(1e6))), set("donor.weighed.front", fmt.Sprintf("%.1f kg", 500+300*r.Float64())))})
}

func onDisk(t *testing.T, dir string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, project.FileName))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}
