package intake

import (
	"fmt"
	"strings"
	"time"

	"auditgen/internal/diag"
)

// Format is how a file writes times: YYYY-MM-DD hh:mm:ss and the like. Its zero
// value is ISO 8601.
//
//	YYYY YY  year; YY is 20YY
//	MM DD    month and day, one digit or two
//	MMM      month in English: Jan, March
//	hh mm ss hour, minute, second, one digit or two; 24:00 is the end of the day
//	am       am or pm
//	+hh:mm   distance from UTC, or Z
//	unix     seconds since 1970-01-01 UTC; unix-ms: milliseconds
//
// Every other character stands for itself.
type Format struct {
	parts []part
	text  string
	zoned bool // times say their distance from UTC
}

type part struct {
	what byte // Y y M N D h m s a z u U, or 0 for itself
	char byte
}

var formatTokens = []struct {
	text string
	what byte
}{{"YYYY", 'Y'}, {"YY", 'y'}, {"MMM", 'N'}, {"MM", 'M'}, {"DD", 'D'}, {"+hh:mm", 'z'}, {"hh", 'h'}, {"mm", 'm'}, {"ss", 's'}, {"am", 'a'}, {"unix-ms", 'U'}, {"unix", 'u'}}

const formatExpected = "parts such as YYYY, MM, DD, hh, mm, in the file's order: DD.MM.YYYY hh:mm"

// UnmarshalText reads a format.
func (f *Format) UnmarshalText(text []byte) error {
	s := strings.TrimSpace(string(text))
	*f = Format{text: s}
	has := map[byte]int{}
next:
	for len(s) > 0 {
		for _, t := range formatTokens {
			if strings.HasPrefix(s, t.text) {
				f.parts = append(f.parts, part{what: t.what})
				has[t.what]++
				s = s[len(t.text):]
				continue next
			}
		}
		if c := s[0]; c >= 'A' && c <= 'Z' && c != 'T' || c >= 'a' && c <= 'z' || c > 126 {
			return &diag.Problem{What: fmt.Sprintf("%q in a form of times stands for nothing", s[:1]), Expected: formatExpected}
		}
		f.parts = append(f.parts, part{char: s[0]})
		s = s[1:]
	}
	stamp := has['u']+has['U'] == 1 && len(f.parts) == 1
	date := has['Y']+has['y'] == 1 && has['M']+has['N'] == 1 && has['D'] == 1 && has['h'] == 1
	for _, n := range has {
		date = date && n == 1
	}
	if !stamp && !date {
		return &diag.Problem{What: fmt.Sprintf("%q does not name year, month, day and hour once each", f.text), Expected: formatExpected}
	}
	f.zoned = stamp || has['z'] > 0
	return nil
}

// String gives the form as it was typed.
func (f Format) String() string {
	if f.text == "" {
		return "YYYY-MM-DD hh:mm"
	}
	return f.text
}

// moment is a time as read: of the local clock, or an instant where the file
// says the distance from UTC.
type moment struct {
	seconds int64 // since 1970-01-01 00:00, local or UTC
	instant bool
}

// clockReader reads times of one form. It keeps the last day, whose number is
// then not worked out again.
type clockReader struct {
	format           Format
	year, month, day int
	days             int64
}

func (c *clockReader) read(b []byte) (moment, bool) {
	if len(c.format.parts) == 0 {
		return c.iso(b)
	}
	v := fields{month: 1, day: 1}
	for _, p := range c.format.parts {
		var ok bool
		if b, ok = v.take(p, b); !ok {
			return moment{}, false
		}
	}
	if len(b) > 0 {
		return moment{}, false
	}
	if v.stamped {
		return moment{v.stamp, true}, true
	}
	if v.half != 0 {
		if v.hour < 1 || v.hour > 12 {
			return moment{}, false
		}
		v.hour %= 12
		if v.half == 'p' {
			v.hour += 12
		}
	}
	return c.at(v)
}

// fields are the parts of a time.
type fields struct {
	year, month, day, hour, minute, second int
	offset                                 int64
	half                                   byte
	zoned, stamped                         bool
	stamp                                  int64
}

