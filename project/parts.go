package project

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"packyard/cell"
	"packyard/check"
	"packyard/internal/sheet"
	"packyard/part"
)

// The two sheets have one name in their packages; here each has its own, so
// that both can be embedded.
type (
	CellSheet = cell.Sheet
	PartSheet = part.Sheet
)

// PartsFile is a file of the workshop's own parts: cells, hardware, modules,
// drive units, inverters, chargers, converters and stages in one file or in
// several, in the format of the built-in catalogue.
type PartsFile struct {
	CellSheet
	PartSheet
}

// partsMax bounds the files in parts/; a workshop has a few (common practice).
const partsMax = 200

// readParts reads parts/*.yaml in the order of their names and lays them over
// the built-in catalogue. Entries may refer to entries of other files.
func (r *reader) readParts() error {
	r.cells, r.parts = cell.BuiltIn(), part.BuiltIn()
	entries, err := fs.ReadDir(r.fsys, path.Join(r.dir, "parts"))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("parts: %w", err)
	}
	var all PartsFile
	var starts []listStart
	count := 0
	for _, e := range entries {
		if ext := path.Ext(e.Name()); ext != ".yaml" && ext != ".yml" || strings.HasPrefix(e.Name(), ".") {
			continue
		}
		shown := path.Join("parts", e.Name())
		if count++; count > partsMax {
			r.probs.Addf(check.Pos{File: shown, Line: 1, Col: 1}, "file", fmt.Sprintf("at most %d files of parts are read", partsMax), "is one file too many")
			break
		}
		data, err := readFile(r.fsys, path.Join(r.dir, shown), shown, &r.probs)
		if err != nil {
			return err
		}
		if data == nil {
			continue
		}
		var one PartsFile
		sheet.Decode(shown, data, &one, &r.probs)
		starts = append(starts, all.starts(shown)...)
		r.partLeaves = append(r.partLeaves, partLeavesOf(&one)...)
		all.add(&one)
	}
	var probs check.Problems
	r.cells = all.CellSheet.Build(r.cells, &probs)
	r.parts = all.PartSheet.Build(r.parts, &probs)
	crossNames(&all, &probs)
	for _, p := range probs.List {
		p.Path = localPath(p, starts)
		r.probs.Add(p)
	}
	r.probs.More += probs.More
	return nil
}

// listStart is where the entries of one file begin in a merged list.
type listStart struct {
	file, list string
	at         int
}

func (p *PartsFile) starts(file string) []listStart {
	return []listStart{
		{file, "cells", len(p.Cells)}, {file, "hardware", len(p.Hardware)}, {file, "modules", len(p.Modules)},
		{file, "drive_units", len(p.DriveUnits)}, {file, "inverters", len(p.Inverters)}, {file, "chargers", len(p.Chargers)},
		{file, "converters", len(p.Converters)}, {file, "stages", len(p.StageKinds)},
		{file, "fuses", len(p.Fuses)}, {file, "contactors", len(p.Contactors)}, {file, "cables", len(p.Cables)}, {file, "disconnects", len(p.Disconnects)},
		{file, "isolation_monitors", len(p.Monitors)}, {file, "precharge_resistors", len(p.Resistors)},
	}
}

func (p *PartsFile) add(o *PartsFile) {
	p.Cells = append(p.Cells, o.Cells...)
	p.Hardware = append(p.Hardware, o.Hardware...)
	p.Modules = append(p.Modules, o.Modules...)
	p.DriveUnits = append(p.DriveUnits, o.DriveUnits...)
	p.Inverters = append(p.Inverters, o.Inverters...)
	p.Chargers = append(p.Chargers, o.Chargers...)
	p.Converters = append(p.Converters, o.Converters...)
	p.StageKinds = append(p.StageKinds, o.StageKinds...)
	p.Fuses = append(p.Fuses, o.Fuses...)
	p.Contactors = append(p.Contactors, o.Contactors...)
	p.Cables = append(p.Cables, o.Cables...)
	p.Disconnects = append(p.Disconnects, o.Disconnects...)
	p.Monitors = append(p.Monitors, o.Monitors...)
	p.Resistors = append(p.Resistors, o.Resistors...)
}

