package server

import (
	"encoding/json"
	"errors"
	"net/url"
	"time"

	"packyard/design"
	"packyard/project"
)

// news is what a change leads to and pages show at once. It is told with the
// change when it is there in time, so that a page takes in and draws one event
// instead of asking in its turn; else after it.
type news struct {
	headline *Headline
	answers  []Answer
	failed   string
}

// newsTime is how long a change that is written waits for its news.
const newsTime = 60 * time.Millisecond

// soon makes a state that is about to be written ready, while it is. The
// search of the state before is stopped: whoever waits for an edit comes first.
func (l *live) soon(v project.View) {
	l.mu.Lock()
	s := l.snapshotOf(v)
	if l.stop != nil {
		l.stop()
		l.yields, l.hushed = true, true
	}
	l.mu.Unlock()
	select {
	case l.soonest <- s:
	default: // busy with the one before
	}
}

// unwritten takes back what soon did: the state could not be written.
func (l *live) unwritten() {
	l.mu.Lock()
	stopped := l.yields
	l.yields = false
	l.mu.Unlock()
	if stopped {
		wake(l.startWake)
	}
}

// warm works out what the news of a state need.
func (l *live) warm(s *snapshot) {
	l.mu.Lock()
	id, _ := l.targetOf(s)
	l.mu.Unlock()
	s.file()
	if id != "" {
		_, _ = s.assess(id) // an error comes again with the news
	}
}

// change makes v the newest state and returns its news, empty ones when they
// are not there in time: they are published then.
func (l *live) change(v project.View) news {
	if v.Project == nil {
		l.set(v)
		return news{}
	}
	waiter := make(chan news, 1)
	l.take(v, waiter)
	late := time.NewTimer(newsTime)
	defer late.Stop()
	select {
	case n := <-waiter:
		return n
	case <-late.C:
	}
	l.mu.Lock()
	mine := l.waiter == waiter
	if mine {
		l.waiter = nil
	}
	l.mu.Unlock()
	if mine {
		return news{}
	}
	return <-waiter // handed over at this very moment
}

// headline works out the headline of the newest state, with the answers that go
// with it, and tells them.
func (l *live) headline() {
	began := time.Now()
	v, s, id, chosen := l.target()
	if s == nil {
		return
	}
	h, err := headlineOf(s, id)
	gone := err != nil && !chosen && errors.Is(err, design.ErrOption)
	var n news
	switch {
	case gone: // what led is no more; the search finds another
		id = ""
	case err != nil:
		n.failed = err.Error()
	case h != nil:
		h.Revision, h.Chosen, h.Micros = v.Revision, chosen, time.Since(began).Microseconds()
		n.headline = h
	}
	if n.failed == "" {
		n.answers = answersOf(s, v.Revision, id)
	}
	l.mu.Lock()
	if l.view.Revision != v.Revision {
		l.mu.Unlock()
		return // there is a newer state already
	}
	l.failed, l.head = n.failed, n.headline
	waiter := l.waiter
	l.waiter = nil
	l.mu.Unlock()
	switch {
	case waiter != nil:
		waiter <- n
	case n.failed != "":
		l.publish("failed", Failed{v.Revision, n.failed})
	case h != nil:
		l.publish("headline", h)
		l.publish("assessed", Assessed{v.Revision, id})
	}
}

// answersOf returns the answers to what pages ask for after each change and what
// is worked out with the headline anyhow. One that cannot be given is left out:
// the page that asks for it is told why.
func answersOf(s *snapshot, revision int64, id string) []Answer {
	var a *assessed
	if id != "" {
		var err error
		if a, err = s.assess(id); err != nil {
			return nil
		}
	}
	var out []Answer
	add := func(path string, v any, err error) {
		if err != nil {
			return
		}
		if body, err := json.Marshal(v); err == nil {
			out = append(out, Answer{path, body})
		}
	}
	d, err := donorOf(s, revision, a)
	add("/api/donor", d, err)
	if a != nil {
		add("/api/assessment?"+url.Values{"option": {id}}.Encode(), &AssessmentReply{revision, a.report}, nil)
	}
	return out
}
