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
)

// textOf marks what the builder can mend: a text of the request, or something
// that the project does not state.
func textOf(err error) error {
	var asked *design.AskedError
	if errors.As(err, &asked) {
		return textError{err}
	}
	for _, e := range []error{drive.ErrDuty, charge.ErrSupply, design.ErrHeat, design.ErrCharge, design.ErrAlike, spread.ErrInput} {
		if errors.Is(err, e) {
			return textError{err}
		}
	}
	return err
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
