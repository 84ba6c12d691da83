package tariff

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/money"
)

// BillingMonth is what a month is on a bill.
//
//	calendar                          each calendar month by its own days
//	30 days                           days / 30, also for a calendar month
//	365/12 days                       days / (365/12)
//	30 days to 0.01                   days / 30, to two decimals
//	30 days outside 25 to 35 days     one month from 25 to 35 days, else days / 30
//	one month, multiplied             the mean month of the bill is priced, then multiplied
type BillingMonth struct {
	Days       decimal.Decimal // zero for a calendar month
	Step       decimal.Decimal // how finely a part is taken; zero for timePlaces
	Least      int             // a bill of Least to Most days is one month; 0 for none
	Most       int
	Multiplied bool
	text       string
}

var (
	billingMonthForm = regexp.MustCompile(`^(\d{2}|365/12) days(?: to (0\.\d+))?(?: outside (\d{1,2}) to (\d{1,3}) days)?$`)
	billingMonths    = []string{"calendar", "30 days", "365/12 days", "30 days to 0.01", "30 days outside 25 to 35 days", "one month, multiplied"}
)

// UnmarshalText reads one of the forms.
func (b *BillingMonth) UnmarshalText(text []byte) error {
	s := strings.TrimSpace(string(text))
	*b = BillingMonth{text: s}
	switch s {
	case "calendar":
		return nil
	case "one month, multiplied":
		b.Multiplied = true
		return nil
	}
	m := billingMonthForm.FindStringSubmatch(s)
	if m == nil {
		return diag.OneOf("billing month", s, billingMonths)
	}
	if m[1] == "365/12" {
		b.Days = decimal.New(365, 0).DivRound(decimal.New(12, 0), 12)
	} else {
		n, _ := strconv.Atoi(m[1])
		if n < 28 || n > 31 {
			return &diag.Problem{What: fmt.Sprintf("a billing month of %d days", n), Expected: "28 to 31 days, or 365/12 days"}
		}
		b.Days = decimal.New(int64(n), 0)
	}
	if m[2] != "" {
		step, err := money.ParseDecimal(m[2])
		if err != nil || !step.IsPositive() {
			return &diag.Problem{What: fmt.Sprintf("%q is not a step", m[2]), Expected: "a step such as 0.01"}
		}
		b.Step = step
	}
	if m[3] != "" {
		b.Least, _ = strconv.Atoi(m[3])
		b.Most, _ = strconv.Atoi(m[4])
		if b.Least > b.Most {
			return &diag.Problem{What: fmt.Sprintf("%s to %s days is empty", m[3], m[4]), Expected: "fewest to most days, such as 25 to 35 days"}
		}
	}
	return nil
}

// String gives the words that are typed.
func (b BillingMonth) String() string {
	if b.text == "" {
		return billingMonths[0]
	}
	return b.text
}

// BillingYear is what a year is to a price per year.
type BillingYear int

// The billing years.
const (
	Days365  BillingYear = iota // days / 365, and one from a day to the same day of the next year
	Months12                    // months / 12
)

// UnmarshalText reads 365 days or 12 months.
func (b *BillingYear) UnmarshalText(text []byte) error {
	words := []string{"365 days", "12 months"}
	for i, w := range words {
		if w == string(text) {
			*b = BillingYear(i)
			return nil
		}
	}
	return diag.OneOf("billing year", string(text), words)
}

// timePlaces is how many decimals a part of a month or year is taken to.
const timePlaces = 6

var (
	days365  = decimal.New(365, 0)
	months12 = decimal.New(12, 0)
)

// counted is how many days, months, years or bills some days of a bill have for
// a price. The bill tells whether a month is the calendar's or one of its own.
func (t *Tariff) counted(p, bill Period, over string) decimal.Decimal {
	days := decimal.New(int64(p.Days()), 0)
	switch over {
	case "day":
		return days
	case "bill":
		if p == bill {
			return one
		}
		return days.DivRound(decimal.New(int64(bill.Days()), 0), timePlaces)
	case "year":
		if t.Year.Value == Months12 {
			return t.counted(p, bill, "month").DivRound(months12, 2*timePlaces)
		}
		for n := 1; n <= 10; n++ {
			if addMonths(p.From, 12*n) == p.To {
				return decimal.New(int64(n), 0)
			}
		}
		return days.DivRound(days365, timePlaces)
	}
	m := t.Month.Value
	switch {
	case m.Days.IsZero():
		return calendarMonths(p)
	case m.Least > 0 && bill.Days() >= m.Least && bill.Days() <= m.Most:
		return days.DivRound(decimal.New(int64(bill.Days()), 0), timePlaces)
	}
	if m.Days.IsInteger() {
		days = days.DivRound(m.Days, 2*timePlaces)
	} else {
		days = days.Mul(months12).DivRound(days365, 2*timePlaces)
	}
	if m.Step.IsPositive() {
		return roundTo(money.HalfUp, days, m.Step)
	}
	return days.Round(timePlaces)
}

// calendarMonths counts months: whole ones when the period runs to the same day
// of a later month, else each calendar month by the share of its days.
func calendarMonths(p Period) decimal.Decimal {
	for n := 1; n <= 120; n++ {
		switch addMonths(p.From, n).Compare(p.To) {
		case 0:
			return decimal.New(int64(n), 0)
		case 1:
			n = 120
		}
	}
	sum := decimal.Zero
	for d := p.From; d.Compare(p.To) < 0; {
		size := civil.DaysIn(d.Year, d.Month)
		next := addMonths(civil.Date{Year: d.Year, Month: d.Month, Day: 1}, 1)
		if next.Compare(p.To) > 0 {
			next = p.To
		}
		sum = sum.Add(decimal.New(int64(d.DaysUntil(next)), 0).DivRound(decimal.New(int64(size), 0), 2*timePlaces))
		d = next
	}
	return sum.Round(timePlaces)
}
