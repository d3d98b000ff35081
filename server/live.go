package server

import (
	"context"
	"errors"
	"sync"
	"time"

	"packyard/check"
	"packyard/project"
	"packyard/search"
)

// live keeps headline and options of the newest state up to date. A change
// cancels the search that runs; the headline is worked out first, on its own
// goroutine, and the search follows.
type live struct {
	publish func(name string, v any)

	memory search.Memory // of what bays hold, from search to search

	searchers int // goroutines of a search; zero: one for each processor

	mu        sync.Mutex
	view      project.View
	snap      *snapshot // of view; nil without a project
	states    kept[*snapshot]
	searched  kept[*found]
	options   *found // newest finished search
	lead      string // option that leads by it
	head      *Headline
	failed    string
	status    SearchState
	stop      context.CancelFunc // of the running search; nil: none
	yields    bool               // it was stopped for a state that is about to be written
	hushed    bool               // it was stopped for another that follows: its end is not told
	waiter    chan news          // takes the news of view; nil: they are published
	soonest   chan *snapshot     // to be made ready
	headWake  chan struct{}
	startWake chan struct{}
}

// found is a finished search.
type found struct {
	snap   *snapshot
	report *search.Report
	lead   string // first of the ranking, else the nearest miss, "" when there is none
	best   *search.Option
	millis int64
}

func newLive(publish func(string, any)) *live {
	return &live{publish: publish, soonest: make(chan *snapshot, 1), headWake: make(chan struct{}, 1), startWake: make(chan struct{}, 1)}
}

func wake(c chan struct{}) {
	select {
	case c <- struct{}{}:
	default: // awake already
	}
}

// set makes v the newest state.
func (l *live) set(v project.View) { l.take(v, nil) }

func (l *live) take(v project.View, waiter chan news) {
	l.mu.Lock()
	l.view, l.snap, l.waiter, l.yields = v, l.snapshotOf(v), waiter, false
	if l.stop != nil {
		l.stop()
	}
	l.mu.Unlock()
	wake(l.headWake)
}

// snapshotOf returns what is kept of a state, nil without a project. The lock is held.
func (l *live) snapshotOf(v project.View) *snapshot {
	if v.Project == nil {
		return nil
	}
	s, _ := l.states.get(v.Content)
	if s == nil {
		s = newSnapshot(v, &l.memory)
		l.states.put(v.Content, s)
	}
	return s
}

// now returns the newest state.
func (l *live) now() (project.View, *snapshot) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.view, l.snap
}

// headlines works out the headline of each new state until ctx ends.
func (l *live) headlines(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case s := <-l.soonest:
			l.warm(s)
		case <-l.headWake:
			l.headline()
			wake(l.startWake)
		}
	}
}

// target returns the option of the headline: chosen, else the one that leads.
func (l *live) target() (v project.View, s *snapshot, id string, chosen bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.snap == nil {
		return l.view, nil, "", false
	}
	id, chosen = l.targetOf(l.snap)
	return l.view, l.snap, id, chosen
}

// targetOf is target for a state. The lock is held.
func (l *live) targetOf(s *snapshot) (id string, chosen bool) {
	if c := s.brief.Choose.Option; c != "" {
		return c, true
	}
	if f, ok := l.searched.get(s.content); ok && f != nil {
		return f.lead, false
	}
	return l.lead, false
}

// headlineOf returns the headline of an option, nil without one.
func headlineOf(s *snapshot, id string) (*Headline, error) {
	f, err := s.frame()
	if err != nil || id == "" {
		return nil, err
	}
	a, err := s.assess(id)
	if err != nil {
		return nil, err
	}
	r := a.report
	h := &Headline{
		Option: id, Verdict: r.Verdict, Budgets: r.Budgets, Range: r.New.Range, RangeEnd: r.End.Range,
		Schedule: f.Brief.Targets.Schedule.ID, Capped: r.New.Capped,
	}
	worst, rule := a.placed.Values.Worst()
	h.Margin, h.MarginRule = worst, rule.String()
	for _, x := range r.Findings {
		switch x.Severity {
		case check.Failure:
			h.Failures++
		case check.Warning:
			h.Warnings++
		case check.Safety:
			h.Safety++
		}
	}
	for _, st := range r.Vehicle[1:] { // the first is the donor as weighed
		h.Mass, h.AxleFront, h.AxleRear = max(h.Mass, st.Mass), max(h.AxleFront, st.AxleFront), max(h.AxleRear, st.AxleRear)
	}
	return h, nil
}

// searches searches each new state until ctx ends.
func (l *live) searches(ctx context.Context) {
	for {
		select {
		case <-ctx.Done():
			return
		case <-l.startWake:
			l.search(ctx)
		}
	}
}

// again starts a search anew.
func (l *live) again() {
	l.mu.Lock()
	if l.snap != nil {
		l.searched.put(l.snap.content, nil)
	}
	if l.stop != nil {
		l.stop()
		l.hushed = true
	}
	l.mu.Unlock()
	wake(l.startWake)
}

