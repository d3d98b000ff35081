package server

import (
	"packyard/drive"
	"packyard/unit"
)

// Flow is where the energy of a run went, from the wall to the road. What comes
// into a node leaves it.
type Flow struct {
	Nodes    []FlowNode `json:"nodes"`
	Links    []FlowLink `json:"links"`
	Residual unit.Ratio `json:"residual"` // what does not close, over what flowed through the terminals
}

// FlowNode is a place that energy passes.
type FlowNode struct {
	ID   string `json:"id"`
	Name string `json:"name"`
	Kind string `json:"kind"` // "supply", "stage", "loss", "use"
}

// FlowLink is energy on its way; returned by braking.
type FlowLink struct {
	From     string      `json:"from"`
	To       string      `json:"to"`
	Energy   unit.Energy `json:"energy_j"`
	Returned bool        `json:"returned"`
}

// flowOf makes the flow of a run from its totals and its balance. A figure below
// zero flows the other way: a road that goes down gives.
func flowOf(r *drive.Result, b *drive.Balance) Flow {
	f := &Flow{Residual: b.Residual(), Links: []FlowLink{}}
	f.Nodes = []FlowNode{
		{"wall", "from the wall", "supply"}, {"cells", "cells", "stage"}, {"terminals", "terminals of the pack", "stage"},
		{"inverter", "inverter", "stage"}, {"motor", "motor", "stage"}, {"gears", "gears", "stage"}, {"wheels", "wheels", "stage"},
		{"charging", "lost while charging", "loss"}, {"resistance", "resistance of the cells", "loss"}, {"joints", "joints and cables", "loss"},
		{"stored", "left in the cells' slow voltages", "use"}, {"auxiliary", "auxiliaries", "use"}, {"inverter-loss", "lost in the inverter", "loss"},
		{"motor-loss", "lost in the motor", "loss"}, {"gear-loss", "lost in the gears", "loss"}, {"rolling", "rolling", "use"}, {"air", "air", "use"},
		{"grade", "climbing", "use"}, {"inertia", "speed at the end", "use"}, {"friction", "friction brakes", "loss"},
	}
	e := &r.Energy
	if e.Wall > 0 {
		f.link("wall", "cells", e.Chemical)
		f.link("wall", "charging", e.Wall-e.Chemical)
	}
	f.link("cells", "resistance", b.R0+b.RC1Lost+b.RC2Lost)
	f.link("cells", "stored", b.RC1Stored+b.RC2Stored)
	f.link("cells", "joints", b.Joints)
	f.link("cells", "terminals", e.Terminals)
	f.link("terminals", "auxiliary", b.Auxiliary)
	f.link("terminals", "inverter", e.Terminals-b.Auxiliary)
	f.link("inverter", "inverter-loss", b.Inverter)
	f.link("inverter", "motor", e.Terminals-b.Auxiliary-b.Inverter)
	f.link("motor", "motor-loss", b.Motor)
	f.link("motor", "gears", e.Motor)
	f.link("gears", "gear-loss", b.Stages)
	f.link("gears", "wheels", e.Traction)
	f.back("wheels", "gears", e.Recovered)
	f.link("wheels", "rolling", b.Rolling)
	f.link("wheels", "air", b.Air)
	f.link("wheels", "grade", b.Grade)
	f.link("wheels", "inertia", b.Inertia)
	f.link("wheels", "friction", b.Friction)
	return *f
}

func (f *Flow) link(from, to string, e unit.Energy) {
	switch {
	case e > 0:
		f.Links = append(f.Links, FlowLink{From: from, To: to, Energy: e})
	case e < 0:
		f.Links = append(f.Links, FlowLink{From: to, To: from, Energy: -e})
	}
}

func (f *Flow) back(from, to string, e unit.Energy) {
	if e > 0 {
		f.Links = append(f.Links, FlowLink{From: from, To: to, Energy: e, Returned: true})
	}
}
