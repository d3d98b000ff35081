package unit

import "slices"

// Kind is one quantity without its type: what a table of all quantities holds.
type Kind struct {
	Noun   string // "mass"; no two kinds have the same
	Symbol string // SI symbol, "kg"
	Rows   []Row  // accepted spellings, the SI unit first
}

func kindOf[Q Quantity]() Kind {
	var q Q
	return Kind{Noun: q.noun(), Symbol: q.symbol(), Rows: q.rows()}
}

// Kinds returns every quantity of the package, in the order of its page.
func Kinds() []Kind {
	return []Kind{
		kindOf[Mass](), kindOf[Length](), kindOf[Area](), kindOf[Volume](), kindOf[Time](), kindOf[Speed](),
		kindOf[Acceleration](), kindOf[Force](), kindOf[Torque](), kindOf[Energy](), kindOf[Power](),
		kindOf[Pressure](), kindOf[Density](), kindOf[MassFlow](), kindOf[VolumeFlow](), kindOf[Angle](),
		kindOf[AngularSpeed](), kindOf[Inertia](), kindOf[Stiffness](), kindOf[Damping](), kindOf[AeroDrag](),
		kindOf[Slope](), kindOf[Consumption](), kindOf[Voltage](), kindOf[Current](), kindOf[Charge](),
		kindOf[CRate](), kindOf[Resistance](), kindOf[Capacitance](), kindOf[Inductance](),
		kindOf[SquareAmpereSecond](), kindOf[SpecificEnergy](), kindOf[EntropicCoefficient](),
		kindOf[Temperature](), kindOf[TemperatureDelta](), kindOf[HeatCapacity](), kindOf[SpecificHeat](),
		kindOf[ThermalConductance](), kindOf[HeatTransferCoefficient](), kindOf[Conductivity](), kindOf[Ratio](),
	}
}

// KindOf returns the quantity with the noun, "mass".
func KindOf(noun string) (Kind, bool) {
	kinds := Kinds()
	i := slices.IndexFunc(kinds, func(k Kind) bool { return k.Noun == noun })
	if i < 0 {
		return Kind{}, false
	}
	return kinds[i], true
}

// bare reports whether a number without a unit is a value of the kind.
func (k Kind) bare() bool { return k.Symbol == "1" }

// hasOffset reports whether the kind has scales with another zero.
func (k Kind) hasOffset() bool {
	return slices.ContainsFunc(k.Rows, func(r Row) bool { return r.Offset != 0 })
}

// difference returns the kind of a difference of two values.
func (k Kind) difference() Kind {
	if !k.hasOffset() {
		return k
	}
	return kindOf[TemperatureDelta]()
}

// nounsOf returns the quantities that have the spelling.
func nounsOf(spelling string) []string {
	var out []string
	for _, k := range Kinds() {
		if spelling != "1" && k.accepts(spelling) {
			out = append(out, k.Noun)
		}
	}
	return out
}
