package report

import (
	"strings"

	"auditgen/internal/finding"
)

// FoundSection is the findings, worst first, and what is in order.
type FoundSection struct {
	Section
	Cards   []Card
	InOrder []OrderLine
	Note    string
}

// Card is a finding.
type Card struct {
	ID, Class, Severity, Headline           string
	Evidence                                []EvidenceLine
	Why, Action, Who, Caution, Clause, Sure string
	Cost, CostRange                         string
	Workings                                []Link
	Mended                                  []Link // measures that mend it
}

// Link is a text with its address on the page.
type Link struct{ Text, To string }

// EvidenceLine is one fact with where it comes from.
type EvidenceLine struct {
	Text  string
	Links []Link
}

// OrderLine is a matter that is in order.
type OrderLine struct{ ID, Headline, Clause string }

func findingAnchor(id string) string { return "f-" + strings.ReplaceAll(id, " ", "-") }

// severityClass is the word that the style knows a severity by.
func severityClass(s finding.Severity) string {
	switch s {
	case finding.ActNow:
		return "act"
	case finding.Plan:
		return "plan"
	}
	return "watch"
}

func (v *visit) found() FoundSection {
	s := FoundSection{Section: section("findings", foundHeading(v.Findings, len(v.Unassessed)))}
	for _, f := range v.Findings {
		if f.Severity == finding.InOrder {
			s.InOrder = append(s.InOrder, OrderLine{findingAnchor(f.ID), sentence(v.findingHeadline(f)), sentence(capital(f.Clause))})
			continue
		}
		s.Cards = append(s.Cards, v.card(f))
	}
	if n := len(v.Unassessed); n > 0 {
		s.Note = capital(count(n, "matter", "matters")) + " could not be judged for want of a reading."
	}
	return s
}

// findingHeadline is a finding's sentence, its cost written in the site's
// currency where the sentence leaves a place for it.
func (v *visit) findingHeadline(f finding.Finding) string {
	text := bare(f.Headline)
	if f.Cost != nil {
		text = strings.ReplaceAll(text, "{cost}", best(v.cash, *f.Cost))
	}
	return text
}

func (v *visit) card(f finding.Finding) Card {
	c := Card{
		ID: findingAnchor(f.ID), Class: severityClass(f.Severity), Severity: severityWord(f.Severity),
		Headline: v.findingHeadline(f), Why: sentence(capital(f.Why)), Action: sentence(capital(f.Action)), Who: sentence(capital(f.Who)),
		Caution: sentence(capital(f.Caution)), Clause: sentence(capital(f.Clause)), Sure: sentence(capital(f.Sure)),
	}
	if f.Licensed && !strings.Contains(strings.ToLower(c.Who), "licen") {
		c.Who = strings.TrimSpace(c.Who + " Licensed work.")
	}
	if f.Cost != nil && f.Cost.Value > 0 {
		c.Cost, c.CostRange = best(v.cash, *f.Cost), span(v.cash, *f.Cost)
	}
	c.Mended = v.menders(f.Rule)
	for _, e := range f.Evidence {
		line := EvidenceLine{Text: capital(bare(e.Text))}
		if to := v.readingLink(e.Reading); to != "" {
			line.Links = append(line.Links, Link{e.Reading, to})
		}
		if v.works.printed[e.Step] {
			line.Links = append(line.Links, Link{"working", "#" + anchor(e.Step)})
		}
		c.Evidence = append(c.Evidence, line)
	}
	for _, id := range f.Steps {
		if step, ok := v.Sheet.Get(id); ok && v.works.printed[id] {
			c.Workings = append(c.Workings, Link{step.Label, "#" + anchor(id)})
		}
	}
	return c
}
