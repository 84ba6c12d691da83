package tariff

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/say"
	"auditgen/internal/source"
)

// Price is an exact amount of the tariff's currency per unit, as typed:
// "0.1523 /kWh", "1.92 /day", "7.80 /kVA/month", "0.1523 EUR/kWh".
type Price struct {
	Amount   decimal.Decimal
	Per      PriceUnit
	Currency string // when it was typed in front of the stroke
	Text     string // as typed
	Pos      diag.Pos
}

// PriceUnit is what a price is for: an amount of something, a time, or an
// amount over a time: {"kWh", ""}, {"", "day"}, {"kVA", "month"}.
type PriceUnit struct{ Of, Over string }

// String gives the unit as it is typed behind a price: "/kVA/month".
func (u PriceUnit) String() string {
	s := ""
	if u.Of != "" {
		s = "/" + u.Of
	}
	if u.Over != "" {
		s += "/" + u.Over
	}
	return s
}

// IsSet reports whether the price was typed.
func (p Price) IsSet() bool { return p.Pos.IsSet() && p.Text != "" }

var (
	amountUnits = []string{"kWh", "MWh", "kVAh", "kvarh", "kW", "kVA", "kvar", "A"}
	timeUnits   = []string{"day", "month", "year", "bill"}
	// centWords are the words for a hundredth of a currency that price sheets
	// print. They are refused, since one forgotten shift is a hundredfold bill.
	centWords = []string{"c", "ct", "cts", "cent", "cents", "¢", "p", "pence", "sen", "paise", "öre", "øre", "kr"}
	priceForm = regexp.MustCompile(`^(-?[0-9][0-9.,_']*)\s*([^/0-9]*?)\s*/(.*)$`)
)

const priceExample = "a price per unit, such as 0.1523 /kWh or 1.92 /day"

// ReadSource reads a price.
func (p *Price) ReadSource(v *source.Value, faults *diag.List) {
	p.Pos = v.Pos
	if v.Form != source.Scalar {
		faults.At(v.Pos, "a price is a single value", priceExample)
		return
	}
	next, err := parsePrice(v.Text)
	if err != nil {
		faults.Add(err.At(v.Pos))
		return
	}
	next.Pos = v.Pos
	*p = next
}

func parsePrice(text string) (Price, *diag.Problem) {
	s := strings.TrimSpace(text)
	m := priceForm.FindStringSubmatch(s)
	if m == nil {
		near := withSlashes(s)
		if near != "" {
			return Price{}, &diag.Problem{What: fmt.Sprintf("price %q has no slash before its unit", s), Expected: priceExample, Nearest: near}
		}
		return Price{}, &diag.Problem{What: fmt.Sprintf("price %q does not say per what", s), Expected: priceExample}
	}
	number, word, per := m[1], m[2], m[3]
	amount, err := money.ParseDecimal(number)
	if err != nil && strings.Count(number, ",") == 1 {
		return Price{}, &diag.Problem{What: fmt.Sprintf("%q has a comma", number), Expected: "a point before the decimals, and thousands not set apart", Nearest: strings.Replace(s, ",", ".", 1)}
	}
	if err != nil {
		return Price{}, &diag.Problem{What: fmt.Sprintf("%q is not a number", number), Expected: priceExample}
	}
	if slices.Contains(centWords, strings.ToLower(word)) {
		return Price{}, &diag.Problem{
			What:     fmt.Sprintf("price %q is not in whole currency", s),
			Expected: "the price in the tariff's currency, not in its hundredths",
			Nearest:  amount.Shift(-2).String() + " /" + strings.TrimSpace(per),
		}
	}
	if word != "" && !currencyForm.MatchString(word) {
		return Price{}, &diag.Problem{What: fmt.Sprintf("%q in the price %q is not a currency", word, s), Expected: priceExample}
	}
	unit, problem := parsePriceUnit(per)
	if problem != nil {
		if problem.Nearest == "" {
			problem.Nearest = withSlashes(s)
		}
		return Price{}, problem
	}
	return Price{Amount: amount, Per: unit, Currency: word, Text: s}, nil
}

