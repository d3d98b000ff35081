package celltest

import (
	"fmt"
	"math"

	"packyard/cell"
	"packyard/unit"
)

// ReplayOptions are the inputs of Replay; the zero value is the documented default.
type ReplayOptions struct {
	Start        unit.Ratio        // charge of the first row; zero: 1
	End          unit.Charge       // given out, up to which rows count; zero: all
	Temperature  unit.Temperature  // where the log has none; zero: 25 °C
	HeatCapacity unit.HeatCapacity // of the cell, for its inside being warmer than its surface; zero: it is not
	SurfaceLag   unit.Time         // of the surface behind the inside; zero: 10 s
	StepCurrent  unit.Current      // change between two rows from which the voltage needs to settle; zero: 0.5 A
	Settling     unit.Time         // for this long; zero: 0.5 s
}

// Replay is a measured current run on a cell, the computed voltage laid over the
// measured one. Errors are computed less measured. Rows soon after a step of
// the current are apart from the settled ones, since the readings of current
// and voltage of a tester are not of the same moment.
type Replay struct {
	Computed       []float64    // V, one per row that counts
	Charge         []float64    // 0…1, one per row that counts
	Rows           int          // that count
	Near           int          // of them soon after a step of the current
	RMSSettled     unit.Voltage // without those
	RMSNear        unit.Voltage // of those
	RMSAll         unit.Voltage // of all
	MeanSettled    unit.Voltage //
	Worst          unit.Voltage // settled, with its sign
	WorstTime      unit.Time    // of the row
	EnergyMeasured unit.Energy  // net out
	EnergyComputed unit.Energy  // with the measured current
	Bands          []ReplayBand // of a tenth of charge each, from full
}

// ReplayBand is the error of the settled rows within a band of charge.
type ReplayBand struct {
	From, To unit.Ratio // charge, From above To
	Rows     int
	RMS      unit.Voltage
	Mean     unit.Voltage
}

// EnergyError returns the error of the net energy as a share of the measured one.
func (r *Replay) EnergyError() unit.Ratio {
	return unit.Ratio(r.EnergyComputed/r.EnergyMeasured - 1)
}

// RunReplay runs the current of a log on a cell. Charge falls by the instrument's
// counter, or by the integral where there is none, over the capacity of the
// cell's circuit; the temperature is that of the log.
//
// Errors: ErrSeries for a log of fewer than two rows or without energy;
// cell.ErrNoCurves, cell.ErrCurves.
func RunReplay(c *cell.Cell, l *Log, o ReplayOptions) (*Replay, error) {
	if l.Len() < 2 {
		return nil, fmt.Errorf("%w: %s has %d rows, wanted are two", ErrSeries, l.Name, l.Len())
	}
	o.fill()
	run, err := c.NewRun()
	if err != nil {
		return nil, err
	}
	r := &Replay{}
	p := replaying{o: o, l: l, run: run, out: r, near: math.Inf(-1)}
	for k := range l.Time {
		if !p.row(k) {
			break
		}
	}
	if r.EnergyMeasured == 0 {
		return nil, fmt.Errorf("%w: no energy went through %s", ErrSeries, l.Name)
	}
	p.end()
	return r, nil
}

func (o *ReplayOptions) fill() {
	if o.Start == 0 {
		o.Start = 1
	}
	if o.Temperature == 0 {
		o.Temperature = unit.Celsius(25)
	}
	if o.SurfaceLag == 0 {
		o.SurfaceLag = 10 * unit.Second
	}
	if o.StepCurrent == 0 {
		o.StepCurrent = 500 * unit.Milliampere
	}
	if o.Settling == 0 {
		o.Settling = 0.5 * unit.Second
	}
}

// replaying is a replay on its way.
type replaying struct {
	o      ReplayOptions
	l      *Log
	run    *cell.Run
	out    *Replay
	given  float64 // A·s since the start
	inside float64 // K by which the inside is warmer than the surface
	near   float64 // s, of the row before the last step of the current
	sums   sums    // settled
	apart  sums    // near steps
}

