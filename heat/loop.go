package heat

import (
	"math"

	"packyard/unit"
)

// loop is the coolant circuit of a System: a supply node with heater and
// chiller, a node in each plate, a junction behind each stage, the radiator.
type loop struct {
	c           *Circuit
	supply      Node
	junctions   []Node // behind the stages
	radiator    Node
	radiatorAir Node
	parts       []part
	toRadiator  StreamID
	back        StreamID
	shares      [][]unit.VolumeFlow // of the flow, by stage and branch
	plates      [][][]Plate
	hydraulics  unit.Temperature // of the coolant when flow and properties were found; zero: not yet
	props       Properties
	flow        unit.VolumeFlow
	head        unit.Pressure
	wanted      bool // flow was asked for since Start
}

// part is one way of the coolant: along the plate of a module, or, without, to
// a junction.
type part struct {
	stream        StreamID
	stage, branch int
	module        int    // −1: to a junction
	rest          LinkID // between coolant and plate while it stands still
}

// newLoop adds the nodes and streams of the circuit, without flow.
func newLoop(s *System, c *Circuit) *loop {
	l := &loop{c: c}
	props := c.Fluid.At(s.outside.Air)
	heavy := float64(props.Density) * float64(props.SpecificHeat) // J/(m³·K)
	piece := unit.HeatCapacity(heavy * float64(c.Volume) / float64(len(c.Stages)+2))
	l.supply = s.Mass("coolant supply", piece)
	l.radiatorAir = s.Surroundings("air at the radiator", s.outside.Air)
	from := l.supply
	for i, stage := range c.Stages {
		junction := s.Mass("coolant behind stage", piece)
		l.shares = append(l.shares, make([]unit.VolumeFlow, len(stage)))
		var plates [][]Plate
		for k, branch := range stage {
			at := from
			var own []Plate
			for _, m := range branch {
				at = l.along(s, at, m, i, k, heavy)
				own = append(own, s.body.Modules[m].Plate)
			}
			l.parts = append(l.parts, part{s.Stream(at, junction, 0), i, k, -1, 0})
			plates = append(plates, own)
		}
		l.plates = append(l.plates, plates)
		l.junctions = append(l.junctions, junction)
		from = junction
	}
	l.radiator = s.Mass("coolant in the radiator", piece)
	l.toRadiator = s.StreamAlong(from, l.radiator, l.radiatorAir, 0, 0)
	l.back = s.Stream(l.radiator, l.supply, 0)
	l.hoses(s)
	return l
}

// hoseFilm is the film of hoses and of a radiator without air stream, convection
// and radiation: the middle of 5 to 10 W/(m²·K). Source: common-practice
// (handbook 6.23, from memory).
const hoseFilm = 7.5

// hoses lets the coolant outside the plates lose heat to the air, each node by
// its share of the hoses' surface.
func (l *loop) hoses(s *System) {
	nodes := append([]Node{l.supply, l.radiator}, l.junctions...)
	g := hoseFilm * float64(l.c.Hose.Wetted()) / float64(len(nodes))
	for _, n := range nodes {
		s.Link(n, s.air, unit.ThermalConductance(g))
	}
}

// along adds plate and coolant of a module behind a node.
func (l *loop) along(s *System, from Node, m, stage, branch int, heavy float64) Node {
	mod := &s.body.Modules[m]
	plate := s.Mass(mod.Name+" plate", mod.Metal)
	coolant := s.Mass(mod.Name+" coolant", unit.HeatCapacity(heavy*float64(mod.Plate.Volume())))
	for i, g := range s.body.Groups {
		if g.Module == m {
			s.Link(Node(i), plate, g.Plate)
		}
	}
	l.parts = append(l.parts, part{s.StreamAlong(from, coolant, plate, 0, 0), stage, branch, m, s.Link(coolant, plate, 0)})
	return coolant
}

// adjust decides the flow, sets the streams, and what heater, chiller and
// radiator do.
func (l *loop) adjust(s *System) {
	t := s.at(l.supply)
	s.state.Inlet, s.state.Outlet = t, s.at(l.junctions[len(l.junctions)-1])
	heating := s.heating && l.c.Heater != nil
	chilling := s.chilling && l.c.Chiller != nil
	cooling := s.cooling && l.c.Radiator != nil && !heating
	flow := unit.VolumeFlow(0)
	if heating || chilling || cooling || s.body.Control.PumpAlways {
		flow, l.wanted = l.flowAt(s, t), true
	}
	w := l.setStreams(s, flow)
	l.condition(s, w, heating, chilling, cooling)
}

// hydraulicBand is how far the coolant may move before the flow is found anew,
// K; viscosity moves by 3 % a kelvin. Source: assumption.
const hydraulicBand = 1

