package drive

import (
	"fmt"
	"math"

	"packyard/cell"
	"packyard/pack"
	"packyard/unit"
)

// FidelityGroups is the fidelity in which every series group has its own
// capacity, resistance, charge, RC states and temperature.
const FidelityGroups = "per group"

// GroupStart is one series group (the cells in parallel of one string) at the
// start. A zero field stands for what GroupOptions say of all.
type GroupStart struct {
	Charge           unit.Ratio // of the group's own capacity
	CapacityShare    unit.Ratio // of the rated capacity of its cells
	ResistanceGrowth unit.Ratio // against a new cell
	Temperature      unit.Temperature
}

// Derating is how the controller lowers the current before a limit. Each law is
// solved for the step in which it holds, so that nothing hunts:
//
//	voltage      I ≤ I_peak·(U − U_min)/B, U at the end of the step, B the band; charging alike below U_max
//	temperature  rates fall in a straight line to zero over the last kelvins before the hottest temperature with a limit
//	overload     I² ≤ I_cont² + (room of the ten-second counter)/τ
//
// At the border of its band each law gives the whole limit, at the limit itself
// nothing. The zero value means the defaults. Source: assumption (controllers
// fall in straight lines; bands differ from maker to maker).
type Derating struct {
	Off         bool                  // nothing is lowered before a limit: the limit alone holds
	Voltage     unit.Voltage          // B; zero: a twentieth of the cell's span of voltage
	Temperature unit.TemperatureDelta // zero: 5 K
	Overload    unit.Time             // τ; zero: 5 s, not below the step
}

// GroupOptions are the choices of Groups; the zero value is the default.
type GroupOptions struct {
	Step        unit.Time        // zero: 1 s
	Start       []GroupStart     // one per group, string after string; nil: all alike
	Charge      unit.Ratio       // at the start; zero: the pack's SoCMax
	Temperature unit.Temperature // at the start; zero: 25 °C
	Health      cell.Health      // zero: new
	Derating    Derating
	NoLimits    bool // a circuit without a controller: for tests and checks of the cells
}

// Temperature of a pack of which nothing is said, and the bounds of what is accepted.
const (
	temperatureDefault = 298.15 // K; source: common practice (cells are rated at 25 °C)
	temperatureLeast   = 173.15 // K; source: assumption, colder than any ambient
	temperatureMost    = 673.15 // K; source: assumption, hotter than any cell that still is one
)

// refreshAt is the change of a temperature in K after which the resistances of
// a group are read anew. Resistance changes by 2 to 5 % per kelvin, so that the
// voltage is off by at most 0.05 % of its drop (TestTemperatureRefreshErrorIsSmall).
const refreshAt = 0.01

// Groups is a pack of unequal series groups in time. Group k of string j has the
// index j·Series + k. One step has constant current in each string; strings
// share the current so that their mean voltages over the step are equal. Not for
// concurrent use. Nothing is allocated after NewGroups.
//
// With x the charge in pieces of the table, of each group, and f, h, a, g of its
// RC pairs as in the package comment, a step at power P is
//
//	E_j = Σ (Ū − Σ f·V),  Z_j = Σ (R0 + Σ h) + R_joints,  P = I·(E − Z·I)
//	1/Z = Σ 1/Z_j,  E = Z·Σ E_j/Z_j,  I_j = (E_j − E + Z·I)/Z_j
//
// with Ū the exact mean of the open-circuit voltage, also across pieces.
type Groups struct {
	table  *GroupTable
	o      GroupOptions
	series int
	count  int
	cells  float64 // in parallel in a group
	dt     float64 // s
	joint  float64 // Ω of one string
	floor  float64 // of x
	full   float64 // of x at all cells full
	band   float64 // V
	ramp   float64 // K
	tau    float64 // s, overload
	time   float64 // s since the start

	now, next states // of all groups
	fixed     fixed
	law       groupLaw
	str       []stringState // per string
	cross     []int         // groups that leave their piece in this step
	heat      []float64     // W of each group, mean of the last step
	volt      []float64     // V at the end of the last step
	trial     []float64     // V at the end of the step being tried
	emf       float64       // V, effective of all strings
	plain     float64       // V, likewise, each group on the straight line of its piece of charge
	inner     float64       // Ω, likewise
	sum       extremes      // of the last step
	tried     extremes
	record    Record
	terminals float64 // V at the end of the last step

	top      float64 // V at the terminals that the inverter takes while charging; 0: not looked at. Set by a run
	inverter float64 // A that it takes while driving; 0: not looked at
}

