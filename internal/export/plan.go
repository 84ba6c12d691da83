package export

import (
	"strings"

	"auditgen/internal/assess"
	"auditgen/internal/audit"
	"auditgen/internal/measure"
	"auditgen/internal/money"
)

type (
	lifeCycle struct {
		Replacements number `json:"replacements"`
		Residual     number `json:"residual_value"`
		Bills        number `json:"bills"`
		Upkeep       number `json:"upkeep"`
		Total        number `json:"total"`
		Without      number `json:"without"`
		Step         string `json:"step"`
	}
	worth struct {
		NPV        *interval `json:"net_present_value,omitempty"`
		Payback    *interval `json:"payback_years,omitempty"`
		Discounted *interval `json:"discounted_payback_years,omitempty"`
		Ratio      number    `json:"savings_to_investment_ratio,omitempty"`
		Return     number    `json:"internal_rate_of_return,omitempty"`
		LifeCycle  lifeCycle `json:"life_cycle_cost"`
	}
	saving struct {
		Energy   *interval `json:"energy_kwh,omitempty"`
		Cost     *interval `json:"cost,omitempty"`
		Peak     *interval `json:"highest_demand_kw,omitempty"`
		Emission *interval `json:"co2e_kg,omitempty"`
	}
	replacement struct {
		Part  string    `json:"part"`
		Years []int     `json:"years"`
		Cost  *interval `json:"cost"`
	}
	proposal struct {
		ID       string        `json:"id"`
		Name     string        `json:"name"`
		Cost     *interval     `json:"cost"`
		Replaced []replacement `json:"replacements"`
		Left     number        `json:"left_at_the_end,omitempty"`
		Counted  int           `json:"years_counted"`
		Alone    saving        `json:"saves_a_year"`
		Adds     *interval     `json:"adds_in_order,omitempty"`
		Worth    worth         `json:"worth"`
	}
	plan struct {
		Rate     number     `json:"discount_rate"`
		Money    string     `json:"money"`
		Study    int        `json:"years_looked_at"`
		Today    number     `json:"life_cycle_cost_as_today"`
		Measures []proposal `json:"measures"`
		Order    []string   `json:"order_of_doing"`
		Cost     *interval  `json:"cost"`
		Together saving     `json:"saves_a_year"`
		Worth    worth      `json:"worth"`
	}
)

// planOf is what is proposed; nil where nothing is.
func planOf(a *assess.Assessment) *plan {
	p := a.Plan
	if p == nil {
		return nil
	}
	out := &plan{Rate: number(plain(float64(p.Terms.Rate))), Money: "constant", Study: p.Terms.Study, Today: number(plain(p.Today.V)), Measures: each(p.Measures, proposalOf),
		Cost: of(p.Cost), Together: savingOf(p.Together), Worth: worthOf(p.Worth, p.LifeCycle)}
	if p.Terms.Current {
		out.Money = "current"
	}
	for _, i := range p.Order {
		out.Order = append(out.Order, p.Measures[i].ID.Value)
	}
	return out
}

func proposalOf(m measure.Measure) proposal {
	out := proposal{ID: m.ID.Value, Name: m.Name.Value, Cost: of(paid(m.Cost, m.CostStep)), Counted: m.Counted, Alone: savingOf(m.Alone), Adds: of(m.Step.Cost), Worth: worthOf(m.Worth, m.LifeCycle),
		Replaced: each(m.Replaced, func(r measure.Replaced) replacement {
			return replacement{r.Part, append([]int{}, r.Years...), of(paid(r.Cost, r.Step))}
		})}
	if m.Left.Step != "" {
		out.Left = number(plain(m.Left.Amount.InexactFloat64()))
	}
	return out
}

// paid is a typed amount as an interval between its ends.
func paid(r money.Range, step string) audit.Interval {
	return audit.Interval{Value: r.Likely.InexactFloat64(), Low: r.Low.InexactFloat64(), High: r.High.InexactFloat64(), Step: step}
}

func savingOf(s measure.Saving) saving {
	return saving{of(s.Energy), of(s.Cost), of(s.Peak), of(s.Emission)}
}

func worthOf(w measure.Worth, l measure.LifeCycle) worth {
	return worth{of(w.NPV), of(w.Payback), of(w.Discounted), number(known(w.Ratio, 1)), number(known(w.Return, 1)), lifeCycle{
		Replacements: number(plain(l.Replacements.V)), Residual: number(plain(l.Residual.V)), Bills: number(plain(l.Bills.V)), Upkeep: number(plain(l.Upkeep.V)),
		Total: number(plain(l.Total.V)), Without: number(plain(l.Before.V)), Step: l.Saved.Step,
	}}
}

// measuresCSV has a row for each measure, in the client's order, and one for all
// together: what it costs, what it saves a year, and its life-cycle cost in
// present value.
func measuresCSV(a *assess.Assessment) ([]byte, error) {
	unit := "_" + strings.ToLower(a.Currency)
	head := []string{"measure", "name", "years_counted", "energy_saved_kwh", "payback_years", "savings_to_investment_ratio"}
	for _, h := range []string{"cost", "saved_a_year", "saved_low", "saved_high", "added_in_order", "replacements_present_value", "residual_present_value", "bills_present_value", "upkeep_present_value",
		"life_cycle_cost", "life_cycle_cost_without", "net_present_value", "net_present_value_low", "net_present_value_high"} {
		head = append(head, h+unit)
	}
	rows := [][]string{head}
	add := func(id, name, counted string, cost float64, s, step measure.Saving, w measure.Worth, l measure.LifeCycle) {
		payback := ""
		if w.Payback.Step != "" {
			payback = plain(w.Payback.Value)
		}
		row := []string{guarded(id), guarded(name), counted, plain(s.Energy.Value), payback, known(w.Ratio, 1)}
		for _, x := range []float64{cost, s.Cost.Value, s.Cost.Low, s.Cost.High, step.Cost.Value, l.Replacements.V, l.Residual.V, l.Bills.V, l.Upkeep.V, l.Total.V, l.Before.V, w.NPV.Value, w.NPV.Low, w.NPV.High} {
			row = append(row, plain(x))
		}
		rows = append(rows, row)
	}
	p := a.Plan
	for _, m := range p.Measures {
		add(m.ID.Value, m.Name.Value, plain(float64(m.Counted)), m.Cost.Likely.InexactFloat64(), m.Alone, m.Step, m.Worth, m.LifeCycle)
	}
	add("", a.Record.Words.S("All together"), plain(float64(p.Terms.Study)), p.Cost.Value, p.Together, p.Together, p.Worth, p.LifeCycle)
	return table(rows)
}
