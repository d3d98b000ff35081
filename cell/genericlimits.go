package cell

import (
	"fmt"
	"io"
	"slices"
	"sync"

	"packyard/unit"
)

// limitTables are the generic limits: a rate by chemistry, direction and
// duration, and a share of it by temperature.
type limitTables struct{ rate, share limitRows }

type limitRows struct {
	number, value []float64 // duration s and rate 1/h, or temperature °C and share
	chemistry     []string
	direction     []string
	source        []string
	status        []string
}

func limitReader(numberColumn, valueColumn string) func(io.Reader) (limitRows, error) {
	return func(in io.Reader) (limitRows, error) {
		n, w, err := readTable(in, "chemistry,direction,"+numberColumn+","+valueColumn+",source,status", "chemistry", "direction", "source", "status")
		if err != nil {
			return limitRows{}, err
		}
		return limitRows{n[numberColumn], n[valueColumn], w["chemistry"], w["direction"], w["source"], w["status"]}, nil
	}
}

var genericLimits = sync.OnceValues(func() (limitTables, error) {
	rate, err := openTable("limits", limitReader("duration_s", "rate_C"))
	if err != nil {
		return limitTables{}, err
	}
	share, err := openTable("limit_temperature", limitReader("temperature_degC", "share_1"))
	return limitTables{rate, share}, err
})

// GenericLimits returns the current limits of a chemistry: the rate of each
// duration times the share of each temperature, and where each rate comes from
// ("discharge 10 s"). A chemistry without rates has none, and its limits are
// zero everywhere. Sources: bu-216 for continuous rates, battery-trade-limits
// for the temperature gates, owner-charge-limits for charging when cold (given
// there in steps, here with ramps of 1 K); 10 s and 30 s rates are mostly
// assumptions and say so.
func GenericLimits(chem Chemistry) (Limits, []Fact, error) {
	t, err := genericLimits()
	if err != nil {
		return Limits{}, nil, fmt.Errorf("generic limits: %w", err)
	}
	var l Limits
	var facts []Fact
	for _, d := range []struct {
		name string
		to   *[]LimitPoint
	}{{"discharge", &l.Discharge}, {"charge", &l.Charge}} {
		gates := string(chem)
		if !slices.Contains(t.share.chemistry, gates) {
			gates = "any"
		}
		for i, celsius := range t.share.number {
			if t.share.chemistry[i] != gates || t.share.direction[i] != d.name {
				continue
			}
			for j, seconds := range t.rate.number {
				if t.rate.chemistry[j] == string(chem) && t.rate.direction[j] == d.name {
					*d.to = append(*d.to, LimitPoint{unit.Celsius(celsius), unit.Time(seconds), unit.CRate(t.share.value[i] * t.rate.value[j])})
				}
			}
		}
		for j, seconds := range t.rate.number {
			if t.rate.chemistry[j] == string(chem) && t.rate.direction[j] == d.name {
				facts = append(facts, Fact{fmt.Sprintf("%s %g s", d.name, seconds), t.rate.source[j], t.rate.status[j]})
			}
		}
	}
	return l, facts, nil
}
