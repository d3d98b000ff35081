package drive

import (
	"math"

	"packyard/part"
	"packyard/unit"
)

// gravity is the standard acceleration of free fall in m/s². Source: cgpm-1901.
const gravity = 9.80665

// chain is a Train with everything worked out that does not change from step
// to step, in SI.
type chain struct {
	mass, massTotal float64 // kg, without and with what turns
	a, b, c, wind   float64 // road load N, N·s/m, N·s²/m²; headwind m/s
	radius          float64 // m
	ratio           float64 // motor speed over wheel speed
	turn            float64 // rad/s of the motor per m/s
	pull            float64 // N·m at the motor per N at the wheels without loss
	gear            float64 // efficiency of all stages together
	torqueRated     float64 // N·m at the motor, what the stages bear
	speedRated      float64 // rad/s at the motor, what the stages and the unit bear
	inverter        float64 // efficiency
	perInverter     float64 // 1/inverter
	perGear         float64 // 1/gear
	voltsPerWatt    float64 // voltageRef/powerPeak
	idle            float64 // W
	auxiliary       float64 // W
	share           float64 // regeneration
	fadeFrom        float64 // m/s
	fadeTo          float64 // m/s
	regenTorque     float64 // N·m at the motor
	regenPower      float64 // W DC
	gripDrive       float64 // N
	gripBrake       float64 // N
	textbook        bool    // the loss is in textbook form: the constants below hold it
	coasted         bool    // the loss without torque is in the road load
	still           float64 // W lost without torque at standstill
	kc, ki, kw, k0  float64
	voltageRef      float64 // V; 0: power does not depend on voltage
	torquePeak      float64 // N·m
	powerPeak       float64 // W
	bands           part.Bands
	unit            *part.DriveUnit
}

// makeChain strips a valid Train.
func makeChain(t *Train) chain {
	a, b, c := t.Road.Coefficients(t.Mass, t.Air)
	k := chain{
		mass: float64(t.Mass), massTotal: float64(t.Mass + t.MassRotating),
		a: float64(a), b: float64(b), c: float64(c), wind: float64(t.Air.Headwind),
		radius: float64(t.TyreRadius), ratio: 1, gear: 1,
		torqueRated: math.Inf(1), speedRated: float64(t.Unit.SpeedMax),
		inverter: 1, auxiliary: float64(t.Auxiliary),
		share: float64(t.Regen.Share), fadeFrom: float64(t.Regen.FadeFrom), fadeTo: float64(t.Regen.FadeTo),
		regenTorque: math.Inf(1), regenPower: math.Inf(1),
		gripDrive: math.Inf(1), gripBrake: math.Inf(1),
		voltageRef: float64(t.Unit.VoltageRef), torquePeak: float64(t.Unit.TorquePeak), powerPeak: float64(t.Unit.PowerPeak),
		unit: t.Unit,
	}
	for _, s := range t.Stages {
		if s.TorqueMax > 0 {
			k.torqueRated = min(k.torqueRated, float64(s.TorqueMax)/(k.ratio*k.gear))
		}
		if s.SpeedMax > 0 {
			k.speedRated = min(k.speedRated, float64(s.SpeedMax)*k.ratio)
		}
		k.ratio *= s.Ratio
		k.gear *= float64(s.Efficiency)
	}
	if t.Inverter != nil {
		k.bands = t.Inverter.Bands
		if !t.Unit.Loss.WithInverter {
			k.inverter, k.idle = float64(t.Inverter.Efficiency), float64(t.Inverter.Idle)
		}
	}
	k.turn, k.pull, k.perGear, k.perInverter = k.ratio/k.radius, k.radius/k.ratio, 1/k.gear, 1/k.inverter
	k.voltsPerWatt = k.voltageRef / k.powerPeak
	if l := t.Unit.Loss; l.Grid == nil {
		k.textbook = true
		k.kc, k.ki, k.kw, k.k0 = l.KCopper, l.KIron, l.KWindage, float64(l.Constant)
	}
	if k.coasted = t.CoastedWithUnit; k.coasted {
		k.ki, k.kw = 0, 0
		k.still = float64(t.Unit.LossAt(0, 0))
	}
	if t.Unit.NoRegeneration {
		k.share = 0
	}
	if t.Regen.TorqueMax > 0 {
		k.regenTorque = float64(t.Regen.TorqueMax)
	}
	if t.Regen.PowerMax > 0 {
		k.regenPower = float64(t.Regen.PowerMax)
	}
	if g := t.Grip; g.MassDriven > 0 && g.Friction > 0 {
		weight, shift := float64(g.Friction*unit.Ratio(g.MassDriven))*gravity, float64(g.Friction*g.Transfer)
		k.gripDrive, k.gripBrake = weight/(1-shift), weight/(1+shift)
	}
	return k
}

