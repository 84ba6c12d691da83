package report

import (
	"fmt"
	"math"

	"auditgen/internal/audit"
)

// SureSection says how sure the figures are, what makes them unsure and what
// would mend it, and what to know before acting.
type SureSection struct {
	Section
	Intro    []string
	Caption  string
	Rows     []DoubtRow
	CostText string
	CostRows []DoubtRow
	Unit     string // of the cost
	Next     []string
	Cautions []string
}

// DoubtRow is a source of doubt.
type DoubtRow struct {
	Label, Kind, Share, Half string
	Bar                      *Bar
}

// mostDoubts is how many sources of doubt are listed by name; mostNext is how
// many are to be measured next.
const (
	mostDoubts     = 8
	mostCostDoubts = 5
	mostNext       = 3
)

func (v *visit) sure() SureSection {
	s := SureSection{Section: section("sure", sureHeading(v.Energy, v.Contributions)), Cautions: v.cautions()}
	if !known(v.Energy) {
		s.Intro = []string{"Readings are known to within the instrument’s limits of error, printed in part B. Figures of a year also need hours, and their doubt is usually the larger one."}
		return s
	}
	if len(v.Contributions) == 0 {
		return s
	}
	s.Intro = v.sureIntro()
	s.Caption = "What the doubt of the year’s energy is made of: each source’s share, and the kWh by which it alone moves the year"
	s.Rows = v.doubtRows(v.Contributions, mostDoubts)
	if known(v.Cost) && len(v.CostContributions) > 0 {
		s.CostText = "The same for the year’s cost, where demand and the tariff’s rules count too"
		s.CostRows, s.Unit = v.doubtRows(v.CostContributions, mostCostDoubts), v.Currency
	}
	s.Next = v.nextTime()
	return s
}

func (v *visit) sureIntro() []string {
	assumed := 0.0
	for _, c := range v.Contributions {
		if c.Assumed {
			assumed += c.Share
		}
	}
	out := []string{fmt.Sprintf("The year was worked out %s times, each time with every doubtful figure drawn anew within its stated limits; nine in ten of the results lie in the interval.", v.number(v.draws(), 0)),
		fmt.Sprintf("The interval of the year’s energy is %s. %s of its doubt comes from judgement, such as hours and duties, and the rest from instruments and from how typical the moment of a reading was.",
			withUnit(span(v.plain, v.Energy), "kWh"), capital(portion(assumed)))}
	if len(v.CostContributions) > 0 && known(v.Cost) {
		out = append(out, fmt.Sprintf("The cost moves most with the %s.", lower(typed(v.CostContributions[0].Label))))
	}
	return out
}

// draws is how often the year was drawn.
func (v *visit) draws() float64 {
	st, _ := v.Sheet.Get("year.draws")
	return st.Value
}

// doubtRows lists the greatest sources of doubt with their bars, and the rest
// as one.
func (v *visit) doubtRows(cs []audit.Contribution, most int) []DoubtRow {
	named := len(cs)
	if named > 0 && cs[named-1].ID == audit.Together {
		named--
	}
	if named > most+1 {
		rest := audit.Contribution{ID: audit.Together, Label: fmt.Sprintf("%d smaller sources together", named-most)}
		for _, c := range cs[most:] {
			rest.Share += c.Share
		}
		cs = append(cs[:most:most], rest)
	}
	shares := make([]float64, len(cs))
	greatest := 0.0
	for i, c := range cs {
		shares[i] = c.Share * 100
		if c.ID != audit.Together {
			greatest = max(greatest, c.Share)
		}
	}
	shares = addUp(shares, 0)
	var rows []DoubtRow
	for i, c := range cs {
		row := DoubtRow{Label: capital(typed(c.Label)), Kind: "instrument", Share: withUnit(v.plain(shares[i], 0), "%"), Bar: plainBar(c.Share, greatest, c.Assumed)}
		switch {
		case c.Assumed:
			row.Kind = "judgement"
		case c.ID == audit.Chance:
			row.Kind = "chance"
		case c.ID == audit.Together:
			row.Kind, row.Bar = "", nil
		}
		if c.Half > 0 {
			row.Half = "± " + rounded(v.plain, c.Half, lastPlace(c.Half))
		}
		rows = append(rows, row)
	}
	return rows
}

// nextTime lists the figures that would narrow the year's energy most if they
// were known, with what they would do to its cost.
func (v *visit) nextTime() []string {
	var out []string
	energy, cost := 0.0, 0.0
	for _, c := range v.Contributions {
		if c.Mend == "" || len(out) == mostNext {
			continue
		}
		money := narrows(v.CostContributions, c.ID)
		energy, cost = energy+c.Share, cost+money.Share
		out = append(out, sentence(capital(c.Label)+": "+lower(c.Mend))+" "+v.narrower("That alone would narrow", c.Narrower, money.Narrower))
	}
	if len(out) > 1 {
		out = append(out, v.narrower(capital(numeral(len(out)))+" known together would narrow", 1-math.Sqrt(1-min(energy, 1)), 1-math.Sqrt(1-min(cost, 1))))
	}
	return out
}

func narrows(cs []audit.Contribution, id string) audit.Contribution {
	for _, c := range cs {
		if c.ID == id {
			return c
		}
	}
	return audit.Contribution{}
}

// narrower says by how much intervals would be narrower.
func (v *visit) narrower(what string, energy, cost float64) string {
	const hardly = 0.005
	switch {
	case energy < hardly && cost < hardly:
		return what + " either interval by less than one percent."
	case cost < hardly:
		return fmt.Sprintf("%s the interval of the year’s energy by %s.", what, v.percent(energy, 0))
	}
	return fmt.Sprintf("%s the interval of the year’s energy by %s, of its cost by %s.", what, v.percent(energy, 0), v.percent(cost, 0))
}

// cautions are what anyone should know before acting on the report.
func (v *visit) cautions() []string {
	out := []string{
		"Opening boards and working near live parts is for qualified people, by the law and the wiring rules of the place. Isolate, prove dead, and lock off before touching conductors.",
		"Capacitors stay charged after they are switched off: wait for their discharge time, prove, and short them before work. Do not add capacitors where harmonics are high before a specialist has checked for resonance.",
		"Never open the secondary of a current transformer while its primary carries current: its voltage rises to a deadly height. Short it first.",
		"Anything that changes wiring, protection, earthing, capacitors, drives or transformers is to be designed and signed by a licensed person under the local code, which goes before anything said here.",
	}
	return append(out, "Readings are of one day. They point to what needs attention; they prove neither that a standard is met nor that it is broken where the standard asks for a week or more of recording.")
}
