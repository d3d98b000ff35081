package server

import (
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"testing"
)

// headline returns the headline of a change: it came with it, or comes after it.
func (p *page) headline(c Change) Headline {
	p.t.Helper()
	if c.Headline != nil {
		return *c.Headline
	}
	h, _ := wait(p, "headline", func(h Headline) bool { return h.Revision == c.Revision })
	return h
}

// TestAChangeBringsTheAnswersThatPagesWouldAskFor: word for word what GET answers.
func TestAChangeBringsTheAnswersThatPagesWouldAskFor(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	b.searched()
	p := b.page("")
	var c Change
	for i := 0; c.Headline == nil; i++ { // a busy machine may be late with them
		if i == 50 {
			t.Fatal("no change of fifty brought its news")
		}
		b.edit(set("donor.weighed.front", fmt.Sprintf("%d lb", 1420+i)))
		c, _ = wait[Change](p, "change", nil)
	}
	if len(c.Answers) != 2 {
		t.Fatalf("%d answers", len(c.Answers))
	}
	for i, path := range []string{"/api/donor", "/api/assessment?option=" + url.QueryEscape(c.Headline.Option)} {
		if status, body := b.do("GET", path, nil); status != 200 || c.Answers[i].Path != path || string(c.Answers[i].Body) != string(body) {
			t.Errorf("%s: %d\n%s\ncame with the change for %s as\n%s", path, status, body, c.Answers[i].Path, c.Answers[i].Body)
		}
	}
}

// TestARefusedWriteTakesUpTheSearchAgain: the search was stopped for a state that then
// could not be written.
func TestARefusedWriteTakesUpTheSearchAgain(t *testing.T) {
	t.Parallel()
	b := up(t, smallDir(t))
	b.searched()
	p := b.page("")
	if err := os.WriteFile(filepath.Join(b.dir, ".history"), []byte("in the way"), 0o600); err != nil {
		t.Fatal(err)
	}
	b.live.again()
	if status, data := b.do("POST", "/api/edits", EditRequest{Base: b.session.View().Revision, Ops: ops(set("title", "x"))}); status == 200 {
		t.Fatalf("written, though the history cannot be: %s", data)
	}
	s, _ := wait(p, "options", func(s SearchState) bool { return s.Revision == b.session.View().Revision })
	if s.Error != "" || s.Running {
		t.Errorf("got %+v", s)
	}
}
