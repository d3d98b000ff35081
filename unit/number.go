package unit

import (
	"math"
	"strconv"
	"strings"
)

// number is one number as read.
type number struct {
	text     string // as written, sign included
	value    float64
	negative bool
	signed   bool
}

// digits returns how many decimal digits t begins with.
func digits(t string) int {
	n := 0
	for n < len(t) && t[n] >= '0' && t[n] <= '9' {
		n++
	}
	return n
}

// number reads the number at the head of t: "39", "-3.5", "1e-3", "1/2" or
// "16 1/2". rest is what follows, without leading space.
func (p parser) number(t string) (n number, rest string, err *SyntaxError) {
	body := t
	if t != "" && (t[0] == '-' || t[0] == '+') {
		n.signed, n.negative = true, t[0] == '-'
		body = strings.TrimLeft(t[1:], " ")
	}
	sign := strings.TrimSpace(t[:len(t)-len(body)])
	whole := digits(body)
	if whole == 0 {
		return n, t, p.noNumber(body)
	}
	end := whole
	if end < len(body) && body[end] == '.' {
		d := digits(body[end+1:])
		if d == 0 {
			return n, t, p.fail("%s has a point without a digit after it", "write "+sign+body[:end]+body[end+1:]+" or "+sign+body[:end]+".0"+body[end+1:], p.quoted())
		}
		end += 1 + d
	}
	if err := p.separator(sign, body, end); err != nil {
		return n, t, err
	}
	end = exponent(body, end)
	value, ferr := strconv.ParseFloat(body[:end], 64)
	if ferr != nil {
		return n, t, p.tooLarge()
	}
	if value == 0 && strings.ContainsAny(mantissa(body[:end]), "123456789") {
		return n, t, p.fail("%s is too small", "a number that is not zero is at least 5e-324", p.quoted())
	}
	if end == whole {
		if value, end, err = p.fraction(sign, body, end, value); err != nil {
			return n, t, err
		}
	}
	n.value = value
	if n.negative {
		n.value = -value
	}
	n.text = t[:len(t)-len(body)+end]
	return n, strings.TrimLeft(body[end:], " "), nil
}

// exponent returns the end of a power of ten that begins at end, if there is one.
func exponent(body string, end int) int {
	if end >= len(body) || body[end] != 'e' && body[end] != 'E' {
		return end
	}
	i := end + 1
	if i < len(body) && (body[i] == '-' || body[i] == '+') {
		i++
	}
	if d := digits(body[i:]); d > 0 {
		return i + d
	}
	return end
}

func mantissa(s string) string {
	m, _, _ := strings.Cut(strings.ToLower(s), "e")
	return m
}

// fraction reads what may follow the whole number that ends at end: "/2" makes
// it a fraction, " 1/2" adds one.
func (p parser) fraction(sign, body string, end int, whole float64) (float64, int, *SyntaxError) {
	if d := denominator(body, end); d > 0 {
		v, err := p.divide(whole, body[end+1:end+1+d])
		return v, end + 1 + d, err
	}
	if end >= len(body) || body[end] != ' ' {
		return whole, end, nil
	}
	n := digits(body[end+1:])
	if n == 0 {
		return whole, end, nil
	}
	top := end + 1 + n
	if d := denominator(body, top); d > 0 {
		over, err := strconv.ParseFloat(body[end+1:top], 64)
		if err != nil {
			return 0, end, p.tooLarge()
		}
		v, serr := p.divide(over, body[top+1:top+1+d])
		return whole + v, top + 1 + d, serr
	}
	if top < len(body) && body[top] == '/' {
		return whole, end, nil // a unit such as "1/min"
	}
	// "1 500 kg": groups of three digits are thousands, never a sum.
	i := end
	for i+4 <= len(body) && body[i] == ' ' && digits(body[i+1:]) == 3 {
		i += 4
	}
	if i > end {
		return 0, end, p.thousands(sign, body, i, " ")
	}
	return whole, end, nil
}

