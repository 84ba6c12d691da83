package report

import (
	"fmt"
	"strings"
	"unicode"
)

// Section is the head of a section: its anchor, number, topic, and the heading,
// which is the finding.
type Section struct {
	ID, Number, Topic, Heading string
}

// visitPage is the report of one visit, whole: each of its pages shows some of
// the sections.
type visitPage struct {
	Base
	Top      Top
	First    First
	Contents Contents
	Energy   EnergySection
	When     WhenSection
	Pay      PaySection
	Found    FoundSection
	Do       DoSection
	Sure     SureSection
	Limits   LimitsSection
	Readings ReadingsSection
	Demand   DemandSection
	Workings WorkingsSection
	Basis    BasisSection
	Issue    IssueBlock

	Photos    []PhotoFigure
	Downloads []Download
}

// Contents are the two parts of the report.
type Contents struct{ Decide, Check Part }

// Part is a part of the report with its contents.
type Part struct {
	ID, Title, For string
	Sections       []Entry
}

// Entry is a line of the contents.
type Entry struct{ ID, Number, Topic string }

// sections is the one list of the sections: anchor and topic, in order. The
// first six are part A.
var sections = []struct{ id, topic string }{
	{"energy", "Where the energy goes"},
	{"when", "When it is used"},
	{"pay", "What you pay"},
	{"findings", "What was found"},
	{"do", "What to do and what it is worth"},
	{"sure", "How sure this is"},
	{"limits", "Harmonics and voltage against limits"},
	{"readings", "Readings"},
	{"demand", "Demand by month"},
	{"workings", "How it was worked out"},
	{"basis", "Assumptions, tariff, limits of use"},
}

const inPartA = 6

// section gives the head of a section of the list.
func section(id, heading string) Section {
	for i, s := range sections {
		if s.id == id {
			return Section{ID: id, Number: fmt.Sprint(i + 1), Topic: s.topic, Heading: heading}
		}
	}
	panic("report: no section " + id)
}

func contents() Contents {
	c := Contents{
		Decide: Part{ID: "part-a", Title: "Part A. To decide", For: "for whoever decides and pays; no electrical knowledge needed"},
		Check:  Part{ID: "part-b", Title: "Part B. To check", For: "for the engineer or electrician: readings, limits, formulas, assumptions"},
	}
	for i, s := range sections {
		p := &c.Decide
		if i >= inPartA {
			p = &c.Check
		}
		p.Sections = append(p.Sections, Entry{s.id, fmt.Sprint(i + 1), s.topic})
	}
	return c
}

// page builds the report of the visit.
func (v *visit) page() *visitPage {
	return &visitPage{
		Base:     v.basePage(),
		Top:      v.top(),
		First:    v.first(),
		Contents: contents(),
		Energy:   v.energy(),
		When:     v.when(),
		Pay:      v.pay(),
		Found:    v.found(),
		Do:       v.do(),
		Sure:     v.sure(),
		Limits:   v.limits(),
		Readings: v.readings(),
		Demand:   v.demand(),
		Workings: v.workings(),
		Basis:    v.basis(),
		Issue:    v.issue(),

		Photos:    v.photos(),
		Downloads: v.downloads,
	}
}

func (v *visit) basePage() Base {
	visit := v.Record.Visit
	b := v.bare("Electrical energy assessment of " + v.client() + ", " + dateWords(visit.Date.Value))
	b.Description = "What electricity is used, what it costs and why, and what the readings show."
	if visit.Report.IsSet() {
		b.Mast = append(b.Mast, Pair{Term: "Report", Value: visit.Report.Value})
	}
	b.Mast = append(b.Mast, Pair{Term: "Visit", Value: dateWords(visit.Date.Value), Date: v.date()})
	if visit.By.IsSet() {
		b.Mast = append(b.Mast, Pair{Term: "Measured by", Value: visit.By.Value})
	}
	b.Back = []Link{{"All visits to this site", "../index.html"}}
	return b
}

// bare is a page with the provider's masthead and foot only.
func (v *visit) bare(title string) Base {
	p := v.Record.Provider
	b := Base{Lang: "en", Title: title, Brand: Brand{Name: p.Name.Value, Initials: initials(p.Name.Value)}}
	if logo := v.Record.Logo; logo != nil {
		b.Brand.Logo = &Logo{inPage(*logo), logo.Width, logo.Height}
	}
	prepared := "Prepared by " + p.Name.Value
	if v.client() != "" {
		prepared += " for " + v.client()
	}
	b.Foot = append(b.Foot, sentence(prepared))
	var contact []string
	for _, c := range []string{p.Licence.Value, p.Address.Value, p.Phone.Value, p.Email.Value} {
		if c != "" {
			contact = append(contact, c)
		}
	}
	if len(contact) > 0 {
		b.Foot = append(b.Foot, strings.Join(contact, " · "))
	}
	return b
}

func (v *visit) client() string { return v.Record.Site.Client.Value }

// place is the client with its place.
func (v *visit) place() string {
	if p := v.Record.Site.Place.Value; p != "" {
		return v.client() + ", " + p
	}
	return v.client()
}

func (v *visit) runningHead() string {
	return v.client() + ": electrical energy assessment, " + strings.ReplaceAll(dateWords(v.Record.Visit.Date.Value), nbsp, " ")
}

// initials are the first letters, as capitals, of the first two words that
// begin with one.
func initials(name string) string {
	var out []rune
	for _, w := range strings.Fields(name) {
		r := []rune(w)[0]
		if len(out) < 2 && unicode.IsLetter(r) {
			out = append(out, unicode.ToUpper(r))
		}
	}
	return string(out)
}
