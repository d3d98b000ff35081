package server

import (
	"encoding/json"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"time"
)

// event is one message to all open pages.
type event struct {
	id   int64
	name string
	data []byte
}

// hub tells every open page what changed. A page that was away for less than
// eventsKept events gets what it missed; a page that does not read is cut off
// and comes back by itself.
type hub struct {
	start string

	mu     sync.Mutex
	last   int64
	kept   []event
	pages  map[chan event]bool
	closed bool
}

const (
	eventsKept = 512
	eventsWait = 256 // for a page that is slow
	heartbeat  = 15 * time.Second
	streamTime = 10 * time.Second // to take one event
)

func newHub(start string) *hub { return &hub{start: start, pages: map[chan event]bool{}} }

// publish sends an event to all pages.
func (h *hub) publish(name string, v any) {
	data, err := json.Marshal(v)
	if err != nil {
		// A number that is none; the reply to a request would say so.
		name, data = "failed", fmt.Appendf(nil, `{"revision":0,"message":%q}`, err.Error())
	}
	h.mu.Lock()
	defer h.mu.Unlock()
	h.last++
	e := event{h.last, name, data}
	if h.kept = append(h.kept, e); len(h.kept) > eventsKept {
		h.kept = append([]event(nil), h.kept[len(h.kept)-eventsKept:]...)
	}
	for p := range h.pages {
		select {
		case p <- e:
		default:
			delete(h.pages, p)
			close(p)
		}
	}
}

// join adds a page. missed are the events after the one it saw last; whole
// reports that it needs the whole state instead. ok is false when there are too
// many pages or the server stops.
func (h *hub) join(lastID string) (page chan event, missed []event, at int64, whole, ok bool) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.closed || len(h.pages) >= streamsMax {
		return nil, nil, 0, false, false
	}
	page = make(chan event, eventsWait)
	h.pages[page] = true
	seen, known := h.parse(lastID)
	first := h.last - int64(len(h.kept)) // before the oldest kept
	if !known || seen < first || seen > h.last {
		return page, nil, h.last, true, true
	}
	return page, append([]event(nil), h.kept[seen-first:]...), h.last, false, true
}

// parse reads the id of an event of this start.
func (h *hub) parse(id string) (int64, bool) {
	number, ok := strings.CutPrefix(id, h.start+"-")
	n, err := strconv.ParseInt(number, 10, 64)
	return n, ok && err == nil
}

func (h *hub) leave(page chan event) {
	h.mu.Lock()
	defer h.mu.Unlock()
	delete(h.pages, page)
}

func (h *hub) clients() int {
	h.mu.Lock()
	defer h.mu.Unlock()
	return len(h.pages)
}

// close says good-bye to all pages.
func (h *hub) close() {
	h.publish("bye", struct{}{})
	h.mu.Lock()
	defer h.mu.Unlock()
	h.closed = true
	for p := range h.pages {
		delete(h.pages, p)
		close(p)
	}
}

// events is the stream of a page.
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	page, missed, at, whole, ok := s.hub.join(r.Header.Get("Last-Event-ID"))
	if !ok {
		writeError(w, http.StatusServiceUnavailable, APIError{Kind: "request", Message: "too many pages are open", Hint: "close some"})
		return
	}
	defer s.hub.leave(page)
	out := stream{w: w, c: http.NewResponseController(w), start: s.hub.start}
	_ = out.c.SetReadDeadline(time.Time{}) // the request is read; the stream stays open
	h := w.Header()
	h.Set("Content-Type", "text/event-stream")
	h.Set("X-Accel-Buffering", "no")
	err := out.text("retry: 1000\n\n")
	if whole {
		var data []byte
		if data, err = json.Marshal(s.state()); err == nil {
			err = out.send(event{at, "state", data})
		}
	}
	for _, e := range missed {
		if err == nil {
			err = out.send(e)
		}
	}
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	for err == nil {
		select {
		case <-r.Context().Done():
			// The events already sent to the page, good-bye among them, go out first.
			for e := range drained(page) {
				_ = out.send(e)
			}
			return
		case <-beat.C:
			err = out.text(": still here\n\n")
		case e, open := <-page:
			if !open {
				return
			}
			err = out.send(e)
		}
	}
}

// drained yields what waits in the channel.
func drained(page chan event) func(yield func(event) bool) {
	return func(yield func(event) bool) {
		for {
			select {
			case e, open := <-page:
				if !open || !yield(e) {
					return
				}
			default:
				return
			}
		}
	}
}

// stream writes events.
type stream struct {
	w     http.ResponseWriter
	c     *http.ResponseController
	start string
}

func (o *stream) send(e event) error {
	return o.text(fmt.Sprintf("id: %s-%d\nevent: %s\ndata: %s\n\n", o.start, e.id, e.name, e.data))
}

func (o *stream) text(s string) error {
	if err := o.c.SetWriteDeadline(time.Now().Add(streamTime)); err != nil {
		return err
	}
	if _, err := o.w.Write([]byte(s)); err != nil {
		return err
	}
	return o.c.Flush()
}
