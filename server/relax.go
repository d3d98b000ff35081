package server

import (
	"fmt"
	"math"
	"net/http"
	"slices"
	"time"

	"packyard/bay"
	"packyard/check"
	"packyard/design"
	"packyard/part"
	"packyard/project"
	"packyard/search"
	"packyard/unit"
)

// RelaxRequest asks what moving limits would give; all of it stands in a
// nearest miss.
type RelaxRequest struct {
	Option string       `json:"option"` // that the miss names
	Limits []RelaxLimit `json:"limits"`
	Growth *RelaxGrowth `json:"growth,omitempty"`
	Top    int          `json:"top,omitempty"` // packs ranked; zero: 50
}

// RelaxLimit is a limit to be moved.
type RelaxLimit struct {
	Rule string  `json:"rule"`
	To   float64 `json:"to_si"` // in the SI unit of the rule
}

// RelaxGrowth is a bay to be enlarged.
type RelaxGrowth struct {
	Bay  string      `json:"bay"`
	Axis string      `json:"axis"` // "length", "width", "height" of the bay
	By   unit.Length `json:"by_m"`
}

// Relaxation is what moved limits would give. Nothing was written.
type Relaxation struct {
	Revision int64          `json:"revision"`
	Changes  []RelaxChange  `json:"changes"`
	Ops      []project.Op   `json:"ops"` // edits that move the limits for good; empty when no value of the file does
	Report   *search.Report `json:"report"`
	FitsMore int            `json:"fits_more"` // options that fit now and did not
	New      []search.Row   `json:"new"`       // packs in the ranking that were not there
	Millis   int64          `json:"millis"`
}

// RelaxChange is one limit that was moved.
type RelaxChange struct {
	Name string        `json:"name"`
	From *check.Figure `json:"from"`
	To   check.Figure  `json:"to"`
}

// rankedMost bounds the ranking that a preview may ask for.
const rankedMost = 1000

func (s *Server) relaxation(r *http.Request) (any, error) {
	var q RelaxRequest
	if err := body(r, &q); err != nil {
		return nil, err
	}
	snap, revision, err := s.present()
	if err != nil {
		return nil, err
	}
	if len(q.Limits) == 0 && q.Growth == nil || len(q.Limits) > int(design.RuleCount) || q.Top < 0 || q.Top > rankedMost {
		return nil, fmt.Errorf("%w: at least one limit or a bay to grow, and top up to %d", errRequest, rankedMost)
	}
	x, err := relax(snap, &q)
	if err != nil {
		return nil, err
	}
	began := time.Now()
	f, err := design.NewFrame(&x.brief)
	if err != nil {
		return nil, err
	}
	res, err := search.Run(r.Context(), f, search.Options{Top: q.Top, Workers: s.live.searchers, Memory: &s.live.memory, Progress: s.live.progress(revision, true)})
	if err != nil {
		return nil, err
	}
	out := &Relaxation{Revision: revision, Changes: x.changes, Ops: x.ops, Report: res.Report(f), New: []search.Row{}, Millis: time.Since(began).Milliseconds()}
	if x.incomplete || out.Ops == nil {
		out.Ops = []project.Op{}
	}
	out.compare(s.live)
	return out, nil
}

// compare counts what is new against the newest search.
func (out *Relaxation) compare(l *live) {
	old, _ := l.newest()
	if old == nil {
		return
	}
	out.FitsMore = out.Report.Fits - old.report.Fits
	for _, row := range out.Report.Ranked {
		// A pack is known by source and topology; its best cut may be another now.
		same := func(o search.Row) bool { return packOf(o.ID) == packOf(row.ID) }
		if !slices.ContainsFunc(old.report.Ranked, same) {
			out.New = append(out.New, row)
		}
	}
}

// packOf returns the name of an option without its cut.
func packOf(id string) string {
	for i := len(id) - 1; i >= 0; i-- {
		if id[i] == '/' {
			return id[:i]
		}
	}
	return id
}