// withSlashes writes a price that says "per" as the program reads it; "" where that
// makes no price either.
func withSlashes(s string) string {
	number, per, ok := strings.Cut(strings.ReplaceAll(s, " per ", "/"), "/")
	if fixed := strings.TrimSpace(number) + " /" + strings.TrimSpace(per); ok && fixed != s {
		if _, problem := parsePrice(fixed); problem == nil {
			return fixed
		}
	}
	return ""
}

var currencyForm = regexp.MustCompile(`^[A-Z]{3}$`)

func parsePriceUnit(text string) (PriceUnit, *diag.Problem) {
	var u PriceUnit
	parts := strings.Split(text, "/")
	for i, part := range parts {
		part = strings.TrimSpace(part)
		switch {
		case i == 0 && slices.Contains(amountUnits, part):
			u.Of = part
		case i == len(parts)-1 && i < 2 && slices.Contains(timeUnits, part):
			u.Over = part
		default:
			known := slices.Concat(amountUnits, timeUnits)
			pr := diag.OneOf("unit", part, known)
			pr.Expected = "a price per " + strings.Join(known[:len(known)-1], ", ") + " or " + known[len(known)-1] + ", or such as /kVA/month"
			return u, pr
		}
	}
	return u, nil
}

// Step is how finely a quantity or an amount is taken and how it is brought
// there: "0.01", "0.01 cut", "1 kWh", "0.1 kVA up". The way is half up (a half
// goes away from zero) unless typed: half even, cut, up.
type Step struct {
	Size decimal.Decimal
	Unit string // "" for an amount of money or a plain number
	Way  money.Rounding
	Text string
	Pos  diag.Pos
}

// IsSet reports whether the step was typed.
func (s Step) IsSet() bool { return s.Pos.IsSet() && s.Size.IsPositive() }

var (
	stepForm = regexp.MustCompile(`^([0-9.]+)\s*([A-Za-z]+)?$`)
	ways     = []string{"half up", "half even", "cut", "up"} // half up before up
)

// ReadSource reads a step.
func (s *Step) ReadSource(v *source.Value, faults *diag.List) {
	const expected = "a step and, if it is not half up, the way: 0.01, 0.01 cut, 1 kWh, 0.1 kVA up"
	number, way := strings.TrimSpace(v.Text), ""
	for _, w := range ways {
		if rest, ok := strings.CutSuffix(number, " "+w); ok {
			number, way = rest, w
			break
		}
	}
	m := stepForm.FindStringSubmatch(strings.TrimSpace(number))
	if v.Form != source.Scalar || m == nil {
		faults.At(v.Pos, fmt.Sprintf("%q is not a rounding", v.Text), expected)
		return
	}
	size, err := money.ParseDecimal(m[1])
	if err != nil || !size.IsPositive() {
		faults.At(v.Pos, fmt.Sprintf("%q is not a rounding", v.Text), expected)
		return
	}
	if m[2] != "" && !slices.Contains(amountUnits, m[2]) {
		pr := diag.OneOf("unit or way of rounding", m[2], slices.Concat(ways, amountUnits))
		faults.Add(pr.At(v.Pos))
		return
	}
	*s = Step{Size: size, Unit: m[2], Text: strings.TrimSpace(v.Text), Pos: v.Pos}
	if way != "" {
		if err := s.Way.UnmarshalText([]byte(way)); err != nil {
			faults.At(v.Pos, err.Error(), expected)
		}
	}
}

// Amount is an exact number of one of the units that demand and energy are
// billed in: "50 kVA".
type Amount struct {
	Value decimal.Decimal
	Unit  string
}

// String gives number and unit.
func (a Amount) String() string { return a.Value.String() + " " + a.Unit }

// UnmarshalText reads a number with its unit.
func (a *Amount) UnmarshalText(text []byte) error {
	number, unit, _ := strings.Cut(strings.TrimSpace(string(text)), " ")
	unit = strings.TrimSpace(unit)
	v, err := money.ParseDecimal(number)
	if err != nil {
		return err
	}
	if !slices.Contains(amountUnits, unit) {
		if unit == "" {
			return &diag.Problem{What: fmt.Sprintf("%q has no unit", text), Expected: "a number with its unit, such as 50 kVA"}
		}
		p := diag.OneOf("unit", unit, amountUnits)
		if p.Nearest != "" {
			p.Nearest = number + " " + p.Nearest
		}
		return p
	}
	*a = Amount{v, unit}
	return nil
}

