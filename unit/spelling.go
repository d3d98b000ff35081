package unit

import (
	"slices"
	"strings"
)

// unit reads the unit after number n; t is what follows the number. It returns
// the row and what follows the unit.
func (p parser) unit(n number, t string) (Row, string, *SyntaxError) {
	if t == "" {
		if p.kind.bare() {
			return p.kind.Rows[0], "", nil
		}
		if n.text != strings.TrimSpace(p.text) {
			return Row{}, "", p.fail("%s has %s without a unit", p.accepted(), p.quoted(), n.text)
		}
		return Row{}, "", p.fail("%s needs a unit", p.accepted(), p.quoted())
	}
	for _, r := range p.kind.Rows {
		rest, ok := strings.CutPrefix(t, r.Spelling)
		if !ok || r.Spelling == "1" {
			continue
		}
		// At most one spelling fits: nothing follows it, or a further term of
		// a sum, which begins with a digit or a sign.
		rest = strings.TrimLeft(rest, " ")
		if rest == "" || p.kind.sums(r) && (digits(rest) > 0 || rest[0] == '-' || rest[0] == '+') {
			return r, rest, nil
		}
	}
	return Row{}, "", p.noUnit(t)
}

// sumSpellings are the units that may stand in a sum, by noun.
func sumSpellings(noun string) []string {
	switch noun {
	case "length":
		return []string{"mi", "yd", "ft", "in"}
	case "mass":
		return []string{"lb", "oz"}
	case "time":
		return []string{"d", "h", "min", "s"}
	}
	return nil
}

// sums reports whether a further term may follow a term in the unit r.
func (k Kind) sums(r Row) bool { return slices.Contains(sumSpellings(k.Noun), r.Spelling) }

// noUnit is the answer to t where a unit of the kind should stand.
func (p parser) noUnit(t string) *SyntaxError {
	token := t
	if len(sumSpellings(p.kind.Noun)) > 0 {
		token = firstTerm(t)
	}
	if reason := p.knownTrap(token); reason != nil {
		return reason
	}
	if word, _, more := strings.Cut(t, " "); more && p.kind.accepts(word) {
		return p.fail("%s has more after %s", p.single()+"; "+p.accepted(), p.quoted(), word)
	}
	if near := p.near(token); near != "" && near != token {
		return p.fail("%s has the unknown unit %s", "did you mean "+near+"? "+p.accepted(), p.quoted(), quote(token))
	}
	if nouns := nounsOf(token); len(nouns) > 0 {
		return p.fail("%s is not %s", token+" is a unit of "+join3(nouns, "and")+"; "+p.accepted(), p.quoted(), withArticle(p.kind.Noun))
	}
	return p.fail("%s has the unknown unit %s", p.accepted(), p.quoted(), quote(token))
}

// firstTerm cuts t before a space that is followed by a digit.
func firstTerm(t string) string {
	for i := 0; i+1 < len(t); i++ {
		if t[i] == ' ' && digits(t[i+1:]) > 0 {
			return t[:i]
		}
	}
	return t
}

// single says that one term is accepted, and which sums are besides.
func (p parser) single() string {
	s := "one number with one unit is accepted here"
	if sums := sumSpellings(p.kind.Noun); len(sums) > 0 {
		s += ", or a sum in " + join3(sums, "and")
	}
	return s
}