// slope is the road under one step.
type slope struct{ sin, cos float64 }

func slopeOf(grade float64) slope {
	if grade == 0 {
		return slope{0, 1}
	}
	c := 1 / math.Sqrt(1+grade*grade)
	return slope{grade * c, c}
}

// force returns the force in N at the wheels over a step of dt seconds from
// speed v0 to v1, taken at the speed between. At standstill it is zero: the
// brake holds the vehicle.
func (k *chain) force(v0, v1, dt float64, s slope) float64 {
	v := (v0 + v1) / 2
	if v <= 0 {
		return 0
	}
	air := v + k.wind
	return k.a*s.cos + k.b*v + k.c*air*math.Abs(air) + k.mass*gravity*s.sin + k.massTotal*(v1-v0)/dt
}

// loss returns the loss of the unit in W at |torque| and speed ≥ 0, without
// what the road load holds already.
func (k *chain) loss(torque, speed float64) float64 {
	if k.textbook {
		return k.kc*torque*torque + (k.ki+k.kw*speed*speed)*speed + k.k0
	}
	loss := float64(k.unit.LossAt(unit.Torque(torque), unit.AngularSpeed(speed)))
	if k.coasted {
		loss += k.still - float64(k.unit.LossAt(0, unit.AngularSpeed(speed)))
	}
	return loss
}

// flow is one step at all places between road and pack, power in W, discharge
// positive; while braking shaft and ac are negative.
type flow struct {
	torque, speed float64 // motor, N·m (negative when braking) and rad/s
	force         float64 // of the driven wheels through the gears, N, negative when braking
	shaft         float64 // W at the motor shaft
	loss          float64 // W in the motor
	ac            float64 // W between inverter and motor
	power         float64 // W at the pack terminals
	friction      float64 // W in the friction brakes
}

// drive sets o to the flow for a force f ≥ 0 at speed v. It writes in place
// because copying the struct would cost as much as computing it.
func (k *chain) drive(o *flow, f, v float64) {
	w := v * k.turn
	torque := f * k.pull * k.perGear
	shaft, loss := torque*w, k.loss(torque, w)
	ac := shaft + loss
	o.torque, o.speed, o.force, o.shaft, o.loss, o.ac = torque, w, f, shaft, loss, ac
	o.power = ac*k.perInverter + k.idle + k.auxiliary
	o.friction = 0
}

// brake sets o to the flow for a force f < 0 at speed v when the motor takes the
// part m ≥ 0 of it (N at the wheels) and the friction brakes the rest.
func (k *chain) brake(o *flow, f, v, m float64) {
	w := v * k.turn
	torque := m * k.pull * k.gear
	shaft, loss := -torque*w, k.loss(torque, w)
	ac := shaft + loss
	o.torque, o.speed, o.force, o.shaft, o.loss, o.ac = -torque, w, -m, shaft, loss, ac
	o.friction = (-f - m) * v
	if ac < 0 {
		o.power = ac*k.inverter + k.idle + k.auxiliary
	} else {
		o.power = ac*k.perInverter + k.idle + k.auxiliary
	}
}

// fade returns the share of the motor in braking at speed v.
func (k *chain) fade(v float64) float64 {
	switch {
	case v >= k.fadeFrom:
		return k.share
	case v <= k.fadeTo:
		return 0
	}
	return k.share * (v - k.fadeTo) / (k.fadeFrom - k.fadeTo)
}

// regenerate sets o to the flow for a force f < 0 at speed v with all that the
// vehicle allows to be recovered at DC voltage u.
func (k *chain) regenerate(o *flow, f, v, u float64) {
	m := min(-f*k.fade(v), k.gripBrake)
	if m == 0 {
		k.brake(o, f, v, 0)
		return
	}
	if most := min(k.torqueMax(v*k.turn, u), k.regenTorque); m*k.pull*k.gear > most {
		m = most * k.perGear / k.pull
	}
	k.brake(o, f, v, m)
	if o.ac >= 0 && o.ac >= k.loss(0, o.speed) {
		k.brake(o, f, v, 0) // turning the motor against so much torque would cost more than it brings
		return
	}
	if k.regenPower < k.auxiliary-o.power {
		k.brakeTo(o, f, v, m, max(k.auxiliary-k.regenPower, o.power))
	}
}

