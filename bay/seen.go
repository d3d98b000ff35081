package bay

// seenSet remembers states of the exact search that led nowhere, under 128-bit
// names, so that two states share a name with a chance below 1e-26 in a search
// of a million nodes. It forgets states when it is crowded; that costs time,
// never truth.
type seenSet struct {
	slots []seenSlot
	epoch uint32
	used  int
}

type seenSlot struct {
	name  [2]uint64
	epoch uint32
	count int32 // pieces still to come when it led nowhere
}

const (
	seenSlotsMin = 1 << 10
	seenSlotsMax = 1 << 18
	seenProbes   = 4
)

func (s *seenSet) reset() {
	if s.slots == nil {
		s.slots = make([]seenSlot, seenSlotsMin)
	}
	if s.epoch++; s.epoch == 0 {
		clear(s.slots)
		s.epoch = 1
	}
	s.used = 0
}

// visit reports whether the state led nowhere before with as many pieces to
// come or fewer; if not, it is remembered.
func (s *seenSet) visit(name [2]uint64, count int32) bool {
	if s.used*2 > len(s.slots) && len(s.slots) < seenSlotsMax {
		s.grow()
	}
	at := name[0] & uint64(len(s.slots)-1)
	free := at
	for range seenProbes {
		slot := &s.slots[at]
		if slot.epoch != s.epoch {
			free = at
			s.used++
			break
		}
		if slot.name == name {
			if slot.count <= count {
				return true
			}
			slot.count = count
			return false
		}
		at = (at + 1) & uint64(len(s.slots)-1)
	}
	s.slots[free] = seenSlot{name, s.epoch, count}
	return false
}

func (s *seenSet) grow() {
	old := s.slots
	s.slots = make([]seenSlot, 4*len(old))
	s.used = 0
	for i := range old {
		if old[i].epoch == s.epoch {
			s.visit(old[i].name, old[i].count)
		}
	}
}
