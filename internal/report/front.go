package report

// frontPage is the site's front page: its visits, newest first.
type frontPage struct {
	Base
	Kicker, Headline, StandFirst string
	Visits                       []VisitEntry
}

// VisitEntry is a visit with its headline and figures.
type VisitEntry struct {
	Date, ISO, Link, Headline, By string
	Figures                       []KeyFigure
}

// frontPages builds the one front page.
func frontPages(s *site) ([]page, error) {
	v := s.latest()
	p := &frontPage{
		Base:     v.plainPage(v.F("Electrical energy assessments of %s", v.client())),
		Kicker:   v.S("Electrical energy assessments"),
		Headline: v.place(),
	}
	p.Description = v.S("The visits to this site and what each found.")
	p.StandFirst = v.visitsSentence(len(s.visits), v.dateWords(v.Record.Visit.Date.Value))
	for i := len(s.visits) - 1; i >= 0; i-- {
		at := s.visits[i]
		t := at.top()
		for k := range t.Figures {
			t.Figures[k].Link = ""
		}
		p.Visits = append(p.Visits, VisitEntry{
			Date: at.dateWords(at.Record.Visit.Date.Value), ISO: at.date(), Link: at.date() + "/index.html",
			Headline: t.Headline, By: at.Record.Visit.By.Value, Figures: t.Figures,
		})
	}
	s.theme.dress(&p.Base, v, v.F("%s: electrical energy assessments", v.client()))
	return []page{{"index.html", p}}, nil
}

// visitsSentence counts the visits.
func (f format) visitsSentence(n int, latest string) string {
	if n == 0 {
		return f.S("The site has not been visited yet.")
	}
	return capital(f.N(n, "one visit, on %[2]s.", "%s visits; the latest was on %s.", f.numeral(n), latest))
}