// relaxed is a brief with limits moved, and the edits that would do so.
type relaxed struct {
	snap       *snapshot
	option     string
	source     int // of the option
	brief      design.Brief
	changes    []RelaxChange
	ops        []project.Op
	incomplete bool // a limit has no value in the file
}

// relax returns a copy of the brief with the limits moved. Errors: those of
// frame, design.ErrOption, errRequest.
func relax(snap *snapshot, q *RelaxRequest) (*relaxed, error) {
	x := &relaxed{snap: snap, option: q.Option, brief: snap.brief}
	x.brief.Bays = slices.Clone(snap.brief.Bays)
	x.brief.Sources = slices.Clone(snap.brief.Sources)
	x.brief.Assumed = check.Assumptions{List: slices.Clone(snap.brief.Assumed.List)}
	f, err := snap.frame()
	if err != nil {
		return nil, err
	}
	c, err := f.Parse(q.Option)
	if err != nil {
		return nil, err
	}
	x.source = c.Source
	for _, l := range q.Limits {
		rule, ok := design.RuleNamed(l.Rule)
		if !ok || math.IsNaN(l.To) || math.IsInf(l.To, 0) || l.To < 0 {
			return nil, fmt.Errorf("%w: rule %q to %v", errRequest, l.Rule, l.To)
		}
		if rule == design.Space {
			if q.Growth == nil {
				return nil, fmt.Errorf("%w: space is relaxed by the growth of a bay", errRequest)
			}
			continue
		}
		if err := x.move(rule, l.To); err != nil {
			return nil, err
		}
	}
	if q.Growth != nil {
		return x, x.grow(q.Growth)
	}
	return x, nil
}

// set records a limit that was moved and the edit that does it.
func (x *relaxed) set(rule design.Rule, from, to float64, path string) {
	in := rule.Info()
	symbol := in.Symbol
	if symbol == "money" {
		symbol = x.brief.Currency
	}
	fig := func(v float64) check.Figure { return check.Figure{SI: v, Symbol: symbol, Noun: in.Noun} }
	c := RelaxChange{Name: in.Subject, To: fig(to)}
	if from != 0 {
		f := fig(from)
		c.From = &f
	}
	x.changes = append(x.changes, c)
	if path == "" {
		x.incomplete = true
		return
	}
	x.ops = append(x.ops, project.Op{Kind: project.OpSet, Path: path, Text: words(to, symbol)})
}

