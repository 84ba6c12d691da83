package report

import (
	"cmp"
	"html/template"
	"regexp"

	"auditgen/internal/tariff"
)

// BasisSection is what the report rests on, and what it is not.
type BasisSection struct {
	Section
	Assumptions []AssumptionRow
	TariffHead  string
	TariffFacts []Pair
	Charges     []ChargeRow
	Sources     []string
	NotAssessed []Unassessed
	InOrder     []OrderLine
	Not         []string
	Instruments []Instrument
	Conditions  string
	Notes       []Note
}

// AssumptionRow is a line of the register.
type AssumptionRow struct{ ID, Anchor, What, Value, Reason, At string }

// ChargeRow is a charge of the tariff as used.
type ChargeRow struct{ ID, Label, Price, How, At string }

// Unassessed is a rule that lacked its inputs.
type Unassessed struct{ Title, Why, Measure string }

// Instrument is a meter with its accuracy and calibration.
type Instrument struct {
	Name  string
	Facts []Pair
}

// Note is a page of the site's notes.
type Note struct {
	ID   string
	HTML template.HTML
}

func (v *visit) basis() BasisSection {
	s := BasisSection{Section: v.section("basis", v.basisHeading(len(v.Assumptions)))}
	for _, a := range v.Assumptions {
		row := AssumptionRow{ID: a.ID, Anchor: "a-" + a.ID, What: capital(v.typed(a.What)), Value: v.estimateText(a.Value), Reason: capital(v.typed(a.Reason)), At: v.at(a.Pos)}
		if a.Default {
			row.At = v.S("default of the program")
		}
		s.Assumptions = append(s.Assumptions, row)
	}
	v.tariffUsed(&s)
	s.Sources = v.sources()
	s.InOrder = v.keptInOrder()
	for _, u := range v.Unassessed {
		s.NotAssessed = append(s.NotAssessed, Unassessed{u.Title, v.sentence(capital(u.Why)), v.sentence(u.Measure)})
	}
	s.Not = v.limitsOfUse()
	s.Instruments = v.instruments()
	s.Conditions = v.sentence(capital(v.Record.Visit.Conditions.Value))
	for _, n := range v.Record.Notes {
		s.Notes = append(s.Notes, renderNote(n))
	}
	return s
}

// estimateText words a typed range: "45..60..75 %" is 60 %, from 45 to 75 %.
func (f format) estimateText(text string) string {
	if m := threeForm.FindStringSubmatch(text); m != nil {
		return f.typed(f.F("%s %s, from %s to %s %s", m[2], m[4], m[1], m[3], m[4]))
	}
	if m := twoForm.FindStringSubmatch(text); m != nil {
		return f.typed(f.F("from %s to %s %s", m[1], m[2], m[3]))
	}
	return f.typed(text)
}

var (
	threeForm = regexp.MustCompile(`^(-?[\d.]*\d)\.\.(-?[\d.]*\d)\.\.(-?[\d.]*\d)\s*(\S*)$`)
	twoForm   = regexp.MustCompile(`^(-?[\d.]*\d)\.\.(-?[\d.]*\d)\s*(\S*)$`)
)

func (v *visit) tariffUsed(s *BasisSection) {
	t := v.Record.Tariff
	if t == nil {
		return
	}
	s.TariffHead = t.Name.Value
	add := func(term, value string) {
		if value != "" {
			s.TariffFacts = append(s.TariffFacts, Pair{Term: term, Value: value})
		}
	}
	add(v.S("Supplier"), t.Supplier)
	add(v.S("Source of the prices"), t.Source)
	force := v.F("from %s", v.dateWords(t.From.Value))
	if t.To.IsSet() {
		force = v.F("from %s to %s", v.dateWords(t.From.Value), v.dateWords(t.To.Value))
	}
	add(v.S("In force"), force)
	add(v.S("Currency"), t.Currency.Value.Code)
	add(v.S("Taxes"), t.TaxNote)
	add(v.S("File"), t.Name.Pos.File)
	for _, d := range t.Describe(v.Record.Words) {
		s.Charges = append(s.Charges, v.chargeRow(d))
	}
}

// chargeRow words a charge as the tariff states it.
func (f format) chargeRow(d tariff.Described) ChargeRow {
	row := ChargeRow{ID: d.ID, Label: f.typed(cmp.Or(d.Label, d.ID)), At: at(d.At)}
	for i, p := range d.Prices {
		if i > 0 {
			row.Price += "; "
		} else if p.At.IsSet() {
			row.At = at(p.At)
		}
		row.Price += f.chargePrice(p.Text)
	}
	for i, text := range d.Text {
		if i > 0 {
			row.How += "; "
		}
		row.How += f.typed(text)
	}
	return row
}

// sources are the published formulas' sources of what is printed, each once.
func (v *visit) sources() []string {
	var out []string
	seen := map[string]bool{"": true}
	for _, g := range v.works.groups {
		if f := g.first.Formula; f != nil && !seen[f.Source] {
			seen[f.Source] = true
			out = append(out, ended(capital(v.polished(v.S(f.Source)))))
		}
	}
	return out
}

// limitsOfUse says what the report is not.
func (v *visit) limitsOfUse() []string {
	visit := v.Record.Visit
	out := []string{
		v.F("The readings were taken on %s, at the moments and with the machines stated. They are samples, not recordings.", v.dateWords(visit.Date.Value)),
		v.S("The figures of a year are readings or plates, times the hours and duties of the register above. Whoever knows better hours should say so: the figures follow."),
		v.billsSeen(),
		v.S("This is a screening: it finds where the money goes and what to look at next. It is not an investment-grade audit, not a design, not an inspection of the installation’s safety, and it certifies no standard."),
		v.S("What was not seen, was locked, or did not run is not covered unless it is listed among the loads."),
		v.S("Costs are those of the tariff as printed above. They change with prices, weather, production and the way the site is run; none is promised. Refresh the report when the tariff changes or after three years."),
		v.S("The report is for the client named on it and for the purpose agreed; others rely on it at their own risk."),
		v.S("Measuring is to be done by a person competent under local law. Nothing was disconnected, re-terminated or adjusted for this report."),
	}
	if t := v.Record.Site.Emission; t == nil {
		out = append(out, v.S("Emissions are not stated, since no emission factor with its source was given."))
	}
	if v.Record.Provider.Independent.IsSet() {
		out = append(out, v.sentence(v.Record.Provider.Independent.Value))
	}
	return out
}

// billsSeen says how far the supplier's bills stand behind the result.
func (v *visit) billsSeen() string {
	if v.Reconciled == nil {
		return v.S("No bills of the supplier were compared with the result. The bill printed here is rebuilt from the tariff.")
	}
	n := len(v.Reconciled.Bills)
	return v.N(n, "The result was compared with one bill of the supplier. The year printed here is rebuilt from the tariff; what the bill does not cover is estimated.",
		"The result was compared with %s bills of the supplier. The year printed here is rebuilt from the tariff; what the bills do not cover is estimated.", v.numeral(n))
}

// instruments are those that the readings were taken with.
func (v *visit) instruments() []Instrument {
	var out []Instrument
	seen := map[string]bool{}
	for _, r := range v.Assessment.Readings {
		i := r.Instrument
		if seen[i.ID.Value] {
			continue
		}
		seen[i.ID.Value] = true
		out = append(out, instrument(v, i))
	}
	return out
}