// flowAt returns the flow with the coolant at t and books head and power.
func (l *loop) flowAt(s *System, t unit.Temperature) unit.VolumeFlow {
	if f := l.c.Fluid.Freezes; f > 0 && t <= f {
		s.state.Frozen = true
		return 0
	}
	if l.hydraulics == 0 || math.Abs(float64(t-l.hydraulics)) > hydraulicBand {
		l.hydraulics, l.props, l.flow = t, l.c.Fluid.At(t), l.c.Flow
		if l.c.Pump != nil {
			// Validate has seen the pump, so that there is no error left.
			l.flow, _ = l.c.Pump.Operating(func(q unit.VolumeFlow) unit.Pressure { return l.loss(l.props, q) })
		}
		l.head = l.loss(l.props, l.flow)
	}
	s.state.Flow, s.state.Head = l.flow, l.head
	if l.c.Pump != nil {
		s.state.Pump = l.c.Pump.Electric(l.flow, l.head)
	} else {
		s.state.Pump = l.c.Draws + unit.Power(float64(l.flow)*float64(l.head))
	}
	return l.flow
}

// loss returns the pressure loss of the circuit at a flow, and leaves the
// shares of the branches in shares.
func (l *loop) loss(p Properties, q unit.VolumeFlow) unit.Pressure {
	sum := unit.Pressure(0)
	for i, stage := range l.plates {
		sum += split(stage, p, q, l.shares[i])
	}
	if l.c.Hose.Length > 0 {
		sum += l.c.Hose.PressureLoss(p, unit.Speed(float64(q)/float64(l.c.Hose.Area())))
	}
	return sum
}

// setStreams gives every stream its flow and exchange and returns the whole
// flow in W/K.
func (l *loop) setStreams(s *System, flow unit.VolumeFlow) unit.ThermalConductance {
	p := l.props
	if flow <= 0 {
		p = l.c.Fluid.At(s.at(l.supply))
	}
	heavy := float64(p.Density) * float64(p.SpecificHeat)
	perStage := make([]float64, len(l.shares))
	for i, shares := range l.shares {
		for _, q := range shares {
			perStage[i] += float64(q)
		}
	}
	for i := range l.parts {
		x := &l.parts[i]
		w, q := unit.ThermalConductance(0), unit.VolumeFlow(0)
		if flow > 0 {
			// Shares of one sum, so that what enters a junction leaves it.
			share := float64(l.shares[x.stage][x.branch]) / perStage[x.stage]
			q = unit.VolumeFlow(share) * flow
			w = unit.ThermalConductance(heavy * float64(q))
		}
		if x.module < 0 {
			s.tune(x.stream, w, 0)
			continue
		}
		film := s.body.Modules[x.module].Plate.Film(p, q)
		if w > 0 {
			s.tune(x.stream, w, Exchange(w, film))
			s.SetLink(x.rest, 0)
		} else {
			s.tune(x.stream, 0, 0)
			s.retune(x.rest, film)
		}
	}
	w := unit.ThermalConductance(heavy * float64(flow))
	s.tune(l.back, w, 0)
	return w
}

// tune changes a stream when its flow has changed, or its exchange by more
// than linkBand. Flows change together, so that none is left behind.
func (s *System) tune(id StreamID, flow, exchange unit.ThermalConductance) {
	st := s.streams[id]
	if float64(flow) == st.flow && math.Abs(float64(exchange)-st.exchange) <= linkBand*st.exchange {
		return
	}
	s.SetStream(id, flow, exchange)
}

// condition sets radiator, chiller and heater with the flow w.
func (l *loop) condition(s *System, w unit.ThermalConductance, heating, chilling, cooling bool) {
	exchange := unit.ThermalConductance(0)
	if r := l.c.Radiator; cooling && w > 0 && s.state.Outlet > s.outside.Air {
		exchange = r.Exchange(w, r.AirRated)
		s.state.Fan = r.Fan
	}
	s.tune(l.toRadiator, w, exchange)
	put := unit.Power(0)
	t := s.at(l.radiator) // what flows to the supply
	if c := l.c.Chiller; chilling && w > 0 {
		most := unit.Power(float64(w) * float64(t-c.CoolantMin))
		s.state.Chilled = max(0, min(c.Power, most))
		s.state.Chiller = s.state.Chilled / unit.Power(c.COP)
		put -= s.state.Chilled
	}
	if h := l.c.Heater; heating && w > 0 {
		most := unit.Power(float64(w) * float64(h.CoolantMax-t))
		s.state.Heater = max(0, min(h.Power, most))
		put += s.state.Heater
	}
	s.SetHeat(l.supply, put)
}