// states are what a step changes, one entry per group.
type states struct{ x, v1, v2 []float64 } // pieces of charge, V, V

// fixed is what does not change in a run, one entry per group.
type fixed struct {
	kx       []float64 // pieces per A and step
	capacity []float64 // A·s
	growth   []float64 // resistance over that of one new cell
	temp     []float64 // K
	read     []float64 // K at which the law was read
	peak     []float64 // A, limits at that temperature
	cont     []float64
	chPeak   []float64
	chCont   []float64
}

// groupLaw is the circuit of each group for its piece of charge, temperature
// and step, one entry per group.
type groupLaw struct {
	lo, hi     []float64 // of x; infinite at the ends of the table
	base, rise []float64 // V, V per piece
	r0         []float64 // Ω
	r1, a1, f1 []float64
	r2, a2, f2 []float64
	k1, k2     []float64 // f·(1 + a)/2/R: heat of what is not yet settled
	mean, end  []float64 // Ω: resistance to the mean voltage, and to that at the end, charge included
	dudt       []float64 // V/K
}

// stringState is one string.
type stringState struct {
	cur          float64 // A in this step
	emf, inner   float64 // V, Ω
	correct      float64 // V, what pieces of charge that were left add to emf
	heat, chHeat float64 // A²·s above the continuous current
	peak, cont   float64 // A, least of its groups
	chPeak       float64
	chCont       float64
	atPeak       int // group that has it
	atCont       int
	atChPeak     int
	atChCont     int
}

// extremes are the weakest and the strongest of a step.
type extremes struct {
	low, high     float64 // V at the end
	atLow, atHigh int
	least, most   float64 // of x
}

// NewGroups returns a pack with all groups at their start, at rest.
// Errors: ErrPack.
func NewGroups(t *GroupTable, p *pack.Pack, o GroupOptions) (*Groups, error) {
	g := new(Groups)
	if err := g.begin(t, p, o); err != nil {
		return nil, err
	}
	return g, nil
}

// begin makes g the pack p at a start, in the memory that it has.
func (g *Groups) begin(t *GroupTable, p *pack.Pack, o GroupOptions) error {
	if t == nil || p == nil {
		return fmt.Errorf("%w: table and pack are both needed", ErrPack)
	}
	if err := checkPack(p); err != nil {
		return err
	}
	n := p.Topology.Series * p.Topology.Strings
	if n > groupsMax {
		return fmt.Errorf("%w: %d groups: at most %d", ErrPack, n, groupsMax)
	}
	g.table, g.series, g.cells = t, p.Topology.Series, float64(p.Topology.Parallel)
	g.str = fit(g.str, p.Topology.Strings)
	g.floor, g.full = float64(p.SoCMin)*float64(len(t.base)), float64(len(t.base))
	g.joint = float64(p.Resistance) * float64(p.Topology.Strings)
	g.top, g.inverter = 0, 0
	if g.count != n {
		g.count = n
		g.allocate()
	}
	if o.Charge == 0 {
		o.Charge = p.SoCMax
	}
	return g.Start(o)
}

// groupsMax bounds the groups of a pack. Source: assumption; 1 000 in series and ten strings.
const groupsMax = 10_000

func checkPack(p *pack.Pack) error {
	t := p.Topology
	switch {
	case t.Series < 1 || t.Parallel < 1 || t.Strings < 1:
		return fmt.Errorf("%w: %d in series, %d in parallel, %d strings: each must be at least 1", ErrPack, t.Series, t.Parallel, t.Strings)
	case !(p.SoCMin >= 0 && p.SoCMax <= 1 && p.SoCMin < p.SoCMax):
		return fmt.Errorf("%w: charge used from %g to %g: it must rise within 0 to 1", ErrPack, float64(p.SoCMin), float64(p.SoCMax))
	case !(p.Resistance >= 0) || math.IsInf(float64(p.Resistance), 0):
		return fmt.Errorf("%w: resistance of interconnects %g Ω: it must be 0 or more", ErrPack, float64(p.Resistance))
	case t.Cells() > math.MaxInt32:
		return fmt.Errorf("%w: %d cells", ErrPack, t.Cells())
	}
	return nil
}

