package finding

import (
	"regexp"
	"slices"
	"strings"
	"testing"
)

var broken = regexp.MustCompile(`%!|NaN|Inf|  |\bnil\b|^\s|\s$|\.\.`)

// place is what a sentence leaves for a figure.
var place = regexp.MustCompile(`\{([a-z-]*)\}`)

// sound holds a finding to what every finding must say.
func sound(t *testing.T, f Finding) {
	t.Helper()
	must := map[string]string{"rule": f.Rule, "id": f.ID, "headline": f.Headline, "why": f.Why, "clause": f.Clause, "sure": f.Sure}
	if f.Severity != InOrder {
		must["action"], must["who"] = f.Action, f.Who
	}
	for _, e := range f.Evidence {
		must["evidence "+e.Text] = e.Text
	}
	for what, text := range must {
		if text == "" || broken.MatchString(text) {
			t.Errorf("%s: %s is %q", f.ID, what, text)
		}
	}
	for what, text := range map[string]string{"why": f.Why, "action": f.Action, "caution": f.Caution, "sure": f.Sure} {
		if text != "" && !strings.HasSuffix(text, ".") && what != "action" {
			t.Errorf("%s: %s is no sentence: %q", f.ID, what, text)
		}
	}
	if len(f.Evidence) == 0 {
		t.Errorf("%s has no evidence", f.ID)
	}
	if f.Licensed && f.Caution == "" {
		t.Errorf("%s is licensed work without a caution", f.ID)
	}
	if strings.Contains(f.Who, licensed) != f.Licensed {
		t.Errorf("%s: who may do it is %q, but licensed is %v", f.ID, f.Who, f.Licensed)
	}
	if !slices.Contains(Severities, f.Severity) {
		t.Errorf("%s has the severity %q", f.ID, f.Severity)
	}
	texts := f.Headline + f.Why + f.Action + f.Sure
	for _, e := range f.Evidence {
		texts += e.Text
	}
	for _, m := range place.FindAllStringSubmatch(texts, -1) {
		if _, ok := f.Figures[m[1]]; !ok && (m[1] != "cost" || f.Cost == nil) {
			t.Errorf("%s speaks of a figure that it does not have: %s", f.ID, m[0])
		}
	}
}

func soundUnassessed(t *testing.T, u Unassessed) {
	t.Helper()
	for what, text := range map[string]string{"rule": u.Rule, "title": u.Title, "why": u.Why, "measure": u.Measure} {
		if text == "" || broken.MatchString(text) {
			t.Errorf("%s: %s is %q", u.Rule, what, text)
		}
	}
}

// judged is a site with what a rule must make of it.
type judged struct {
	name     string
	site     small
	severity Severity // "" when it cannot be judged, "silent" when it does not apply
	says     string   // part of the headline, or of why it cannot be judged
	measure  string   // a key that what is missing must name
	evidence string   // part of the evidence
	clause   string
	sure     string // part of how sure it is
}

func (j judged) hold(t *testing.T, rule string) {
	t.Helper()
	fs, us := j.site.of(t, rule)
	switch j.severity {
	case "silent":
		if len(fs)+len(us) != 0 {
			t.Errorf("found %+v, not assessed %+v", fs, us)
		}
		return
	case "":
		if len(fs) != 0 || len(us) != 1 {
			t.Fatalf("found %+v, not assessed %+v", fs, us)
		}
		if !strings.Contains(us[0].Why, j.says) || !strings.Contains(us[0].Measure, j.measure) {
			t.Errorf("not assessed because %q, for want of %q; want %q, %q", us[0].Why, us[0].Measure, j.says, j.measure)
		}
		return
	}
	if len(fs) != 1 || len(us) != 0 {
		t.Fatalf("found %+v, not assessed %+v", fs, us)
	}
	f := fs[0]
	if f.Severity != j.severity || !strings.Contains(f.Headline, j.says) {
		t.Errorf("%s: %q; want %s: %q", f.Severity, f.Headline, j.severity, j.says)
	}
	if !strings.Contains(f.Clause, j.clause) {
		t.Errorf("clause %q, want %q", f.Clause, j.clause)
	}
	if !strings.Contains(f.Sure, j.sure) {
		t.Errorf("sure %q, want %q", f.Sure, j.sure)
	}
	if !slices.ContainsFunc(f.Evidence, func(e Evidence) bool { return strings.Contains(e.Text, j.evidence) }) {
		t.Errorf("evidence %+v lacks %q", f.Evidence, j.evidence)
	}
}

func at(place, wiring, rest string) string {
	return "  - {id: R1, at: " + place + ", wiring: " + wiring + ", " + rest + "}"
}

const (
	charged = "charges: [{id: units, energy: 0.10 /kWh}, {id: factor, power-factor: {of: units, slopes: [{below: 0.95, add: 1 % per 0.01}]}}]"
	strong  = "transformer: {rating: 250 kVA, impedance: 4 %}, maximum-demand-current: 100 A"
)

func load(pf string) string {
	return "  - {id: it, name: It, at: DB1-1, use: work, power: 100 kW, pf: " + pf + " lag, runs: {calendar: always}}"
}

