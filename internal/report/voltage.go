package report

import (
	"math"

	"auditgen/internal/audit"
	"auditgen/internal/charts"
	"auditgen/internal/limits"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	record "auditgen/internal/site"
)

// shownVoltage is a voltage of a reading, to neutral or between lines.
type shownVoltage struct {
	name  string
	volts float64
}

// voltageBasis is what voltages are held against: the nominal voltage and the
// band of the supply, in V.
type voltageBasis struct {
	between          string // to neutral or between lines, in words
	nominal          float64
	low, high        float64
	banded           bool
	bandName, source string
	cite             limits.Citation
}

// voltages holds the voltages at the incomer, or where they were read first,
// against the band of the supply. It gives how many were judged and names those
// outside.
func (v *visit) voltages(s *LimitsSection, cite func(limits.Citation, bool)) (judged int, outside []string) {
	r, shown, basis := v.voltageReading()
	if r == nil || basis.nominal <= 0 {
		return 0, nil
	}
	s.VoltHead = v.F("Voltage %s", basis.between)
	c := charts.Range{Unit: "V", Format: v.axis}
	if basis.banded {
		cite(basis.cite, false)
		c.Band = &charts.Band{Low: basis.low, High: basis.high, LowLabel: v.number(basis.low, 0), HighLabel: v.number(basis.high, 0),
			Label: v.F("band for %s", v.withUnit(v.number(basis.nominal, 0), "V"))}
		s.VoltNote = v.F("Band: %s to %s, %s, by %s.", v.number(basis.low, 0), v.withUnit(v.number(basis.high, 0), "V"), basis.bandName, basis.source)
	}
	for _, x := range shown {
		row := VoltRow{Reading: r.ID, Link: "#r-" + r.ID, Phase: x.name, Volts: v.number(x.volts, 1), Deviation: signed(v.number((x.volts/basis.nominal-1)*100, 1)) + nbsp + "%"}
		if basis.banded {
			judged++
			row.Result = v.S("within")
			if x.volts < basis.low || x.volts > basis.high {
				row.Result = v.S("outside")
				outside = append(outside, v.F("the voltage of %s", x.name))
				cite(basis.cite, true)
			}
		}
		s.VoltRows = append(s.VoltRows, row)
		half := float64(r.Instrument.Limits().Voltage.OfReading) * x.volts
		c.Categories, c.Values, c.Labels = append(c.Categories, x.name), append(c.Values, x.volts), append(c.Labels, row.Volts)
		c.Low, c.High = append(c.Low, x.volts-half), append(c.High, x.volts+half)
	}
	if judged > 0 {
		message := v.voltageMessage(outside)
		c.Text = charts.Text{Title: message, Description: v.F("Voltage %s of reading %s with the instrument’s limit of error, against the band. The table below has the numbers.", basis.between, r.ID)}
		s.Voltages = v.figure("chart-voltage", v.F("%s: voltage %s, reading %s", message, basis.between, r.ID), c)
	}
	return judged, outside
}

// voltageReading finds the voltages to judge: to neutral where the supply has
// one and they were read, else between lines; at the incomer before elsewhere.
func (v *visit) voltageReading() (*audit.Reading, []shownVoltage, voltageBasis) {
	for _, incomer := range []bool{true, false} {
		for i := range v.Assessment.Readings {
			r := &v.Assessment.Readings[i]
			if v.isIncomer(r.Point) != incomer {
				continue
			}
			if shown := v.toNeutral(r); len(shown) > 0 {
				return r, shown, basisFor(v.Language, v.Family.SupplyVoltage, quantity.VoltsLN(v.phaseVoltage()), v.S("to neutral"))
			}
			if shown := v.betweenLines(r); len(shown) > 0 {
				return r, shown, basisFor(v.Language, v.Family.SupplyVoltage, v.Record.Site.Supply.Voltage.Value.Value, v.S("between lines"))
			}
		}
	}
	return nil, nil, voltageBasis{}
}

func basisFor[V limits.Voltage](words *say.Language, s limits.Standard, nominal V, between string) voltageBasis {
	b := voltageBasis{between: between, nominal: float64(nominal)}
	if bands := limits.VoltageBands(s, limits.AtSupply, nominal); len(bands) > 0 && nominal > 0 {
		first := bands[0]
		b.banded, b.low, b.high, b.bandName = true, float64(first.Low), float64(first.High), words.S(first.Name)
		b.cite, b.source = first.Cite, first.Cite.In(words)
	}
	return b
}

func (f format) toNeutral(r *audit.Reading) []shownVoltage {
	var out []shownVoltage
	for _, p := range r.Phases {
		if p.Voltage.Known() && record.PhaseIndex(p.Name) >= 0 {
			out = append(out, shownVoltage{f.F("phase %s", p.Name), p.Voltage.V})
		}
	}
	return out
}

func (f format) betweenLines(r *audit.Reading) []shownVoltage {
	var out []shownVoltage
	for i, name := range [3]string{"AB", "BC", "CA"} {
		if r.Lines[i].Known() {
			out = append(out, shownVoltage{f.F("lines %s", name), r.Lines[i].V})
		}
	}
	return out
}

// phaseVoltage is the nominal voltage to neutral, in V.
func (v *visit) phaseVoltage() float64 {
	u := float64(v.Record.Site.Supply.Voltage.Value.Value)
	switch v.Record.Site.Supply.System.Value {
	case record.OnePhaseTwoWire:
		return u
	case record.OnePhaseThreeWire:
		return u / 2
	}
	return u / math.Sqrt(3)
}
