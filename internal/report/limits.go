package report

import (
	"cmp"
	"math"
	"strings"

	"auditgen/internal/audit"
	"auditgen/internal/charts"
	"auditgen/internal/limits"
)

// LimitsSection holds harmonics and voltage against published limits.
type LimitsSection struct {
	Section
	Intro    []string
	Spectra  []Spectrum
	Others   []OtherWave
	VoltHead string
	Voltages *Figure
	VoltRows []VoltRow
	VoltNote string
	Cites    []string
	Tells    []TellRow
}

// TellRow is what one reading can and cannot conclude against one limit.
type TellRow struct{ Limit, Can, Cannot, Settle string }

// Spectrum is the distortion of one wave at the incomer.
type Spectrum struct {
	ID, Heading, Base string
	Figure            *Figure
	Caption           string
	Limited           bool // any limit applies
	Note              string
	Rows              []OrderRow
	Total             OrderRow
}

// OrderRow is a harmonic against its limit.
type OrderRow struct {
	Order, Measured, Limit, Share, Result string
	Bar                                   *LimitBar
}

// LimitBar is a value as a share of its limit, the part beyond it told apart.
type LimitBar struct{ Within, Beyond, From, Limit string }

// OtherWave is the distortion read elsewhere.
type OtherWave struct{ Reading, Link, Where, Wave, THD, Orders string }

// VoltRow is a voltage against its band.
type VoltRow struct{ Reading, Link, Phase, Volts, Deviation, Result string }

// axisCap is where a limit bar ends: at 160 % of the limit.
const axisCap = 1.6

func (v *visit) limits() LimitsSection {
	s := LimitsSection{}
	var judged, over []string
	cited := map[string]bool{}
	var tells []limits.Citation
	above := map[string]bool{}
	cite := func(c limits.Citation, over bool) {
		text := v.citation(c)
		if c.CitedAs == "" {
			return
		}
		above[text] = above[text] || over
		if !cited[text] {
			cited[text] = true
			s.Cites, tells = append(s.Cites, text), append(tells, c)
		}
	}
	for _, r := range v.Assessment.Readings {
		incomer := v.isIncomer(r.Point)
		for _, w := range r.Waves {
			if !incomer || len(w.Orders) == 0 {
				s.Others = append(s.Others, v.otherWave(r, w))
				continue
			}
			sp, names, beyond := v.spectrum(r, w, cite)
			s.Spectra = append(s.Spectra, sp)
			judged, over = append(judged, names...), append(over, beyond...)
		}
	}
	n, low := v.voltages(&s, cite)
	if n > 0 {
		judged = append(judged, v.S("the voltage"))
	}
	over = append(over, low...)
	for _, c := range tells {
		k := c.Conclude(v.Language, above[v.citation(c)])
		s.Tells = append(s.Tells, TellRow{c.In(v.Language), k.Can, k.Cannot, k.Settle})
	}
	s.Section = v.section("limits", v.limitsHeading(judged, over))
	if len(s.Spectra) == 0 {
		s.Intro = append(s.Intro, v.S("No harmonics were read at the incomer, so distortion could not be held against the limits for the supply. Type them under harmonics of a reading at the incomer."))
	} else {
		s.Intro = append(s.Intro, v.S("A reading of one moment shows where a limit is near or passed. The standards judge by statistics over days, so it neither meets nor breaks them."))
	}
	return s
}

func (v *visit) isIncomer(point string) bool {
	p, ok := v.Record.Site.Points.Get(point)
	return ok && !p.From.IsSet()
}

// citation is a limit's source in words, with how well its figures are known.
func (f format) citation(c limits.Citation) string {
	text := c.In(f.Language)
	if c.Title != "" {
		text += " (" + c.Title + ")"
	}
	if c.Place != "" {
		text += f.F("; applies at %s", f.S(c.Place))
	}
	if c.Statistic != "" {
		text += f.F("; set for %s", f.S(c.Statistic))
	}
	switch c.Status {
	case limits.Seen:
		text += ". " + f.S("Figures read in the standard itself.")
	case limits.Secondary:
		text += ". " + f.S("Figures taken from a published reproduction.")
	case limits.Memory:
		text += ". " + f.S("Figures from memory: check them against the standard before they decide anything.")
	}
	return text
}

