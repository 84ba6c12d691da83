package report

import (
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/assess"
	"auditgen/internal/audit"
	"auditgen/internal/finding"
	"auditgen/internal/measure"
	"auditgen/internal/quantity"
	record "auditgen/internal/site"
	"auditgen/internal/source"
	"auditgen/internal/working"
)

// visitOf makes a visit of which only what change sets is known.
func visitOf(change func(*assess.Assessment)) *visit {
	a := missing()
	a.Currency = "EUR"
	change(a)
	return newVisit(a, renderer)
}

// TestHeadline has the first screen's sentences for what is known and what is not.
func TestHeadline(t *testing.T) {
	cost, energy := interval(95000, 4500), interval(352000, 17000)
	dear := interval(4710, 205)
	cases := []struct {
		change               func(*assess.Assessment)
		headline, standFirst string
	}{
		{func(*assess.Assessment) {},
			"No reading was taken, so nothing can be said yet",
			"No load with its hours is listed, so the readings stand for their moment only. Nothing was judged."},
		{func(a *assess.Assessment) { a.Readings = make([]audit.Reading, 1) },
			"One reading was taken; a year can’t be worked out from it alone",
			"No load with its hours is listed, so the readings stand for their moment only. Nothing was judged."},
		{func(a *assess.Assessment) { a.Readings = make([]audit.Reading, 3) },
			"Three readings were taken; a year can’t be worked out from them alone",
			"No load with its hours is listed, so the readings stand for their moment only. Nothing was judged."},
		{func(a *assess.Assessment) {
			a.Energy, a.Loads, a.Peak, a.PeakMonth = energy, make([]audit.Load, 1), interval(112, 5), 3
		},
			"The site uses about 352,000" + nbsp + "kWh a year; what that costs can’t be told",
			"The highest demand, about 112" + nbsp + "kW, is expected in April. Nothing was judged."},
		{func(a *assess.Assessment) { a.Cost, a.Energy, a.Uses = cost, energy, uses(0.5, 0.5) },
			"Electricity costs about €95,000 a year; about half of the energy goes to refrigeration",
			"No load with its hours is listed, so the readings stand for their moment only. Nothing was judged."},
		{func(a *assess.Assessment) { a.Cost, a.Loads = cost, make([]audit.Load, 1) },
			"Electricity costs about €95,000 a year",
			"The figures below say what is known. Nothing was judged."},
		{func(a *assess.Assessment) {
			a.Cost, a.Energy, a.Uses = cost, energy, uses(0.28, 0.23)
			a.Findings = []finding.Finding{{Rule: "low-power-factor", Severity: finding.Plan, Headline: "Power factor falls to 0.84 and costs {cost} a year", Cost: &dear}}
		},
			"Electricity costs about €95,000 a year, and low power factor is €4,710 of it",
			"About half of the energy goes to refrigeration and ripening. Nothing needs action now; one finding is worth a plan: power factor falls to 0.84 and costs €4,710 a year."},
	}
	for _, c := range cases {
		v := visitOf(c.change)
		if got := v.headline(); got != c.headline {
			t.Errorf("headline %q, not %q", got, c.headline)
		}
		if got := v.standFirst(); got != c.standFirst {
			t.Errorf("stand-first %q, not %q", got, c.standFirst)
		}
	}
}

func TestFourthFigure(t *testing.T) {
	v := visitOf(func(a *assess.Assessment) { a.Cost, a.Energy = interval(95000, 4500), interval(352000, 17000) })
	if f := v.fourthFigure(); f.Big != "€0.27" || f.Unit != "per kWh" {
		t.Errorf("the price of a kilowatt-hour is printed as %s %s", f.Big, f.Unit)
	}
	if f := visitOf(func(*assess.Assessment) {}).fourthFigure(); f.Big != "not known" {
		t.Errorf("a price that is not known is printed as %s", f.Big)
	}
}

func TestFirstSteps(t *testing.T) {
	v := visitOf(func(a *assess.Assessment) {
		for _, s := range []finding.Severity{finding.ActNow, finding.Plan, finding.Watch, finding.Watch, finding.InOrder} {
			a.Findings = append(a.Findings, finding.Finding{ID: "x", Severity: s, Action: "do something", Who: "anyone"})
		}
	})
	first := v.first()
	if len(first.Steps) != 2 || first.None != "" {
		t.Fatalf("%d steps (%q), not 2: what is watched is no step", len(first.Steps), first.None)
	}
	if s := first.Steps[0]; s.Action != "Do something" || s.GainNote != "act now" || s.Link != "#f-x" {
		t.Errorf("the first step is %+v", s)
	}
}

// TestStepsEarn leaves a measure that loses money out of what to do first, unless
// it mends what asks for a step.
func TestStepsEarn(t *testing.T) {
	worth := func(id string, npv audit.Interval, mends ...string) measure.Measure {
		m := measure.Measure{Measure: &record.Measure{}}
		m.ID.Value, m.Name.Value = id, id
		for _, rule := range mends {
			m.Mends = append(m.Mends, source.At[string]{Value: rule})
		}
		m.Alone.Exact, m.Alone.Cost = decimal.NewFromInt(100), interval(100, 10)
		npv.Step = "x"
		m.Worth.NPV = npv
		return m
	}
	v := visitOf(func(a *assess.Assessment) {
		a.Findings = append(a.Findings, finding.Finding{ID: "h", Rule: "current-distortion", Severity: finding.Plan}, finding.Finding{ID: "l", Rule: "base-load", Severity: finding.Watch})
		a.Plan = &measure.Plan{Order: []int{0, 1, 2, 3}, Measures: []measure.Measure{
			worth("earns", interval(50, 10)), worth("loses", interval(-50, 10)), worth("filter", interval(-50, 10), "current-distortion"), worth("dims", interval(-50, 80), "base-load"),
		}}
	})
	var names []string
	for _, s := range v.first().Steps {
		names = append(names, s.Action)
	}
	if want := []string{"earns", "filter"}; !slices.Equal(names, want) {
		t.Errorf("the first steps are %q, not %q", names, want)
	}
	for i, want := range []string{"", "costs more than it saves", "costs more than it saves", "may not earn its cost"} {
		if got := v.doRow(1, &v.Plan.Measures[i], 1).Loses; got != want {
			t.Errorf("%s: %q, not %q", v.Plan.Measures[i].Name.Value, got, want)
		}
	}
}

