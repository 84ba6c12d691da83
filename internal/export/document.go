package export

import (
	"bytes"
	"encoding/json"
	"strconv"
	"strings"

	"auditgen/internal/assess"
	"auditgen/internal/audit"
	"auditgen/internal/finding"
	"auditgen/internal/working"
)

// Version is that of the form of assessment.json. It grows when a key changes
// its meaning or goes; new keys do not change it.
const Version = 1

type (
	number   = json.Number
	interval struct {
		Value number `json:"value"`
		Low   number `json:"low"`
		High  number `json:"high"`
		Step  string `json:"step,omitempty"`
	}
	figures struct {
		Energy     *interval `json:"energy_kwh,omitempty"`
		Cost       *interval `json:"cost,omitempty"`
		Peak       *interval `json:"highest_demand_kw,omitempty"`
		PeakKVA    *interval `json:"highest_demand_kva,omitempty"`
		BaseLoad   *interval `json:"base_load_kw,omitempty"`
		LoadFactor number    `json:"load_factor,omitempty"`
	}
	month struct {
		Month    int       `json:"month"`
		Energy   *interval `json:"energy_kwh,omitempty"`
		Reactive number    `json:"reactive_kvarh,omitempty"`
		PF       number    `json:"power_factor,omitempty"`
		PeakKW   *interval `json:"highest_demand_kw,omitempty"`
		PeakKVA  *interval `json:"highest_demand_kva,omitempty"`
		Cost     *interval `json:"cost,omitempty"`
	}
	use struct {
		Name   string    `json:"name"`
		Energy *interval `json:"energy_kwh,omitempty"`
		Share  number    `json:"share"`
		Saved  *interval `json:"bill_without_it_falls_by,omitempty"`
		Loads  []string  `json:"loads"`
	}
	load struct {
		ID      string    `json:"id"`
		Name    string    `json:"name"`
		Use     string    `json:"use"`
		At      string    `json:"at"`
		Basis   string    `json:"basis"`
		Running number    `json:"running_kw,omitempty"`
		Hours   number    `json:"hours_on_a_year,omitempty"`
		Duty    number    `json:"duty,omitempty"`
		Count   number    `json:"count,omitempty"`
		Energy  *interval `json:"energy_kwh,omitempty"`
		TypedAt string    `json:"typed_at,omitempty"`
	}
	phase struct {
		Name     string   `json:"phase"`
		Voltage  number   `json:"voltage_v,omitempty"`
		Current  number   `json:"current_a,omitempty"`
		Power    number   `json:"power_kw,omitempty"`
		Reactive number   `json:"reactive_kvar,omitempty"`
		Apparent number   `json:"apparent_kva,omitempty"`
		PF       number   `json:"power_factor,omitempty"`
		Derived  []string `json:"derived,omitempty"`
	}
	reading struct {
		ID     string  `json:"id"`
		At     string  `json:"at"`
		Of     string  `json:"of,omitempty"`
		Date   string  `json:"date"`
		Time   string  `json:"time,omitempty"`
		Wiring string  `json:"wiring"`
		Phases []phase `json:"phases"`
		Total  *phase  `json:"total,omitempty"`
	}
	doubt struct {
		ID      string `json:"id"`
		Reading string `json:"reading,omitempty"`
		What    string `json:"what"`
		Cause   string `json:"likely_cause,omitempty"`
		Retake  string `json:"next_time,omitempty"`
		Safety  bool   `json:"safety"`
	}
	line struct {
		Line     string `json:"line"`
		Label    string `json:"label"`
		Quantity string `json:"quantity"`
		Unit     string `json:"unit"`
		Price    string `json:"price"`
		Amount   string `json:"amount"`
		TypedAt  string `json:"typed_at,omitempty"`
	}
	bill struct {
		From  string `json:"from"`
		To    string `json:"to"`
		Lines []line `json:"lines"`
		Total string `json:"total"`
	}
	found struct {
		ID       string    `json:"id"`
		Severity string    `json:"severity"`
		Headline string    `json:"headline"`
		Evidence []string  `json:"evidence"`
		Why      string    `json:"why,omitempty"`
		Action   string    `json:"action,omitempty"`
		Who      string    `json:"who,omitempty"`
		Caution  string    `json:"caution,omitempty"`
		Clause   string    `json:"clause,omitempty"`
		Sure     string    `json:"how_sure,omitempty"`
		Cost     *interval `json:"cost_a_year,omitempty"`
	}
	unassessed struct {
		Rule    string `json:"rule"`
		Title   string `json:"title"`
		Why     string `json:"why"`
		Measure string `json:"measure"`
	}
	assumption struct {
		ID      string `json:"id"`
		What    string `json:"what"`
		Value   string `json:"value"`
		Reason  string `json:"reason"`
		TypedAt string `json:"typed_at,omitempty"`
		Default bool   `json:"default"`
	}
	step struct {
		ID      string   `json:"id"`
		Label   string   `json:"label"`
		Kind    string   `json:"kind"`
		Value   number   `json:"value"`
		Unit    string   `json:"unit"`
		Formula string   `json:"formula,omitempty"`
		Source  string   `json:"source,omitempty"`
		Reason  string   `json:"reason,omitempty"`
		From    []string `json:"from,omitempty"`
		TypedAt string   `json:"typed_at,omitempty"`
	}
	whole struct {
		Form        string       `json:"form"`
		Version     int          `json:"version"`
		Client      string       `json:"client"`
		Place       string       `json:"place,omitempty"`
		Provider    string       `json:"provider"`
		Report      string       `json:"report,omitempty"`
		Visit       string       `json:"visit"`
		Year        int          `json:"year"`
		Currency    string       `json:"currency,omitempty"`
		Figures     figures      `json:"figures"`
		Months      []month      `json:"months"`
		Uses        []use        `json:"uses"`
		Loads       []load       `json:"loads"`
		Readings    []reading    `json:"readings"`
		Doubts      []doubt      `json:"doubts"`
		Bills       []bill       `json:"bills"`
		Findings    []found      `json:"findings"`
		Plan        *plan        `json:"plan,omitempty"`
		Unassessed  []unassessed `json:"not_assessed"`
		Assumptions []assumption `json:"assumptions"`
		Steps       []step       `json:"steps"`
	}
)

