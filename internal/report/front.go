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
		Base:     v.bare("Electrical energy assessments of " + v.client()),
		Kicker:   "Electrical energy assessments",
		Headline: v.place(),
	}
	p.Description = "The visits to this site and what each found."
	p.StandFirst = visitsSentence(len(s.visits), dateWords(v.Record.Visit.Date.Value))
	for i := len(s.visits) - 1; i >= 0; i-- {
		at := s.visits[i]
		t := at.top()
		for k := range t.Figures {
			t.Figures[k].Link = ""
		}
		p.Visits = append(p.Visits, VisitEntry{
			Date: dateWords(at.Record.Visit.Date.Value), ISO: at.date(), Link: at.date() + "/index.html",
			Headline: t.Headline, By: at.Record.Visit.By.Value, Figures: t.Figures,
		})
	}
	s.theme.dress(&p.Base, v, v.client()+": electrical energy assessments")
	return []page{{"index.html", p}}, nil
}

// visitsSentence counts the visits.
func visitsSentence(n int, latest string) string {
	switch n {
	case 0:
		return "The site has not been visited yet."
	case 1:
		return "One visit, on " + latest + "."
	}
	return capital(numeral(n)) + " visits; the latest was on " + latest + "."
}
