package tariff

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/source"
)

// LimitKind tells what a limit is made from.
type LimitKind int

// The kinds of limit.
const (
	LimitAmount  LimitKind = iota + 1 // 50 kVA
	LimitAgreed                       // agreed: the site's agreed demand
	LimitOther                        // kVA, kW in off-peak, kWh: another quantity of the same bill
	LimitHighest                      // highest of 11 months [in winter]
	LimitLine                         // the id of another demand line
	LimitLoad                         // load factor 0.55: what the bill's energy makes at that load factor
)

// Limit is a bound on a billed quantity, whole or as a share:
//
//	50 kVA
//	75 % of agreed
//	90 % of kVA
//	30 % of kW in off-peak
//	70 % of highest of 11 months
//	65 % of highest of 12 months in winter
//	highest of the year         of this calendar year, up to now
//	100 % of on-peak            another demand line
//	33 % of kWh                 for energy and reactive energy; 1/3 of kWh
//	33 % of kWh in all          of all hours
//	load factor 0.55            kWh / (24 h x days x 0.55)
type Limit struct {
	Kind   LimitKind
	Share  decimal.Decimal // 1 when no percentage was typed
	Amount Amount          // LimitAmount
	Unit   string          // LimitOther
	Period string          // LimitOther, may be empty; "all" is all hours
	Months int             // LimitHighest; 0 for this calendar year
	Season string          // LimitHighest, may be empty
	Line   string          // LimitLine
	Factor decimal.Decimal // LimitLoad
	Text   string
	Pos    diag.Pos
	word   string // the text as a word of a name
}

// IsSet reports whether the limit was typed.
func (l Limit) IsSet() bool { return l.Kind != 0 }

var (
	limitShare   = regexp.MustCompile(`^(-?[0-9.]+ ?%|[0-9]+/[0-9]+) of (.+)$`)
	limitHighest = regexp.MustCompile(`^highest of (?:the )?(?:(?:past |last )?([0-9]+) months?|year)(?: in (\S+))?$`)
	limitLoad    = regexp.MustCompile(`^load factor (0?\.[0-9]+|1)$`)
	limitOther   = regexp.MustCompile(`^(kW|kVA|kvar|kWh)(?: in (\S+))?$`)
	limitID      = regexp.MustCompile(`^[a-z0-9][a-z0-9-]*$`)
)

const limitForms = "an amount or a share: 50 kVA, 75 % of agreed, 90 % of kVA, 30 % of kW in PERIOD, 70 % of highest of 11 months, 100 % of LINE"

var plainShare = regexp.MustCompile(`^[0-9.]+ ?%$`)

// ReadSource reads a limit.
func (l *Limit) ReadSource(v *source.Value, faults *diag.List) {
	l.Pos = v.Pos
	if v.Form != source.Scalar {
		faults.At(v.Pos, "a limit is a single value", limitForms)
		return
	}
	next, problem := parseLimit(strings.TrimSpace(v.Text))
	if problem != nil {
		faults.Add(problem.At(v.Pos))
		return
	}
	next.Pos = v.Pos
	*l = next
}

func parseLimit(text string) (Limit, *diag.Problem) {
	l := Limit{Share: one, Text: text, word: slug(text)}
	of := text
	if m := limitShare.FindStringSubmatch(text); m != nil {
		share, ok := parseShare(m[1])
		if !ok {
			return l, &diag.Problem{What: fmt.Sprintf("%q is not a share", m[1]), Expected: limitForms}
		}
		l.Share, of = share, strings.TrimSpace(m[2])
	}
	if plainShare.MatchString(text) {
		return l, &diag.Problem{What: fmt.Sprintf("%q does not say of what", text), Expected: fmt.Sprintf("what it is a share of: %s of kWh for reactive energy, of kVA, of agreed, of highest of 11 months, of LINE", text)}
	}
	switch {
	case of == "agreed":
		l.Kind = LimitAgreed
	case limitHighest.MatchString(of):
		m := limitHighest.FindStringSubmatch(of)
		l.Kind, l.Season = LimitHighest, m[2]
		if m[1] != "" {
			n, err := strconv.Atoi(m[1])
			if err != nil || n < 1 || n > 60 {
				return l, &diag.Problem{What: fmt.Sprintf("a look back over %s months is out of range", m[1]), Expected: "1 to 60 months"}
			}
			l.Months = n
		}
	case limitLoad.MatchString(of):
		f, err := money.ParseDecimal(limitLoad.FindStringSubmatch(of)[1])
		if err != nil || !f.IsPositive() {
			return l, &diag.Problem{What: fmt.Sprintf("%q is not a load factor", of), Expected: "a number up to 1, such as load factor 0.55"}
		}
		l.Kind, l.Factor = LimitLoad, f
	case limitOther.MatchString(of):
		m := limitOther.FindStringSubmatch(of)
		l.Kind, l.Unit, l.Period = LimitOther, m[1], m[2]
	case limitID.MatchString(of) && of[0] > '9':
		l.Kind, l.Line = LimitLine, of
	default:
		if err := l.Amount.UnmarshalText([]byte(of)); err != nil || l.Amount.Value.IsNegative() {
			return l, &diag.Problem{What: fmt.Sprintf("%q is not a limit", text), Expected: limitForms}
		}
		l.Kind = LimitAmount
	}
	return l, nil
}

// parseShare reads a percentage or a fraction, above zero.
func parseShare(text string) (decimal.Decimal, bool) {
	if over, under, ok := strings.Cut(text, "/"); ok {
		a, errA := money.ParseDecimal(over)
		b, errB := money.ParseDecimal(under)
		if errA != nil || errB != nil || !a.IsPositive() || !b.IsPositive() {
			return one, false
		}
		return a.DivRound(b, factorPlaces), true
	}
	var p money.Percent
	err := p.UnmarshalText([]byte(text))
	return p.Fraction, err == nil && p.Fraction.IsPositive()
}

// words gives a share as it is read: 75 %, 1/3.
func (l Limit) shareWords() string {
	if over, _, ok := strings.Cut(l.Text, " of "); ok && strings.Contains(over, "/") {
		return over
	}
	return percent(l.Share)
}

// Limits is a limit or a list of them.
type Limits []Limit

// ReadSource reads either form.
func (ls *Limits) ReadSource(v *source.Value, faults *diag.List) {
	items := v.Items
	if v.Form == source.Scalar {
		items = []*source.Value{v}
	} else if v.Form == source.Mapping {
		faults.At(v.Pos, "named entries stand where a limit or a list of limits belongs", limitForms)
		return
	}
	for _, item := range items {
		var l Limit
		l.ReadSource(item, faults)
		if l.IsSet() {
			*ls = append(*ls, l)
		}
	}
}

// isOwn tells limits that belong to the month's own demand (the same demand in
// another unit or period) from those that act on the bill. Ratchets of later
// months look at the own demand.
func (l Limit) isOwn() bool { return l.Kind == LimitOther }
