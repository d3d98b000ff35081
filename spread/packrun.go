package spread

import (
	"context"
	"fmt"

	"packyard/check"
	"packyard/design"
	"packyard/unit"
)

// PackReport is how sure the hottest cell of the range run and the time of a
// charge are. Each of its runs costs some ten range runs, so that it is drawn
// less often than the range; how the figures settled says whether that is
// enough.
type PackReport struct {
	Fidelity string         `json:"fidelity"`
	Supply   string         `json:"supply"`           // of the charge
	LeftOut  []string       `json:"left_out"`         // figures that are not there, with the reason
	Stated   []check.Figure `json:"at_stated_values"` // of the figures, in their order
	Blocked  unit.Ratio     `json:"not_filled_share"` // of the draws in which the charge did not come to its end: counted as 72 h
	Spread   *Result        `json:"spread"`           // nil: no figure is left
}

// packFidelity names the model of PackReport.
const packFidelity = "range run with every cell alike, its heat in the network of the pack; charge with every group alike, at the temperature of the start"

// Names of the figures of PackReport.
const (
	hottestCell = "hottest cell of the range run"
	chargeTime  = "time of a charge from empty to full"
)

// packShare is the part of the samples of the range that the pack is drawn with.
const packShare = 8

// packOptions returns the options of the pack's study beside one of the range.
func packOptions(o Options) Options {
	o.Samples = max(o.samples()/packShare, SamplesMin)
	return o
}

// packSpread draws the inputs for hottest cell and charge time.
func packSpread(ctx context.Context, f *design.Frame, t *Trip, inputs []design.Uncertain, o Options) (*PackReport, error) {
	if t.Supply.Text == "" {
		fill, err := design.ChargeAsked{}.Read()
		if err != nil {
			return nil, err
		}
		t.Supply = fill.Supply
	}
	r := &PackReport{Fidelity: packFidelity, Supply: t.Supply.Text, LeftOut: []string{}, Stated: []check.Figure{}}
	s := &Study{}
	for i := range inputs {
		s.Inputs = append(s.Inputs, Input{inputs[i].Path, inputs[i].Text, inputs[i].Stated})
	}
	first, err := packVariant(f, t, inputs)
	if err != nil {
		return nil, err
	}
	hot, long := -1, -1
	if first.NoHeat != nil {
		r.LeftOut = append(r.LeftOut, hottestCell+": "+first.NoHeat.Error())
	} else {
		hot = len(s.Outputs)
		s.Outputs = append(s.Outputs, Output{hottestCell, unit.Symbol[unit.Temperature](), unit.Noun[unit.Temperature]()})
	}
	if first.NoCharge {
		r.LeftOut = append(r.LeftOut, chargeTime+": supply, charger or inlet do not go with the voltage of the pack, packyard charge says how")
	} else {
		long = len(s.Outputs)
		s.Outputs = append(s.Outputs, Output{chargeTime, unit.Symbol[unit.Time](), unit.Noun[unit.Time]()})
	}
	if len(s.Outputs) == 0 {
		return r, nil
	}
	s.Worker = func() (Model, error) {
		v, err := packVariant(f, t, inputs)
		if err != nil {
			return nil, err
		}
		return func(x, y []float64) error {
			got, err := v.Run(x)
			if err != nil {
				return err
			}
			if hot >= 0 {
				y[hot] = float64(got.Hottest)
			}
			if long >= 0 {
				y[long] = float64(got.Charge)
			}
			return nil
		}, nil
	}
	if r.Stated, err = stated(s); err != nil {
		return nil, err
	}
	if r.Spread, err = Run(ctx, s, packOptions(o)); err != nil {
		return nil, err
	}
	if long >= 0 {
		if r.Blocked = r.Spread.Reaching(long, float64(design.PackChargeMost)); r.Blocked > 0 {
			r.Spread.Figures[long].Shares = []Share{}
			r.LeftOut = append(r.LeftOut, "shares of the "+chargeTime+": they would be those of the 72 h as which a draw that takes no charge is counted")
		}
	}
	return r, nil
}

func packVariant(f *design.Frame, t *Trip, inputs []design.Uncertain) (*design.PackVariant, error) {
	v, err := f.Variant(t.Option, t.Schedule, t.End, inputs)
	if err != nil {
		return nil, err
	}
	p, err := v.Packs(t.Supply)
	if err != nil {
		return nil, fmt.Errorf("option %s: %w", t.Option.ID, err)
	}
	return p, nil
}

// findings says that the pack takes no charge in some draws.
func (r *PackReport) findings() []check.Finding {
	if r == nil || !(r.Blocked > 0) {
		return nil
	}
	return []check.Finding{{
		Rule: "spread.charge", Budget: "current", Subject: "share of the draws in which the charge does not come to its end; they are counted as 72 h",
		Value: check.Of(r.Blocked), Severity: check.Warning, Source: "computed", Remedy: "warm the pack before it is charged, or cells that take charge in the cold",
	}}
}
