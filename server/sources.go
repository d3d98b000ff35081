package server

import (
	"errors"
	"fmt"
	"math"
	"net/http"

	"packyard/cell"
	"packyard/check"
	"packyard/design"
	"packyard/pack"
	"packyard/unit"
)

// Sources are the lots that can be had.
type Sources struct {
	Revision int64        `json:"revision"`
	Currency string       `json:"currency"`
	Sources  []SourceView `json:"sources"`
}

// SourceView is one lot, as bought.
type SourceView struct {
	Path           string              `json:"path"`
	Name           string              `json:"name"`
	Kind           string              `json:"kind"`
	Part           string              `json:"part"`
	Title          string              `json:"title"`
	Count          int                 `json:"count"`
	Spare          int                 `json:"spare"`
	Price          *float64            `json:"price"` // of a piece, in the currency of Sources; null: not known
	Health         design.HealthLine   `json:"health"`
	HealthEnd      design.HealthLine   `json:"health_end"`
	NotSearched    string              `json:"not_searched,omitempty"` // why
	Candidates     int                 `json:"candidates"`             // by the newest search
	Cell           CellView            `json:"cell"`
	Module         *ModuleView         `json:"module,omitempty"`
	Hardware       string              `json:"hardware,omitempty"`
	CellsPiece     int                 `json:"cells_in_piece"`
	EnergyPiece    unit.Energy         `json:"energy_piece_j"` // between empty and full, no current, as bought
	SpecificEnergy unit.SpecificEnergy `json:"specific_energy_j_per_kg"`
	PricePerKWh    *float64            `json:"price_per_kwh"` // in the currency of Sources for 1 kWh; null: not known
	MassPiece      unit.Mass           `json:"mass_piece_kg"`
	EnergyLot      unit.Energy         `json:"energy_lot_j"` // of all pieces but the spare ones
	Curves         *CurveView          `json:"curves"`
}

// CellView is a kind of cell.
type CellView struct {
	ID             string         `json:"id"`
	Title          string         `json:"title"`
	Chemistry      string         `json:"chemistry"`
	Format         string         `json:"format"`
	Capacity       unit.Charge    `json:"capacity_as"`
	Mass           unit.Mass      `json:"mass_kg"`
	Size           [3]unit.Length `json:"size_m"`
	VoltageMax     unit.Voltage   `json:"voltage_max_v"`
	VoltageNominal unit.Voltage   `json:"voltage_nominal_v"`
	VoltageMin     unit.Voltage   `json:"voltage_min_v"`
	Generic        bool           `json:"generic_curve"`
	CurveSource    string         `json:"curve_source"`
	Facts          []Fact         `json:"facts"`
}

// ModuleView is a kind of module.
type ModuleView struct {
	ID            string          `json:"id"`
	Title         string          `json:"title"`
	Openable      bool            `json:"openable"`
	Series        int             `json:"series"` // cells
	Parallel      int             `json:"parallel"`
	Slices        int             `json:"slices"`
	SliceSeries   int             `json:"slice_series"`
	SliceParallel int             `json:"slice_parallel"`
	Size          [3]unit.Length  `json:"size_m"`
	Mass          unit.Mass       `json:"mass_kg"`
	Resistance    unit.Resistance `json:"resistance_ohm"` // without cells
	Facts         []Fact          `json:"facts"`
}

// Fact says where a figure comes from.
type Fact struct {
	Field       string `json:"field"`
	Source      string `json:"source"`
	SourceTitle string `json:"source_title"`
	Status      string `json:"status"`
}

// CurveView is open-circuit voltage and resistance over charge.
type CurveView struct {
	Charge     []float64         `json:"charge"` // 0…1
	OCV        []float64         `json:"ocv_v"`  // V
	Resistance []ResistanceCurve `json:"resistance"`
	Source     string            `json:"source"`
	From       unit.Temperature  `json:"measured_from_k,omitempty"` // resistance; beyond, it follows Arrhenius
	To         unit.Temperature  `json:"measured_to_k,omitempty"`
}