// waveWord names what a wave is of.
func (f format) waveWord(kind string) string {
	if kind == "current" {
		return f.S("current")
	}
	return f.S("voltage")
}

func (f format) phaseWords(name string) string {
	if name == "" || name == "total" {
		return f.S("all phases")
	}
	return f.F("phase %s", name)
}

// spectrum lays out a wave at the incomer; it also names what was judged and
// what is over its limit.
func (v *visit) spectrum(r audit.Reading, w audit.Wave, cite func(limits.Citation, bool)) (sp Spectrum, judged, over []string) {
	sp.ID = "spectrum-" + r.ID + "-" + w.Kind + "-" + w.Phase
	share, base := func(o audit.Order) audit.Value { return o.Share }, v.S("of the fundamental")
	if w.Kind == "current" && allKnown(w.Orders) {
		share, base = func(o audit.Order) audit.Value { return o.OfMaximum }, v.S("of the maximum demand current")
	}
	sp.Base = base
	c := charts.Spectrum{LimitLabel: v.S("limit at this order"), Unit: v.F("%% %s, by harmonic order", base), Format: v.axis}
	var beyond []string
	limited := 0
	for _, o := range w.Orders {
		x := share(o)
		if !x.Known() {
			continue
		}
		row, limit := v.orderRow(v.ordinal(o.N), x, w.Kind, o, cite)
		if limit != nil {
			limited++
			if x.V*100 > *limit {
				beyond = append(beyond, row.Order)
			}
		}
		sp.Rows = append(sp.Rows, row)
		c.Orders, c.Percent = append(c.Orders, o.N), append(c.Percent, math.Max(0, x.V*100))
		c.LimitPercent, c.Labels = append(c.LimitPercent, limit), append(c.Labels, row.Measured)
	}
	sp.Limited = limited > 0
	if total := v.totalRow(&sp, w, cite); total != "" {
		over = append(over, total)
	}
	sp.Heading = v.spectrumHeading(w.Kind, limited, beyond)
	sp.Caption = v.F("Harmonics of the %s at %s, %s, reading %s, %% %s", v.waveWord(w.Kind), lower(r.PointName), v.phaseWords(w.Phase), r.ID, base)
	if len(c.Orders) > 0 {
		c.Text = charts.Text{Title: sp.Heading, Description: v.F("%s. The table below has the numbers.", sp.Caption)}
		sp.Figure = v.figure("chart-"+sp.ID, sp.Caption, c)
	}
	if text := v.leftText(r, w); text != "" {
		sp.Note = v.F("Of the total, %s.", text) + " "
	}
	if sp.Limited && v.forOrientation(w.Kind) {
		sp.Note += v.F("The site’s family of limits sets none for the current of a whole site; %s is held against it for orientation.", limits.IEEE519)
	}
	sp.Note = strings.TrimSpace(sp.Note)
	if sp.Limited {
		judged = append(judged, v.F("the distortion of the %s", v.waveWord(w.Kind)))
	}
	for _, o := range beyond {
		over = append(over, v.F("the %s harmonic of the %s", o, v.waveWord(w.Kind)))
	}
	return sp, judged, over
}

// allKnown reports whether every order is known as a share of the maximum
// demand current.
func allKnown(orders []audit.Order) bool {
	for _, o := range orders {
		if !o.OfMaximum.Known() {
			return false
		}
	}
	return true
}

// orderRow holds one order against its limit; the limit is in percent, nil
// where there is none.
func (v *visit) orderRow(name string, x audit.Value, kind string, o audit.Order, cite func(limits.Citation, bool)) (OrderRow, *float64) {
	l, ok := v.limitOf(kind, o)
	if !ok || l.Value <= 0 {
		return OrderRow{Order: name, Measured: v.number(x.V*100, 1)}, nil
	}
	cite(l.Cite, x.V > float64(l.Value))
	percent := float64(l.Value) * 100
	return v.against(name, x.V, float64(l.Value)), &percent
}

