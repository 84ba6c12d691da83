package finding

import (
	"auditgen/internal/audit"
	"auditgen/internal/say"
)

// tariffChoice tells whether another tariff would be cheaper for the same year.
var tariffChoice = Rule{
	ID:    "tariff-choice",
	Title: say.Key("Choice of tariff"),
	Limit: "the tariffs given to price; a hundredth of the bill as worth a change is common practice, no source",
	Judge: judgeTariff,
}

// worthChanging is the share of the bill from which another tariff is worth the
// work of a change.
const worthChanging = 0.01

func judgeTariff(r *audit.Result) ([]Finding, []Unassessed) {
	lang := r.Record.Words
	if len(r.Tariffs) < 2 {
		return missing(lang.S("no other tariff was given to price"), lang.S("alternatives in site.yaml: names of files in tariffs/"))
	}
	best := r.Tariffs[0]
	f := Finding{
		Severity: InOrder,
		Headline: tariffCheapest(lang, len(r.Tariffs)-1),
		Why:      lang.S("The same use costs differently by tariff, and nobody but the client looks whether the choice of years ago still fits."),
		Clause:   lang.S("price sheets as typed; what is worth a change is common practice, no source"),
		Sure:     lang.S("Likely: the year's modelled use, priced exactly on each at the prices typed. The saving overlaps with those of other findings, since each tariff charges demand and reactive power in its own way."),
	}
	for _, p := range r.Tariffs {
		if !p.InForce {
			f.Figures = withFigure(f.Figures, p.File, p.Change)
			f.shows(tariffDifference(lang, p), "", p.Change.Step, p.Cost.Step)
		}
	}
	if best.InForce {
		return []Finding{f}, nil
	}
	saving := r.SavingOfTariff(best)
	for _, t := range best.Turns {
		if t.At.Known() {
			f.shows(tariffTurns(lang, t), "", t.At.Step)
		}
	}
	f.Cost = &saving
	f.Steps = append(f.Steps, saving.Step)
	if saving.Value < worthChanging*r.Cost.Value {
		f.Headline = tariffLittle(lang, best.Name)
		f.does(lang, Watch, lang.S("Price the tariffs again at the next change of prices."), client, "")
		return []Finding{f}, nil
	}
	f.Headline = tariffDearer(lang, best.Name)
	f.does(lang, Plan, lang.F("Ask for a written offer on “%s”, with its notice period and every charge of it, and price it again before signing.", best.Name), clientAndSupplier, "")
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

func tariffDifference(lang *say.Language, p audit.PricedTariff) string {
	switch p.Difference.Sign() {
	case 0:
		return lang.F("%s: costs the same", p.Name)
	case 1:
		return lang.F("%s: {%s} a year more", p.Name, p.File)
	}
	return lang.F("%s: {%s} a year less", p.Name, p.File)
}

func tariffTurns(lang *say.Language, t audit.Turn) string {
	switch t.Of {
	case "energy":
		return lang.F("the two cost the same at %.0f %% of the energy, demand in proportion", 100*t.At.V/t.Now.V)
	case "demand":
		return lang.F("the two cost the same at %.0f %% of the highest demand", 100*t.At.V/t.Now.V)
	}
	return lang.F("the two cost the same at a power factor of %.2f", t.At.V)
}

func tariffCheapest(lang *say.Language, others int) string {
	if others == 1 {
		return lang.S("The one other tariff that was priced is no cheaper")
	}
	return lang.F("None of the %s other tariffs that were priced is cheaper", numeral(lang, others))
}

func tariffDearer(lang *say.Language, best string) string {
	return lang.F("The same year would cost {cost} less on the tariff “%s”", best)
}

func tariffLittle(lang *say.Language, best string) string {
	return lang.F("The tariff “%s” would be cheaper, but only by {cost} a year", best)
}
