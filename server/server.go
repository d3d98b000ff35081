package server

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"sync"
	"time"

	"packyard/project"
)

// Bounds of one request.
const (
	bodyMax      = 1 << 20  // of an edit
	routeMax     = 16 << 20 // of a schedule or a track
	headerMax    = 64 << 10
	readTime     = 30 * time.Second
	writeTime    = 60 * time.Second
	headerTime   = 5 * time.Second
	idleTime     = 2 * time.Minute
	stopTime     = 3 * time.Second
	pollTime     = 150 * time.Millisecond
	searchDelay  = 150 * time.Millisecond // the pages ask for what they show first
	streamsMax   = 64
	requestsMost = 32 // that compute at the same time
)

// Options are the choices of a server; the zero value of each is the default.
type Options struct {
	Dir string           // project folder; it need not hold a project yet
	Now func() time.Time // clock; nil: that of the machine

	Searchers int // goroutines of a search; zero: one for each processor
}

// Server is the workbench of one project folder.
type Server struct {
	session  *project.Session
	now      func() time.Time
	start    string // names this start
	door     door
	listener net.Listener
	hub      *hub
	live     *live
	slots    chan struct{} // one for each request that may compute

	mu        sync.Mutex // of changes: one at a time, told in order
	published int64      // revision that the pages know
	broken    bool       // the pages know that the file is broken
}

// New opens the project folder. Errors: those of project.OpenSession.
func New(o Options) (*Server, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	session, err := project.OpenSession(o.Dir, o.Now())
	if err != nil {
		return nil, err
	}
	d, err := newDoor(o.Now)
	if err != nil {
		return nil, err
	}
	start := session.View().Revision
	s := &Server{session: session, now: o.Now, start: fmt.Sprintf("%x", start), door: d, slots: make(chan struct{}, requestsMost), published: start}
	s.hub = newHub(s.start)
	s.live = newLive(s.hub.publish)
	s.live.searchers = o.Searchers
	s.live.set(session.View())
	return s, nil
}

// Listen takes a loopback address: the port if it is free, else, and for port 0,
// any free one. taken reports that the port was not free. Call it once, before
// URL, Ticket and Serve.
func (s *Server) Listen(port int) (taken bool, err error) {
	var l net.Listener
	if port != 0 {
		if l, err = listen(port); err == nil {
			return false, s.attach(l)
		}
	}
	if l, err = listen(0); err != nil {
		return port != 0, err
	}
	return port != 0, s.attach(l)
}

func listen(port int) (net.Listener, error) {
	l, err := net.Listen("tcp4", fmt.Sprintf("127.0.0.1:%d", port))
	if err == nil {
		return l, nil
	}
	if port == 0 { // a machine without IPv4
		if six, errSix := net.Listen("tcp6", "[::1]:0"); errSix == nil {
			return six, nil
		}
	}
	return nil, err
}

// ErrAddress is returned for a listener that other machines could reach.
var ErrAddress = errors.New("is not a loopback address: the workbench is served to this machine only")

// attach takes a listener over. Errors: ErrAddress.
func (s *Server) attach(l net.Listener) error {
	a, ok := l.Addr().(*net.TCPAddr)
	if !ok || !a.IP.IsLoopback() {
		return errors.Join(fmt.Errorf("%s %w", l.Addr(), ErrAddress), l.Close())
	}
	s.listener = l
	s.door.bind(a)
	return nil
}

// URL returns the address with the key, for the builder's own eyes. It works
// until the server stops.
func (s *Server) URL() string { return s.door.url("key", s.door.key) }

// Ticket returns an address that lets one browser in, once, within a minute: for
// a command line that other users of the machine can see.
func (s *Server) Ticket() string { return s.door.url("ticket", s.door.ticket()) }

// Serve answers requests until ctx ends, which is no error. Call it once, after
// Listen.
func (s *Server) Serve(ctx context.Context) error {
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	asked, drop := context.WithCancel(context.WithoutCancel(ctx)) // of the requests, which outlive ctx by a word
	defer drop()
	h := &http.Server{
		Handler: s.Handler(), ReadHeaderTimeout: headerTime, ReadTimeout: readTime, IdleTimeout: idleTime, MaxHeaderBytes: headerMax,
		BaseContext: func(net.Listener) context.Context { return asked },
	}
	var work sync.WaitGroup
	work.Go(func() { s.live.headlines(ctx) })
	work.Go(func() { s.live.searches(ctx) })
	work.Go(func() { s.watch(ctx) })
	var stopped error
	work.Go(func() {
		<-ctx.Done()
		s.hub.close()
		drop()
		grace, done := context.WithTimeout(context.WithoutCancel(ctx), stopTime)
		defer done()
		if stopped = h.Shutdown(grace); stopped != nil {
			stopped = h.Close()
		}
	})
	err := h.Serve(s.listener)
	cancel()
	work.Wait()
	if errors.Is(err, http.ErrServerClosed) {
		return stopped
	}
	return err
}

// watch takes in what is changed outside.
func (s *Server) watch(ctx context.Context) {
	tick := time.NewTicker(pollTime)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			s.look()
		}
	}
}

// look takes in what was changed outside since the last look.
func (s *Server) look() {
	s.mu.Lock()
	defer s.mu.Unlock()
	found, err := s.session.Refresh()
	if err != nil {
		return // the next look tries again; an edit would say what is wrong
	}
	s.tell(found.Step, "")
}

// change makes a change of the project and tells the pages.
func (s *Server) change(client string, do func() (project.Step, error)) (EditReply, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	step, err := do()
	s.tell(step, client) // an outside edit may have come in on the way
	if err != nil {
		s.live.unwritten()
		return EditReply{}, err
	}
	v := s.session.View()
	return EditReply{Revision: step.Revision, Merged: step.Merged, Undo: v.Undo, Redo: v.Redo}, nil
}

// tell tells the pages what they do not know yet. A step that does not follow
// on what they know stands for all parts.
func (s *Server) tell(step project.Step, client string) {
	v := s.session.View()
	if v.Revision != s.published {
		c := Change{Revision: v.Revision, By: string(step.By), Client: client, Parts: step.Parts, Paths: step.Paths, Undo: v.Undo, Redo: v.Redo}
		if step.Revision != v.Revision || v.Revision != s.published+1 {
			c.By, c.Parts, c.Paths = string(project.ByOutside), allParts(), []string{}
		}
		c.fill(v.Project)
		s.published = v.Revision
		n := s.live.change(v)
		c.Headline, c.Answers = n.headline, n.answers
		s.hub.publish("change", c)
		if n.failed != "" {
			s.hub.publish("failed", Failed{v.Revision, n.failed})
		}
	}
	if now := v.Broken != nil; now != s.broken {
		s.broken = now
		if now {
			s.hub.publish("broken", problemsOf(v.Broken))
		} else {
			s.hub.publish("mended", struct{}{})
		}
	}
}

// allParts are the top keys of the project file and its folders.
func allParts() []string {
	return []string{"title", "invented", "currency", "donor", "road", "drive", "bays", "build", "sources", "targets", "choose", "parts", "routes"}
}