// Window is the time over which a demand is averaged, in minutes: "15 min".
// Windows follow one another from midnight (block demand), or begin every few
// minutes: "15 min every 5 min" (sliding demand).
type Window struct {
	Minutes int
	Every   int // minutes from one window to the next; 0 where they follow one another
}

var windowForm = regexp.MustCompile(`^(\d{1,4}) min(?: every (\d{1,2}) min)?$`)

// UnmarshalText reads a window of 1 to 60 minutes that divides the hour.
func (w *Window) UnmarshalText(text []byte) error {
	const expected = "minutes that divide the hour, such as 15 min or 30 min, or 15 min every 5 min where windows slide"
	s := strings.TrimSpace(string(text))
	m := windowForm.FindStringSubmatch(s)
	if m == nil {
		return &diag.Problem{What: fmt.Sprintf("%q is not a demand window", s), Expected: expected}
	}
	n, _ := strconv.Atoi(m[1])
	if n < 1 || n > 60 || 60%n != 0 {
		return &diag.Problem{What: fmt.Sprintf("a demand window of %d min does not divide the hour", n), Expected: expected}
	}
	next := Window{Minutes: n}
	if m[2] != "" {
		next.Every, _ = strconv.Atoi(m[2])
		if next.Every < 1 || next.Every >= n || n%next.Every != 0 {
			return &diag.Problem{What: fmt.Sprintf("windows of %d min every %d min do not fit", n, next.Every), Expected: "a step that divides the window, such as 15 min every 5 min"}
		}
	}
	*w = next
	return nil
}

// String gives the words that are typed.
func (w Window) String() string {
	if w.Every > 0 {
		return fmt.Sprintf("%d min every %d min", w.Minutes, w.Every)
	}
	return fmt.Sprintf("%d min", w.Minutes)
}

// words names the mean that a demand is the highest of.
func (w Window) words(lang *say.Language) string {
	if w.Every > 0 {
		return lang.F("sliding %d min", w.Minutes)
	}
	return w.String()
}

// PerPoint is what one step of power factor adds: "1.5 % per 0.01", a share of
// the named lines, or "0.005 /kWh per 0.01", a price on energy.
type PerPoint struct {
	Rate  decimal.Decimal // fraction, or currency per Unit
	Unit  string          // "" for a share, else kWh
	Point decimal.Decimal
	Text  string
	Pos   diag.Pos
}

// IsSet reports whether it was typed.
func (p PerPoint) IsSet() bool { return p.Pos.IsSet() && p.Text != "" }

// ReadSource reads either form.
func (p *PerPoint) ReadSource(v *source.Value, faults *diag.List) {
	const expected = "a percentage or a price per step of power factor, such as 1.5 % per 0.01 or 0.005 /kWh per 0.01"
	p.Pos = v.Pos
	rate, point, ok := strings.Cut(v.Text, " per ")
	if v.Form != source.Scalar || !ok {
		faults.At(v.Pos, fmt.Sprintf("%q does not say per what step of power factor", v.Text), expected)
		return
	}
	step, err := money.ParseDecimal(point)
	if err != nil || !step.IsPositive() || step.GreaterThan(one) {
		faults.At(v.Pos, fmt.Sprintf("%q is not a step of power factor", point), expected)
		return
	}
	next := PerPoint{Point: step, Text: strings.TrimSpace(v.Text), Pos: v.Pos}
	if strings.Contains(rate, "/") {
		price, problem := parsePrice(rate)
		if problem == nil && price.Per != (PriceUnit{"kWh", ""}) {
			problem = &diag.Problem{What: fmt.Sprintf("%q is not a price per kWh", rate), Expected: expected}
		}
		if problem != nil {
			faults.Add(problem.At(v.Pos))
			return
		}
		next.Rate, next.Unit = price.Amount, "kWh"
	} else {
		var share money.Percent
		if err := share.UnmarshalText([]byte(rate)); err != nil {
			faults.At(v.Pos, fmt.Sprintf("%q is neither a percentage nor a price", rate), expected)
			return
		}
		next.Rate = share.Fraction
	}
	if next.Rate.IsNegative() {
		faults.At(v.Pos, fmt.Sprintf("%q is negative", v.Text), "a positive rate; less: takes off, add: adds")
		return
	}
	*p = next
}

var one = decimal.New(1, 0)