// denominator returns the number of digits after a fraction bar at end; none if
// they run into a point, which no fraction has.
func denominator(body string, end int) int {
	if end >= len(body) || body[end] != '/' {
		return 0
	}
	d := digits(body[end+1:])
	if i := end + 1 + d; i < len(body) && (body[i] == '.' || body[i] == ',') {
		return 0
	}
	return d
}

func (p parser) divide(over float64, under string) (float64, *SyntaxError) {
	d, err := strconv.ParseFloat(under, 64)
	if err != nil || math.IsInf(d, 0) {
		return 0, p.tooLarge()
	}
	if d == 0 {
		return 0, p.fail("%s divides by zero", "the number below the bar is at least 1, as in 1/2", p.quoted())
	}
	return over / d, nil
}

// separator refuses a decimal comma and separated thousands at end, with the
// text that would be read.
func (p parser) separator(sign, body string, end int) *SyntaxError {
	if end >= len(body) {
		return nil
	}
	mark := body[end : end+1]
	d := digits(body[end+1:])
	switch mark {
	case ",":
		if d == 0 {
			return nil
		}
	case "'", "_":
		if d != 3 {
			return nil
		}
	case ".":
		if !strings.Contains(body[:end], ".") || d == 0 {
			return nil
		}
	default:
		return nil
	}
	i := end
	for i < len(body) && strings.ContainsRune(",'_.", rune(body[i])) && digits(body[i+1:]) > 0 {
		i += 1 + digits(body[i+1:])
	}
	if mark == "," && i == end+1+d && !strings.Contains(body[:end], ".") {
		return p.comma(sign, body, end, d)
	}
	return p.thousands(sign, body, i, ",'_. ")
}

// comma is the answer to one comma: a decimal mark, or thousands if three
// digits follow it.
func (p parser) comma(sign, body string, end, d int) *SyntaxError {
	point := sign + body[:end] + "." + body[end+1:]
	if d != 3 || body[0] == '0' {
		return p.fail("%s has a decimal comma", "write "+point, p.quoted())
	}
	return p.fail("%s has a comma that may mark decimals or thousands", "write "+point+" or "+sign+body[:end]+body[end+1:], p.quoted())
}

// thousands is the answer to separated thousands that end at i.
func (p parser) thousands(sign, body string, i int, marks string) *SyntaxError {
	num := body[:i]
	// The last mark is the decimal one if it is another than those before it.
	last := strings.LastIndexAny(num, marks)
	decimals := ""
	if last >= 0 && num[last] != ' ' && strings.IndexAny(num, marks) != last && strings.Count(num, num[last:last+1]) == 1 {
		decimals, num = "."+num[last+1:], num[:last]
	}
	plain := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, num)
	return p.fail("%s has separated thousands", "write "+sign+plain+decimals+body[i:], p.quoted())
}

// noNumber is the answer to a text that does not begin with a number.
func (p parser) noNumber(body string) *SyntaxError {
	if body == "" {
		return p.fail("%s has no number", p.accepted(), p.quoted())
	}
	if body[0] == '.' && digits(body[1:]) > 0 {
		return p.fail("%s begins with a point", "write 0"+body, p.quoted())
	}
	if d := digits(strings.TrimPrefix(body, "C/")); p.kind.Noun == "C-rate" && d > 0 && strings.HasPrefix(body, "C/") {
		return p.fail("%s has its number after the unit", "write 1/"+body[2:2+d]+" C", p.quoted())
	}
	for sign, text := range map[string]string{"½": "1/2", "¼": "1/4", "¾": "3/4"} {
		if strings.HasPrefix(body, sign) {
			return p.fail("%s has a fraction in one character", "write "+text+body[len(sign):], p.quoted())
		}
	}
	return p.fail("%s does not begin with a number", p.accepted(), p.quoted())
}