// document is the assessment as JSON. Intervals are those of nine chances in
// ten; amounts of money are decimal texts, exact.
func document(a *assess.Assessment) ([]byte, error) {
	rec := a.Record
	w := whole{
		Form: "auditgen assessment", Version: Version,
		Client: rec.Site.Client.Value, Place: rec.Site.Place.Value, Provider: rec.Provider.Name.Value,
		Report: rec.Visit.Report.Value, Visit: rec.Visit.Date.Value.String(), Year: a.Year, Currency: a.Currency,
		Figures: figures{of(a.Energy), of(a.Cost), of(a.Peak), of(a.PeakKVA), of(a.BaseLoad), number(known(a.LoadFactor, 1))},
		Months:  each(a.Months, monthOf), Uses: each(a.Uses, useOf), Loads: each(a.Loads, loadOf), Readings: each(a.Readings, readingOf),
		Doubts: each(a.Doubts, func(d audit.Doubt) doubt { return doubt{d.ID, d.Reading, d.What, d.Cause, d.Retake, d.Safety} }),
		Bills:  billsOf(a), Findings: findingsOf(a), Plan: planOf(a), Unassessed: []unassessed{},
		Assumptions: each(a.Assumptions, func(x audit.Assumption) assumption {
			return assumption{x.ID, x.What, x.Value, x.Reason, place(x.Pos), x.Default}
		}),
		Steps: each(a.Sheet.Steps(), stepOf),
	}
	for _, u := range a.Unassessed {
		w.Unassessed = append(w.Unassessed, unassessed{u.Rule, u.Title, u.Why, u.Measure})
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	err := e.Encode(w)
	return b.Bytes(), err
}

// each gives a list of as many, never null.
func each[A, B any](list []A, make func(A) B) []B {
	out := []B{}
	for _, x := range list {
		out = append(out, make(x))
	}
	return out
}

func of(i audit.Interval) *interval {
	if i.Step == "" {
		return nil
	}
	return &interval{number(plain(i.Value)), number(plain(i.Low)), number(plain(i.High)), i.Step}
}

func monthOf(m audit.Month) month {
	return month{m.Month + 1, of(m.Energy), number(known(m.Reactive, 1000)), number(known(m.PF, 1)), of(m.PeakKW), of(m.PeakKVA), of(m.Cost)}
}

func useOf(u audit.Use) use {
	return use{u.Name, of(u.Energy), number(plain(u.Share)), of(u.Cost), append([]string{}, u.Loads...)}
}

func loadOf(l audit.Load) load {
	return load{l.ID, l.Name, l.Use, l.At, l.BasisText, number(known(l.Running, 1000)), number(known(l.Hours, 1)), number(known(l.Duty, 1)), number(known(l.Count, 1)), of(l.Energy), place(l.Pos)}
}

func readingOf(r audit.Reading) reading {
	out := reading{ID: r.ID, At: r.At, Of: r.Of, Date: r.Date.String(), Time: r.Time, Wiring: string(r.Wiring), Phases: each(r.Phases, phaseOf)}
	if total := phaseOf(r.Total); r.Total.Power.Known() || r.Total.Apparent.Known() {
		out.Total = &total
	}
	return out
}

func phaseOf(p audit.Phase) phase {
	out := phase{Name: p.Name}
	for i, to := range []*number{&out.Voltage, nil, &out.Current, &out.Power, &out.Reactive, &out.Apparent, &out.PF} {
		if v := quantities[i].of(p); to != nil && v.Known() {
			*to = number(known(v, quantities[i].scale))
			if v.Kind != working.Measured {
				out.Derived = append(out.Derived, quantities[i].name)
			}
		}
	}
	return out
}

func billsOf(a *assess.Assessment) []bill {
	out := []bill{}
	for _, b := range a.Bills {
		places := b.Currency.Places
		x := bill{From: b.Period.From.String(), To: b.Period.To.AddDays(-1).String(), Lines: []line{}, Total: Amount(b.Total, places)}
		for _, l := range b.Lines {
			x.Lines = append(x.Lines, line{l.Key(), l.Label, l.Quantity.String(), l.Unit, l.PriceText(), Amount(l.Amount, places), place(l.At)})
		}
		out = append(out, x)
	}
	return out
}

func findingsOf(a *assess.Assessment) []found {
	out := []found{}
	for _, f := range a.Findings {
		x := found{ID: f.ID, Severity: string(f.Severity), Headline: headline(f, a.Currency), Evidence: []string{}, Why: f.Why, Action: f.Action, Who: f.Who, Caution: f.Caution, Clause: f.Clause, Sure: f.Sure}
		for _, e := range f.Evidence {
			x.Evidence = append(x.Evidence, e.Text)
		}
		if f.Cost != nil {
			x.Cost = of(*f.Cost)
		}
		out = append(out, x)
	}
	return out
}

// headline is the finding in one sentence, its cost in whole units of the currency.
func headline(f finding.Finding, currency string) string {
	if f.Cost == nil {
		return f.Headline
	}
	return strings.ReplaceAll(f.Headline, "{cost}", strconv.FormatFloat(f.Cost.Value, 'f', 0, 64)+" "+currency)
}

func stepOf(s working.Step) step {
	out := step{ID: s.ID, Label: s.Label, Kind: string(s.Kind), Value: number(plain(s.Value)), Unit: s.Unit, Reason: s.Reason, From: s.From, TypedAt: place(s.Pos)}
	if s.Exact != nil {
		out.Value = number(s.Exact.String())
	}
	if s.Formula != nil {
		out.Formula, out.Source = s.Formula.Text, s.Formula.Source
	}
	return out
}
