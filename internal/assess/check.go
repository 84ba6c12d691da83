package assess

import (
	"errors"
	"fmt"
	"math"

	"github.com/shopspring/decimal"
)

// check holds the assessment against itself: months sum to the year, loads to
// the uses, lines to the bills, net savings of the plan are its net present value,
// and every derived step replays. A failure is a
// fault of the program, and no report is better than a wrong one.
func (a *Assessment) check() error {
	var errs []error
	near := func(what string, x, y float64) {
		if math.Abs(x-y) > 1e-6*math.Max(math.Abs(x), 1) {
			errs = append(errs, fmt.Errorf("%s: %g against %g", what, x, y))
		}
	}
	months, loads, uses, shares := 0.0, 0.0, 0.0, 0.0
	for _, m := range a.Months {
		months += m.Energy.Value
		slots := 0.0
		for _, kwh := range m.BySlot {
			slots += kwh
		}
		near(fmt.Sprintf("tariff periods against month %d", m.Month+1), slots, m.Energy.Value)
	}
	for _, l := range a.Loads {
		loads += l.Energy.Value
		if st, ok := a.Sheet.Get(l.Energy.Step); ok {
			near("working of "+l.ID+" against the year's model", st.Value/1e3, l.Energy.Value)
		}
	}
	for _, u := range a.Uses {
		uses += u.Energy.Value
		shares += u.Share
	}
	left := a.Unexplained.V / 1e3
	near("months against the year", months, a.Energy.Value)
	near("loads against the year", loads+left, a.Energy.Value)
	near("uses against the year", uses+left, a.Energy.Value)
	if a.Energy.Value > 0 {
		near("shares of uses", shares+left/a.Energy.Value, 1)
	}
	if st, ok := a.Sheet.Get(a.Energy.Step); ok {
		near("working of the year against its model", st.Value/1e3, a.Energy.Value)
	}
	errs = append(errs, a.checkBills()...)
	if p := a.Plan; p != nil {
		near("net savings against the net present value, all measures", p.Today.V-p.LifeCycle.Total.V, p.Worth.NPV.Value)
		near("cash of all measures against their net present value", p.Cash[len(p.Cash)-1].Discounted.InexactFloat64(), p.Worth.NPV.Value)
		for _, m := range p.Measures {
			near("net savings against the net present value, "+m.ID.Value, m.LifeCycle.Before.V-m.LifeCycle.Total.V, m.Worth.NPV.Value)
		}
	}
	if err := a.Sheet.Replay(); err != nil {
		errs = append(errs, err)
	}
	if err := errors.Join(errs...); err != nil {
		return fmt.Errorf("the assessment does not agree with itself: %w", err)
	}
	return nil
}

func (a *Assessment) checkBills() []error {
	var errs []error
	bills, lines := decimal.Zero, decimal.Zero
	for i := range a.Bills {
		if err := a.Bills[i].Check(); err != nil {
			errs = append(errs, err)
		}
		bills = bills.Add(a.Bills[i].Total)
	}
	for _, l := range a.YearLines {
		d, err := decimal.NewFromString(l.Exact)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		lines = lines.Add(d)
	}
	if !bills.Equal(lines) {
		errs = append(errs, fmt.Errorf("year's lines %s against bills %s", lines, bills))
	}
	return errs
}
