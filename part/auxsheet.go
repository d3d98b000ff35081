package part

import (
	"fmt"

	"packyard/check"
	"packyard/unit"
)

// AuxiliarySheet is what a project writes about its auxiliaries; whatever is
// left out is that of a converted car on a dry day.
type AuxiliarySheet struct {
	Pos           check.Pos               `sheet:",pos"`
	Measured      check.Given[unit.Power] `sheet:"measured" range:">0 W..20 kW" doc:"mean power at the pack as measured; takes the place of everything else"`
	Dark          check.Flag              `sheet:"dark" doc:"lamps on"`
	Wet           check.Flag              `sheet:"wet" doc:"lamps and wipers on"`
	StandardLoads check.Flag              `sheet:"standard_loads" doc:"whether the table of 12 V loads is used; yes if not given"`
	Loads         []LoadSheet             `sheet:"loads" doc:"further consumers of the 12 V net"`
	Cabin         *CabinSheet             `sheet:"cabin" doc:"heating and cooling"`
	Pumps         check.Given[unit.Power] `sheet:"pumps" range:"0 W..2 kW" doc:"coolant pump and fan, mean"`
	VacuumPump    check.Given[unit.Power] `sheet:"vacuum_pump" range:"0 W..1 kW" doc:"brake vacuum pump while running"`
	VacuumDuty    check.Given[unit.Ratio] `sheet:"vacuum_duty" range:"0..1" doc:"share of the time that it runs"`
	Steering      check.Given[unit.Power] `sheet:"steering" range:"0 W..2 kW" doc:"steering assistance, mean"`
}

// LoadSheet is a consumer of the 12 V net as written.
type LoadSheet struct {
	Name  check.Text              `sheet:"name,required" doc:"what it is"`
	Power check.Given[unit.Power] `sheet:"power,required" range:"0 W..5 kW" doc:"while on"`
	Duty  check.Given[unit.Ratio] `sheet:"duty" range:"0..1" doc:"share of the time; always if not given"`
}

// CabinSheet is the cabin as written.
type CabinSheet struct {
	Conductance check.Given[unit.ThermalConductance] `sheet:"conductance" range:"0 W/K..2000 W/K" doc:"cabin to outside, fresh air included"`
	Temperature check.Given[unit.Temperature]        `sheet:"temperature" range:"0 °C..35 °C" doc:"of the cabin when heating"`
	Gains       check.Given[unit.Power]              `sheet:"gains" range:"0 W..5 kW" doc:"sun and occupants when heating"`
	HeatPumpCOP check.Given[unit.Ratio]              `sheet:"heat_pump_cop" range:"1..6" doc:"heat over electricity; 1, a resistive heater, if not given"`
	HeaterMax   check.Given[unit.Power]              `sheet:"heater_max" range:"0 W..20 kW" doc:"largest electric power; 0 W for no heater"`
	Cooling     check.Given[unit.Power]              `sheet:"cooling" range:"0 W..20 kW" doc:"electric power at 35 °C; 0 W for no air-conditioning"`
	CoolingMax  check.Given[unit.Power]              `sheet:"cooling_max" range:"0 W..20 kW" doc:"largest electric power"`
}

// Build returns the auxiliaries. What the project left out goes into the
// assumptions under path.
func (s *AuxiliarySheet) Build(path string, assumed *check.Assumptions) Auxiliaries {
	if s.Measured.IsGiven() && s.Measured.SI > 0 {
		return Auxiliaries{Measured: s.Measured.SI}
	}
	a := AuxiliariesFor(Situation{Dark: s.Dark.Value, Wet: s.Wet.Value})
	if s.StandardLoads.IsGiven() && !s.StandardLoads.Value {
		a.Loads = nil
	} else {
		var sum unit.Power
		for _, l := range a.Loads {
			sum += l.Power
		}
		assumed.Add(check.Assumption{Subject: path + ".standard_loads", Value: check.Of(sum), Source: "amperage-guide"})
	}
	for _, l := range s.Loads {
		a.Loads = append(a.Loads, Load{Name: l.Name.Value, Power: l.Power.SI, Duty: given(l.Duty, 1), Source: "given"})
	}
	take := func(g check.Given[unit.Power], into *unit.Power, source *string, key string) {
		*into = g.Or(assumed, path+"."+key, *into, *source)
		if g.IsGiven() {
			*source = "given"
		}
	}
	take(s.Pumps, &a.Pumps, &a.Sources.Pumps, "pumps")
	take(s.Steering, &a.Steering, &a.Sources.Steering, "steering")
	if s.VacuumPump.IsGiven() {
		duty := s.VacuumDuty.Or(assumed, path+".vacuum_duty", vacuumDuty, "from-memory")
		a.Vacuum, a.Sources.Vacuum = VacuumMean(s.VacuumPump.SI, duty), "given"
	} else if s.VacuumDuty.IsGiven() {
		a.Vacuum = VacuumMean(vacuumRunning, s.VacuumDuty.SI)
	} else {
		assumed.Add(check.Assumption{Subject: path + ".vacuum_pump", Value: check.Of(a.Vacuum), Source: a.Sources.Vacuum})
	}
	a.Room = s.Cabin.build(path+".cabin", assumed)
	a.Cabin = a.Room.Curve()
	if s.Cabin != nil {
		a.Sources.Cabin = "given"
	}
	return a
}

func (s *CabinSheet) build(path string, assumed *check.Assumptions) Cabin {
	c := DefaultCabin()
	if s == nil {
		assumed.Add(check.Assumption{Subject: path + ".conductance", Value: check.Of(c.Conductance), Source: "lohse-busch-2013"})
		assumed.Add(check.Assumption{Subject: path + ".cooling", Value: check.Of(c.CoolPower), Source: "adac-2020s"})
		return c
	}
	c.Conductance = s.Conductance.Or(assumed, path+".conductance", c.Conductance, "lohse-busch-2013")
	c.Comfort = s.Temperature.Or(assumed, path+".temperature", c.Comfort, "lohse-busch-2013")
	c.Gains = given(s.Gains, 0)
	c.HeatCOP = float64(given(s.HeatPumpCOP, 1))
	c.HeatMax = s.HeaterMax.Or(assumed, path+".heater_max", c.HeatMax, "lohse-busch-2013")
	c.CoolPower = s.Cooling.Or(assumed, path+".cooling", c.CoolPower, "adac-2020s")
	c.CoolMax = max(s.CoolingMax.Or(assumed, path+".cooling_max", c.CoolMax, "assumption"), c.CoolPower)
	if s.CoolingMax.IsGiven() {
		c.CoolMax = s.CoolingMax.SI
	}
	return c
}

// Shows returns the auxiliaries as a working: every term at the ambient
// temperature and their sum at the pack.
func (a Auxiliaries) Shows(c *Converter, ambient unit.Temperature) check.Working {
	p, inputs := a.PackPower(c, ambient)
	return check.Working{
		Name: "auxiliaries", Formula: fmt.Sprintf("P = ΣP_12V + P_loss + P_cabin at %.3g °C", celsius(ambient)),
		Inputs: inputs, Result: check.Of(p), Source: "common-practice",
	}
}