// allocate gives all columns their length, all in one block.
func (g *Groups) allocate() {
	l, f := &g.law, &g.fixed
	columns := []*[]float64{&g.now.x, &g.now.v1, &g.now.v2, &g.next.x, &g.next.v1, &g.next.v2,
		&f.kx, &f.capacity, &f.growth, &f.temp, &f.read, &f.peak, &f.cont, &f.chPeak, &f.chCont,
		&l.lo, &l.hi, &l.base, &l.rise, &l.r0, &l.r1, &l.a1, &l.f1, &l.r2, &l.a2, &l.f2, &l.k1, &l.k2, &l.mean, &l.end, &l.dudt,
		&g.heat, &g.volt, &g.trial}
	block := make([]float64, g.count*len(columns))
	for i, c := range columns {
		*c = block[i*g.count : (i+1)*g.count : (i+1)*g.count]
	}
	g.cross = make([]int, 0, g.count)
	g.record.events = make([]LimitEvent, 0, eventsMax)
}

// Start puts all groups back to a start. Errors: ErrPack.
func (g *Groups) Start(o GroupOptions) error {
	if o.Step == 0 {
		o.Step = 1
	}
	if o.Temperature == 0 {
		o.Temperature = temperatureDefault
	}
	if o.Health == (cell.Health{}) {
		o.Health = cell.New
	}
	if o.Start != nil && len(o.Start) != g.count {
		return fmt.Errorf("%w: %d groups are described, the pack has %d", ErrPack, len(o.Start), g.count)
	}
	if err := g.derate(&o); err != nil {
		return err
	}
	for i := range g.count {
		var s GroupStart
		if o.Start != nil {
			s = o.Start[i]
		}
		if err := g.startGroup(i, s, &o); err != nil {
			return err
		}
	}
	g.o, g.time = o, 0
	g.record.clear()
	for j := range g.str {
		g.str[j] = stringState{}
	}
	g.dt = 0 // so that every group is read anew
	if err := g.SetStep(o.Step); err != nil {
		return err
	}
	for i := range g.volt {
		g.volt[i] = g.law.base[i] + g.law.rise[i]*g.now.x[i]
	}
	g.rest()
	return nil
}

// derate checks and takes the law of derating.
func (g *Groups) derate(o *GroupOptions) error {
	d := o.Derating
	if !(d.Voltage >= 0) || !(d.Temperature >= 0) || !(d.Overload >= 0) || math.IsInf(float64(d.Voltage)+float64(d.Temperature)+float64(d.Overload), 0) {
		return fmt.Errorf("%w: derating over %g V, %g K and %g s: each must be 0 or more", ErrPack, float64(d.Voltage), float64(d.Temperature), float64(d.Overload))
	}
	if d.Off {
		g.band, g.ramp, g.tau = 0, 0, 0
		return nil
	}
	g.band, g.ramp, g.tau = float64(d.Voltage), float64(d.Temperature), float64(d.Overload)
	if g.band == 0 {
		g.band = deratingVoltage * (g.table.voltageMax - g.table.voltageMin)
	}
	if g.ramp == 0 {
		g.ramp = deratingTemperature
	}
	if g.tau == 0 {
		g.tau = deratingOverload
	}
	return nil
}

// Defaults of Derating. Source: assumption.
const (
	deratingVoltage     = 0.05 // of the span from lowest to highest voltage
	deratingTemperature = 5    // K
	deratingOverload    = 5.0  // s
)

func (g *Groups) startGroup(i int, s GroupStart, o *GroupOptions) error {
	or := func(v, w unit.Ratio) float64 {
		if v == 0 {
			v = w
		}
		return float64(v)
	}
	charge, share, growth := or(s.Charge, o.Charge), or(s.CapacityShare, o.Health.CapacityShare), or(s.ResistanceGrowth, o.Health.ResistanceGrowth)
	t := float64(s.Temperature)
	if t == 0 {
		t = float64(o.Temperature)
	}
	switch {
	case !(charge > 0 && charge <= 1):
		return fmt.Errorf("%w: group %d: charge at the start %g: it must be above 0 and at most 1", ErrPack, i+1, charge)
	case !(share > 0 && share <= 1.2):
		return fmt.Errorf("%w: group %d: capacity share %g: it must be above 0 and at most 1.2", ErrPack, i+1, share)
	case !(growth >= 0.1 && growth <= 100):
		return fmt.Errorf("%w: group %d: resistance growth %g: it must be 0.1 to 100", ErrPack, i+1, growth)
	case !(t >= temperatureLeast && t <= temperatureMost):
		return fmt.Errorf("%w: group %d: temperature %g K: it must be %g to %g K", ErrPack, i+1, t, temperatureLeast, temperatureMost)
	}
	f := &g.fixed
	f.capacity[i] = g.table.capacity * share * g.cells
	f.growth[i] = growth / g.cells
	f.temp[i] = t
	g.now.x[i], g.now.v1[i], g.now.v2[i] = charge*g.full, 0, 0
	g.heat[i] = 0
	return nil
}