// knownTrap answers a few units that need more than the list of spellings.
func (p parser) knownTrap(token string) *SyntaxError {
	noun := p.kind.Noun
	switch {
	case noun == "charge" && slices.Contains(nounsOf(token), "energy"):
		return p.fail("%s is an energy, not a charge", "energy is charge times voltage, so give the charge, or the voltage with it; "+p.accepted(), p.quoted())
	case noun == "energy" && slices.Contains(nounsOf(token), "charge") && token != "C":
		return p.fail("%s is a charge, not an energy", "energy is charge times voltage, so multiply by the voltage; "+p.accepted(), p.quoted())
	case noun == "power" && (strings.EqualFold(token, "hp") || strings.EqualFold(token, "bhp") || strings.EqualFold(token, "horsepower")):
		return p.fail("%s does not say which horsepower", "write hp(M) for the metric one of 735.49875 W, hp(I) for the mechanical one of 745.7 W or hp(E) for the electric one of 746 W; "+p.accepted(), p.quoted())
	case noun == "mass" && slices.Contains([]string{"ton", "tons"}, strings.ToLower(token)):
		return p.fail("%s does not say which ton", "write t for 1000 kg, or lb; "+p.accepted(), p.quoted())
	case noun == "slope" && (token == "°" || token == "deg"):
		return p.fail("%s is an angle, not a slope", "a slope is rise over run, the tangent of the angle; "+p.accepted(), p.quoted())
	case noun == "volume" && (token == "gal" || token == "gallon" || token == "gallons"):
		return p.fail("%s does not say which gallon", "write gal(US) for 3.785 L or gal(UK) for 4.546 L; "+p.accepted(), p.quoted())
	case noun == "consumption" && slices.Contains([]string{"mi/kWh", "km/kWh", "km/Wh", "mi/Wh"}, token):
		return p.fail("%s is distance over energy, not a consumption", "consumption is energy over distance, so write one over it; "+p.accepted(), p.quoted())
	case noun == "thermal conductance" && slices.Contains([]string{"K/W", "°C/W", "C/W"}, token):
		return p.fail("%s is a thermal resistance, not a conductance", "the conductance is one over it; "+p.accepted(), p.quoted())
	case noun == "area" && strings.HasSuffix(strings.ToLower(token), "awg"):
		return p.fail("%s is a gauge number, not an area", "gauges do not rise in proportion to the area, so look the area up; "+p.accepted(), p.quoted())
	}
	return nil
}

// slips are spellings in use that the table does not accept, each with the one
// that it does.
var slips = map[string]string{
	"lbs": "lb", "pound": "lb", "pounds": "lb", "#": "lb", "kgs": "kg", "kilo": "kg", "kilos": "kg", "kilogram": "kg", "kilograms": "kg",
	"gram": "g", "grams": "g", "gr": "g", "tonne": "t", "tonnes": "t", "ounce": "oz", "ounces": "oz",
	"m": "min", "M": "m", "\"": "in", "″": "in", "''": "in", "inch": "in", "inches": "in", "ins": "in", "'": "ft", "′": "ft", "foot": "ft", "feet": "ft",
	"metre": "m", "metres": "m", "meter": "m", "meters": "m", "mile": "mi", "miles": "mi", "yard": "yd", "yards": "yd",
	"micron": "µm", "microns": "µm", "mtr": "m",
	"sec": "s", "secs": "s", "second": "s", "seconds": "s", "mins": "min", "minute": "min", "minutes": "min",
	"hr": "h", "hrs": "h", "hour": "h", "hours": "h", "day": "d", "days": "d", "year": "a", "years": "a", "yr": "a", "y": "a",
	"kph": "km/h", "kmph": "km/h", "km/hr": "km/h", "mi/h": "mph", "miles/h": "mph", "fps": "ft/s", "mps": "m/s",
	"amp": "A", "amps": "A", "ampere": "A", "amperes": "A", "volt": "V", "volts": "V", "watt": "W", "watts": "W",
	"kw": "kW", "kwh": "kWh", "kW/h": "kWh", "kWhr": "kWh", "Whr": "Wh", "amp hours": "Ah", "amp-hours": "Ah", "Ahr": "Ah", "A h": "Ah", "mA·h": "mAh",
	"W·h": "Wh", "kW·h": "kWh", "ohms": "ohm", "milliohm": "mohm", "milliohms": "mohm", "r": "ohm", "R": "ohm",
	"celsius": "°C", "centigrade": "°C", "deg C": "°C", "° C": "°C", "fahrenheit": "°F", "deg F": "°F", "° F": "°F", "kelvin": "K", "°K": "K", "°": "°C",
	"newton": "N", "newtons": "N", "ft lb": "lbf ft", "ft-lb": "lbf ft", "ft-lbs": "lbf ft", "ft·lb": "lbf·ft", "lb-ft": "lbf ft", "lb ft": "lbf ft", "lb·ft": "lbf·ft",
	"in lb": "lbf in", "in-lb": "lbf in", "lb-in": "lbf in", "lb in": "lbf in", "NM": "N·m", "nm": "N·m",
	"rev/min": "rpm", "r/min": "rpm", "RPM": "rpm", "degree": "°", "degrees": "°", "litre": "L", "litres": "L", "liter": "L", "liters": "L", "ltr": "L", "cc": "cm³", "ccm": "cm³",
	"kWh/100km": "kWh/100 km", "wh/km": "Wh/km", "Wh/mile": "Wh/mi", "percent": "%", "per cent": "%", "pct": "%", "lb/sq in": "psi", "lbs/in": "lbf/in",
	"mfd": "µF", "degrees C": "°C", "degrees F": "°F", "lpm": "L/min", "GPM": "gpm",
}

