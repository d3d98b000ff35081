package celltest

import (
	"bytes"
	"math"
	"slices"

	"packyard/internal/num"
)

// read takes one line, without its end.
func (r *rowReader) read(b []byte) error {
	if n := len(b); n > 0 && b[n-1] == '\r' {
		b = b[:n-1]
	}
	r.has = r.wanted
	if !r.quick(b) && !r.careful(b) {
		return nil
	}
	for at := range places {
		if r.wanted&(1<<at) == 0 {
			continue
		}
		if r.has&(1<<at) == 0 {
			r.v[at] = r.k.last[at]
			continue
		}
		s := &r.scale[at]
		r.v[at] = r.v[at]*s.factor + s.offset
		if r.v[at]-r.v[at] != 0 {
			if !r.f.again(FaultText, r.name(at), r.line) {
				r.f.add(FaultText, r.name(at), r.line, "a finite number is accepted", "the number is too large")
			}
			r.f.lost(FaultText, r.name(at))
			return nil
		}
	}
	if r.has&r.must != r.must {
		return nil // counted by careful, or by needed
	}
	return r.row()
}

// quick reads a line of plain numbers. It returns false, with nothing said, for
// anything else.
func (r *rowReader) quick(b []byte) bool {
	i, delimiter, mark := 0, r.l.delimiter, r.l.mark
	empty := uint32(0)
	for field, at := range r.slot {
		if at >= 0 {
			v, end := number(b, i, mark)
			switch {
			case end > i && (end == len(b) || b[end] == delimiter):
				r.v[at] = v
				i = end
			case (i == len(b) || b[i] == delimiter) && r.must&(1<<at) == 0:
				empty |= 1 << at
			default:
				return false
			}
		} else {
			for i < len(b) && b[i] != delimiter {
				if b[i] == '"' {
					return false
				}
				i++
			}
		}
		if i >= len(b) {
			if field+1 != r.l.fields {
				return false
			}
			if empty != 0 {
				r.has &^= empty
				r.empty(empty)
			}
			return true
		}
		i++
	}
	return false
}

// careful reads any line, and says what is wrong with it. It returns whether the
// line may be a row.
func (r *rowReader) careful(b []byte) bool {
	if len(bytes.TrimSpace(b)) == 0 {
		return false
	}
	if r.header != nil && bytes.Equal(b, r.header) {
		if !r.f.again(FaultRepeated, "", r.line) {
			r.f.add(FaultRepeated, "", r.line, "", "the header stands again between the rows: two logs in one file?")
		}
		return false
	}
	r.has = 0
	n, bad, told := 0, false, uint32(0)
	for rest, more := b, true; more && n < fieldsMost; n++ {
		var f []byte
		f, rest, more = nextField(rest, r.l.delimiter)
		if n >= len(r.slot) || r.slot[n] < 0 {
			if n >= r.l.fields && len(f) > 0 {
				bad = true
			}
			continue
		}
		at := int(r.slot[n])
		if v, ok := r.value(f, at); ok {
			r.v[at] = v
			r.has |= 1 << at
		} else if len(f) > 0 {
			r.badText(at, f)
			if r.must&(1<<at) != 0 {
				return false
			}
			told |= 1 << at
		}
	}
	if n < r.l.fields || bad {
		r.badCount(n, b)
		return false
	}
	if n > r.l.fields && !r.f.again(FaultTrailing, "", r.line) {
		r.f.add(FaultTrailing, "", r.line, "", "a delimiter stands behind the last field")
	}
	r.empty(r.wanted &^ r.has &^ told)
	return true
}

// value reads a field; blanks around it are gone already.
func (r *rowReader) value(f []byte, at int) (float64, bool) {
	v, end := number(f, 0, r.l.mark)
	if end > 0 && end == len(f) {
		return v, true
	}
	if at == atTime || at == atUnix {
		s, ok := clock(f, r.l.mark)
		return s / r.scale[at].factor, ok
	}
	return 0, false
}

func (r *rowReader) name(at int) string { return string(Quantities()[at]) }

func (r *rowReader) badText(at int, f []byte) {
	if !r.f.again(FaultText, r.name(at), r.line) {
		hint := "a number such as 3.712 is accepted"
		switch {
		case bytes.IndexByte(f, ',') >= 0 && r.l.mark == '.':
			hint = "write it without a decimal comma or a gap of thousands"
		case bytes.IndexByte(f, '.') >= 0 && r.l.mark == ',':
			hint = "write it with the decimal comma that the other rows have"
		}
		what := ""
		if r.must&(1<<at) == 0 {
			what = ": that of the row before stands for it"
		}
		r.f.add(FaultText, r.name(at), r.line, hint, "%q is no number%s", clipText(text(f), 30), what)
	}
	if r.must&(1<<at) != 0 {
		r.f.lost(FaultText, r.name(at))
	}
}