// TestDoubts puts a doubt beside its reading, and one about no reading apart.
func TestDoubts(t *testing.T) {
	v := visitOf(func(a *assess.Assessment) {
		a.Readings = []audit.Reading{{ID: "R1"}, {ID: "R2"}}
		a.Doubts = []audit.Doubt{{Reading: "R2", What: "R2 is off", Cause: "The clamp slipped"}, {What: "loads cannot reach the peak", Retake: "List more loads."}}
	})
	s := v.readings()
	if s.Heading != "Two readings, one of them doubtful" {
		t.Errorf("headed %q", s.Heading)
	}
	if len(s.Blocks[0].Doubts) != 0 || len(s.Blocks[1].Doubts) != 1 || s.Blocks[1].Doubts[0] != (DoubtLine{"Doubt.", "R2 is off.", "the clamp slipped.", ""}) {
		t.Errorf("doubts beside the readings: %+v", s.Blocks)
	}
	if len(s.Doubts) != 1 || s.Doubts[0].What != "Loads cannot reach the peak." {
		t.Errorf("doubts about the whole: %+v", s.Doubts)
	}
}

// TestDerivedIsMarked tells derived values from shown ones by a mark.
func TestDerivedIsMarked(t *testing.T) {
	v := visitOf(func(*assess.Assessment) {})
	shown := v.cell(audit.Value{V: 1234, Step: "a", Kind: working.Measured}, 1000, 2)
	derived := v.cell(audit.Value{V: 1234, Step: "b", Kind: working.Derived}, 1000, 2)
	absent := v.cell(audit.Value{V: 1234}, 1000, 2)
	if shown != (Cell{Text: "1.23"}) || derived != (Cell{Text: "1.23", Mark: "d"}) || absent != (Cell{}) {
		t.Errorf("shown %+v, derived %+v, absent %+v", shown, derived, absent)
	}
}

// TestVoltageBand judges voltages between lines where there is no neutral.
func TestVoltageBand(t *testing.T) {
	v := visitOf(func(a *assess.Assessment) {
		full := example(t)
		a.Family = full.Family
		a.Record.Site.Supply.Voltage = typedAs(quantity.Displayed[quantity.VoltsLL]{Value: 400}, "400 V")
		a.Record.Site.Supply.System = typedAs(record.ThreePhaseThreeWire, "3P3W")
		r := audit.Reading{ID: "R1", Wiring: record.ThreePhaseThreeWire}
		for i, volts := range []float64{401, 352, 399} {
			r.Lines[i] = audit.Value{V: volts, Step: "x", Kind: working.Measured}
		}
		a.Readings = []audit.Reading{r}
	})
	s := v.limits()
	if v.chart != nil {
		t.Fatal(v.chart)
	}
	if s.Heading != "The voltage of lines BC is outside its limit" {
		t.Errorf("headed %q", s.Heading)
	}
	if len(s.VoltRows) != 3 || s.VoltRows[1].Result != "outside" || s.VoltRows[1].Deviation != minus+"12.0"+nbsp+"%" || s.VoltHead != "Voltage between lines" {
		t.Errorf("%s: %+v", s.VoltHead, s.VoltRows)
	}
	if s.Voltages == nil || !strings.Contains(s.VoltNote, "360 to 440") {
		t.Errorf("no chart, or the band is %q", s.VoltNote)
	}
}

// TestNotes renders Markdown without what a page may not have.
func TestNotes(t *testing.T) {
	n := renderNote(record.Note{Name: "seen on site", Text: "# Seen\n\n<script>alert(1)</script>\n\na <b onclick=x>b</b> ![the **board**](board.png) [more](https://example.org) [bad](javascript:alert(1))\n\n###### Deep\n"})
	got := string(n.HTML)
	for _, want := range []string{"<h4>Seen</h4>", "<h6>Deep</h6>", "the <strong>board</strong>", `<a href="https://example.org" rel="noopener">more</a>`} {
		if !strings.Contains(got, want) {
			t.Errorf("%s is not in %s", want, got)
		}
	}
	for _, never := range []string{"<script", "onclick", "<img", "javascript:"} {
		if strings.Contains(got, never) {
			t.Errorf("%s is in %s", never, got)
		}
	}
	if n.ID != "note-seen-on-site" {
		t.Errorf("the note's place is %q", n.ID)
	}
}

// TestSmallUses puts uses below the total's last digit into one row.
func TestSmallUses(t *testing.T) {
	us := []audit.Use{{Name: "heat", Energy: interval(90000, 5000)}, {Name: "radio", Energy: interval(300, 50)}, {Name: "clock", Energy: interval(200, 50)}}
	got := euro.mergeSmall(us, 3)
	if len(got) != 2 || got[1].Name != "other uses (radio and clock)" || got[1].Energy.Value != 500 {
		t.Errorf("merged to %+v", got)
	}
	if got := euro.mergeSmall(us[:2], 3); len(got) != 2 || got[1].Name != "radio" {
		t.Errorf("one small use became %+v", got)
	}
}
