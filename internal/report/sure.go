package report

import (
	"fmt"

	"auditgen/internal/audit"
)

// SureSection says how sure the figures are, what makes them unsure and what
// would mend it, and what to know before acting.
type SureSection struct {
	Section
	Intro    []string
	Caption  string
	Rows     []DoubtRow
	Next     []string
	Cautions []string
}

// DoubtRow is a source of doubt.
type DoubtRow struct {
	Label, Kind, Share, Half string
	Bar                      *Bar
}

// mostDoubts is how many sources of doubt are listed by name.
const mostDoubts = 8

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
	s.Rows = v.doubtRows()
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
	out := []string{fmt.Sprintf("The interval of the year’s energy is %s. %s of its doubt comes from judgement, such as hours and duties, and the rest from instruments and from how typical the moment of a reading was.",
		withUnit(span(v.plain, v.Energy), "kWh"), capital(portion(assumed)))}
	if len(v.CostContributions) > 0 && known(v.Cost) {
		out = append(out, fmt.Sprintf("The cost moves most with the %s.", lower(typed(v.CostContributions[0].Label))))
	}
	return out
}

func (v *visit) doubtRows() []DoubtRow {
	cs := v.Contributions
	if len(cs) > mostDoubts+1 {
		rest := audit.Contribution{Label: fmt.Sprintf("%d smaller sources together", len(cs)-mostDoubts)}
		for _, c := range cs[mostDoubts:] {
			rest.Share += c.Share
		}
		cs = append(cs[:mostDoubts:mostDoubts], rest)
	}
	shares := make([]float64, len(cs))
	greatest := 0.0
	for i, c := range cs {
		shares[i] = c.Share * 100
		if c.ID != "" {
			greatest = max(greatest, c.Share)
		}
	}
	shares = addUp(shares, 0)
	var rows []DoubtRow
	for i, c := range cs {
		row := DoubtRow{Label: capital(typed(c.Label)), Kind: "instrument", Share: withUnit(v.plain(shares[i], 0), "%"), Bar: plainBar(c.Share, greatest, c.Assumed)}
		if c.Assumed {
			row.Kind = "judgement"
		}
		if c.ID == "" {
			row.Kind, row.Bar = "", nil
		}
		if c.Half > 0 {
			row.Half = "± " + rounded(v.plain, c.Half, lastPlace(c.Half))
		}
		rows = append(rows, row)
	}
	return rows
}

// nextTime lists what would narrow the doubt most, each thing once.
func (v *visit) nextTime() []string {
	var out []string
	seen := map[string]bool{"": true}
	for _, c := range v.Contributions {
		if !seen[c.Mend] && len(out) < 3 {
			seen[c.Mend] = true
			out = append(out, sentence(capital(c.Label)+": "+lower(c.Mend)))
		}
	}
	return out
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