func (v *fields) take(p part, b []byte) ([]byte, bool) {
	ok := true
	switch p.what {
	case 0:
		if len(b) == 0 || b[0] != p.char {
			return b, false
		}
		return b[1:], true
	case 'Y':
		v.year, b, ok = digits(b, 4, 4)
	case 'y':
		v.year, b, ok = digits(b, 2, 2)
		v.year += 2000
	case 'M':
		v.month, b, ok = digits(b, 1, 2)
	case 'N':
		v.month, b, ok = monthWord(b)
	case 'D':
		v.day, b, ok = digits(b, 1, 2)
	case 'h':
		v.hour, b, ok = digits(b, 1, 2)
	case 'm':
		v.minute, b, ok = digits(b, 1, 2)
	case 's':
		v.second, b, ok = digits(b, 1, 2)
	case 'a':
		if ok = len(b) >= 2 && (b[1]|0x20) == 'm' && ((b[0]|0x20) == 'a' || (b[0]|0x20) == 'p'); ok {
			v.half, b = b[0]|0x20, b[2:]
		}
	case 'z':
		v.offset, b, ok = distance(b)
		v.zoned = true
	case 'u', 'U':
		f, good := parseFixed(b, '.')
		exp := 0
		if p.what == 'U' {
			exp = -3
		}
		v.stamp, ok = f.scaled(exp, 1<<40)
		ok, v.stamped, b = ok && good, true, nil
	}
	return b, ok
}

// iso reads YYYY-MM-DD hh:mm[:ss[.000]], T between date and time too, with or
// without a distance from UTC.
func (c *clockReader) iso(b []byte) (moment, bool) {
	if len(b) < 16 || b[4] != '-' || b[7] != '-' || b[10] != 'T' && b[10] != ' ' || b[13] != ':' {
		return moment{}, false
	}
	var v fields
	var ok [5]bool
	v.year, _, ok[0] = digits(b[:4], 4, 4)
	v.month, _, ok[1] = digits(b[5:7], 2, 2)
	v.day, _, ok[2] = digits(b[8:10], 2, 2)
	v.hour, _, ok[3] = digits(b[11:13], 2, 2)
	v.minute, _, ok[4] = digits(b[14:16], 2, 2)
	if ok != [5]bool{true, true, true, true, true} {
		return moment{}, false
	}
	b = b[16:]
	if len(b) > 0 && b[0] == ':' {
		var good bool
		if v.second, b, good = digits(b[1:], 2, 2); !good {
			return moment{}, false
		}
		if len(b) > 0 && b[0] == '.' {
			for b = b[1:]; len(b) > 0 && b[0] == '0'; b = b[1:] {
			}
		}
	}
	if len(b) > 0 {
		var good bool
		if v.offset, b, good = distance(b); !good || len(b) > 0 {
			return moment{}, false
		}
		v.zoned = true
	}
	return c.at(v)
}

// at makes a moment of the parts, and refuses days and hours that are none.
func (c *clockReader) at(v fields) (moment, bool) {
	end := v.hour == 24 && v.minute == 0 && v.second == 0
	if v.hour > 23 && !end || v.minute > 59 || v.second > 59 {
		return moment{}, false
	}
	if v.day != c.day || v.month != c.month || v.year != c.year {
		t := time.Date(v.year, time.Month(v.month), v.day, 0, 0, 0, 0, time.UTC)
		if v.month < 1 || v.month > 12 || t.Day() != v.day || v.year < 1970 || v.year > 2200 {
			return moment{}, false
		}
		c.year, c.month, c.day, c.days = v.year, v.month, v.day, t.Unix()
	}
	return moment{c.days + int64(v.hour*3600+v.minute*60+v.second) - v.offset, v.zoned}, true
}

// digits takes from least to most digits.
func digits(b []byte, least, most int) (int, []byte, bool) {
	n, i := 0, 0
	for i < len(b) && i < most && b[i] >= '0' && b[i] <= '9' {
		n = n*10 + int(b[i]-'0')
		i++
	}
	return n, b[i:], i >= least
}

// distance takes a distance from UTC in seconds: Z, +01:00, -0500, +01.
func distance(b []byte) (int64, []byte, bool) {
	if len(b) > 0 && b[0] == ' ' {
		b = b[1:]
	}
	if len(b) > 0 && b[0] == 'Z' {
		return 0, b[1:], true
	}
	if len(b) < 3 || b[0] != '+' && b[0] != '-' {
		return 0, b, false
	}
	sign := int64(1)
	if b[0] == '-' {
		sign = -1
	}
	h, rest, ok := digits(b[1:], 2, 2)
	m := 0
	if len(rest) > 0 && rest[0] == ':' {
		rest = rest[1:]
	}
	if len(rest) >= 2 {
		var good bool
		m, rest, good = digits(rest, 2, 2)
		ok = ok && good
	}
	return sign * int64(h*3600+m*60), rest, ok && h <= 14 && m < 60
}

func monthWord(b []byte) (int, []byte, bool) {
	n := 0
	for n < len(b) && (b[n]|0x20) >= 'a' && (b[n]|0x20) <= 'z' {
		n++
	}
	word := strings.ToLower(string(b[:n]))
	for m := time.January; m <= time.December; m++ {
		full := strings.ToLower(m.String())
		if word == full || word == full[:3] {
			return int(m), b[n:], true
		}
	}
	return 0, b, false
}
