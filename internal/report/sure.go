package report

import (
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
	s := SureSection{Section: v.section("sure", v.sureHeading(v.Energy, v.Contributions)), Cautions: v.cautions()}
	if !known(v.Energy) {
		s.Intro = []string{v.S("Readings are known to within the instrument’s limits of error, printed in part B. Figures of a year also need hours, and their doubt is usually the larger one.")}
		return s
	}
	if len(v.Contributions) == 0 {
		return s
	}
	s.Intro = v.sureIntro()
	s.Caption = v.S("What the doubt of the year’s energy is made of: each source’s share, and the kWh by which it alone moves the year")
	s.Rows = v.doubtRows(v.Contributions, mostDoubts)
	if known(v.Cost) && len(v.CostContributions) > 0 {
		s.CostText = v.S("The same for the year’s cost, where demand and the tariff’s rules count too")
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
	out := []string{v.F("The year was worked out %s times, each time with every doubtful figure drawn anew within its stated limits; nine in ten of the results lie in the interval.", v.number(v.draws(), 0)),
		v.F("The interval of the year’s energy is %s.", v.withUnit(v.span(v.plain, v.Energy), "kWh")) + " " +
			capital(v.F("%s of its doubt comes from judgement, such as hours and duties, and the rest from instruments and from how typical the moment of a reading was.", v.portion(assumed)))}
	if len(v.CostContributions) > 0 && known(v.Cost) {
		out = append(out, v.F("The cost moves most with the %s.", lower(v.typed(v.CostContributions[0].Label))))
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
		rest := audit.Contribution{ID: audit.Together, Label: v.F("%d smaller sources together", named-most)}
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
		row := DoubtRow{Label: capital(v.typed(c.Label)), Kind: v.S("instrument"), Share: v.withUnit(v.plain(shares[i], 0), "%"), Bar: plainBar(c.Share, greatest, c.Assumed)}
		switch {
		case c.Assumed:
			row.Kind = v.S("judgement")
		case c.ID == audit.Chance:
			row.Kind = v.S("chance")
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
		out = append(out, v.sentence(capital(c.Label)+": "+lower(c.Mend))+" "+v.narrower(1, c.Narrower, money.Narrower))
	}
	if len(out) > 1 {
		out = append(out, capital(v.narrower(len(out), 1-math.Sqrt(1-min(energy, 1)), 1-math.Sqrt(1-min(cost, 1)))))
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

// narrower says by how much intervals would be narrower if so many figures were
// known.
func (v *visit) narrower(n int, energy, cost float64) string {
	const hardly = 0.005
	number := v.numeral(n)
	switch {
	case energy < hardly && cost < hardly:
		return v.N(n, "That alone would narrow either interval by less than one percent.", "%s known together would narrow either interval by less than one percent.", number)
	case cost < hardly:
		return v.N(n, "That alone would narrow the interval of the year’s energy by %[2]s.", "%s known together would narrow the interval of the year’s energy by %s.", number, v.percent(energy, 0))
	}
	return v.N(n, "That alone would narrow the interval of the year’s energy by %[2]s, of its cost by %[3]s.", "%s known together would narrow the interval of the year’s energy by %s, of its cost by %s.", number, v.percent(energy, 0), v.percent(cost, 0))
}

// cautions are what anyone should know before acting on the report.
func (v *visit) cautions() []string {
	out := []string{
		v.S("Opening boards and working near live parts is for qualified people, by the law and the wiring rules of the place. Isolate, prove dead, and lock off before touching conductors."),
		v.S("Capacitors stay charged after they are switched off: wait for their discharge time, prove, and short them before work. Do not add capacitors where harmonics are high before a specialist has checked for resonance."),
		v.S("Never open the secondary of a current transformer while its primary carries current: its voltage rises to a deadly height. Short it first."),
		v.S("Anything that changes wiring, protection, earthing, capacitors, drives or transformers is to be designed and signed by a licensed person under the local code, which goes before anything said here."),
	}
	return append(out, v.S("Readings are of one day. They point to what needs attention; they prove neither that a standard is met nor that it is broken where the standard asks for a week or more of recording."))
}
