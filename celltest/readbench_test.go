package celltest

import (
	"bytes"
	"fmt"
	"testing"
)

// sampleLog is a log of a pulse test as an instrument writes it, made up: rows of
// about 60 bytes with a step name in between.
func sampleLog(rows int) []byte {
	var b bytes.Buffer
	b.WriteString("Test Time / s,Step Count / 1,Step Type,Voltage / V,Current / A,Discharging Capacity / Ah,Temperature T1 / degC\n")
	q, t := 0.0, 0.0
	for i := range rows {
		current, name := 0.0, "REST"
		if i%100 < 40 {
			current, name = -12.5-0.001*float64(i%7), "CC_DCH"
			q -= current * 0.1 / 3600
		}
		fmt.Fprintf(&b, "%.3f,%d,%s,%.4f,%.4f,%.6f,%.2f\n", t, i/100, name, 3.7+0.002*current-0.00001*float64(i%1000), current, q, 25.1+0.01*float64(i%13))
		t += 0.1
	}
	return b.Bytes()
}

func BenchmarkRead(b *testing.B) {
	text := sampleLog(200_000)
	b.ReportAllocs()
	b.SetBytes(int64(len(text)))
	for b.Loop() {
		r, err := Read(bytes.NewReader(text), Reading{})
		if err != nil || r.Rows != 200_000 {
			b.Fatal(err, r.Rows)
		}
	}
	b.ReportMetric(float64(len(text))*float64(b.N)/b.Elapsed().Seconds()/1e6, "MB/s-parsed-and-checked")
}