// cancel stops the running search.
func (l *live) cancel() {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.stop != nil {
		l.stop()
	}
}

// search finds the options of the newest state and tells them. Changes that
// follow at once, as while something is dragged, start none.
func (l *live) search(ctx context.Context) {
	l.mu.Lock()
	v, s := l.view, l.snap
	if s == nil {
		l.mu.Unlock()
		return
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	l.stop, l.hushed = stop, false
	f, known := l.searched.get(s.content)
	l.mu.Unlock()
	if !known || f == nil {
		select {
		case <-ctx.Done():
		case <-time.After(searchDelay):
		}
		var err error
		if f, err = l.run(ctx, v, s); err != nil {
			l.unfinished(v, err)
			return
		}
	}
	l.mu.Lock()
	l.stop = nil
	l.searched.put(s.content, f)
	if l.view.Revision != v.Revision {
		l.mu.Unlock()
		return
	}
	l.options, l.lead = f, f.lead
	l.status = SearchState{Revision: v.Revision, Millis: f.millis, Candidates: f.report.Candidates, Fits: f.report.Fits}
	status := l.status
	stale := s.brief.Choose.Option == "" && (l.head == nil || l.head.Option != f.lead)
	l.mu.Unlock()
	l.publish("options", status)
	if stale {
		l.headline() // of the option that leads now
	}
}

// run makes the search.
func (l *live) run(ctx context.Context, v project.View, s *snapshot) (*found, error) {
	frame, err := s.frame()
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		return nil, err
	}
	l.mu.Lock()
	l.status.Running, l.status.Done, l.status.Total, l.status.Error = true, 0, 0, ""
	l.mu.Unlock()
	l.publish("progress", Progress{Revision: v.Revision})
	began := time.Now()
	res, err := search.Run(ctx, frame, search.Options{Workers: l.searchers, Memory: &l.memory, Progress: l.progress(v.Revision, false)})
	if err != nil {
		return nil, err
	}
	f := &found{snap: s, report: res.Report(frame), millis: time.Since(began).Milliseconds()}
	if f.best = leadOf(res); f.best != nil {
		f.lead = f.best.ID
		s.adopt(frame, f.best)
	}
	return f, nil
}

// leadOf returns the first option of the ranking; when nothing fits, the one
// that misses least, so that its budgets show by how much.
func leadOf(res *search.Result) *search.Option {
	switch {
	case len(res.Packs) > 0:
		return &res.Packs[0]
	case res.Joint != nil:
		return &res.Joint.Option
	case len(res.Misses) > 0:
		best := &res.Misses[0]
		for i := range res.Misses {
			if res.Misses[i].Limits[0].Share < best.Limits[0].Share {
				best = &res.Misses[i]
			}
		}
		return &best.Option
	}
	return nil
}

// progressTime is the time between two events of progress.
const progressTime = 250 * time.Millisecond

// progress returns a callback of a search that tells how far it is. It is
// called from several goroutines.
func (l *live) progress(revision int64, preview bool) func(done, total int) {
	var mu sync.Mutex
	last, most := time.Now(), 0
	return func(done, total int) {
		mu.Lock()
		defer mu.Unlock()
		if done <= most || time.Since(last) < progressTime {
			return
		}
		last, most = time.Now(), done
		if !preview {
			l.mu.Lock()
			l.status.Done, l.status.Total = done, total
			l.mu.Unlock()
		}
		l.publish("progress", Progress{revision, done, total, preview})
	}
}

// unfinished tells that a search was cancelled or could not be made.
func (l *live) unfinished(v project.View, err error) {
	l.mu.Lock()
	l.stop = nil
	newer := l.view.Revision != v.Revision || l.hushed
	l.status.Running, l.status.Error = false, ""
	if !newer {
		l.status.Error = err.Error()
		if errors.Is(err, context.Canceled) {
			l.status.Error = "the search was stopped"
		}
	}
	status := l.status
	l.mu.Unlock()
	if !newer {
		l.publish("options", status)
	}
}

// usable returns an option's ID, by default that of the headline.
func (l *live) usable(id string) string {
	if id != "" {
		return id
	}
	_, _, id, _ = l.target()
	return id
}

// state returns what every page shows.
func (s *Server) state() *State {
	v := s.session.View()
	l := s.live
	l.mu.Lock()
	defer l.mu.Unlock()
	out := &State{
		Start: s.start, Revision: v.Revision, Present: v.Project != nil, Folder: folderName(s.session.Dir()), Undo: v.Undo, Redo: v.Redo,
		Broken: problemsOf(v.Broken), Failed: l.failed, Headline: l.head, Search: l.status, Clients: s.hub.clients(),
	}
	if v.Project != nil {
		b := &v.Project.Brief
		out.Project, out.Invented, out.Currency, out.Schedule = b.Title, b.Invented, b.Currency, b.Targets.Schedule.ID
		out.RankBy, out.Chosen, out.Assumptions = b.Choose.RankBy, b.Choose.Option, len(b.Assumed.List)
	}
	return out
}
