package csv

import (
	"bytes"
	"math"
	"strconv"
)

// pow10 holds the powers of ten that a float64 represents exactly.
var pow10 = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// isExponent says whether a letter stands before a power of ten: Fortran writes D for
// numbers of double precision (ISO/IEC 1539-1).
func isExponent(c byte) bool { return c|0x20 == 'e' || c|0x20 == 'd' }

// number parses a whole cell as a decimal number with the given decimal mark,
// rounded as strconv does: a mantissa below 2⁵³ and a power of ten up to 22 need
// one multiplication or division, which IEEE 754 rounds correctly; everything
// else goes to strconv.
func number(b []byte, mark byte) (v float64, ok bool) {
	i, neg := 0, false
	if i < len(b) && (b[i] == '-' || b[i] == '+') {
		neg = b[i] == '-'
		i++
	}
	var mant uint64
	digits, exp, seen := 0, 0, false
	for ; i < len(b) && b[i]-'0' < 10; i++ {
		mant, seen = mant*10+uint64(b[i]-'0'), true
		if mant > 0 {
			digits++
		}
	}
	if i < len(b) && b[i] == mark {
		for i++; i < len(b) && b[i]-'0' < 10; i++ {
			mant, seen = mant*10+uint64(b[i]-'0'), true
			exp--
			if mant > 0 {
				digits++
			}
		}
	}
	if !seen {
		return 0, false
	}
	if i < len(b) && isExponent(b[i]) && i+1 < len(b) {
		j, negExp, e := i+1, false, 0
		if b[j] == '-' || b[j] == '+' {
			negExp = b[j] == '-'
			j++
		}
		if j == len(b) {
			return 0, false
		}
		for ; j < len(b) && b[j]-'0' < 10; j++ {
			e = min(e*10+int(b[j]-'0'), 100000)
		}
		if negExp {
			e = -e
		}
		exp += e
		i = j
	}
	if i != len(b) {
		return 0, false
	}
	if digits <= 19 && mant < 1<<53 && exp >= -22 && exp <= 22 {
		v = float64(mant)
		if exp < 0 {
			v /= pow10[-exp]
		} else {
			v *= pow10[exp]
		}
		if neg {
			v = -v
		}
		return v, true
	}
	text := string(b)
	if mark != '.' || bytes.ContainsAny(b, "dD") {
		c := []byte(text)
		for k := range c {
			switch {
			case c[k] == mark:
				c[k] = '.'
			case isExponent(c[k]):
				c[k] = 'e'
			}
		}
		text = string(c)
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil && !math.IsInf(v, 0) {
		return 0, false
	}
	return v, true
}
