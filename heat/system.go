package heat

import (
	"fmt"
	"math"

	"packyard/unit"
)

// System is the network of a Body with its films, coolant, and control. It is
// stepped like a Network; coefficients that follow from temperatures are
// computed anew every ten seconds. It serves one goroutine.
type System struct {
	Network
	body                       Body
	outside                    Outside
	air                        Node
	holders                    []Node
	boxes                      []Node
	films                      []LinkID // holder to box, by module
	walls                      []LinkID // box to air, by box
	loop                       *loop    // nil: no coolant
	state                      State
	due                        float64 // s until the coefficients are computed anew
	cooling, chilling, heating bool
}

// Outside is what surrounds the vehicle.
type Outside struct {
	Air      unit.Temperature
	Pressure unit.Pressure // zero: at sea level
	Speed    unit.Speed    // of the vehicle, for the air stream at the boxes
}

// State is what cools and heats a pack at a moment.
type State struct {
	Flow          unit.VolumeFlow  // of the coolant
	Head          unit.Pressure    // that the pump gives
	Inlet, Outlet unit.Temperature // of the coolant before the first and after the last module; zero: no coolant
	Pump, Fan     unit.Power       // electric
	Chilled       unit.Power       // heat that the chiller takes
	Chiller       unit.Power       // electric
	Heater        unit.Power       // electric, coolant heater or pads
	Frozen        bool             // the coolant is at or below its freezing point and stands still
}

// Load returns the electric power of all of it.
func (s State) Load() unit.Power { return s.Pump + s.Fan + s.Chiller + s.Heater }

// refresh is how often coefficients follow temperatures, s; a cell moves by
// tenths of a kelvin in that time. Source: assumption.
const refresh = 10.0

// linkBand is the relative change of a film below which the factors are kept.
const linkBand = 0.01

// emissivity of painted or anodised surfaces. Source: common-practice.
const emissivity = 0.9

// NewSystem builds the network of a body. Errors: ErrBody.
func NewSystem(b Body, o Outside) (*System, error) {
	if err := b.Validate(); err != nil {
		return nil, err
	}
	if !(o.Air > 0) || math.IsInf(float64(o.Air), 0) || !(o.Speed >= 0) || !(o.Pressure >= 0) || math.IsInf(float64(o.Pressure), 0) {
		return nil, fmt.Errorf("%w: air of %g K and %g Pa past a vehicle at %g m/s", ErrBody, float64(o.Air), float64(o.Pressure), float64(o.Speed))
	}
	if o.Pressure == 0 {
		o.Pressure = PressureSea
	}
	s := &System{body: b, outside: o}
	for _, g := range b.Groups {
		s.Source(g.Name, g.Capacity)
	}
	for _, m := range b.Modules {
		s.holders = append(s.holders, s.Mass(m.Name+" holder", m.Holder))
	}
	for _, x := range b.Boxes {
		s.boxes = append(s.boxes, s.Mass("box of "+x.Name, x.Capacity))
	}
	s.air = s.Surroundings("air outside", o.Air)
	for i, g := range b.Groups {
		s.Link(Node(i), s.holders[g.Module], g.Holder)
		if i+1 < len(b.Groups) && b.Groups[i+1].Module == g.Module && g.Next > 0 {
			s.Link(Node(i), Node(i+1), g.Next)
		}
	}
	for i, m := range b.Modules {
		s.films = append(s.films, s.Link(s.holders[i], s.boxes[m.Box], m.Mount))
	}
	for i := range b.Boxes {
		s.walls = append(s.walls, s.Link(s.boxes[i], s.air, 0))
	}
	if b.Circuit != nil {
		s.loop = newLoop(s, b.Circuit)
	}
	return s, nil
}

// Start sets everything to one temperature; control begins at rest.
func (s *System) Start(t unit.Temperature) error {
	s.due, s.state = 0, State{}
	s.cooling, s.chilling, s.heating = false, false, false
	if s.loop != nil {
		s.loop.hydraulics, s.loop.wanted = 0, false
	}
	return s.Network.Start(t)
}

// SetOutside changes air and speed; coefficients follow at the next step.
func (s *System) SetOutside(air unit.Temperature, speed unit.Speed) {
	if air != s.outside.Air {
		s.due = 0
	}
	s.outside.Air, s.outside.Speed = air, speed
	s.SetSurroundings(s.air, air)
	if s.loop != nil {
		s.SetSurroundings(s.loop.radiatorAir, air)
	}
}

// Control returns when what runs.
func (s *System) Control() Control { return s.body.Control }

// SetControl changes when what runs, from the next step on.
func (s *System) SetControl(c Control) { s.body.Control, s.due = c, 0 }

// State returns what cools and heats as of the last step.
func (s *System) State() State { return s.state }

// CoolantBehind appends the temperature of the coolant behind each stage of its
// path, in K, and returns the longer slice; without coolant it appends nothing.
func (s *System) CoolantBehind(to []float64) []float64 {
	if s.loop == nil {
		return to
	}
	for _, n := range s.loop.junctions {
		to = append(to, s.kelvin[n])
	}
	return to
}

