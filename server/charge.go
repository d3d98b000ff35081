package server

import (
	"fmt"
	"net/http"
	"net/url"

	"packyard/charge"
	"packyard/design"
)

// ChargeReply is one charge of an option.
type ChargeReply struct {
	Revision int64               `json:"revision"`
	Run      design.ChargeReport `json:"run"`
	Rows     int                 `json:"rows"`
	Columns  []Column            `json:"columns"` // none when the voltages do not go together
}

// filling reads a charge from the query of a request. Errors: textError,
// errRequest.
func filling(q url.Values) (*design.Fill, error) {
	out, err := design.ChargeAsked{Supply: q.Get("supply"), From: q.Get("from"), To: q.Get("to"), Cells: q.Get("cells")}.Read()
	if err != nil {
		return nil, textOf(err)
	}
	out.Trace = &charge.Trace{}
	out.End, err = lifeOf(q)
	return out, err
}

// charged runs the charge that a request asks for.
func (s *Server) charged(r *http.Request) (*ChargeReply, error) {
	snap, revision, a, err := s.needed(r)
	if err != nil {
		return nil, err
	}
	f, err := snap.frame()
	if err != nil {
		return nil, err
	}
	price, err := priceOf(r.URL.Query())
	if err != nil {
		return nil, err
	}
	fill, err := filling(r.URL.Query())
	if err != nil {
		return nil, err
	}
	fill.Wiring, fill.Figures = &a.placed.Wiring, &a.placed.Figures
	still := r.URL.Query().Get("still") == "1"
	if !still {
		system, err := f.Thermal(a.placed, design.ThermalOptions{})
		if err != nil {
			return nil, textOf(err)
		}
		fill.Thermal = system
	}
	got, err := f.Charge(fill)
	if err != nil {
		return nil, textOf(err)
	}
	out := &ChargeReply{Revision: revision, Run: *f.ChargeReport(a.report.Option, fill, got, price), Rows: len(fill.Trace.Time), Columns: []Column{}}
	if out.Rows > 0 {
		out.Columns = chargeColumns(fill.Trace)
	}
	return out, nil
}

func (s *Server) charge(r *http.Request) (any, error) {
	n, err := bucketsOf(r.URL.Query())
	if err != nil {
		return nil, err
	}
	out, err := s.charged(r)
	if err != nil {
		return nil, err
	}
	if out.Rows > 0 {
		out.Columns, _ = gather(out.Columns, n)
	}
	return out, nil
}

func (s *Server) chargeTable(r *http.Request, t *sheetOut) error {
	out, err := s.charged(r)
	if err != nil {
		return err
	}
	if out.Rows == 0 {
		return fmt.Errorf("a charge %w: the voltages of supply, charger and pack do not go together", errNotFound)
	}
	return t.columns(out.Columns)
}

func chargeColumns(t *charge.Trace) []Column {
	return []Column{
		plainColumn("time", "time_s", "s", "time", t.Time),
		plainColumn("charge of the group that empties first", "state_of_charge", "1", "ratio", t.Charge),
		plainColumn("power from the supply", "supply_power_w", "W", "power", t.PowerWall),
		plainColumn("power into the pack", "pack_power_w", "W", "power", t.PowerPack),
		plainColumn("current into the pack", "current_a", "A", "current", t.Current),
		plainColumn("voltage of the pack", "voltage_v", "V", "voltage", t.Voltage),
		plainColumn("strongest group", "strongest_group_v", "V", "voltage", t.VoltageCell),
		plainColumn("hottest group", "hottest_k", "K", "temperature", t.Temperature),
	}
}
