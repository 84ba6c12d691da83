package report

import (
	"slices"
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/working"
)

// EnergySection says where the energy goes.
type EnergySection struct {
	Section
	Intro   []string
	Caption string
	Rows    []UseRow
	Total   UseRow
	Range   string
	Loads   []LoadRow
}

// UseRow is one use in the bar table.
type UseRow struct {
	Name, Loads                string
	Bar                        *Bar
	Energy, Give, Share, Saved string
}

// LoadRow is one load.
type LoadRow struct {
	Name, At, Basis, Count, Running, Hours, Duty, Energy string
	BasisLink                                            string
}

func (v *visit) energy() EnergySection {
	s := EnergySection{Section: v.section("energy", v.energyHeading(v.Uses))}
	if len(v.Uses) == 0 || !known(v.Energy) {
		s.Intro = []string{v.S("Energy follows from power and hours. Give each load a reading or its plate, a calendar and a duty, and this section fills.")}
		s.Loads = v.loadRows()
		return s
	}
	s.Intro = v.energyIntro()
	s.Caption = v.F("Energy by use in %d. Solid to the low end of the interval, pale to its high end, tick at the best estimate.", v.Year)
	uses := v.mergeSmall(v.Uses, placeOf(v.Energy))
	s.Rows, s.Total = v.useRows(uses)
	s.Range = v.span(v.plain, v.Energy)
	s.Loads = v.loadRows()
	return s
}

func (v *visit) energyIntro() []string {
	var out []string
	var largest *audit.Load
	for i := range v.Loads {
		if l := &v.Loads[i]; known(l.Energy) && (largest == nil || l.Energy.Value > largest.Energy.Value) {
			largest = l
		}
	}
	if largest != nil && v.Energy.Value > 0 && len(v.Loads) > 1 {
		out = append(out, v.F("The largest single line is “%s”: %s of the year’s energy.", largest.Name, v.portion(largest.Energy.Value/v.Energy.Value)))
	}
	if e := v.Record.Site.Emission; e != nil && e.Factor.IsSet() {
		tonnes := scaled(v.Energy, float64(e.Factor.Value.Value)) // kg/Wh and kWh make t
		out = append(out, v.F("At %s the year’s energy stands for about %s of CO₂ equivalent. Source of the factor: %s", v.typed(e.Factor.Text), v.withUnit(best(v.plain, tonnes), "t"), v.sentence(e.Source.Value)))
	}
	return out
}

// mergeSmall puts uses too small for the total's last digit into one row.
func (f format) mergeSmall(uses []audit.Use, place int) []audit.Use {
	unit := pow10(place)
	var out, small []audit.Use
	for _, u := range uses {
		if u.Energy.Value < unit {
			small = append(small, u)
		} else {
			out = append(out, u)
		}
	}
	if len(small) < 2 {
		return uses
	}
	var rest audit.Use
	var names []string
	for _, u := range small {
		names = append(names, u.Name)
		rest.Loads = append(rest.Loads, u.Loads...)
		rest.Share += u.Share
		rest.Energy.Value += u.Energy.Value
		rest.Energy.Low += u.Energy.Low
		rest.Energy.High += u.Energy.High
		rest.Cost.Value += u.Cost.Value
		rest.Cost.Low += u.Cost.Low
		rest.Cost.High += u.Cost.High
		rest.Cost.Step = u.Cost.Step
	}
	rest.Name = f.F("other uses (%s)", f.list(names))
	return append(out, rest)
}

func (v *visit) useRows(uses []audit.Use) ([]UseRow, UseRow) {
	place := placeOf(v.Energy)
	if x := v.Unexplained; x.Known() && roundTo(x.V/1e3, place) != 0 {
		kwh := x.V / 1e3
		uses = append(slices.Clip(uses), audit.Use{Name: v.unexplainedName(kwh), Energy: audit.Interval{Value: kwh, Low: kwh, High: kwh, Unit: "kWh", Step: x.Step}, Share: kwh / v.Energy.Value})
	}
	values, shares := make([]float64, len(uses)), make([]float64, len(uses))
	greatest := 0.0
	for i, u := range uses {
		values[i], shares[i] = u.Energy.Value, u.Share*100
		greatest = max(greatest, u.Energy.High, u.Energy.Value)
	}
	values, shares = addUp(values, place), addUp(shares, 0)
	var rows []UseRow
	total, whole := 0.0, 0.0
	for i, u := range uses {
		total += values[i]
		whole += shares[i]
		row := UseRow{
			Name: capital(u.Name), Loads: v.loadNames(u.Loads), Bar: intervalBar(u.Energy, greatest),
			Energy: rounded(v.plain, values[i], place), Give: v.give(v.plain, u.Energy),
			Share: v.withUnit(v.plain(shares[i], 0), "%"),
		}
		if known(u.Cost) {
			row.Saved = best(v.cash, u.Cost)
		}
		rows = append(rows, row)
	}
	return rows, UseRow{Name: v.S("All uses"), Energy: rounded(v.plain, total, place), Give: v.give(v.plain, v.Energy), Share: v.withUnit(v.plain(whole, 0), "%")}
}

// unexplainedName is the row of what was logged and no load explains.
func (f format) unexplainedName(kwh float64) string {
	if kwh < 0 {
		return f.S("logged less than the loads listed")
	}
	return f.S("logged, and in no load of the list")
}

// mostNames is how many loads a row of the table names.
const mostNames = 4

func (v *visit) loadNames(ids []string) string {
	var names []string
	for _, id := range ids {
		for _, l := range v.Assessment.Loads {
			if l.ID == id {
				names = append(names, lower(l.Name))
			}
		}
	}
	if len(names) > mostNames {
		more := len(names) - mostNames + 1
		names = append(names[:mostNames-1:mostNames-1], v.F("%s more", v.numeral(more)))
	}
	return strings.Join(names, ", ")
}

func (v *visit) loadRows() []LoadRow {
	var rows []LoadRow
	for _, l := range v.Assessment.Loads {
		row := LoadRow{
			Name: l.Name, At: l.At, Basis: l.BasisText, Running: v.valueText(l.Running, 1000, 2),
			Hours: v.valueText(l.Hours, 1, 0), Duty: v.valueText(l.Duty, 0.01, 0), Count: v.valueText(l.Count, 1, 0),
		}
		if l.Basis == working.Measured && len(l.Readings) > 0 {
			row.BasisLink = v.readingLink(l.Readings[0])
		}
		if known(l.Energy) {
			row.Energy = best(v.plain, l.Energy)
		}
		rows = append(rows, row)
	}
	return rows
}
