package report

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/bojanz/currency"
	"github.com/shopspring/decimal"
	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/number"

	"auditgen/internal/audit"
	"auditgen/internal/civil"
	"auditgen/internal/say"
)

const (
	nbsp  = "\u00a0"
	minus = "\u2212"
)

// format writes sentences, numbers, money, dates and ranges in the reader's
// language.
type format struct {
	*say.Language // nil says English
	dates
	p             *message.Printer
	symbol        string // of the currency; its code where the language has none
	before, after string // what stands around an amount of the currency
	places        int    // decimals of the smallest coin
	group, point  string // what sets thousands apart, and decimals
}

// newFormat gives the format of a language for amounts in a currency. An
// unknown or empty code leaves amounts without a symbol.
func newFormat(words *say.Language, code string) format {
	tag := words.At()
	f := format{Language: words, dates: datesOf(tag), p: message.NewPrinter(tag), symbol: code, places: 2}
	f.group = strings.Trim(f.p.Sprint(number.Decimal(88888)), "8٨")
	f.point = strings.Trim(f.p.Sprint(number.Decimal(8.8, number.Scale(1))), "8٨")
	if code != "" && currency.IsValid(code) {
		f.currency(tag, code)
	}
	return f
}

// currency finds where the language puts the symbol of a currency.
func (f *format) currency(tag language.Tag, code string) {
	locale := currency.NewLocale(tag.String())
	f.symbol, _ = currency.GetSymbol(code, locale)
	digits, _ := currency.GetDigits(code)
	f.places = int(digits)
	w := currency.NewFormatter(locale)
	w.MinDigits, w.MaxDigits = 0, 0
	one, _ := currency.NewAmount("1", code) // the code is valid
	f.before, f.after, _ = strings.Cut(w.Format(one), "1")
}

// number writes v with a count of decimals: groups by language, a true minus
// sign, no minus before zero.
func (f format) number(v float64, decimals int) string {
	if !finite(v) {
		return f.notKnown()
	}
	v = roundTo(v, -decimals)
	text := f.p.Sprint(number.Decimal(v, number.Scale(decimals)))
	return strings.Replace(text, "-", minus, 1)
}

// notKnown stands where there is no figure.
func (f format) notKnown() string { return f.S("not known") }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// money writes an amount of the site's currency.
func (f format) money(v float64, decimals int) string {
	return f.withSymbol(f.number(v, decimals))
}

// withSymbol puts the currency before a written number, behind its minus sign,
// or after it, as the language does.
func (f format) withSymbol(text string) string {
	sign, digits := "", text
	if rest, negative := strings.CutPrefix(text, minus); negative {
		sign, digits = minus, rest
	}
	return sign + f.before + digits + f.after
}

// exact writes an exact decimal with all its digits and groups before the point.
func (f format) exact(d decimal.Decimal) string { return f.exactText(d.String()) }

// exactText writes a plain decimal number with all its digits.
func (f format) exactText(text string) string {
	whole, fraction, _ := strings.Cut(text, ".")
	n, err := strconv.ParseInt(whole, 10, 64)
	if err != nil {
		return strings.Replace(text, "-", minus, 1)
	}
	grouped := f.number(float64(n), 0)
	if n == 0 && strings.HasPrefix(text, "-") {
		grouped = minus + grouped
	}
	if fraction == "" {
		return grouped
	}
	return grouped + f.point + fraction
}

// amount writes an exact amount of money to the smallest coin, or with all its
// digits where it has more.
func (f format) amount(d decimal.Decimal) string {
	text := d.StringFixed(int32(f.places))
	if !d.Equal(d.Round(int32(f.places))) {
		return f.withSymbol(f.exact(d))
	}
	fixed, _ := decimal.NewFromString(text)
	return f.withSymbol(f.number(fixed.InexactFloat64(), f.places))
}

// sig writes v with up to so many significant digits and no idle zeros behind
// the point, as working figures are.
func (f format) sig(v float64, digits int) string {
	if v == 0 || !finite(v) {
		return f.number(v, 0)
	}
	decimals := max(0, digits-1-exponent(v))
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
		_, fraction, _ := strings.Cut(text, ".")
		decimals = len(fraction)
	}
	return f.number(v, decimals)
}

// exponent is the power of ten of v's first digit.
func exponent(v float64) int {
	e, _ := strconv.Atoi(strings.SplitN(strconv.FormatFloat(math.Abs(v), 'e', 15, 64), "e", 2)[1])
	return e
}

// roundTo rounds v to a multiple of ten to the power of place.
func roundTo(v float64, place int) float64 {
	if place > 0 {
		unit := math.Pow10(place)
		return math.Round(v/unit) * unit
	}
	unit := math.Pow10(-place)
	if r := math.Round(v*unit) / unit; finite(r) {
		return r + 0 // no minus before zero
	}
	return v
}

