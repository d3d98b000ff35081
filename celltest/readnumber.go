package celltest

import (
	"bytes"
	"math"
	"strconv"
)

// powersOfTen are exact in float64.
var powersOfTen = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// digitsExact is how many decimal digits always fit into 64 bits.
const digitsExact = 19

// number reads the decimal number that begins at b[i] and returns its value and
// the place behind it; end == i says that there is none. The value is the float64
// nearest to the text: a mantissa below 2⁵³ and a power of ten up to 10²² are both
// exact, so one division rounds once; all else goes to the standard library. What
// overflows comes back as an infinity.
func number(b []byte, i int, mark byte) (v float64, end int) {
	start := i
	negative := false
	if i < len(b) && (b[i] == '-' || b[i] == '+') {
		negative = b[i] == '-'
		i++
	}
	mantissa, first := uint64(0), i
	for i < len(b) && b[i]-'0' <= 9 {
		mantissa = mantissa*10 + uint64(b[i]-'0')
		i++
	}
	digits, decimals := i-first, 0
	if i < len(b) && b[i] == mark {
		i++
		first = i
		for i < len(b) && b[i]-'0' <= 9 {
			mantissa = mantissa*10 + uint64(b[i]-'0')
			i++
		}
		decimals = i - first
		digits += decimals
	}
	if digits == 0 {
		return 0, start
	}
	power := -decimals
	if i < len(b) && (b[i]|0x20 == 'e') {
		if e, after := exponent(b, i+1); after > i+1 {
			power += e
			i = after
		}
	}
	if digits > digitsExact || mantissa >= 1<<53 || power < -22 || power > 22 {
		return slowNumber(b[start:i], mark), i
	}
	v = float64(mantissa)
	if power < 0 {
		v /= powersOfTen[-power]
	} else {
		v *= powersOfTen[power]
	}
	if negative {
		v = -v
	}
	return v, i
}

// exponentMost ends the counting of digits: beyond it every float64 is zero or infinite.
const exponentMost = 100_000

func exponent(b []byte, i int) (e, end int) {
	start := i
	negative := false
	if i < len(b) && (b[i] == '-' || b[i] == '+') {
		negative = b[i] == '-'
		i++
	}
	first := i
	for i < len(b) && b[i]-'0' <= 9 {
		e = min(e*10+int(b[i]-'0'), exponentMost)
		i++
	}
	if i == first {
		return 0, start
	}
	if negative {
		e = -e
	}
	return e, i
}

func slowNumber(b []byte, mark byte) float64 {
	text := string(b)
	if mark != '.' {
		text = string(bytes.Replace(b, []byte{mark}, []byte{'.'}, 1))
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil && !math.IsInf(v, 0) {
		return math.NaN() // not reached for what number lets through
	}
	return v
}

// clock reads a time of day or a duration, "1:02:03.5", or a date with it,
// "2024-05-01 10:00:00", as seconds from midnight or from the first of January 1970
// at an unnamed place: only differences mean something.
func clock(b []byte, mark byte) (seconds float64, ok bool) {
	days := 0.0
	if len(b) > 10 && b[4] == '-' && b[7] == '-' && (b[10] == ' ' || b[10] == 'T') {
		y, okY := digitsOf(b[:4])
		m, okM := digitsOf(b[5:7])
		d, okD := digitsOf(b[8:10])
		if !okY || !okM || !okD || m < 1 || m > 12 || d < 1 || d > 31 {
			return 0, false
		}
		days = dayNumber(y, m, d)
		b = bytes.TrimSuffix(b[11:], []byte{'Z'})
	}
	parts := 0
	for parts < 2 {
		colon := bytes.IndexByte(b, ':')
		if colon < 0 {
			break
		}
		n, ok := digitsOf(b[:colon])
		if !ok || parts > 0 && n > 59 {
			return 0, false
		}
		seconds = (seconds + float64(n)) * 60
		b = b[colon+1:]
		parts++
	}
	if parts == 0 || len(b) == 0 || b[0] == '-' || b[0] == '+' {
		return 0, false
	}
	s, end := number(b, 0, mark)
	if end == 0 || end != len(b) || s >= 60 {
		return 0, false
	}
	if parts == 1 && days != 0 { // hours and minutes after a date
		seconds *= 60
		s *= 60
	}
	return days*86400 + seconds + s, true
}

func digitsOf(b []byte) (n int, ok bool) {
	if len(b) == 0 || len(b) > 9 {
		return 0, false
	}
	for _, c := range b {
		if c-'0' > 9 {
			return 0, false
		}
		n = n*10 + int(c-'0')
	}
	return n, true
}

// dayNumber counts days from the first of January 1970 in the Gregorian calendar.
func dayNumber(year, month, day int) float64 {
	if month <= 2 { // the year begins in March, so that the leap day is its last
		year--
		month += 12
	}
	leap := year/4 - year/100 + year/400
	return float64(365*year + leap + (153*(month-3)+2)/5 + day - 1 - 719468)
}
