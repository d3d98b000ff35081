package schedule_test

import (
	"fmt"
	"strings"

	"packyard/schedule"
	"packyard/unit"
)

// The figures of a built-in schedule and of one of its phases.
func Example() {
	s, err := schedule.Find("wltc-class3b")
	if err != nil {
		fmt.Println(err)
		return
	}
	f := s.Figures()
	fmt.Printf("%.3f km in %.0f s, mean %.1f km/h, at most %.1f km/h, %d stops\n",
		f.Distance.Metres()/1000, f.Duration.Seconds(), f.Mean.KilometresPerHour(), f.Max.KilometresPerHour(), f.Stops)
	high, err := s.Phase("extra-high")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("extra-high: %.3f km\n", high.Figures().Distance.Metres()/1000)
	// Output:
	// 23.266 km in 1800 s, mean 46.5 km/h, at most 131.3 km/h, 8 stops
	// extra-high: 8.254 km
}

// A table with a gap is refused with its place.
func ExampleReadCSV() {
	_, err := schedule.ReadCSV(strings.NewReader("time_s,speed_kmh\n0,0\n1,12\n30,15\n"), "round.csv", schedule.CSVOptions{})
	fmt.Println(err)
	// Output:
	// round.csv:4:1: time: a gap of 29 s was found, from 1 s to 30 s: rows are at most 5 s apart; add the rows that are missing
}

// A vehicle that reaches 80 km/h takes longer over the same road.
func ExampleCap() {
	s, err := schedule.Find("hwfet")
	if err != nil {
		fmt.Println(err)
		return
	}
	attained := make([]float64, len(s.Time))
	for i := range attained {
		attained[i] = (80 * unit.KilometrePerHour).MetresPerSecond()
	}
	c, err := schedule.Cap(s, attained)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f km and %.2f km\n", s.Figures().Distance.Metres()/1000, c.Figures().Distance.Metres()/1000)
	fmt.Println(c.Notes[0])
	// Output:
	// 16.51 km and 16.51 km
	// capped at what the vehicle can do on 54.5 % of the distance; the distance is kept and takes 42 s longer
}
