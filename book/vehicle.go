package book

import (
	"packyard/document"
	"packyard/drawing"
	"packyard/unit"
	"packyard/vehicle"
)

// masses is the sheet of masses and axle loads, before and after.
func masses(in *Input) []document.Section {
	d := &in.Frame.Brief.Donor
	v := in.View()
	return []document.Section{
		{ID: "mass", Title: "Mass and axle loads", NewPage: true, Blocks: []document.Block{
			in.states(d),
			document.Picture{Sheet: drawing.SideView(v), Caption: "The vehicle from the left, to the scale on the sheet when printed at its own size; loads of both states under the wheels."},
			document.Picture{Sheet: drawing.TopView(v), Caption: "The same from above."},
		}},
		{ID: "ledger", Title: "Ledger of masses", Deep: true, Blocks: []document.Block{
			in.ledger("Taken out", d.Removed, "Nothing is taken out: the ledger of the project is empty."),
			in.ledger("Put in, besides the pack", d.Added, "Nothing is put in besides the pack: the ledger of the project is empty. Motor, inverter, charger and cable must be entered."),
			in.ledger("The pack", in.Frame.Items(in.Placed), "The option has no pack."),
		}},
	}
}

// View is what drawings are made from.
func (in *Input) View() drawing.View {
	return drawing.View{Brief: in.Frame.Brief, Assessment: in.Assess, Title: drawing.TitleOf(in.Assess, in.System)}
}

// states compares the donor as weighed with the vehicle in each load case.
func (in *Input) states(d *vehicle.Donor) document.Block {
	t := document.Table{
		Title: "Loads on a level road", Empty: "The donor was not weighed.",
		Columns: []document.Column{{Title: "State"}, {Title: "Mass", Right: true}, {Title: "Front axle", Right: true}, {Title: "Rear axle", Right: true},
			{Title: "Front left", Right: true}, {Title: "Front right", Right: true}, {Title: "Rear left", Right: true}, {Title: "Rear right", Right: true}},
	}
	for _, l := range in.Assess.Vehicle {
		t.Rows = append(t.Rows, []string{l.Name, of(in, l.Mass), of(in, l.AxleFront), of(in, l.AxleRear),
			of(in, l.FrontLeft), of(in, l.FrontRight), of(in, l.RearLeft), of(in, l.RearRight)})
	}
	r := d.Ratings
	if r != (vehicle.Ratings{}) {
		t.Rows = append(t.Rows, []string{"allowed", in.mass(r.GrossMass), in.mass(r.AxleFront), in.mass(r.AxleRear),
			in.mass(r.TyreFront), in.mass(r.TyreFront), in.mass(r.TyreRear), in.mass(r.TyreRear)})
	}
	return t
}

func (in *Input) ledger(title string, items []vehicle.Item, empty string) document.Block {
	t := document.Table{Title: title, Empty: empty, Columns: []document.Column{{Title: "Item"}, {Title: "Mass", Right: true}, {Title: "At x, y, z, mm", Right: true}}}
	sum := unit.Mass(0)
	for _, it := range items {
		t.Rows = append(t.Rows, []string{it.Name, of(in, it.Mass), place([3]unit.Length{it.At.X, it.At.Y, it.At.Z})})
		sum += it.Mass
	}
	if len(items) > 1 {
		t.Rows = append(t.Rows, []string{"together", of(in, sum), ""})
	}
	return t
}