// ResistanceCurve is the resistance after a pulse of ten seconds.
type ResistanceCurve struct {
	Temperature unit.Temperature `json:"temperature_k"`
	Life        string           `json:"life"`           // "as bought" or "end of life"
	Resistance  []float64        `json:"resistance_ohm"` // Ω, over Charge
}

func factsOf(list []cell.Fact) []Fact {
	out := make([]Fact, len(list))
	for i, f := range list {
		out[i] = Fact{f.Field, f.Source, check.SourceTitle(f.Source), f.Status}
	}
	return out
}

func cellView(c *cell.Cell) CellView {
	v := CellView{
		ID: c.ID, Title: c.Title, Chemistry: string(c.Chemistry), Format: string(c.Format), Capacity: c.Capacity, Mass: c.Mass,
		Size: sizeOf(c.Size), VoltageMax: c.VoltageMax, VoltageNominal: c.VoltageNominal, VoltageMin: c.VoltageMin, Facts: factsOf(c.Facts),
	}
	if c.Curves != nil {
		v.Generic, v.CurveSource = c.Curves.Generic, c.Curves.Source
	}
	return v
}

func sizeOf(s cell.Size) [3]unit.Length { return [3]unit.Length{s.X, s.Y, s.Z} }

func moduleView(m *cell.Module) *ModuleView {
	return &ModuleView{
		ID: m.ID, Title: m.Title, Openable: m.Hardware != nil, Series: m.Groups * m.Slice.Series, Parallel: m.SlicesParallel * m.Slice.Parallel,
		Slices: m.Slices(), SliceSeries: m.Slice.Series, SliceParallel: m.Slice.Parallel, Size: sizeOf(m.Size), Mass: m.Mass,
		Resistance: m.Resistance, Facts: factsOf(m.Facts),
	}
}

func (s *Server) sources(*http.Request) (any, error) {
	snap, revision, err := s.present()
	if err != nil {
		return nil, err
	}
	f, err := snap.frame()
	if err != nil {
		return nil, err
	}
	out := &Sources{Revision: revision, Currency: snap.brief.Currency, Sources: []SourceView{}}
	found, _ := s.live.newest()
	for i := range snap.brief.Sources {
		v, err := sourceView(f, i)
		if err != nil {
			return nil, err
		}
		if found != nil && i < len(found.report.Sources) && found.report.Sources[i].Name == v.Name {
			v.Candidates = found.report.Sources[i].Candidates
		}
		out.Sources = append(out.Sources, v)
	}
	return out, nil
}

