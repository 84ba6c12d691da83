package audit

import (
	"math"

	"auditgen/internal/intake"
	"auditgen/internal/quantity"
	"auditgen/internal/tariff"
)

// exactPricing prices draws by the exact engine, for tariffs that cannot be
// priced quickly. What it did not ask for at the best estimate is answered from
// there.
type exactPricing struct {
	model *model
	asks  []tariff.Ask
	index map[tariff.Ask]int
	lines []string
	best  []tariff.Use
	logs  []*intake.Use // of the months that no draw moves
}

// PriceDraws fills in totals and lines.
func (x *exactPricing) PriceDraws(answers, totals, lines [][]float64) {
	told := make([]float64, len(answers))
	for j := range totals[0] {
		for i, row := range answers {
			told[i] = row[j]
		}
		x.price(j, told, totals, lines)
	}
}

func (x *exactPricing) price(draw int, answers []float64, totals, lines [][]float64) {
	uses := make([]tariff.Use, len(x.best))
	for i, u := range x.best {
		if uses[i] = u; x.logs[i] == nil {
			uses[i] = &answered{Use: u, period: i, pricing: x, answers: answers}
		}
	}
	bills, err := x.model.tariff.PriceYear(x.model.periods, uses, x.model.options)
	if err != nil {
		totals[0][draw] = math.NaN() // ends the draws
		return
	}
	for _, row := range lines {
		row[draw] = 0
	}
	for i, b := range bills {
		totals[i][draw] = b.Total.InexactFloat64()
		for _, l := range b.Lines {
			for k, id := range x.lines {
				if id == l.ID {
					lines[k][draw] += l.Amount.InexactFloat64()
				}
			}
		}
	}
}

// noting is a use that notes what it is asked.
type noting struct {
	tariff.Use
	period  int
	pricing *exactPricing
}

func (n *noting) note(m tariff.Metered) {
	a := tariff.Ask{Period: n.period, Metered: m}
	if _, ok := n.pricing.index[a]; !ok {
		n.pricing.index[a] = len(n.pricing.asks)
		n.pricing.asks = append(n.pricing.asks, a)
	}
}

// Energy notes the question.
func (n *noting) Energy(s tariff.SlotSet) quantity.WattHours {
	n.note(tariff.Metered{What: "energy", Slots: s})
	return n.Use.Energy(s)
}

// Reactive notes the question.
func (n *noting) Reactive(s tariff.SlotSet) quantity.VarHours {
	n.note(tariff.Metered{What: "reactive energy", Slots: s})
	return n.Use.Reactive(s)
}

// Demand notes the question.
func (n *noting) Demand(s tariff.SlotSet, unit tariff.DemandUnit, window int) float64 {
	n.note(tariff.Metered{What: "demand", Slots: s, Unit: unit, Window: window})
	return n.Use.Demand(s, unit, window)
}

// answered is a use that gives a draw's answers.
type answered struct {
	tariff.Use
	period  int
	pricing *exactPricing
	answers []float64
}

func (u *answered) find(m tariff.Metered) (float64, bool) {
	i, ok := u.pricing.index[tariff.Ask{Period: u.period, Metered: m}]
	if !ok {
		return 0, false
	}
	return u.answers[i], true
}

// Energy is the draw's.
func (u *answered) Energy(s tariff.SlotSet) quantity.WattHours {
	if v, ok := u.find(tariff.Metered{What: "energy", Slots: s}); ok {
		return quantity.WattHours(v)
	}
	return u.Use.Energy(s)
}

// Reactive is the draw's.
func (u *answered) Reactive(s tariff.SlotSet) quantity.VarHours {
	if v, ok := u.find(tariff.Metered{What: "reactive energy", Slots: s}); ok {
		return quantity.VarHours(v)
	}
	return u.Use.Reactive(s)
}

// Demand is the draw's.
func (u *answered) Demand(s tariff.SlotSet, unit tariff.DemandUnit, window int) float64 {
	if v, ok := u.find(tariff.Metered{What: "demand", Slots: s, Unit: unit, Window: window}); ok {
		return v
	}
	return u.Use.Demand(s, unit, window)
}
