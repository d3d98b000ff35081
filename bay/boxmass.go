package bay

import (
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"packyard/check"
	"packyard/unit"
)

//go:embed data/sheets.csv
var sheetsText string

// Sheet is a sheet metal for battery boxes.
type Sheet struct {
	Name    string
	Density unit.Density
	Source  string // source key
	Status  string // "confirmed", "from memory"
}

// Sheets lists the sheet metals known, with their densities.
func Sheets() ([]Sheet, error) {
	rows, err := csv.NewReader(strings.NewReader(sheetsText)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("bay: sheets: %w", err)
	}
	var out []Sheet
	for _, r := range rows[1:] {
		d, err := strconv.ParseFloat(r[1], 64)
		if err != nil || !(d > 0) {
			return nil, fmt.Errorf("bay: sheets: %s: density is %q, accepted is a positive number", r[0], r[1])
		}
		out = append(out, Sheet{Name: r[0], Density: unit.Density(d), Source: r[2], Status: r[3]})
	}
	return out, nil
}

// ErrSheet is returned for a sheet without thickness or density.
var ErrSheet = errors.New("sheet of the battery box needs a thickness and a density above zero")

// Wall is what a battery box is made of.
type Wall struct {
	Thickness unit.Length
	Density   unit.Density
	Fittings  unit.Ratio // flanges, brackets, seals, insulation and screws as a share of the sheet
	Source    string     // source key of the density; empty: an assumption
}

// EstimateBoxMass estimates the mass of the empty battery box of a bay,
//
//	m = A·t·ρ·(1 + fittings)
//
// with A the outer surface of the bay including the faces of its keep-outs, all
// sides closed and the lid of the same sheet. The surface is taken at the outer
// face, so that edges count twice over the thickness: a bias of about 2·t over
// the shortest edge, upwards. The estimate is recorded in list as an assumption.
// The error is ErrSheet. Source: geometry.
func (b *Bay) EstimateBoxMass(w Wall, list *check.Assumptions) (unit.Mass, error) {
	if !(w.Thickness > 0) || !(w.Density > 0) || !(w.Fittings >= 0) {
		return 0, fmt.Errorf("%w: found %g m, %g kg/m³, fittings %g", ErrSheet,
			float64(w.Thickness), float64(w.Density), float64(w.Fittings))
	}
	m := unit.Mass(float64(b.Surface()) * float64(w.Thickness) * float64(w.Density) * (1 + float64(w.Fittings)))
	source := w.Source
	if source == "" {
		source = "assumption"
	}
	list.Add(check.Assumption{Subject: "bays." + b.Name + ".box_mass", Value: check.Of(m), Source: source})
	return m, nil
}

// Surface returns the area of the boundary of the union of boxes without
// keep-outs, all sides.
func (b *Bay) Surface() unit.Area {
	if len(b.Boxes) == 0 {
		return 0
	}
	g := b.grid()
	sum := 0.0
	for a := range 3 {
		u, v := (a+1)%3, (a+2)%3
		for i := range g.n[u] {
			for j := range g.n[v] {
				face := float64(g.cut[u][i+1]-g.cut[u][i]) * float64(g.cut[v][j+1]-g.cut[v][j])
				before := false
				for k := range g.n[a] + 1 {
					var c vec
					c[a], c[u], c[v] = k, i, j
					inside := k < g.n[a] && g.mark[g.at(c[0], c[1], c[2])] == cellFree
					if inside != before {
						sum += face
					}
					before = inside
				}
			}
		}
	}
	return unit.Area(sum * 1e-12)
}