func sourceView(f *design.Frame, i int) (SourceView, error) {
	src, lot := &f.Brief.Sources[i], &f.Lots[i]
	c := lot.Slice.Cell
	v := SourceView{
		Path: fmt.Sprintf("sources[%d]", i), Name: src.Name, Kind: string(src.Kind), Part: c.ID, Title: c.Title, Count: src.Count, Spare: src.Spare,
		Health:    design.HealthLine{CapacityShare: src.Health.CapacityShare, ResistanceGrowth: src.Health.ResistanceGrowth},
		HealthEnd: design.HealthLine{CapacityShare: lot.End.Health.CapacityShare, ResistanceGrowth: lot.End.Health.ResistanceGrowth},
		Cell:      cellView(c), CellsPiece: 1, MassPiece: c.Mass, NotSearched: lot.Why,
	}
	if lot.Why != "" {
		v.HealthEnd = v.Health
	}
	if lot.Hardware != nil {
		v.Hardware = lot.Hardware.ID
	}
	if m := src.Module; m != nil {
		v.Part, v.Title, v.Module, v.MassPiece = m.ID, m.Title, moduleView(m), m.Mass
		v.CellsPiece = m.Slices() * m.Slice.Series * m.Slice.Parallel
	}
	if lot.Price > 0 || src.Price.IsGiven() {
		v.Price = &lot.Price
	}
	if c.Curves == nil {
		return v, nil
	}
	now, err := c.At(f.Brief.Road.Ambient, src.Health, curveSize)
	if err != nil {
		return v, fmt.Errorf("source %s: %w", src.Name, err)
	}
	one := pack.Pack{Topology: pack.Topology{Series: 1, Parallel: 1, Strings: 1}, Cell: c, SoCMax: 1}
	v.EnergyPiece = unit.Energy(v.CellsPiece) * one.EnergyChemical(now)
	v.EnergyLot = unit.Energy(src.Count-src.Spare) * v.EnergyPiece
	v.SpecificEnergy = unit.SpecificEnergy(float64(v.EnergyPiece) / float64(v.MassPiece))
	if v.Price != nil && v.EnergyPiece > 0 {
		each := *v.Price / v.EnergyPiece.KilowattHours()
		v.PricePerKWh = &each
	}
	lives := []life{{"as bought", src.Health}}
	if lot.Why == "" {
		lives = append(lives, life{"end of life", lot.End.Health})
	}
	v.Curves, err = curvesOf(c, days(f.Brief), lives)
	return v, err
}

// curveSize is the number of charges of a curve that is shown, in whole percent.
const curveSize = 101

// pulse is the time after which a resistance is shown, as in package design.
const pulse = 10 * unit.Second

type life struct {
	name   string
	health cell.Health
}

// days returns the coldest, the ambient and the hottest temperature of a brief.
func days(b *design.Brief) []unit.Temperature {
	var out []unit.Temperature
	for _, t := range []unit.Temperature{b.Targets.Coldest, b.Road.Ambient, b.Targets.Hottest} {
		if t != 0 && (len(out) == 0 || math.Abs(float64(out[len(out)-1]-t)) > 0.01) {
			out = append(out, t)
		}
	}
	return out
}

// errNoCurves says that a cell is listed without curves.
var errNoCurves = errors.New("has no sourced curve")

func curvesOf(c *cell.Cell, temperatures []unit.Temperature, lives []life) (*CurveView, error) {
	if c.Curves == nil {
		return nil, fmt.Errorf("cell %s %w: %w", c.ID, errNoCurves, errNotFound)
	}
	v := &CurveView{Source: c.Curves.Source, From: c.Curves.ResistanceFrom, To: c.Curves.ResistanceTo}
	for i := range curveSize {
		v.Charge = append(v.Charge, float64(i)/(curveSize-1))
	}
	for _, l := range lives {
		for _, t := range temperatures {
			table, err := c.At(t, l.health, curveSize)
			if err != nil {
				return nil, fmt.Errorf("cell %s: %w", c.ID, err)
			}
			v.OCV = table.OCV // the same at every temperature and age
			r := ResistanceCurve{Temperature: t, Life: l.name}
			for _, z := range v.Charge {
				r.Resistance = append(r.Resistance, float64(pack.ResistanceCell(table, unit.Ratio(z), pulse)))
			}
			v.Resistance = append(v.Resistance, r)
		}
	}
	return v, nil
}

// curves answers with those of a cell, or of the cell of a module, when new.
func (s *Server) curves(r *http.Request) (any, error) {
	snap, _, err := s.present()
	if err != nil {
		return nil, err
	}
	id := r.PathValue("id")
	c := snap.project.Cells.Cell(id)
	if m := snap.project.Cells.Module(id); m != nil {
		c = m.Slice.Cell
	}
	if c == nil {
		return nil, fmt.Errorf("cell or module %q %w", id, errNotFound)
	}
	temperatures := append([]unit.Temperature{unit.Celsius(25)}, days(&snap.brief)...)
	return curvesOf(c, temperatures, []life{{"as bought", cell.New}})
}