// wave is a reading of 100 A at the incomer with distortion.
func wave(kind, thd, orders string) string {
	return at("incomer", "3P4W", "phases: {A: {voltage: 230.0 V, current: 100.0 A}}, harmonics: {"+kind+": {phase: A, thd: "+thd+" % of fundamental, orders: {"+orders+"}}}")
}

// rules are the cases of every rule.
var rules = gathered(supplyCases, loadingCases, yearCases, plateCases)

func gathered(parts ...map[string][]judged) map[string][]judged {
	all := map[string][]judged{}
	for _, part := range parts {
		for rule, cases := range part {
			all[rule] = append(all[rule], cases...)
		}
	}
	return all
}

// Every rule has a case that it finds something in, one that is in order and one
// that it cannot judge.
func TestEveryRuleHasItsCases(t *testing.T) {
	for _, rule := range Rules {
		found := map[string]bool{}
		for _, c := range rules[rule.ID] {
			switch c.severity {
			case ActNow, Plan, Watch:
				found["something found"] = true
			case InOrder:
				found["in order"] = true
			case "":
				found["not assessed"] = true
			}
		}
		for _, want := range []string{"something found", "in order", "not assessed"} {
			if !found[want] {
				t.Errorf("%s has no case of %s", rule.ID, want)
			}
		}
	}
}

func TestRules(t *testing.T) {
	for _, rule := range Rules {
		if len(rules[rule.ID]) == 0 {
			t.Errorf("no case for the rule %s", rule.ID)
		}
		if rule.Title == "" || rule.Limit == "" {
			t.Errorf("the rule %s says neither what nor by which limit", rule.ID)
		}
		for _, c := range rules[rule.ID] {
			t.Run(rule.ID+"/"+c.name, func(t *testing.T) { c.hold(t, rule.ID) })
		}
	}
}

// A doubt says what rests on the reading.
func TestDoubtSaysWhatRestsOnIt(t *testing.T) {
	c := rules["doubtful-reading"]
	fs, _ := c[3].site.of(t, "doubtful-reading")
	if want := "The energy of Pump rests on it: {energy} a year."; fs[0].Why != want {
		t.Errorf("%q, want %q", fs[0].Why, want)
	}
	fs, _ = c[2].site.of(t, "doubtful-reading")
	if fs[0].Why != "Nothing else in this report rests on it." {
		t.Errorf("%q", fs[0].Why)
	}
}

// The worst comes first; equals stand in the order of the rules.
func TestSeverityOrder(t *testing.T) {
	s := small{
		instrument: "category = \"CAT II 300 V\"", loads: load("0.94"), more: strong,
		readings: at("incomer", "3P4W", "phases: {A: {voltage: 260.0 V, current: 100.0 A}}, frequency: 50.00 Hz, harmonics: {current: {phase: A, thd: 9.0 % of fundamental}, voltage: {phase: A, thd: 9.0 % of fundamental}}"),
	}
	findings, _ := Judge(s.result(t))
	order := map[string]int{}
	for i, r := range Rules {
		order[r.ID] = i
	}
	for i := 1; i < len(findings); i++ {
		a, b := findings[i-1], findings[i]
		ra, rb := slices.Index(Severities, a.Severity), slices.Index(Severities, b.Severity)
		if ra > rb || ra == rb && order[a.Rule] > order[b.Rule] {
			t.Errorf("%s (%s) stands before %s (%s)", a.ID, a.Severity, b.ID, b.Severity)
		}
	}
	seen := map[Severity]bool{}
	for _, f := range findings {
		seen[f.Severity] = true
	}
	for _, s := range Severities {
		if !seen[s] {
			t.Errorf("the site shows nothing of the severity %q", s)
		}
	}
}

// The cost of a low power factor carries the doubt of the bill.
func TestCostOfLowPowerFactor(t *testing.T) {
	fs, _ := small{tariff: charged, loads: "  - {id: it, name: It, at: DB1-1, use: work, power: 90..100..110 kW, pf: 0.80 lag, runs: {calendar: always}}"}.of(t, "low-power-factor")
	c := fs[0].Cost
	if c == nil || c.Unit != "EUR" || c.Value < 13139 || c.Value > 13141 || c.Low >= c.Value || c.High <= c.Value {
		t.Errorf("cost %+v, want 15 %% of 87,600.00", c)
	}
}

func TestWords(t *testing.T) {
	for got, want := range map[string]string{
		ordinal(nil, 1): "1st", ordinal(nil, 2): "2nd", ordinal(nil, 3): "3rd", ordinal(nil, 5): "5th", ordinal(nil, 11): "11th", ordinal(nil, 12): "12th", ordinal(nil, 13): "13th", ordinal(nil, 21): "21st", ordinal(nil, 23): "23rd",
		join(nil, nil): "", join(nil, []string{"a"}): "a", join(nil, []string{"a", "b"}): "a and b", join(nil, []string{"a", "b", "c"}): "a, b and c",
		numeral(nil, 1): "one", numeral(nil, 2): "two", numeral(nil, 12): "twelve", numeral(nil, 13): "13",
		percent(0.1234, 1): "12.3 %",
		agreement(nil, 1):  "The one reading agrees with itself", agreement(nil, 23): "all 23 readings agree with themselves and with each other",
	} {
		if got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