type sums struct {
	n            int
	sum, squares float64
}

func (s *sums) add(e float64) { s.n, s.sum, s.squares = s.n+1, s.sum+e, s.squares+e*e }

func (s sums) rms() unit.Voltage {
	return unit.Voltage(math.Sqrt(s.squares / math.Max(float64(s.n), 1)))
}
func (s sums) mean() unit.Voltage { return unit.Voltage(s.sum / math.Max(float64(s.n), 1)) }

// row takes one row; false says that it does not count any more.
func (p *replaying) row(k int) bool {
	l, dt := p.l, 0.0
	if k > 0 {
		dt = l.Time[k] - l.Time[k-1]
		if l.Charge != nil {
			p.given = l.Charge[k] - l.Charge[0]
		} else {
			p.given += l.Current[k] * dt
		}
		if math.Abs(l.Current[k]-l.Current[k-1]) > float64(p.o.StepCurrent) {
			p.near = l.Time[k]
		}
	}
	if p.o.End > 0 && p.given > float64(p.o.End) {
		return false
	}
	t := p.o.Temperature
	if l.Temperature != nil {
		t = unit.Temperature(l.Temperature[k])
	}
	soc := float64(p.o.Start) - p.given/float64(p.run.Capacity())
	m := p.run.Step(unit.Current(l.Current[k]), unit.Time(dt), unit.Ratio(soc), t+unit.Temperature(p.inside))
	p.out.Computed, p.out.Charge = append(p.out.Computed, float64(m.Voltage)), append(p.out.Charge, soc)
	if p.o.HeatCapacity > 0 {
		lag := float64(p.o.SurfaceLag)
		e := math.Exp(-dt / lag)
		p.inside = p.inside*e + l.Current[k]*float64(m.OCV-m.Voltage)/float64(p.o.HeatCapacity)*lag*(1-e)
	}
	p.out.EnergyMeasured += unit.Energy(l.Voltage[k] * l.Current[k] * dt)
	p.out.EnergyComputed += unit.Energy(float64(m.Voltage) * l.Current[k] * dt)
	p.judge(k, soc, float64(m.Voltage)-l.Voltage[k])
	return true
}

// replayBands is the number of bands of charge.
const replayBands = 10

func (p *replaying) judge(k int, soc, e float64) {
	if p.l.Time[k]-p.near < float64(p.o.Settling) {
		p.apart.add(e)
		return
	}
	p.sums.add(e)
	if math.Abs(e) > math.Abs(float64(p.out.Worst)) {
		p.out.Worst, p.out.WorstTime = unit.Voltage(e), unit.Time(p.l.Time[k])
	}
	if p.out.Bands == nil {
		for i := range replayBands {
			p.out.Bands = append(p.out.Bands, ReplayBand{From: unit.Ratio(replayBands-i) / replayBands, To: unit.Ratio(replayBands-i-1) / replayBands})
		}
	}
	b := &p.out.Bands[min(max(int((1-soc)*replayBands), 0), replayBands-1)]
	b.Rows++
	b.Mean += unit.Voltage(e)
	b.RMS += unit.Voltage(e * e) // squares until end
}

func (p *replaying) end() {
	r := p.out
	r.Near, r.Rows = p.apart.n, p.apart.n+p.sums.n
	r.RMSSettled, r.MeanSettled, r.RMSNear = p.sums.rms(), p.sums.mean(), p.apart.rms()
	r.RMSAll = sums{r.Rows, 0, p.sums.squares + p.apart.squares}.rms()
	for i := range r.Bands {
		b := &r.Bands[i]
		if b.Rows > 0 {
			b.Mean /= unit.Voltage(b.Rows)
			b.RMS = unit.Voltage(math.Sqrt(float64(b.RMS) / float64(b.Rows)))
		}
	}
}
