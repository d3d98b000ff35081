package celltest_test

import (
	"fmt"
	"strings"

	"packyard/celltest"
	"packyard/unit"
)

// A log as a tester writes it: 10 s at -2 A (this file counts charging positive)
// after a rest.
func Example() {
	var file strings.Builder
	file.WriteString("Test Time / s,Voltage / V,Current / A\n")
	for t := range 40 {
		fmt.Fprintf(&file, "%d,3.700,0\n", t)
	}
	for t := range 10 {
		fmt.Fprintf(&file, "%d,%.3f,-2\n", 40+t, 3.640-0.001*float64(t))
	}
	for t := range 40 {
		fmt.Fprintf(&file, "%d,3.695,0\n", 50+t)
	}
	l, report, err := celltest.ReadLog(strings.NewReader(file.String()), celltest.Reading{File: "pulse.csv"})
	if err != nil {
		fmt.Println(err)
		return
	}
	table, err := l.PulseTable(2.5*unit.AmpereHour, 0.5, []unit.Time{2, 8, 18}, celltest.PulseOptions{})
	if err != nil {
		fmt.Println(err)
		return
	}
	row := table.Rows[0]
	fmt.Printf("positive current in the file is %s\n", report.Positive)
	fmt.Printf("%s at %.0f %% of charge: %.2f mΩ after 2 s, %.2f after 8 s, none after 18 s: %v\n", row.Kind, 100*float64(row.Charge),
		row.Resistance[0].Milliohms(), row.Resistance[1].Milliohms(), row.Resistance[2] == 0)
	// Output:
	// positive current in the file is charging
	// discharge at 50 % of charge: 30.75 mΩ after 2 s, 33.75 after 8 s, none after 18 s: true
}
