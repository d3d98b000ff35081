package part

import (
	"testing"

	"packyard/unit"
)

func benchmarkLoss(b *testing.B, id string) {
	u := unitOf(b, id)
	b.ReportAllocs()
	sum, i := unit.Power(0), 0
	for b.Loop() {
		i++
		sum += u.LossAt(u.TorquePeak*unit.Torque(i%97)/97, u.SpeedMax*unit.AngularSpeed(i%89)/89)
	}
	if sum <= 0 {
		b.Fatal(sum)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "points/s")
}

func BenchmarkLossTextbook(b *testing.B) { benchmarkLoss(b, "generic-surface-magnet-50kw") }
func BenchmarkLossGrid(b *testing.B)     { benchmarkLoss(b, "generic-car-unit-80kw") }

func BenchmarkVoltageNeeded(b *testing.B) {
	u := unitOf(b, "generic-car-unit-80kw")
	b.ReportAllocs()
	sum, i := unit.Voltage(0), 0
	for b.Loop() {
		i++
		sum += u.VoltageNeeded(u.TorquePeak*unit.Torque(i%97)/97, u.SpeedMax*unit.AngularSpeed(i%89)/89)
	}
	if sum <= 0 {
		b.Fatal(sum)
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "points/s")
}