// lastPlace is the power of ten of the last digit that an interval of the given
// half-width allows: two digits of it where it begins with 1 or 2, else one.
func lastPlace(half float64) int {
	if half <= 0 || !finite(half) {
		return 0
	}
	e := exponent(half)
	if half/math.Pow10(e) < 3 {
		return e - 1
	}
	return e
}

// placeOf is lastPlace for an interval; one without a width gets three
// significant digits, since nothing says that it is known better.
func placeOf(i audit.Interval) int {
	// What is left of a width by the last digits of arithmetic is none.
	if half := i.Half(); half > 1e-9*math.Abs(i.Value) {
		return lastPlace(half)
	}
	if i.Value == 0 {
		return 0
	}
	return exponent(i.Value) - 2
}

// known reports whether there is a figure: worked out, and not a bare nothing.
func known(i audit.Interval) bool { return finite(i.Value) && (i.Step != "" || i.Value != 0) }

// write is a number rounded to a place, as number or as money.
type write func(v float64, decimals int) string

// rounded writes v to a place.
func rounded(w write, v float64, place int) string {
	return w(roundTo(v, place), max(0, -place))
}

// best writes the best estimate of an interval.
func best(w write, i audit.Interval) string { return rounded(w, i.Value, placeOf(i)) }

// span writes the interval in words: "54,000 to 61,000".
func (f format) span(w write, i audit.Interval) string {
	p := placeOf(i)
	low, high := rounded(w, i.Low, p), rounded(w, i.High, p)
	if low == high {
		return low
	}
	return f.F("%s to %s", low, high)
}

// Digits writes an interval's best estimate and ends with no more digits than
// its width allows, thousands apart as the language has them, for a terminal.
func Digits(words *say.Language, i audit.Interval) (value, low, high string) {
	p := placeOf(i)
	plain := newFormat(words, "").number
	on := func(v float64) string { return onTerminal(rounded(plain, v, p)) }
	return on(i.Value), on(i.Low), on(i.High)
}

// Plain writes the numbers of a text as the language has them, for a terminal.
func Plain(words *say.Language, text string) string {
	return onTerminal(newFormat(words, "").typed(text))
}

var terminal = strings.NewReplacer(minus, "-", nbsp, " ")

func onTerminal(text string) string { return terminal.Replace(text) }

// give writes the half-width.
func (f format) give(w write, i audit.Interval) string {
	if i.Half() <= 0 {
		return f.S("none")
	}
	return rounded(w, i.Half(), placeOf(i))
}

// percent writes a share as a percentage.
func (f format) percent(share float64, decimals int) string {
	return f.number(share*100, decimals) + nbsp + "%"
}

// withUnit joins number and unit by a space that does not break.
func (f format) withUnit(text, unit string) string {
	if unit == "" || text == f.notKnown() {
		return text
	}
	return text + nbsp + unit
}

// addUp rounds values to a place so that the printed column adds up to the
// rounded sum: each is rounded down, and what is left goes to those that lost
// most (the method of largest remainders).
func addUp(values []float64, place int) []float64 {
	unit := math.Pow10(place)
	out, rest := make([]float64, len(values)), make([]float64, len(values))
	sum, whole := 0.0, 0.0
	for i, v := range values {
		out[i] = math.Floor(v/unit + 1e-9)
		rest[i] = v/unit - out[i]
		sum += v / unit
		whole += out[i]
	}
	for n := int(math.Round(sum) - whole); n > 0; n-- {
		most := 0
		for i := range rest {
			if rest[i] > rest[most]+1e-9 {
				most = i
			}
		}
		if len(rest) == 0 {
			break
		}
		out[most]++
		rest[most]--
	}
	for i := range out {
		out[i] = roundTo(out[i]*unit, place)
	}
	return out
}

var (
	negative   = regexp.MustCompile(`(^|[\s(])-(\d)`)
	unitGap    = regexp.MustCompile(`(\d) (%|°|kWh|kW|kVA|kvarh|kvar|kA|A|V|Hz|h|min|W|VA|var)\b`)
	longNumber = regexp.MustCompile(`(^|[ (])(\d{4,}\.\d+|\d{5,})\b( (?:kWh|MWh|kvarh|kW|kVA|kvar)\b)?`)
	fourDigits = regexp.MustCompile(`(^|[ (])(\d)(\d{3})( (?:h|W|VA|var|kWh|kvarh|kW|kVA|kvar)\b)`) // a year has no unit
	dayKey     = regexp.MustCompile(`(^|[ (])(\d{4})-(\d{2})-(\d{2})($|[ ,.;:)])`)
	monthKey   = regexp.MustCompile(`(^| )(\d{4})-(\d{2})($|[ ,.;:])`)
	shareGap   = regexp.MustCompile(`(\d) ([%°])`)
)

