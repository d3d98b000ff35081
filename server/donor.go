package server

import (
	"fmt"
	"net/http"

	"packyard/check"
	"packyard/design"
	"packyard/unit"
	"packyard/vehicle"
)

// Donor is the mass ledger with the vehicle before and after.
type Donor struct {
	Revision   int64              `json:"revision"`
	Option     string             `json:"option"` // whose pack is in; "" for none
	Wheelbase  unit.Length        `json:"wheelbase_m"`
	TrackFront unit.Length        `json:"track_front_m"`
	TrackRear  unit.Length        `json:"track_rear_m"`
	TyreRadius unit.Length        `json:"tyre_radius_m"`
	HeightCG   unit.Length        `json:"cg_height_m"` // of the donor as weighed; 0: not stated
	Outline    *Outline           `json:"outline"`
	Removed    []LedgerRow        `json:"removed"`
	Added      []LedgerRow        `json:"added"`
	Pack       []LedgerRow        `json:"pack"`
	LoadCases  []LoadCase         `json:"load_cases"`
	States     []design.StateLine `json:"states"`
	Ratings    Ratings            `json:"ratings"`
	Findings   []StateFindings    `json:"findings"`
	Stability  []check.Input      `json:"stability"`
	Room       *unit.Mass         `json:"room_kg"` // pack mass at which the first rating is reached; null: none is stated
}

// Outline is the overall size of the donor.
type Outline struct {
	Front  unit.Length `json:"front_m"` // overhang before the front axle line
	Rear   unit.Length `json:"rear_m"`  // overhang behind the rear axle line
	Width  unit.Length `json:"width_m"`
	Height unit.Length `json:"height_m"`
}

func outlineOf(o design.Outline) *Outline {
	if o == (design.Outline{}) {
		return nil
	}
	return &Outline{Front: o.Front, Rear: o.Rear, Width: o.Width, Height: o.Height}
}

// LedgerRow is one line of the mass ledger; what the pack brings has no path.
type LedgerRow struct {
	Path   string         `json:"path"`
	Name   string         `json:"name"`
	Mass   unit.Mass      `json:"mass_kg"`
	Text   string         `json:"mass_text"` // as written
	Spread unit.Mass      `json:"spread_kg,omitempty"`
	At     [3]unit.Length `json:"at_m"`
	AtText [3]string      `json:"at_text"`
	Pos    check.Pos      `json:"pos,omitzero"`
}

// LoadCase is one way of loading the vehicle.
type LoadCase struct {
	Name  string      `json:"name"`
	Path  string      `json:"path"`
	Items []LedgerRow `json:"items"`
}

// Ratings are what the vehicle may weigh; 0: not stated.
type Ratings struct {
	Gross     unit.Mass `json:"gross_kg"`
	AxleFront unit.Mass `json:"axle_front_kg"`
	AxleRear  unit.Mass `json:"axle_rear_kg"`
	TyreFront unit.Mass `json:"tyre_front_kg"`
	TyreRear  unit.Mass `json:"tyre_rear_kg"`
}

// StateFindings holds a state of the vehicle against its ratings.
type StateFindings struct {
	State    string          `json:"state"`
	Findings []check.Finding `json:"findings"`
}

func (s *Server) donor(r *http.Request) (any, error) {
	snap, revision, a, err := s.asked(r)
	if err != nil {
		return nil, err
	}
	return donorOf(snap, revision, a)
}

func donorOf(snap *snapshot, revision int64, a *assessed) (*Donor, error) {
	d := &snap.brief.Donor
	w := d.Ratings
	out := &Donor{
		Revision: revision, Wheelbase: d.Wheelbase, TrackFront: d.TrackFront, TrackRear: d.TrackRear, TyreRadius: d.TyreRadius,
		HeightCG: d.HeightCG, Outline: outlineOf(snap.brief.Outline), Pack: []LedgerRow{}, LoadCases: []LoadCase{}, Stability: []check.Input{},
		Ratings: Ratings{w.GrossMass, w.AxleFront, w.AxleRear, w.TyreFront, w.TyreRear},
	}
	out.Removed = ledger(snap, "donor.removed", d.Removed)
	out.Added = ledger(snap, "donor.added", d.Added)
	for i, c := range d.LoadCases {
		path := fmt.Sprintf("donor.load_cases[%d]", i)
		out.LoadCases = append(out.LoadCases, LoadCase{c.Name, path, ledger(snap, path+".items", c.Items)})
	}
	before, bare := d.Before(), d.Converted(nil)
	before.Name, bare.Name = "donor as weighed", "converted without a pack"
	states := []vehicle.State{before, bare}
	last := bare
	if a != nil {
		f, err := snap.frame()
		if err != nil {
			return nil, err
		}
		items := f.Items(a.placed)
		for _, it := range items {
			out.Pack = append(out.Pack, LedgerRow{Name: it.Name, Mass: it.Mass, At: coordinates(it.At)})
		}
		last = d.Converted(items)
		last.Name = "converted, empty"
		states = append(states, last)
		out.Option, out.Stability = a.report.Option, a.report.Stability
		if err := out.room(d, items); err != nil {
			return nil, err
		}
	}
	for _, c := range d.LoadCases {
		st := d.Loaded(last, c)
		st.Name = "converted, " + c.Name
		states = append(states, st)
	}
	for _, st := range states {
		out.States = append(out.States, design.LineOf(st))
		out.Findings = append(out.Findings, StateFindings{st.Name, append([]check.Finding{}, d.Check(st)...)})
	}
	return out, nil
}

// room fills the pack mass at which the first rating is reached, the centre of
// gravity of the pack kept.
func (out *Donor) room(d *vehicle.Donor, items []vehicle.Item) error {
	b, err := vehicle.NewBalance(d)
	if err != nil {
		return err
	}
	mass, moment := 0.0, 0.0
	for _, it := range items {
		mass += float64(it.Mass)
		moment += float64(it.Mass) * float64(it.At.X)
	}
	if mass > 0 {
		if most, bounded := b.Room(unit.Length(moment / mass)); bounded {
			out.Room = &most
		}
	}
	return nil
}

// ledger returns the lines of a list of the file with their words.
func ledger(s *snapshot, path string, items []vehicle.Item) []LedgerRow {
	out := make([]LedgerRow, len(items))
	for i, it := range items {
		at := fmt.Sprintf("%s[%d]", path, i)
		row := LedgerRow{Path: at, Name: it.Name, Mass: it.Mass, Spread: it.MassTol, At: coordinates(it.At)}
		row.Text, _, _ = s.given(at + ".mass")
		for k := range row.AtText {
			row.AtText[k], _, _ = s.given(fmt.Sprintf("%s.at[%d]", at, k))
		}
		_, row.Pos, _ = s.given(at + ".name")
		out[i] = row
	}
	return out
}

func coordinates(p vehicle.Point) [3]unit.Length { return [3]unit.Length{p.X, p.Y, p.Z} }