// near returns the accepted spelling that token was most likely meant to be, or "".
func (p parser) near(token string) string {
	if to, ok := slips[token]; ok && p.kind.accepts(to) {
		return to
	}
	if to, ok := slips[strings.ToLower(token)]; ok && p.kind.accepts(to) {
		return to
	}
	if len(nounsOf(token)) > 0 {
		return "" // a good unit, of another quantity
	}
	bare := strings.ReplaceAll(token, " ", "")
	for _, r := range p.kind.Rows {
		if r.Spelling != "1" && strings.EqualFold(strings.ReplaceAll(r.Spelling, " ", ""), bare) {
			return r.Spelling
		}
	}
	for _, r := range p.kind.Rows {
		if len(r.Spelling) > 1 && (bare == r.Spelling+"s" || oneSlip(bare, r.Spelling)) {
			return r.Spelling
		}
	}
	return ""
}

// oneSlip reports whether a and b, of at least three bytes, differ by one
// changed, missing, added or swapped byte.
func oneSlip(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(a) < 2 || len(b) < 3 || len(b)-len(a) > 1 {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	if len(a) < len(b) {
		return a[i:] == b[i+1:]
	}
	if i == len(a) {
		return false
	}
	return a[i+1:] == b[i+1:] || i+1 < len(a) && a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
}

func (k Kind) accepts(spelling string) bool {
	return slices.ContainsFunc(k.Rows, func(r Row) bool { return r.Spelling == spelling })
}

// accepted lists the spellings of the kind: "a charge is written in C, Ah or mAh".
func (p parser) accepted() string {
	var list []string
	for _, r := range p.kind.Rows {
		if !r.Alias && r.Spelling != "1" {
			list = append(list, r.Spelling)
		}
	}
	s := withArticle(p.kind.Noun) + " is written "
	if p.kind.bare() {
		s += "as a bare number or "
	}
	return s + "in " + join3(list, "or")
}

// join3 joins words as in "a, b or c".
func join3(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	n := len(words) - 1
	return strings.Join(words[:n], ", ") + " " + last + " " + words[n]
}

func withArticle(noun string) string {
	if strings.ContainsRune("aeio", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

// example returns two amounts around a mark: "20 kg ± 2 kg".
func (p parser) example(mark string) string {
	u := " " + p.kind.Rows[0].Spelling
	switch {
	case p.kind.bare() && mark == " ± ":
		return "0.42 ± 0.03"
	case p.kind.bare():
		return "0.40 … 0.45"
	case p.kind.hasOffset() && mark == " ± ":
		return "20 °C ± 2 °C"
	case p.kind.hasOffset():
		return "10 … 18 °C"
	case mark == " ± ":
		return "20" + u + " ± 2" + u
	}
	return "18 … 22" + u
}

// sumExample returns a sum of the kind: "5 ft 3 in".
func (p parser) sumExample() string {
	switch p.kind.Noun {
	case "length":
		return "5 ft 3 in"
	case "mass":
		return "2 lb 4 oz"
	}
	return "1 h 30 min"
}