// typed sets a text that a person or another package wrote as the report sets
// its own: numbers as the language has them, and polished. A text with numbers
// that this package wrote is not typed again: it would take a separator of
// thousands for a point.
func (f format) typed(text string) string {
	if f.group == "," && f.point == "." {
		text = longNumber.ReplaceAllStringFunc(text, groupDigits)
		text = fourDigits.ReplaceAllString(text, "${1}${2},${3}${4}")
	} else {
		text = f.relocated(text)
	}
	return f.polished(text)
}

// polished gives a text true minus signs, no break between number and unit,
// dates in words and curled apostrophes.
func (f format) polished(text string) string {
	text = negative.ReplaceAllString(text, "${1}"+minus+"${2}")
	text = shareGap.ReplaceAllString(text, "${1}"+nbsp+"${2}")
	text = unitGap.ReplaceAllString(text, "${1}"+nbsp+"${2}")
	text = dayKey.ReplaceAllStringFunc(text, f.dayInWords)
	text = monthKey.ReplaceAllStringFunc(text, f.monthInWords)
	return strings.ReplaceAll(text, "'", "’")
}

// groupDigits groups the digits of a plain number before its point.
func groupDigits(text string) string {
	m := longNumber.FindStringSubmatch(text)
	whole, fraction, point := strings.Cut(m[2], ".")
	if !point && m[3] == "" {
		return text // a standard's number, or another name
	}
	whole = grouped(whole, ",")
	if point {
		whole += "." + fraction
	}
	return m[1] + whole + m[3]
}

// grouped sets the thousands of digits apart.
func grouped(digits, by string) string {
	for i := len(digits) - 3; i > 0; i -= 3 {
		digits = digits[:i] + by + digits[i:]
	}
	return digits
}

var (
	anyNumber    = regexp.MustCompile(`\d[\d.,]*`)
	plainNumber  = regexp.MustCompile(`^(\d+)(?:\.(\d+))?$`)
	comesOfUnits = regexp.MustCompile(`^[ \x{a0}](?:kWh|MWh|kvarh|kW|kVA|kvar)\b`)
	lastWord     = regexp.MustCompile(`(\pL+)[ \x{a0}]$`)
)

// relocated writes the numbers of a text, which have a decimal point, as the
// language has them. What is part of a name, of a date or of a clause's number
// stays as it is.
func (f format) relocated(text string) string {
	named := strings.Fields(strings.ToLower(f.S("clause table section part figure edition version")))
	var out strings.Builder
	done := 0
	for _, at := range anyNumber.FindAllStringIndex(text, -1) {
		from, to := at[0], at[1]
		to -= len(text[from:to]) - len(strings.TrimRight(text[from:to], ".,"))
		m := plainNumber.FindStringSubmatch(text[from:to])
		before, after := text[:from], text[to:]
		if m == nil || partOfName(before, after) {
			continue
		}
		if w := lastWord.FindStringSubmatch(before); w != nil && slices.Contains(named, strings.ToLower(w[1])) {
			continue
		}
		number := m[1]
		if m[2] != "" && len(number) > 3 || len(number) > 4 && comesOfUnits.MatchString(after) {
			number = grouped(number, f.group)
		}
		if m[2] != "" {
			number += f.point + m[2]
		}
		out.WriteString(text[done:from] + number)
		done = to
	}
	return out.String() + text[done:]
}

// partOfName tells whether digits between two texts belong to a name, as in R1.2,
// EN 50160:2010, 2031-05-14 or 5th.
func partOfName(before, after string) bool {
	last, _ := utf8.DecodeLastRuneInString(before)
	next, size := utf8.DecodeRuneInString(after)
	joins := func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '_' }
	switch {
	case before != "" && (joins(last) || last == '/' || last == ':'):
		return true
	case last == '-' && len(before) > 1:
		beforeSign, _ := utf8.DecodeLastRuneInString(before[:len(before)-1])
		if joins(beforeSign) {
			return true
		}
	}
	if after == "" {
		return false
	}
	if next == ':' || next == '/' || next == '-' {
		following, _ := utf8.DecodeRuneInString(after[size:])
		return unicode.IsDigit(following)
	}
	return joins(next)
}

// dayInWords turns 2031-09-02 into 2 September 2031.
func (f format) dayInWords(key string) string {
	m := dayKey.FindStringSubmatch(key)
	d, err := civil.ParseDate(m[2] + "-" + m[3] + "-" + m[4])
	if err != nil {
		return key
	}
	words := f.dateWords(d)
	cut := strings.LastIndex(words, nbsp)
	return m[1] + words[:cut] + " " + words[cut+len(nbsp):] + m[5]
}

// monthInWords turns 2031-01 into January 2031.
func (f format) monthInWords(key string) string {
	m := monthKey.FindStringSubmatch(key)
	n, _ := strconv.Atoi(m[3])
	if name := f.monthName(n - 1); name != "" {
		return m[1] + f.F("%[1]s %[2]s", name, m[2]) + m[4]
	}
	return key
}
