// Package circuit makes the high-voltage circuit of a pack: fault currents, fuses,
// contactors, precharge, cables, insulation, and the netlist that drawings show.
package circuit