// SetStep sets the length of the steps to come. Errors: ErrPack unless it is
// above 0 and at most an hour.
func (g *Groups) SetStep(d unit.Time) error {
	dt := float64(d)
	if !(dt > 0 && dt <= 3600) {
		return fmt.Errorf("%w: step of %g s: it must be above 0 and at most 3600 s", ErrPack, dt)
	}
	if dt != g.dt {
		g.setStep(dt)
	}
	return nil
}

func (g *Groups) setStep(dt float64) {
	g.dt = dt
	for i, q := range g.fixed.capacity {
		g.fixed.kx[i] = dt * g.full / q
		g.warm(i)
	}
	g.weakest()
}

// refresh reads the circuit of group i for its charge, temperature and step.
func (g *Groups) refresh(i int) {
	l, t := &g.law, g.table
	s := t.at(g.now.x[i])
	c := t.read(s, g.fixed.temp[i])
	k := g.fixed.growth[i]
	r0, r1, r2 := c.r0*k, c.r1*k, c.r2*k
	a1, g1, f1, h1 := pair(r1, c.tau1, g.dt)
	a2, g2, f2, h2 := pair(r2, c.tau2, g.dt)
	l.lo[i], l.hi[i] = float64(s), float64(s+1)
	if s == 0 {
		l.lo[i] = math.Inf(-1)
	}
	if s == len(t.base)-1 {
		l.hi[i] = math.Inf(1)
	}
	l.base[i], l.rise[i], l.dudt[i] = t.base[s], t.rise[s], t.dudt[s]
	l.r0[i], l.r1[i], l.r2[i] = r0, r1, r2
	l.a1[i], l.f1[i], l.a2[i], l.f2[i] = a1, f1, a2, f2
	l.k1[i], l.k2[i] = unsettled(r1, a1, f1), unsettled(r2, a2, f2)
	kx := g.fixed.kx[i]
	l.mean[i] = r0 + h1 + h2 + t.rise[s]*kx/2
	l.end[i] = r0 + g1 + g2 + t.rise[s]*kx
}

// unsettled returns f·(1 + a)/2/R, see groupHeat.
func unsettled(r, a, f float64) float64 {
	if r == 0 {
		return 0
	}
	return f * (1 + a) / 2 / r
}

// warm reads circuit and limits of group i for its temperature.
func (g *Groups) warm(i int) {
	f := &g.fixed
	f.read[i] = f.temp[i]
	g.refresh(i)
	amps := g.table.capacity / 3600 * g.cells // A of the group at 1 C, rated
	peak, cont := g.table.discharge.at(f.temp[i], g.ramp)
	f.peak[i], f.cont[i] = peak*amps, cont*amps
	peak, cont = g.table.charge.at(f.temp[i], g.ramp)
	f.chPeak[i], f.chCont[i] = peak*amps, cont*amps
}

// weakest finds the limits of current of each string: that of the group which
// may carry least.
func (g *Groups) weakest() {
	f := &g.fixed
	least := func(from int, x []float64) (float64, int) {
		at := from
		for i := from + 1; i < from+g.series; i++ {
			if x[i] < x[at] {
				at = i
			}
		}
		return x[at], at
	}
	for j := range g.str {
		s, from := &g.str[j], j*g.series
		s.peak, s.atPeak = least(from, f.peak)
		s.cont, s.atCont = least(from, f.cont)
		s.chPeak, s.atChPeak = least(from, f.chPeak)
		s.chCont, s.atChCont = least(from, f.chCont)
	}
}

// SetTemperatures sets the temperatures of all groups in K, one per group, for
// the steps to come. Errors: ErrPack for another length or a temperature that
// is not one; nothing is changed then.
func (g *Groups) SetTemperatures(kelvin []float64) error {
	if len(kelvin) != g.count {
		return fmt.Errorf("%w: %d temperatures for %d groups", ErrPack, len(kelvin), g.count)
	}
	for i, t := range kelvin {
		if !(t >= temperatureLeast && t <= temperatureMost) {
			return fmt.Errorf("%w: group %d: temperature %g K: it must be %g to %g K", ErrPack, i+1, t, temperatureLeast, temperatureMost)
		}
	}
	temp, read := g.fixed.temp[:len(kelvin)], g.fixed.read[:len(kelvin)]
	moved := false
	for i, t := range kelvin {
		temp[i] = t
		if d := t - read[i]; d > refreshAt || d < -refreshAt {
			g.warm(i)
			moved = true
		}
	}
	if moved {
		g.weakest()
	}
	return nil
}