// brakeTo sets o to the flow for a force f < 0 at speed v in which the motor
// takes as much, between nothing and m, that the power at the terminals is p;
// the nearer end where p is not between.
//
// Regeneration that only just rises above the loss can have two solutions; the
// one with the smaller force is taken.
func (k *chain) brakeTo(o *flow, f, v, m, p float64) {
	above := func(x float64) float64 { k.brake(o, f, v, x); return o.power - p }
	if above(0) <= 0 {
		return
	}
	if above(m) >= 0 {
		return
	}
	k.brake(o, f, v, falsePosition(0, m, above))
}

// torqueMax returns the largest torque of the motor in N·m at speed w and DC
// voltage u, by unit, kept stages and voltage bands of the inverter.
func (k *chain) torqueMax(w, u float64) float64 {
	if w > k.speedRated {
		return 0
	}
	d := k.derate(u)
	t := min(k.torquePeak, k.torqueRated)
	power := k.powerPeak
	if k.voltageRef > 0 && u < k.voltageRef {
		power *= max(u, 0) / k.voltageRef
	}
	if power < t*w {
		t = power / w
	}
	return t * d
}

// derate returns the share of torque and power that the inverter gives at DC
// voltage u: all in its full band, none outside its reduced band, linear
// between. Source: assumption (makers state the bands, not the law between).
func (k *chain) derate(u float64) float64 {
	b := &k.bands
	if low, none := float64(b.FullMin), float64(b.ReducedMin); u < low {
		if u <= none || none >= low {
			return 0
		}
		return (u - none) / (low - none)
	}
	if high, none := float64(b.FullMax), float64(b.ReducedMax); high > 0 && u > high {
		if u >= none {
			return 0
		}
		return (none - u) / (none - high)
	}
	return 1
}

// voltageNeeded returns the least DC voltage in V at which the unit gives the
// flow within its full band.
func (k *chain) voltageNeeded(o *flow) float64 {
	if o.torque == 0 {
		return 0
	}
	u := float64(k.bands.FullMin)
	if k.voltageRef > 0 {
		u = max(u, k.voltsPerWatt*math.Abs(o.shaft))
	}
	return u
}

// forceMax returns the largest driving force in N at speed v and DC voltage u.
func (k *chain) forceMax(v, u float64) float64 {
	return min(k.torqueMax(v*k.turn, u)*k.gear/k.pull, k.gripDrive)
}

// step sets o to the flow of a step from v0 to v1 with all regeneration that the
// vehicle allows at DC voltage u and returns the force; what the motor can give
// is not looked at.
func (k *chain) step(o *flow, v0, v1, dt float64, s slope, u float64) (force float64) {
	v := (v0 + v1) / 2
	f := k.force(v0, v1, dt, s)
	if f >= 0 {
		k.drive(o, f, v)
	} else {
		k.regenerate(o, f, v, u)
	}
	return f
}

// rootSteps bounds falsePosition. Halving alone needs 52 to reach the last bit.
const rootSteps = 120

// falsePosition returns x between low and high with g(x) = 0, g(low) and
// g(high) of unlike sign, by the Illinois method with a bisection whenever the
// bracket shrank by less than half in three steps. It returns the end on the
// side of low, so that g has there the sign of g(low) or is zero.
func falsePosition(low, high float64, g func(float64) float64) float64 {
	gl, gh := g(low), g(high)
	width := math.Abs(high - low)
	side := 0
	for i := range rootSteps {
		if gl == 0 || math.Abs(high-low) <= 1e-14*(math.Abs(low)+math.Abs(high)) {
			break
		}
		x := (low*gh - high*gl) / (gh - gl)
		if i%3 == 2 {
			if now := math.Abs(high - low); now > width/2 {
				x = (low + high) / 2
				width = now
			} else {
				width = now
			}
		}
		if !(x > min(low, high) && x < max(low, high)) {
			x = (low + high) / 2
			if x == low || x == high {
				break
			}
		}
		gx := g(x)
		if math.Signbit(gx) == math.Signbit(gl) || gx == 0 {
			low, gl = x, gx
			if side == 1 {
				gh /= 2
			}
			side = 1
		} else {
			high, gh = x, gx
			if side == -1 {
				gl /= 2
			}
			side = -1
		}
	}
	return low
}
