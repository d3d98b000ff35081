package drive

import (
	"fmt"
	"math"
	"slices"

	"packyard/pack"
	"packyard/part"
	"packyard/unit"
)

// Thermal is what holds the temperatures of the groups: a network of package
// heat, or a whole cooling system. Its first nodes are the groups, in the order
// of Groups.
type Thermal interface {
	Sources() int                           // as many as there are groups
	Start(t unit.Temperature) error         // all nodes at t
	Step(heat []float64, d unit.Time) error // W of each source, constant over d
	Temperatures() []float64                // K, sources first; belongs to the model
}

// load is a Thermal that takes power itself: pump, fan, heater, chiller.
type load interface{ Load() unit.Power }

// GroupRun describes the pack of RangeGroups. The step is that of the demand.
type GroupRun struct {
	Table *GroupTable
	GroupOptions
	Thermal Thermal      // nil: temperatures stay. It is started at Temperature, whatever Start says of single groups
	Trace   *GroupTrace  // filled when not nil
	Halt    func() error // asked every few minutes of the run; its error ends it; may be nil
}

// GroupResult is the outcome of a run per group.
type GroupResult struct {
	Result
	Empties         int          // group that empties first, as the run ended
	VoltageGroupMin unit.Voltage // lowest of any group at the end of a step, and which
	GroupMin        int
	VoltageGroupMax unit.Voltage
	GroupMax        int
	TemperatureMax  unit.Temperature // hottest of any group, and which
	Hottest         int
	TemperatureMin  unit.Temperature
	Coldest         int
	TemperatureEnd  unit.TemperatureDelta // between hottest and coldest at the end
	Heat            unit.Energy           // of the cells, the reversible part included, joints apart
	Left            unit.Energy           // in the groups when the first was empty, down to SoCMin, without loss
	Events          []LimitEvent          // who limited what and when
	EventsDropped   int
}

// RangeGroups is Range with every series group by itself. Limits are those of
// the weakest group, lowered smoothly before they are reached unless q.Derating
// says otherwise; the charge floor is that of the group that empties first;
// Result.SoCEnd is the charge of that group. The energy at the wall is that of a
// charge which brings back every ampere-second without regard to the voltage of
// single groups.
//
// Errors: ErrPack, ErrEndless, ErrSchedule, and those of q.Thermal.
func (r *Run) RangeGroups(d *Demand, p *pack.Pack, q GroupRun, o Options) (GroupResult, error) {
	if err := r.prepareGroups(d, p, &q, &o); err != nil {
		return GroupResult{}, err
	}
	if d.Capped.Stalled && !(d.Distance() > 0) {
		r.end, r.by = EndBehind, LimitMotor
		return r.groupResult(0, &o)
	}
	cycles, err := r.drive(o.Cycles)
	if err != nil {
		return GroupResult{}, err
	}
	if !r.early(cycles, &o) {
		return r.groupResult(cycles, &o)
	}
	warm := q
	warm.Thermal, warm.Trace = nil, nil
	if o.Warm != nil {
		warm = warm.at(o.Warm.Temperature)
	}
	if err := r.prepareGroups(d, p, &warm, &Options{Cycles: 1, SoCStart: o.CapCharge}); err != nil {
		return GroupResult{}, err
	}
	capped, err := r.reach(d, p)
	if err != nil {
		return GroupResult{}, err
	}
	o.NoCap = true
	if r.capped.Distance() > 0 {
		d = &r.capped
	}
	res, err := r.RangeGroups(d, p, q, o)
	res.Capped = capped
	return res, err
}

// RangeGroups is Run.RangeGroups with buffers of its own.
func RangeGroups(d *Demand, p *pack.Pack, q GroupRun, o Options) (GroupResult, error) {
	return new(Run).RangeGroups(d, p, q, o)
}

// at returns the run with all groups at one temperature.
func (q GroupRun) at(t unit.Temperature) GroupRun {
	q.Temperature = t
	start := make([]GroupStart, len(q.Start))
	for i, s := range q.Start {
		s.Temperature = t
		start[i] = s
	}
	if q.Start != nil {
		q.Start = start
	}
	return q
}

