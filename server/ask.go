package server

import (
	"errors"
	"fmt"
	"math"
	"net/url"
	"strconv"
	"strings"

	"packyard/charge"
	"packyard/design"
	"packyard/drive"
	"packyard/spread"
	"packyard/unit"
)

// textOf marks what the builder can mend: a text of the request, or something
// that the project does not state.
func textOf(err error) error {
	for _, e := range []error{drive.ErrDuty, charge.ErrSupply, design.ErrHeat, design.ErrCharge, design.ErrAlike, spread.ErrInput} {
		if errors.Is(err, e) {
			return textError{err}
		}
	}
	return err
}

// bounds are the values that a query accepts.
type bounds[Q unit.Quantity] struct {
	low, high Q
	above     bool // the lowest itself is not accepted
}

// quantityOf reads a quantity of a query; a text that is not there leaves the
// value as it is. Errors: textError.
func quantityOf[Q unit.Quantity](q url.Values, key string, b bounds[Q], to *Q) error {
	text := strings.TrimSpace(q.Get(key))
	if text == "" {
		return nil
	}
	v, err := unit.Parse[Q](text)
	if err != nil {
		return textError{fmt.Errorf("%s: %w", key, err)}
	}
	if !(v >= b.low && v <= b.high) || b.above && v == b.low {
		from := "from " + unit.Format(b.low, unit.SI)
		if b.above {
			from = "above " + unit.Format(b.low, unit.SI)
		}
		return textError{fmt.Errorf("%s: %q: %s to %s is accepted", key, text, from, unit.Format(b.high, unit.SI))}
	}
	*to = v
	return nil
}

// cellTemperatures bounds what cells and air are asked for.
func cellTemperatures() bounds[unit.Temperature] {
	return bounds[unit.Temperature]{low: unit.Celsius(-60), high: unit.Celsius(80)}
}

// wholeOf reads a whole number of a query. Errors: errRequest.
func wholeOf(q url.Values, key string, usual, low, high int) (int, error) {
	text := q.Get(key)
	if text == "" {
		return usual, nil
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < low || n > high {
		return 0, fmt.Errorf("%w: %s %q: %d to %d are accepted", errRequest, key, text, low, high)
	}
	return n, nil
}

// priceOf reads a price for a kWh. Errors: textError.
func priceOf(q url.Values) (float64, error) {
	text := strings.TrimSpace(q.Get("price"))
	if text == "" {
		return 0, nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || !(v >= 0) || math.IsInf(v, 0) {
		return 0, textError{fmt.Errorf("price: %q: a number of 0 or more is accepted, the price of a kWh in the project's currency", text)}
	}
	return v, nil
}

// plainColumn is a column of a trace.
func plainColumn(name, key, symbol, noun string, values []float64) Column {
	return Column{Name: name, Key: key, Symbol: symbol, Noun: noun, Values: values}
}