func (r *rowReader) badCount(n int, b []byte) {
	if !r.f.again(FaultFields, "", r.line) {
		hint := ""
		if bytes.IndexByte(b, '"') >= 0 && bytes.Count(b, []byte{'"'})%2 == 1 {
			hint = "a quotation mark is not closed"
		}
		r.f.add(FaultFields, "", r.line, hint, "the line has %d fields and the rows have %d", n, r.l.fields)
	}
	r.f.lost(FaultFields, "")
}

// empty counts fields that are empty, by the bits of their places. Without a time,
// voltage or current there is no row.
func (r *rowReader) empty(bits uint32) {
	for at := range places {
		if bits&(1<<at) == 0 {
			continue
		}
		if !r.f.again(FaultMissing, r.name(at), r.line) {
			what := "no row"
			if r.must&(1<<at) == 0 {
				what = "that of the row before stands for it"
			}
			r.f.add(FaultMissing, r.name(at), r.line, "", "the field is empty: %s", what)
		}
		if r.must&(1<<at) != 0 {
			r.f.lost(FaultMissing, r.name(at))
		}
	}
}

// emptyColumns says of columns that never held anything just that, and forgets them.
func (r *rowReader) emptyColumns() {
	for i := range r.f.list {
		x := &r.f.list[i]
		at := placeOf(Quantity(x.Problem.Path))
		if x.Kind != FaultMissing || at < 0 || x.Count < r.k.rows || r.must&(1<<at) != 0 {
			continue
		}
		r.wanted &^= 1 << at
		x.Problem.Message, x.Count, x.Lines = "the column is empty", 1, nil
		x.Problem.Pos.Line = r.l.headerLine + 1
	}
}

// row checks the row that was read and hands it on.
func (r *rowReader) row() error {
	back := r.check()
	if r.o.Rows == nil {
		return nil
	}
	if back || len(r.rows.Line) == rowsAtOnce {
		if err := r.flush(); err != nil {
			return err
		}
	}
	o := &r.rows
	o.Run = r.k.runs
	o.Line = append(o.Line, r.line)
	o.Time = append(o.Time, r.k.time)
	o.Voltage = append(o.Voltage, r.v[atVoltage])
	o.Current = append(o.Current, r.v[atCurrent])
	if r.wanted&(1<<atTemperature) != 0 {
		o.Temperature = append(o.Temperature, r.v[atTemperature])
	}
	if r.wanted&(1<<atNet) != 0 {
		o.Charge = append(o.Charge, r.v[atNet])
	}
	if r.wanted&(1<<atStep) != 0 {
		o.Step = append(o.Step, r.v[atStep])
	}
	return nil
}

func (r *rowReader) flush() error {
	o := &r.rows
	if r.o.Rows == nil || len(o.Line) == 0 {
		return nil
	}
	if err := r.o.Rows(o); err != nil {
		return err
	}
	*o = Rows{Line: o.Line[:0], Time: o.Time[:0], Voltage: o.Voltage[:0], Current: o.Current[:0],
		Temperature: o.Temperature[:0], Charge: o.Charge[:0], Step: o.Step[:0]}
	return nil
}

// sampler keeps every n-th value of a series, n doubling whenever it is full: an
// even sample of a series of unknown length in little memory.
type sampler struct {
	kept   [1024]float64
	n      int
	every  int
	passed int
}

func (s *sampler) add(v float64) {
	if s.passed++; s.passed <= s.every {
		return
	}
	s.passed = 0
	if s.n == len(s.kept) {
		for i := range s.n / 2 {
			s.kept[i] = s.kept[2*i]
		}
		s.n /= 2
		s.every = 2*s.every + 1
	}
	s.kept[s.n] = v
	s.n++
}

// median returns the middle of the sample; zero of none.
func (s *sampler) median() float64 {
	if s.n == 0 {
		return 0
	}
	slices.Sort(s.kept[:s.n])
	return num.Quantile(s.kept[:s.n], 0.5)
}

// near reports whether a is b within a tenth.
func near(a, b float64) bool { return math.Abs(a-b) <= 0.1*math.Abs(b) }