// words writes an SI value as the file wants it, on the generous side of its
// last digit: a limit must not fall short by rounding.
func words(v float64, symbol string) string {
	if symbol == "1" {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.10g %s", v, symbol)
}

// slack keeps a limit that is moved to a value from being broken by the last
// digits of either.
const slack = 1e-6

func most(v float64) float64  { return v * (1 + slack) }
func least(v float64) float64 { return v * (1 - slack) }

// move moves one limit to the value of the option that broke it.
func (x *relaxed) move(rule design.Rule, to float64) error {
	t, r := &x.brief.Targets, &x.brief.Donor.Ratings
	switch rule {
	case design.MassBattery:
		x.set(rule, float64(t.MassMax), most(to), "targets.mass_limit")
		t.MassMax = unit.Mass(most(to))
	case design.MassGross:
		x.set(rule, float64(r.GrossMass), most(to), "donor.ratings.gross")
		r.GrossMass = unit.Mass(most(to))
	case design.AxleFront:
		x.axle(rule, &r.AxleFront, &r.TyreFront, most(to), "front")
	case design.AxleRear:
		x.axle(rule, &r.AxleRear, &r.TyreRear, most(to), "rear")
	case design.Money:
		x.set(rule, t.PriceMax, math.Ceil(to*100)/100, "targets.price_limit")
		t.PriceMax = math.Ceil(to*100) / 100
	case design.Handling:
		x.set(rule, float64(t.HandlingVoltage), most(to), "targets.handling_voltage")
		t.HandlingVoltage = unit.Voltage(most(to))
	case design.ChargeTime:
		x.set(rule, float64(t.ChargeTime), most(to), "targets.charge_time")
		t.ChargeTime = unit.Time(most(to))
	case design.RangeNew:
		x.set(rule, float64(t.Range), least(to), "targets.range")
		t.Range = unit.Length(least(to))
		if t.RangeEnd > t.Range {
			x.set(design.RangeEnd, float64(t.RangeEnd), least(to), "targets.range_at_end_of_life")
			t.RangeEnd = t.Range
		}
	case design.RangeEnd:
		x.set(rule, float64(t.RangeEnd), least(to), "targets.range_at_end_of_life")
		t.RangeEnd = unit.Length(least(to))
	case design.Supply:
		src := &x.brief.Sources[x.source]
		was := src.Count
		src.Count = int(math.Ceil(to)) + src.Spare
		x.set(rule, float64(was), float64(src.Count), fmt.Sprintf("sources[%d].count", x.source))
	case design.BayMass:
		return x.bayMass(to)
	default:
		return x.device(rule, to)
	}
	return nil
}

// axle moves the rating of an axle, and that of its tyres where they bear less.
func (x *relaxed) axle(rule design.Rule, axle, tyre *unit.Mass, to float64, which string) {
	if *axle > 0 && float64(*axle) < to {
		x.set(rule, float64(*axle), to, "donor.ratings."+which+"_axle")
		*axle = unit.Mass(to)
	}
	if *tyre > 0 && 2*float64(*tyre) < to {
		x.set(rule, float64(*tyre), to/2, "donor.ratings."+which+"_tyre")
		x.changes[len(x.changes)-1].Name = "load index mass of one " + which + " tyre"
		*tyre = unit.Mass(to / 2)
	}
}

// bayMass moves the limits of the bays that the option overloads.
func (x *relaxed) bayMass(to float64) error {
	a, err := x.snap.assess(x.option)
	if err != nil {
		return err
	}
	for i := range x.brief.Bays {
		b := &x.brief.Bays[i]
		if m := a.report.Bays[i].Mass; b.MassLimit > 0 && m > b.MassLimit {
			x.set(design.BayMass, float64(b.MassLimit), most(float64(m)), fmt.Sprintf("bays[%d].mass_limit", i))
			x.changes[len(x.changes)-1].Name = "mass in the bay " + b.Name
			b.MassLimit = unit.Mass(most(float64(m)))
		}
	}
	if len(x.changes) == 0 {
		return fmt.Errorf("%w: no bay is overloaded by %s to %v kg", errRequest, x.option, to)
	}
	return nil
}

// device moves what a device or the cells bear. Only the bands of the inverter
// have a place in the project file; for the others another part is needed.
func (x *relaxed) device(rule design.Rule, to float64) error {
	d := &x.brief.Drive
	switch {
	case rule == design.InverterFull || rule == design.InverterLowest:
		v := *d.Inverter
		from := widen(&v.Bands, rule == design.InverterFull, to)
		d.Inverter = &v
		x.set(rule, from, to, "")
		x.incomplete = false
		x.bands(v.Bands)
	case (rule == design.ChargerFull || rule == design.ChargerStart) && d.Charger != nil:
		v := *d.Charger
		from := float64(v.StartMin)
		if rule == design.ChargerFull {
			from = widen(&v.Bands, true, to)
		} else {
			v.StartMin = unit.Voltage(least(to))
		}
		d.Charger = &v
		x.set(rule, from, to, "")
	case (rule == design.ConverterFull || rule == design.ConverterLowest) && d.Converter != nil:
		v := *d.Converter
		from := widen(&v.Bands, rule == design.ConverterFull, to)
		d.Converter = &v
		x.set(rule, from, to, "")
	case rule == design.CurrentPeak || rule == design.CurrentContinuous || rule == design.Climb:
		return x.cells(rule, to)
	default:
		return fmt.Errorf("%w: %s has no limit in this project", errRequest, rule)
	}
	return nil
}

// widen moves one end of the bands of a device and returns where it was.
func widen(b *part.Bands, upper bool, to float64) float64 {
	if upper {
		from := min(b.ReducedMax, b.NeverExceed)
		v := unit.Voltage(most(to))
		b.ReducedMax, b.NeverExceed = max(b.ReducedMax, v), max(b.NeverExceed, v)
		return float64(from)
	}
	from := b.ReducedMin
	b.ReducedMin = min(b.ReducedMin, unit.Voltage(least(to)))
	return float64(from)
}

// bands adds the edits that state the bands of the inverter in hand.
func (x *relaxed) bands(b part.Bands) {
	for _, e := range []struct {
		key string
		v   unit.Voltage
	}{{"full_min", b.FullMin}, {"full_max", b.FullMax}, {"reduced_min", b.ReducedMin}, {"reduced_max", b.ReducedMax}, {"never_exceed", b.NeverExceed}} {
		x.ops = append(x.ops, project.Op{Kind: project.OpSet, Path: "drive.inverter_window." + e.key, Text: words(float64(e.v), "V")})
	}
}

// cells lets the cells of the option's source bear more: all its discharge
// limits rise by the same share.
func (x *relaxed) cells(rule design.Rule, to float64) error {
	a, err := x.snap.assess(x.option)
	if err != nil {
		return err
	}
	f, err := x.snap.frame()
	if err != nil {
		return err
	}
	from := a.placed.Values.Limit[rule]
	if !(from > 0 && from < to) {
		return fmt.Errorf("%w: %s is not broken by %s", errRequest, rule, x.option)
	}
	c := *f.Lots[x.source].Slice.Cell
	c.Limits.Discharge = slices.Clone(c.Limits.Discharge)
	for i := range c.Limits.Discharge {
		c.Limits.Discharge[i].Rate *= unit.CRate(most(to) / from)
	}
	src := &x.brief.Sources[x.source]
	if src.Module == nil {
		src.Cell = &c
	} else {
		m := *src.Module
		m.Slice.Cell = &c
		src.Module = &m
	}
	x.set(rule, from, to, "")
	return nil
}

// grow enlarges a bay along one of its own axes, at its far end.
func (x *relaxed) grow(g *RelaxGrowth) error {
	i := slices.IndexFunc(x.brief.Bays, func(b bay.Bay) bool { return b.Name == g.Bay })
	axis := slices.Index([]string{"length", "width", "height"}, g.Axis)
	if i < 0 || axis < 0 || !(g.By > 0 && g.By < unit.Metre) {
		return fmt.Errorf("%w: bay %q, %s by %v m", errRequest, g.Bay, g.Axis, float64(g.By))
	}
	b := &x.brief.Bays[i]
	b.Boxes = slices.Clone(b.Boxes)
	corner, size := b.Extent()
	end := *along(&corner, axis) + *along(&size, axis)
	for k := range b.Boxes {
		at, edge := along(&b.Boxes[k].At, axis), along(&b.Boxes[k].Size, axis)
		if *at+*edge < end-unit.Millimetre/1000 {
			continue
		}
		path := fmt.Sprintf("bays[%d].size[%d]", i, axis)
		if _, _, one := x.snap.given(path); !one {
			path = fmt.Sprintf("bays[%d].boxes[%d].size[%d]", i, k, axis)
		}
		from := check.Of(*edge)
		*edge += g.By
		x.changes = append(x.changes, RelaxChange{Name: g.Axis + " of the bay " + b.Name, From: &from, To: check.Of(*edge)})
		x.ops = append(x.ops, project.Op{Kind: project.OpSet, Path: path, Text: words(edge.Millimetres(), "mm")})
	}
	return nil
}

func along(v *bay.Vec, axis int) *unit.Length {
	return [3]*unit.Length{&v.X, &v.Y, &v.Z}[axis]
}