// BranchFlows appends the flow through each branch of the coolant path, stage
// after stage, as of the last step, in m³/s, and returns the longer slice;
// without coolant it appends nothing.
func (s *System) BranchFlows(to []float64) []float64 {
	if s.loop == nil {
		return to
	}
	for _, shares := range s.loop.shares {
		sum := 0.0
		for _, q := range shares {
			sum += float64(q)
		}
		for _, q := range shares {
			// The shares stay as they were when the coolant last moved.
			x := 0.0
			if sum > 0 {
				x = float64(s.state.Flow) * float64(q) / sum
			}
			to = append(to, x)
		}
	}
	return to
}

// Load returns the electric power of pump, fan, chiller and heater over the
// last step.
func (s *System) Load() unit.Power { return s.state.Load() }

// Step is Network.Step, heat in W by group, with control and coefficients as of
// its begin. Errors: ErrStep, ErrNetwork.
func (s *System) Step(heat []float64, d unit.Time) error {
	if s.due <= 0 {
		if s.matrix == nil {
			return fmt.Errorf("%w: the system is not started", ErrStep)
		}
		s.adjust()
		s.due = refresh
	}
	s.due -= float64(d)
	return s.Network.Step(heat, d)
}

// Extremes returns the hottest and coldest group with their index.
func (s *System) Extremes() (hottest, coldest int) {
	for i, t := range s.kelvin[:s.sources] {
		if t > s.kelvin[hottest] {
			hottest = i
		}
		if t < s.kelvin[coldest] {
			coldest = i
		}
	}
	return hottest, coldest
}

// at returns the temperature of a node.
func (s *System) at(n Node) unit.Temperature { return unit.Temperature(s.kelvin[n]) }

// adjust decides what runs and computes the coefficients.
func (s *System) adjust() {
	hot, cold := s.Extremes()
	c, band := s.body.Control, s.body.Control.Band
	switchAt(&s.cooling, s.at(Node(hot)), c.CoolAbove, band)
	switchAt(&s.chilling, s.at(Node(hot)), c.ChillAbove, band)
	s.heating = c.HeatBelow > 0 && (s.at(Node(cold)) < c.HeatBelow || s.heating && s.at(Node(cold)) < c.HeatBelow+unit.Temperature(band))
	s.state = State{}
	if s.loop != nil {
		s.loop.adjust(s)
	}
	if s.body.Pads > 0 {
		power := unit.Power(0)
		if s.heating {
			power = s.body.Pads
			s.state.Heater += power
		}
		for _, h := range s.holders {
			s.SetHeat(h, power/unit.Power(len(s.holders)))
		}
	}
	s.insideFilms()
	s.outsideFilms()
}

// switchAt turns on above the border and off below the border less the band.
func switchAt(on *bool, t, border unit.Temperature, band unit.TemperatureDelta) {
	*on = border > 0 && (t > border || *on && t > border-unit.Temperature(band))
}

// retune changes a conductance when it has moved by more than linkBand.
func (s *System) retune(id LinkID, g unit.ThermalConductance) {
	if was := float64(s.links[id].g); math.Abs(float64(g)-was) > linkBand*was {
		s.SetLink(id, g)
	}
}

// insideFilms joins the holders with their boxes: from the module's surface by
// free convection to the air in the box and from that to its wall, radiation
// beside it, and the mounts:
//
//	G = G_mount + 1/(1/(h·A) + 1/(h·A_box/n)) + h_r·A,  n modules in the box
//
// Source: churchill-chu-1975; incropera, ch. 9 and 13 (wide enclosure).
func (s *System) insideFilms() {
	for i := range s.body.Modules {
		m := &s.body.Modules[i]
		t, box := s.at(s.holders[i]), s.at(s.boxes[m.Box])
		h := FilmFree(t, box, m.Height, s.outside.Pressure)
		share := float64(s.body.Boxes[m.Box].Surface) / float64(s.inBox(m.Box))
		g := Series(unit.ThermalConductance(float64(h)*float64(m.Surface)), unit.ThermalConductance(float64(h)*share))
		g += unit.ThermalConductance(float64(FilmRadiant(emissivity, t, box)) * float64(m.Surface))
		s.retune(s.films[i], m.Mount+g)
	}
}

func (s *System) inBox(box int) int {
	n := 0
	for i := range s.body.Modules {
		if s.body.Modules[i].Box == box {
			n++
		}
	}
	return n
}

// outsideFilms joins the boxes with the air: insulation, then the larger of
// free convection and air stream, and radiation. The outer face is at the
// temperature that the last conductance gives it.
func (s *System) outsideFilms() {
	for i := range s.body.Boxes {
		b := &s.body.Boxes[i]
		area := float64(b.Surface)
		box, air := s.at(s.boxes[i]), s.outside.Air
		face := box
		through := b.Insulation.Conductance(b.Surface)
		if through > 0 {
			face -= unit.Temperature(s.links[s.walls[i]].g/float64(through)) * (box - air)
		}
		h := max(FilmFree(face, air, b.Height, s.outside.Pressure),
			FilmStream(s.outside.Speed*unit.Speed(b.AirShare), air, b.Length, s.outside.Pressure))
		g := unit.ThermalConductance(area * float64(h+FilmRadiant(emissivity, face, air)))
		if through > 0 {
			g = Series(through, g)
		}
		s.retune(s.walls[i], g)
	}
}

// Circuit returns the coolant circuit of the pack, nil when it is passive.
func (s *System) Circuit() *Circuit { return s.body.Circuit }

// FlowWanted reports whether control asked for coolant flow at any time since
// Start, whether there was any or not.
func (s *System) FlowWanted() bool { return s.loop != nil && s.loop.wanted }