var listPath = regexp.MustCompile(`^([a-z_]+)\[(\d+)\]`)

// localPath turns an index into the merged list into that of the file.
func localPath(p check.Problem, starts []listStart) string {
	m := listPath.FindStringSubmatch(p.Path)
	if m == nil {
		return p.Path
	}
	index, err := strconv.Atoi(m[2])
	if err != nil {
		return p.Path
	}
	for _, s := range starts {
		if s.file == p.Pos.File && s.list == m[1] && index >= s.at {
			return fmt.Sprintf("%s[%d]%s", m[1], index-s.at, p.Path[len(m[0]):])
		}
	}
	return p.Path
}

// crossNames finds a name that a cell, module or hardware shares with a part
// of the other sheet; within each sheet its own reader looks.
func crossNames(all *PartsFile, probs *check.Problems) {
	taken := map[string]check.Pos{}
	for _, id := range cell.BuiltIn().IDs() {
		taken[id] = check.Pos{}
	}
	for _, list := range [][]check.Text{names(all.Cells, func(c cell.CellSheet) check.Text { return c.ID }),
		names(all.Hardware, func(c cell.HardwareSheet) check.Text { return c.ID }), names(all.Modules, func(c cell.ModuleSheet) check.Text { return c.ID })} {
		for _, id := range list {
			taken[id.Value] = id.Pos
		}
	}
	for list, ids := range map[string][]check.Text{
		"drive_units": names(all.DriveUnits, func(c part.DriveUnitSheet) check.Text { return c.ID }),
		"inverters":   names(all.Inverters, func(c part.InverterSheet) check.Text { return c.ID }),
		"chargers":    names(all.Chargers, func(c part.ChargerSheet) check.Text { return c.ID }),
		"converters":  names(all.Converters, func(c part.ConverterSheet) check.Text { return c.ID }),
		"stages":      names(all.StageKinds, func(c part.StageKindSheet) check.Text { return c.ID }),

		"fuses":               names(all.Fuses, func(c part.FuseSheet) check.Text { return c.ID }),
		"contactors":          names(all.Contactors, func(c part.ContactorSheet) check.Text { return c.ID }),
		"cables":              names(all.Cables, func(c part.CableSizeSheet) check.Text { return c.ID }),
		"disconnects":         names(all.Disconnects, func(c part.DisconnectSheet) check.Text { return c.ID }),
		"isolation_monitors":  names(all.Monitors, func(c part.IsolationMonitorSheet) check.Text { return c.ID }),
		"precharge_resistors": names(all.Resistors, func(c part.PulseResistorSheet) check.Text { return c.ID }),
	} {
		for i, id := range ids {
			if first, twice := taken[id.Value]; twice && id.Value != "" {
				where := "a part of the built-in catalogue"
				if !first.IsZero() {
					where = "the part at " + first.String()
				}
				probs.Addf(id.Pos, fmt.Sprintf("%s[%d].id", list, i), "give it a name of its own", "%q is also the name of %s", id.Value, where)
			}
		}
	}
	slices.SortStableFunc(probs.List, func(a, b check.Problem) int {
		return cmp.Or(cmp.Compare(a.Pos.File, b.Pos.File), cmp.Compare(a.Pos.Line, b.Pos.Line), cmp.Compare(a.Pos.Col, b.Pos.Col))
	})
}

func names[T any](list []T, id func(T) check.Text) []check.Text {
	out := make([]check.Text, len(list))
	for i, e := range list {
		out[i] = id(e)
	}
	return out
}

// unknown records that text names no part of the catalogue.
func (r *reader) unknown(t check.Text, at, kind string, known []string) {
	if !r.read(t.Pos) {
		return
	}
	hint := "known are " + strings.Join(known, ", ")
	if near := sheet.Nearest(t.Value, known); near != "" {
		hint = "did you mean " + near + "?"
	}
	r.probs.Addf(t.Pos, at, hint, "%q is not a known %s", t.Value, kind)
}
