package search

import (
	"context"
	"fmt"
	"slices"
	"sync"
)

// Memory keeps what bays were found to hold, for later searches: most edits of
// a project move neither a bay nor a module. An answer is kept under the whole of what
// was asked: the bay, with its place in the vehicle, and the outside and the mass
// of the modules of every length. So a search with a memory finds what it would
// find without. The zero value is empty and ready; a nil Memory keeps nothing. It
// is safe for concurrent use.
type Memory struct {
	mu   sync.Mutex
	kept []remembered // what was asked for last stands last
}

type remembered struct {
	asked string
	found *surveyed
}

// memoryMost bounds the surveys that are kept: a search of the largest example
// makes two dozen, and one option four.
const memoryMost = 96

// survey fills a shelf as shelf.survey does, from the memory where it can.
func (m *Memory) survey(ctx context.Context, sh *shelf, lengths []int) {
	if m == nil {
		sh.survey(ctx, lengths)
		return
	}
	asked := sh.asked(lengths)
	if found := m.recall(asked); found != nil {
		sh.surveyed = found
		return
	}
	sh.survey(ctx, lengths)
	if ctx.Err() == nil {
		m.keep(asked, sh.surveyed)
	}
}

// asked writes down everything that the answers of a shelf depend on. The verb
// prints numbers to their last bit and texts in quotes.
func (s *shelf) asked(lengths []int) string {
	b := *s.bay
	b.Name, b.MassLimit = "", 0
	out := fmt.Appendf(nil, "%#v", b)
	for _, n := range lengths {
		out = fmt.Appendf(out, "; %d: %#v", n, s.kind(n))
	}
	return string(out)
}

func (m *Memory) recall(asked string) *surveyed {
	m.mu.Lock()
	defer m.mu.Unlock()
	i := slices.IndexFunc(m.kept, func(r remembered) bool { return r.asked == asked })
	if i < 0 {
		return nil
	}
	r := m.kept[i]
	m.kept = append(slices.Delete(m.kept, i, i+1), r)
	return r.found
}

func (m *Memory) keep(asked string, found *surveyed) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if len(m.kept) >= memoryMost {
		m.kept = slices.Delete(m.kept, 0, len(m.kept)-memoryMost+1)
	}
	m.kept = append(m.kept, remembered{asked, found})
}
