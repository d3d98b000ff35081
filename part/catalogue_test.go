package part

import (
	"fmt"
	"testing"
)

func TestX(t *testing.T) {
	for _, u := range BuiltIn().DriveUnits {
		fmt.Println(u.ID, u.Loss.KCopper, u.Loss.KIron, u.Loss.KWindage, u.Loss.Constant)
		for _, p := range u.EfficiencyPoints() {
			fmt.Printf("   %-26s %6.1f Nm %6.0f rpm %6.0f W %.3f\n", p.Name, p.Torque, p.Speed.RevolutionsPerMinute(), p.Loss, p.Efficiency)
		}
	}
	s := BuiltIn().DriveUnit("generic-series-brushed-144v")
	fmt.Println(s.LossAt(13.558179483314005, 410.3967203139466), s.Efficiency(13.558179483314005, 410.3967203139466))
	p, in := DefaultAuxiliaries().PackPower(BuiltIn().Converter("generic-converter-400v"), 296.15)
	fmt.Println(p)
	for _, i := range in {
		fmt.Println(i.Name, i.Value)
	}
}