// against is a row with a limit, both as ratios.
func (v *visit) against(name string, x, limit float64) OrderRow {
	row := OrderRow{Order: name, Measured: v.number(x*100, 1), Limit: v.number(limit*100, 1), Share: v.percent(x/limit, 0), Result: v.S("within"), Bar: limitBar(x / limit)}
	if x > limit {
		row.Result = v.S("over")
	}
	return row
}

// totalRow is the distortion as a whole; it names it when it is over its limit.
func (v *visit) totalRow(sp *Spectrum, w audit.Wave, cite func(limits.Citation, bool)) string {
	name, x := v.S("all orders"), w.THD
	if w.TDD.Known() {
		name, x = v.S("all orders (TDD)"), w.TDD
	}
	if !x.Known() {
		return ""
	}
	sp.Total = OrderRow{Order: name, Measured: v.number(x.V*100, 1)}
	l, ok := v.totalLimit(w.Kind)
	if !ok || l.Value <= 0 || w.Kind == "current" && !w.TDD.Known() {
		return ""
	}
	cite(l.Cite, x.V > float64(l.Value))
	sp.Limited = true
	sp.Total = v.against(name, x.V, float64(l.Value))
	if x.V > float64(l.Value) {
		return v.F("the total distortion of the %s", v.waveWord(w.Kind))
	}
	return ""
}

func limitBar(ratio float64) *LimitBar {
	b := &LimitBar{Within: width(math.Min(ratio, 1) / axisCap), From: width(1 / axisCap), Limit: width(1 / axisCap)}
	if ratio > 1 {
		b.Beyond = width((math.Min(ratio, axisCap) - 1) / axisCap)
	}
	return b
}

// spectrumHeading says what of a wave is over its limit.
func (f format) spectrumHeading(kind string, limited int, over []string) string {
	wave := f.waveWord(kind)
	switch {
	case limited == 0:
		return capital(f.F("%s harmonics, for which no limit is known here", wave))
	case len(over) == 0:
		return capital(f.F("%s harmonics are all within their limits", wave))
	case len(over) == limited:
		return capital(f.F("%s harmonics are all over their limits", wave))
	}
	return f.N(len(over), "The %s harmonic of the %s is over the limit", "The %s harmonics of the %s are over the limit", f.list(over), wave)
}

// ordinal is the order of a harmonic in words: 5th.
func (f format) ordinal(n int) string {
	if n%100 < 11 || n%100 > 13 {
		switch n % 10 {
		case 1:
			return f.F("%dst", n)
		case 2:
			return f.F("%dnd", n)
		case 3:
			return f.F("%drd", n)
		}
	}
	return f.F("%dth", n)
}

func (v *visit) otherWave(r audit.Reading, w audit.Wave) OtherWave {
	o := OtherWave{Reading: r.ID, Link: "#r-" + r.ID, Where: cmp.Or(r.Of, r.PointName), Wave: v.F("%s, %s", v.waveWord(w.Kind), v.phaseWords(w.Phase)), THD: v.valueText(w.THD, 0.01, 1)}
	for i, h := range w.Orders {
		if i > 0 {
			o.Orders += ", "
		}
		o.Orders += v.ordinal(h.N) + nbsp + v.percent(h.Share.V, 1)
	}
	if text := v.leftText(r, w); text != "" {
		o.Orders += "; " + text
	}
	return o
}

// leftText words what the orders that were read leave of a total, where that is
// more than the instrument's accuracy leaves open. A digit is taken as 0.1 %.
func (v *visit) leftText(r audit.Reading, w audit.Wave) string {
	if !w.Left.Known() {
		return ""
	}
	a := r.Instrument.Limits().Distortion
	orders := math.Sqrt(math.Max(0, w.THD.V*w.THD.V-w.Left.V*w.Left.V))
	if w.THD.V-orders <= float64(a.OfReading)*w.THD.V+a.Digits*0.001 {
		return ""
	}
	return v.F("%s in orders that were not read", v.percent(w.Left.V, 1))
}

func (f format) voltageMessage(outside []string) string {
	if len(outside) == 0 {
		return f.S("Every phase is within the voltage band")
	}
	return capital(f.N(len(outside), "%s is outside the band", "%s are outside the band", f.list(outside)))
}

func signed(s string) string {
	if s == "" || []rune(s)[0] == []rune(minus)[0] {
		return s
	}
	return "+" + s
}
