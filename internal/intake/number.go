package intake

import "math/bits"

// fixedPoint is a figure as mantissa x 10^exp, read without binary fractions.
type fixedPoint struct {
	mantissa int64
	exp      int
}

// parseFixed reads digits with a decimal sign and perhaps an exponent. It gives
// false for what is no number or has more digits than 18 before its zeros.
func parseFixed(b []byte, decimal byte) (fixedPoint, bool) {
	var f fixedPoint
	i, negative := 0, false
	if i < len(b) && (b[i] == '-' || b[i] == '+') {
		negative = b[i] == '-'
		i++
	}
	digits, point := 0, false
	for ; i < len(b); i++ {
		c := b[i]
		switch {
		case c >= '0' && c <= '9':
			digits++
			if f.mantissa < 1e17 {
				f.mantissa = f.mantissa*10 + int64(c-'0')
				if point {
					f.exp--
				}
			} else if !point {
				return f, false
			}
		case c == decimal && !point:
			point = true
		case (c == 'e' || c == 'E') && digits > 0:
			e, ok := parseExponent(b[i+1:])
			if !ok {
				return f, false
			}
			f.exp += e
			i = len(b)
		default:
			return f, false
		}
	}
	if negative {
		f.mantissa = -f.mantissa
	}
	return f, digits > 0
}

func parseExponent(b []byte) (int, bool) {
	sign := 1
	if len(b) > 0 && (b[0] == '-' || b[0] == '+') {
		if b[0] == '-' {
			sign = -1
		}
		b = b[1:]
	}
	if len(b) == 0 || len(b) > 3 {
		return 0, false
	}
	e := 0
	for _, c := range b {
		if c < '0' || c > '9' {
			return 0, false
		}
		e = e*10 + int(c-'0')
	}
	return sign * e, true
}

var pow10 = func() (p [19]int64) {
	p[0] = 1
	for i := 1; i < len(p); i++ {
		p[i] = 10 * p[i-1]
	}
	return p
}()

// scaled gives the figure times 10^exp as a whole number, halves away from zero;
// false when its size is more than most.
func (f fixedPoint) scaled(exp int, most int64) (int64, bool) {
	v, e := f.mantissa, f.exp+exp
	if v == 0 {
		return 0, true
	}
	switch {
	case e > 18 || e > 0 && (v > most/pow10[e] || v < -most/pow10[e]):
		return 0, false
	case e > 0:
		v *= pow10[e]
	case e < -18:
		return 0, true
	case e < 0:
		unit := pow10[-e]
		whole, rest := v/unit, v%unit
		switch {
		case rest >= unit-rest:
			whole++
		case -rest >= unit+rest:
			whole--
		}
		v = whole
	}
	return v, v <= most && v >= -most
}

// share gives e x part / whole, cut towards zero, without overflow. part is not
// more than whole, and whole is more than 0.
func share(e Energy, part, whole int64) Energy {
	size := uint64(e)
	if e < 0 {
		size = uint64(-e)
	}
	hi, lo := bits.Mul64(size, uint64(part))
	q, _ := bits.Div64(hi, lo, uint64(whole))
	if e < 0 {
		return -Energy(q)
	}
	return Energy(q)
}

// overTime turns a mean power in µW (or µvar) into the energy of so many seconds,
// halves away from zero.
func overTime(power int64, seconds int32) Energy {
	size := uint64(power)
	if power < 0 {
		size = uint64(-power)
	}
	hi, lo := bits.Mul64(size, uint64(seconds))
	lo, carry := bits.Add64(lo, 1800, 0)
	hi += carry
	if hi >= 3600 {
		return mostTotal
	}
	q, _ := bits.Div64(hi, lo, 3600)
	if q > mostTotal {
		return mostTotal
	}
	if power < 0 {
		return -Energy(q)
	}
	return Energy(q)
}
