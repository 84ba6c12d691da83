package report

import (
	"fmt"
	"strings"
	"unicode"

	"golang.org/x/text/language"

	"auditgen/internal/say"
)

// rightToLeft tells whether a language is written from right to left.
func rightToLeft(tag language.Tag) bool {
	script, _ := tag.Script()
	switch script.String() {
	case "Arab", "Hebr", "Syrc", "Thaa", "Nkoo":
		return true
	}
	return false
}

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
	{"energy", say.Key("Where the energy goes")},
	{"when", say.Key("When it is used")},
	{"pay", say.Key("What you pay")},
	{"findings", say.Key("What was found")},
	{"do", say.Key("What to do and what it is worth")},
	{"sure", say.Key("How sure this is")},
	{"limits", say.Key("Harmonics and voltage against limits")},
	{"readings", say.Key("Readings")},
	{"demand", say.Key("Demand by month")},
	{"workings", say.Key("How it was worked out")},
	{"basis", say.Key("Assumptions, tariff, limits of use")},
}

const inPartA = 6

// section gives the head of a section of the list.
func (f format) section(id, heading string) Section {
	for i, s := range sections {
		if s.id == id {
			return Section{ID: id, Number: fmt.Sprint(i + 1), Topic: f.S(s.topic), Heading: heading}
		}
	}
	panic("report: no section " + id)
}

func (f format) contents() Contents {
	c := Contents{
		Decide: Part{ID: "part-a", Title: f.S("Part A. To decide"), For: f.S("for whoever decides and pays; no electrical knowledge needed")},
		Check:  Part{ID: "part-b", Title: f.S("Part B. To check"), For: f.S("for the engineer or electrician: readings, limits, formulas, assumptions")},
	}
	for i, s := range sections {
		p := &c.Decide
		if i >= inPartA {
			p = &c.Check
		}
		p.Sections = append(p.Sections, Entry{s.id, fmt.Sprint(i + 1), f.S(s.topic)})
	}
	return c
}

// page builds the report of the visit.
func (v *visit) page() *visitPage {
	return &visitPage{
		Base:     v.basePage(),
		Top:      v.top(),
		First:    v.first(),
		Contents: v.contents(),
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
	b := v.plainPage(v.F("Electrical energy assessment of %s, %s", v.client(), v.dateWords(visit.Date.Value)))
	b.Description = v.S("What electricity is used, what it costs and why, and what the readings show.")
	if visit.Report.IsSet() {
		b.Mast = append(b.Mast, Pair{Term: v.S("Report"), Value: visit.Report.Value})
	}
	b.Mast = append(b.Mast, Pair{Term: v.S("Visit"), Value: v.dateWords(visit.Date.Value), Date: v.date()})
	if visit.By.IsSet() {
		b.Mast = append(b.Mast, Pair{Term: v.S("Measured by"), Value: visit.By.Value})
	}
	b.Back = []Link{{v.S("All visits to this site"), "../index.html"}}
	return b
}

// plainPage is a page with the provider's masthead and foot only.
func (v *visit) plainPage(title string) Base {
	p := v.Record.Provider
	b := Base{words: v.Language, Lang: "en", Title: title, Brand: Brand{Name: p.Name.Value, Initials: initials(p.Name.Value)}}
	if v.Language != nil {
		b.Lang = v.Tag.String()
		b.RightToLeft = rightToLeft(v.Tag)
	}
	if logo := v.Record.Logo; logo != nil {
		b.Brand.Logo = &Logo{inPage(*logo), logo.Width, logo.Height}
	}
	prepared := v.F("Prepared by %s", p.Name.Value)
	if v.client() != "" {
		prepared = v.F("Prepared by %s for %s", p.Name.Value, v.client())
	}
	b.Foot = append(b.Foot, ended(prepared))
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
	return v.F("%s: electrical energy assessment, %s", v.client(), strings.ReplaceAll(v.dateWords(v.Record.Visit.Date.Value), nbsp, " "))
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
