package book

import (
	"fmt"
	"strconv"

	"packyard/check"
	"packyard/document"
)

// priceDigits are those of amounts of money in the bill.
const priceDigits = 6

// Bill returns the bill of materials as a table: what the price of the pack is
// made of, then what is bought beside it. Amounts are bare, in the currency
// that the head of the column names; a price that is not known is an empty cell.
func Bill(in *Input) document.Table {
	currency := in.Frame.Brief.Currency
	t := document.Table{
		Title: "Bill of materials", Empty: "Nothing is needed: the option has no pack.",
		Columns: []document.Column{{Title: "Item"}, {Title: "For"}, {Title: "Number", Right: true}, {Title: "Each, " + currency, Right: true}, {Title: "Together, " + currency, Right: true}, {Title: "Note"}},
	}
	sum, unknown := 0.0, 0
	for _, l := range in.Frame.Bill(in.Placed) {
		row := []string{l.Item, l.Use, strconv.Itoa(l.Count), "", "", ""}
		if l.Priced {
			row[3], row[4] = check.Amount(l.Each, priceDigits), check.Amount(l.Together, priceDigits)
		} else {
			unknown++
		}
		if l.Mass > 0 {
			row[5] = of(in, l.Mass)
		}
		t.Rows = append(t.Rows, row)
		sum += l.Together
	}
	note := "the budget of the pack"
	if unknown > 0 {
		note = fmt.Sprintf("without %d lines whose price is not known", unknown)
	}
	t.Rows = append(t.Rows, []string{"pack together", "", "", "", check.Amount(sum, priceDigits), note})
	t.Rows = append(t.Rows, in.billCircuit()...)
	for _, x := range in.devices() {
		t.Rows = append(t.Rows, []string{x.Value, x.Name, "1", "", "", "beside the budget of the pack"})
	}
	return t
}

// devices are what is bought besides the pack, each with what it is for.
func (in *Input) devices() []document.Entry {
	d := &in.Frame.Brief.Drive
	out := []document.Entry{{Name: "drive", Value: d.Unit.Title}, {Name: "drive", Value: d.Inverter.Title}}
	if d.Charger != nil {
		out = append(out, document.Entry{Name: "charging", Value: d.Charger.Title})
	}
	if d.Converter != nil {
		out = append(out, document.Entry{Name: "12 V net", Value: d.Converter.Title})
	}
	return out
}

// billCircuit lists the parts and cables of the high-voltage circuit. What they
// cost stands in the project as a whole.
func (in *Input) billCircuit() [][]string {
	if in.Circuit == nil {
		return nil
	}
	const note = "within the parts of the pack"
	var out [][]string
	for _, x := range in.Circuit.Items {
		if x.Part != "" {
			out = append(out, []string{x.Title, x.Subject, number(x.Count), "", "", note})
		}
	}
	for _, w := range in.Circuit.Cables {
		out = append(out, []string{"cable " + of(in, w.Section), w.ID + ", " + w.Label, "1", "", "", of(in, w.Length)})
	}
	return out
}
