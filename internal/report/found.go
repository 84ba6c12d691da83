package report

import (
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/finding"
)

// FoundSection is the findings, worst first, and what is in order.
type FoundSection struct {
	Section
	Groups  []FoundGroup
	InOrder []OrderLine
	Order   string // what the list of what is in order is called
	Note    string
}

// FoundGroup is the findings of one severity.
type FoundGroup struct {
	Title, Means string
	Cards        []Card
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
type OrderLine struct {
	ID, Headline, Clause string
	Evidence             []EvidenceLine
}

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
	s := FoundSection{Section: v.section("findings", v.foundHeading(v.Findings, len(v.Unassessed)))}
	for _, f := range v.Findings {
		if f.Severity == finding.InOrder {
			continue
		}
		if title, n := capital(v.severityWord(f.Severity)), len(s.Groups); n == 0 || s.Groups[n-1].Title != title {
			s.Groups = append(s.Groups, FoundGroup{Title: title, Means: v.severityMeans(f.Severity)})
		}
		g := &s.Groups[len(s.Groups)-1]
		g.Cards = append(g.Cards, v.card(f))
	}
	s.InOrder = v.keptInOrder()
	if n := len(s.InOrder); n > 0 {
		s.Order = capital(v.N(n, "one matter is in order", "%s matters are in order", v.numeral(n)))
	}
	if n := len(v.Unassessed); n > 0 {
		s.Note = capital(v.N(n, "one matter could not be judged for want of a reading or of a plate.", "%s matters could not be judged for want of a reading or of a plate.", v.numeral(n)))
	}
	return s
}

// keptInOrder lists what is in order, with its evidence.
func (v *visit) keptInOrder() []OrderLine {
	var lines []OrderLine
	for _, f := range v.Findings {
		if f.Severity == finding.InOrder {
			lines = append(lines, OrderLine{findingAnchor(f.ID), ended(v.findingHeadline(f)), v.sentence(capital(f.Clause)), v.evidence(f)})
		}
	}
	return lines
}

// severityMeans says what a severity asks for.
func (f format) severityMeans(s finding.Severity) string {
	switch s {
	case finding.ActNow:
		return f.S("Before anything else: someone or something may come to harm.")
	case finding.Plan:
		return f.S("Worth an order or an appointment within the year.")
	}
	return f.S("Nothing to order; look again at the next visit, or before the matter is touched.")
}

// findingHeadline is a finding's sentence with its figures.
func (v *visit) findingHeadline(f finding.Finding) string {
	return capital(v.filled(f, v.bare(f.Headline)))
}

// filled writes a finding's figures where its sentences leave a place for them:
// as many digits as each interval allows, amounts in the site's currency.
func (v *visit) filled(f finding.Finding, text string) string {
	if f.Cost != nil {
		text = strings.ReplaceAll(text, "{cost}", best(v.cash, *f.Cost))
	}
	for name, i := range f.Figures {
		text = strings.ReplaceAll(text, "{"+name+"}", v.figureText(i))
	}
	return text
}

// figureText writes the best estimate of a figure with its unit.
func (v *visit) figureText(i audit.Interval) string {
	if i.Unit == v.Currency {
		return best(v.cash, i)
	}
	return v.withUnit(best(v.plain, i), i.Unit)
}

func (v *visit) card(f finding.Finding) Card {
	c := Card{
		ID: findingAnchor(f.ID), Class: severityClass(f.Severity), Severity: capital(v.severityWord(f.Severity)),
		Headline: v.findingHeadline(f), Why: v.filled(f, v.sentence(capital(f.Why))), Action: v.filled(f, v.sentence(capital(f.Action))), Who: v.sentence(capital(f.Who)),
		Caution: v.sentence(capital(f.Caution)), Clause: v.sentence(capital(f.Clause)), Sure: v.sentence(capital(f.Sure)),
	}
	if f.Licensed {
		c.Who = v.licensed(c.Who)
	}
	if f.Cost != nil && f.Cost.Value > 0 {
		c.Cost = best(v.cash, *f.Cost)
		if f.Cost.Half() > 0 {
			c.CostRange = v.span(v.cash, *f.Cost)
		}
	}
	c.Mended = v.menders(f.Rule)
	c.Evidence = v.evidence(f)
	c.Workings = v.furtherWorkings(f)
	return c
}

// evidence lists a finding's facts with links to readings and workings.
func (v *visit) evidence(f finding.Finding) []EvidenceLine {
	var lines []EvidenceLine
	for _, e := range f.Evidence {
		line := EvidenceLine{Text: capital(v.filled(f, v.bare(e.Text)))}
		if to := v.readingLink(e.Reading); to != "" {
			line.Links = append(line.Links, Link{e.Reading, to})
		}
		if v.works.printed[e.Step] {
			line.Links = append(line.Links, Link{v.S("working"), "#" + anchor(e.Step)})
		}
		lines = append(lines, line)
	}
	return lines
}

// furtherWorkings links the workings that no fact links, each once.
func (v *visit) furtherWorkings(f finding.Finding) []Link {
	linked := map[string]bool{}
	for _, e := range f.Evidence {
		linked[e.Step] = true
	}
	var links []Link
	for _, id := range f.Steps {
		if step, ok := v.Sheet.Get(id); ok && !linked[id] && v.works.printed[id] {
			linked[id] = true
			links = append(links, Link{step.Label, "#" + anchor(id)})
		}
	}
	return links
}