// prepareGroups checks what goes together and sets limits and state.
func (r *Run) prepareGroups(d *Demand, p *pack.Pack, q *GroupRun, o *Options) error {
	if d == nil || len(d.Power) == 0 || q.Table == nil || p == nil {
		return fmt.Errorf("%w: demand, table of the cell and pack are all needed", ErrPack)
	}
	start, err := startOf(d, p, o)
	if err != nil {
		return err
	}
	g := q.GroupOptions
	g.Step = d.Step
	if g.Charge == 0 || o.SoCStart != 0 {
		g.Charge = start
	}
	if q.Thermal != nil {
		if n := p.Topology.Series * p.Topology.Strings; q.Thermal.Sources() != n {
			return fmt.Errorf("%w: %d sources of heat in the thermal model for %d groups", ErrPack, q.Thermal.Sources(), n)
		}
		if g.Temperature == 0 {
			g.Temperature = temperatureDefault
		}
		if err := q.Thermal.Start(g.Temperature); err != nil {
			return err
		}
		on := GroupRun{GroupOptions: g}.at(g.Temperature)
		g = on.GroupOptions
	}
	if err := r.takeGroups(q.Table, p, g); err != nil {
		return err
	}
	c := r.g
	c.thermal, c.trace, c.halt, c.err = q.Thermal, q.Trace, q.Halt, nil
	c.began = append(c.began[:0], c.now.x...)
	c.heatSum = fit(c.heatSum, c.count)
	clear(c.heatSum)
	c.coldStart = slices.Min(c.fixed.temp)
	c.heatTime, c.heatTotal, c.seen = 0, 0, newGroupSeen()
	if c.trace != nil {
		c.trace.clear(c)
	}
	c.base, c.startX = d.chain.auxiliary, float64(start)*float64(len(q.Table.base))
	r.own = *d
	r.d, r.l = &r.own, nil
	r.setGroupLimits(p, q.Table)
	r.state = state{x: float64(start) * r.pieces, v: d.Speed[0]}
	r.reset()
	r.frozen, r.end, r.by, r.watch, r.motor, r.patient = false, endNot, LimitNone, newWatch(o), nil, false
	return nil
}

// takeGroups makes the groups, in the buffers of the last run where they fit.
func (r *Run) takeGroups(t *GroupTable, p *pack.Pack, o GroupOptions) error {
	if r.g = r.groups; r.g == nil {
		r.g = &groupCells{Groups: new(Groups)}
		r.groups = r.g
	}
	return r.g.begin(t, p, o)
}

// setGroupLimits sets what belongs to the pack and not to single groups.
func (r *Run) setGroupLimits(p *pack.Pack, t *GroupTable) {
	top, q := p.Topology, &r.limits
	*q = limits{series: float64(top.Series), across: float64(top.Across()), dt: float64(r.d.Step)}
	q.scale = 1 / (q.series * q.across)
	q.pieces = float64(len(t.base))
	q.floor, q.full = float64(p.SoCMin)*q.pieces, q.pieces
	q.kx = q.dt * q.pieces / t.capacity
	q.window = max(1, int(math.Round(float64(durationPeak)/q.dt)))
	for j := range r.g.str {
		q.cont += r.g.str[j].cont / q.across
	}
	r.g.top = float64(r.d.chain.bands.FullMax)
	r.g.inverter = 0
	if inv := r.d.train.Inverter; inv != nil {
		r.g.inverter = float64(inv.CurrentMax)
	}
}

// groupResult puts the outcome together.
func (r *Run) groupResult(cycles int, o *Options) (GroupResult, error) {
	c := r.g
	s := &c.seen
	res := GroupResult{
		VoltageGroupMin: unit.Voltage(s.low), GroupMin: s.atLow, VoltageGroupMax: unit.Voltage(s.high), GroupMax: s.atHigh,
		TemperatureMax: unit.Temperature(s.hot), Hottest: s.atHot, TemperatureMin: unit.Temperature(s.cold), Coldest: s.atCold,
		Heat: unit.Energy(c.heatTotal), Left: c.EnergyRest(),
		Events: c.record.Events(), EventsDropped: c.record.Dropped,
	}
	if r.steps == 0 {
		res.VoltageGroupMin, res.VoltageGroupMax, res.GroupMin, res.GroupMax = unit.Voltage(c.sum.low), unit.Voltage(c.sum.high), c.sum.atLow, c.sum.atHigh
		s.temperatures(c)
		res.TemperatureMax, res.Hottest, res.TemperatureMin, res.Coldest = unit.Temperature(s.hot), s.atHot, unit.Temperature(s.cold), s.atCold
	}
	res.TemperatureEnd = unit.TemperatureDelta(s.hotNow - s.coldNow)
	_, res.Empties = c.Charge()
	var err error
	res.Result, err = r.result(c.startX, cycles, o)
	res.Fidelity = FidelityGroups
	return res, err
}

// refillStep is the step of a refill in s. Source: assumption; a charge takes hours.
const refillStep = 10.0

// refill returns the energy from the wall that brings back every ampere-second
// of the run, with the power of the charger or the continuous charging current.
func (c *groupCells) refill(charger *part.Charger, watts float64, drawn float64) (unit.Energy, error) {
	most := math.Inf(1)
	if charger.CurrentMax > 0 {
		most = float64(charger.CurrentMax)
	}
	cont := 0.0
	for j := range c.str {
		cont += c.str[j].chCont
	}
	if cont > 0 {
		most = min(most, cont)
	}
	c.setStep(refillStep)
	wall := 0.0
	for range stepsMax {
		if drawn <= 0 {
			return unit.Energy(wall), nil
		}
		c.load()
		if !c.solve(-watts) {
			break
		}
		cur := min(-c.current(), most)
		if cur*c.dt > drawn {
			c.setStep(drawn / cur)
			c.load()
		}
		p := -c.powerAt(-cur)
		c.try()
		c.commit()
		drawn -= cur * c.dt
		if drawn < 1e-9 {
			drawn = 0
		}
		wall += float64(charger.WallPower(unit.Power(p))) * c.dt
	}
	return 0, fmt.Errorf("%w: charger %s does not fill the pack with %g W within %d steps", ErrPack, charger.ID, watts, stepsMax)
}
