package finding

import (
	"fmt"

	"auditgen/internal/audit"
)

// tariffChoice tells whether another tariff would be cheaper for the same year.
var tariffChoice = Rule{
	ID:    "tariff-choice",
	Title: "Choice of tariff",
	Limit: "the tariffs given to price; a hundredth of the bill as worth a change is common practice, no source",
	Judge: judgeTariff,
}

// worthChanging is the share of the bill from which another tariff is worth the
// work of a change.
const worthChanging = 0.01

func judgeTariff(r *audit.Result) ([]Finding, []Unassessed) {
	if len(r.Tariffs) < 2 {
		return missing("no other tariff was given to price", "alternatives in site.yaml: names of files in tariffs/")
	}
	best := r.Tariffs[0]
	f := Finding{
		Severity: InOrder,
		Headline: tariffCheapest(len(r.Tariffs) - 1),
		Why:      "The same use costs differently by tariff, and nobody but the client looks whether the choice of years ago still fits.",
		Clause:   "price sheets as typed; what is worth a change is common practice, no source",
		Sure:     "Likely: the year's modelled use, priced exactly on each at the prices typed. The saving overlaps with those of other findings, since each tariff charges demand and reactive power in its own way.",
	}
	for _, p := range r.Tariffs {
		if !p.InForce {
			f.Figures = withFigure(f.Figures, p.File, p.Change)
			f.shows(p.Name+": "+tariffDifference(p), "", p.Change.Step, p.Cost.Step)
		}
	}
	if best.InForce {
		return []Finding{f}, nil
	}
	saving := r.SavingOfTariff(best)
	for _, t := range best.Turns {
		if t.At.Known() {
			f.shows(tariffTurns(t), "", t.At.Step)
		}
	}
	f.Cost = &saving
	f.Steps = append(f.Steps, saving.Step)
	if saving.Value < worthChanging*r.Cost.Value {
		f.Headline = tariffLittle(best.Name)
		f.does(Watch, "Price the tariffs again at the next change of prices.", client, "")
		return []Finding{f}, nil
	}
	f.Headline = tariffDearer(best.Name)
	f.does(Plan, fmt.Sprintf("Ask for a written offer on “%s”, with its notice period and every charge of it, and price it again before signing.", best.Name), client+"; "+supplier, "")
	return []Finding{f}, nil
}

// withFigure adds a figure without naming its step as one of the finding's own.
func withFigure(m map[string]audit.Interval, name string, i audit.Interval) map[string]audit.Interval {
	if m == nil {
		m = map[string]audit.Interval{}
	}
	if i.Value < 0 {
		i.Value, i.Low, i.High = -i.Value, -i.High, -i.Low
	}
	m[name] = i
	return m
}

func tariffDifference(p audit.PricedTariff) string {
	switch p.Difference.Sign() {
	case 0:
		return "costs the same"
	case 1:
		return "{" + p.File + "} a year more"
	}
	return "{" + p.File + "} a year less"
}

func tariffTurns(t audit.Turn) string {
	switch t.Of {
	case "energy":
		return fmt.Sprintf("the two cost the same at %.0f %% of the energy, demand in proportion", 100*t.At.V/t.Now.V)
	case "demand":
		return fmt.Sprintf("the two cost the same at %.0f %% of the highest demand", 100*t.At.V/t.Now.V)
	}
	return fmt.Sprintf("the two cost the same at a power factor of %.2f", t.At.V)
}

func tariffCheapest(others int) string {
	if others == 1 {
		return "The one other tariff that was priced is no cheaper"
	}
	return "None of the " + plural(others, "other tariff", "other tariffs") + " that were priced is cheaper"
}

func tariffDearer(best string) string {
	return "The same year would cost {cost} less on the tariff “" + best + "”"
}

func tariffLittle(best string) string {
	return "The tariff “" + best + "” would be cheaper, but only by {cost} a year"
}
