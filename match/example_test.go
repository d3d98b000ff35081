package match_test

import (
	"context"
	"fmt"

	"packyard/match"
	"packyard/unit"
)

// Seven slices into three groups of two; one is left over.
func ExampleMatch() {
	var items []match.Item
	for i, ah := range []float64{61, 52, 64, 58, 47, 63, 55} {
		items = append(items, match.Item{Name: fmt.Sprintf("slice %d", i+1), Capacity: unit.Charge(ah) * unit.AmpereHour})
	}
	p, err := match.Match(context.Background(), &match.Task{Items: items, Groups: 3, Parallel: 2}, match.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for g, group := range p.Groups {
		fmt.Printf("group %d: %s and %s, %.0f Ah\n", g+1, items[group[0]].Name, items[group[1]].Name, p.Capacity[g].AmpereHours())
	}
	fmt.Printf("spare: %s; weakest %.0f Ah, proven: %v\n", items[p.Spare[0]].Name, p.Weakest.AmpereHours(), p.Proven)
	// Output:
	// group 1: slice 3 and slice 2, 116 Ah
	// group 2: slice 6 and slice 7, 118 Ah
	// group 3: slice 1 and slice 4, 119 Ah
	// spare: slice 5; weakest 116 Ah, proven: true
}
