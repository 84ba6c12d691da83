package audit

import (
	"math"
	"slices"

	"auditgen/internal/site"
)

// between holds readings against each other and against plates: what no reading
// shows by itself. It leaves alone readings whose power is spoilt already.
func between(rec *site.Record, rs []Reading) []Doubt {
	b := &betweenPass{rec: rec, rs: rs, at: map[string][]int{}, children: map[string][]string{}, own: feeders(rec, rs)}
	for i, r := range rs {
		b.at[r.At] = append(b.at[r.At], i)
	}
	for _, p := range rec.Site.Points {
		b.children[p.Value.From.Value] = append(b.children[p.Value.From.Value], p.Key)
	}
	var ds []Doubt
	for i := range rs {
		ds = append(ds, b.balanced(i)...)
	}
	for i := range rs {
		ds = append(ds, b.plate(i)...)
	}
	for _, p := range rec.Site.Points {
		ds = append(ds, b.ratios(p.Key)...)
	}
	return ds
}

type betweenPass struct {
	rec      *site.Record
	rs       []Reading
	at       map[string][]int    // readings by place
	children map[string][]string // points by the point that feeds them
	own      map[string]bool     // points that feed circuits of their own
}

func (b *betweenPass) doubt(i int, id string) Doubt {
	b.rs[i].spoilt = true
	return Doubt{ID: id, Reading: b.rs[i].ID, Pos: b.rs[i].Pos, Severe: true}
}

// mostUnbalance is how far the phases may be from their mean for one to stand for
// all three.
const mostUnbalance = 0.1

// balanced looks for another reading at the same place, or further phases of the
// same one, that show what one phase was taken for.
func (b *betweenPass) balanced(i int) []Doubt {
	lang := b.rec.Words
	r := &b.rs[i]
	if !r.Balanced || r.spoilt {
		return nil
	}
	for _, k := range b.at[r.At] {
		o := &b.rs[k]
		if k == i && len(r.Phases) < 2 || k != i && (o.Balanced || len(o.Phases) != 3) {
			continue
		}
		low, high, sum, n := math.Inf(1), 0.0, 0.0, 0.0
		for _, p := range o.Phases {
			if p.Current.Known() && site.PhaseIndex(p.Name) >= 0 {
				low, high, sum, n = math.Min(low, p.Current.V), math.Max(high, p.Current.V), sum+p.Current.V, n+1
			}
		}
		if n < 2 || sum == 0 {
			continue
		}
		mean, share := sum/n, float64(o.Instrument.Limits().Current.OfReading)
		if off := math.Max(high-mean, mean-low) / mean; off <= mostUnbalance+2*share {
			continue
		}
		d := b.doubt(i, "balanced-but-phases-differ")
		d.What = lang.F("%s takes one phase for three, but %s shows %.1f A to %.1f A on the phases", r.ID, o.ID, low, high)
		if k == i {
			d.What = lang.F("%s takes one phase for three, but shows %.1f A to %.1f A on its phases", r.ID, low, high)
		}
		d.Cause = lang.S("the load was taken as balanced, and is not")
		d.Retake = lang.S("read all three phases of this circuit")
		return []Doubt{d}
	}
	return nil
}

// plate holds the reading of a way against the plate of what hangs on it, where
// that is all there is on the way.
func (b *betweenPass) plate(i int) []Doubt {
	lang := b.rec.Words
	r := &b.rs[i]
	if r.spoilt || r.At == r.Point || !r.Total.Power.Known() {
		return nil
	}
	rated := 0.0
	var name string
	for _, l := range b.rec.Loads {
		if l.At.Value != r.At {
			continue
		}
		if l.Nameplate == nil {
			return nil
		}
		eta, count := 1.0, 1.0
		if e := l.Nameplate.Efficiency; e.IsSet() {
			eta = float64(e.Value.Value)
		}
		if l.Runs.Count.IsSet() {
			count = l.Runs.Count.Value.High
		}
		rated += float64(l.Nameplate.Rated.Value.Value) / eta * count
		name = inSentence(l.Name.Value)
	}
	p := math.Abs(r.Total.Power.V)
	if rated == 0 || p-r.PowerError <= 1.5*rated && (p >= 0.05*rated || b.ratioOf(i) == 1 && p >= 0.003*rated || p == 0) {
		return nil
	}
	id, cause, retake := b.ratioCause(i, p/rated, 0.15, 1.5)
	if id == "" {
		if p < rated {
			return nil // it may have run light
		}
		id, cause, retake = "reading-above-plate", lang.S("the reading took in other circuits, or the plate was read wrongly"), lang.S("read the plate and the circuit again")
	}
	d := b.doubt(i, id)
	d.What = lang.F("%s shows %.2f kW, but the plate of %s allows %.2f kW", r.ID, kilo(p), name, kilo(rated))
	d.Cause, d.Retake = cause, retake
	return []Doubt{d}
}

// ratioOf is the factor of the instrument transformers that a reading states.
func (b *betweenPass) ratioOf(i int) float64 {
	if t := b.rec.Readings[i].Ratios; t != nil {
		return t.CT.Value.Ratio() * t.VT.Value.Ratio()
	}
	return 1
}

// ratioCause names what a reading's factor against what it should be means; ""
// when it names nothing. What remains of the factor must lie between low and
// high.
func (b *betweenPass) ratioCause(i int, factor, low, high float64) (id, cause, retake string) {
	lang := b.rec.Words
	fits := func(k float64) bool { f := factor / k; return f >= low && f <= high }
	t := b.rec.Readings[i].Ratios
	retake = lang.S("look up the ratio on the plate and whether it is set in the meter, and state it once, under ratios")
	if t != nil {
		text := t.CT.Text
		if !t.CT.IsSet() {
			text = t.VT.Text
		}
		for _, k := range []float64{t.CT.Value.Ratio() * t.VT.Value.Ratio(), t.CT.Value.Ratio(), t.VT.Value.Ratio()} {
			switch {
			case k <= 1.05:
			case fits(k) && !t.Set.Value:
				return "ratio-applied-twice", lang.F("the transformer's ratio of %s was applied twice: the meter shows the primary side already", text), retake
			case fits(1/k) && t.Set.Value:
				return "ratio-not-applied", lang.F("the transformer's ratio of %s was not applied: it is not set in the meter, which shows the secondary side", text), retake
			}
		}
		return "", "", ""
	}
	switch {
	case fits(1e3) || fits(1e-3):
		return "unit-slip", lang.S("a unit is off by a factor of 1,000: kW and W"), lang.S("look at the display's unit and read again")
	case factor < 1 && factor < 0.2:
		for _, k := range commonRatios {
			if fits(1 / k) {
				return "ratio-not-applied", lang.F("the reading was taken behind a current transformer whose ratio was not applied: it is low by a factor of about %.0f", 1/factor), retake
			}
		}
	case factor > 5:
		for _, k := range commonRatios {
			if fits(k) {
				return "ratio-applied-twice", lang.F("a current transformer's ratio was applied that does not belong here: the reading is high by a factor of about %.0f", factor), retake
			}
		}
	}
	return "", "", ""
}

// commonRatios are those of usual current transformers with a secondary of 5 A
// (IEC 61869-2, preferred ratings; from memory).
var commonRatios = []float64{10, 15, 20, 30, 40, 50, 60, 80, 100, 120, 160, 200, 250, 300, 400}

// whole finds the reading of a whole point that can be used.
func (b *betweenPass) whole(point string) (int, bool) {
	for _, i := range b.at[point] {
		if b.rs[i].Total.Power.Known() {
			return i, !b.rs[i].spoilt
		}
	}
	return 0, false
}

// ratios holds a point's reading against those of the points fed from it. What
// is several times too large or small is not a matter of a load switched: it is
// a ratio or a unit.
func (b *betweenPass) ratios(point string) []Doubt {
	i, ok := b.whole(point)
	if !ok || len(b.children[point]) == 0 {
		return nil
	}
	parent := &b.rs[i]
	var kids []int
	sum := 0.0
	for _, c := range b.children[point] {
		k, ok := b.whole(c)
		if !ok {
			continue
		}
		kids, sum = append(kids, k), sum+math.Abs(b.rs[k].Total.Power.V)
	}
	if len(kids) == 0 || sum == 0 || parent.Total.Power.V <= 0 {
		return nil
	}
	all := len(kids) == len(b.children[point])
	own := b.own[point]
	factor := parent.Total.Power.V / sum
	// A part that is too large for its whole by itself is the odd one out, where
	// the whole goes with the other parts.
	for _, k := range kids {
		rest := sum - math.Abs(b.rs[k].Total.Power.V)
		if len(kids) > 1 && factor < 0.5 && rest > 0 && rest < 1.2*parent.Total.Power.V || b.ratioOf(k) != 1 && b.ratioOf(i) == 1 && factor < 0.5 {
			f := math.Abs(b.rs[k].Total.Power.V) / math.Max(parent.Total.Power.V-rest, 0.05*parent.Total.Power.V)
			if id, cause, retake := b.ratioCause(k, f, 0.5, 1.6); id != "" {
				return []Doubt{b.ratioDoubt(k, id, cause, retake, parent, k)}
			}
		}
		// One that a ratio would bring in line, where the whole lacks just that.
		if all && !own && factor > 1.2 && b.ratioOf(k) != 1 {
			missing := parent.Total.Power.V - rest
			if id, cause, retake := b.ratioCause(k, math.Abs(b.rs[k].Total.Power.V)/missing, 0.8, 1.25); id != "" {
				return []Doubt{b.ratioDoubt(k, id, cause, retake, parent, k)}
			}
		}
	}
	low, high := 0.6, 1.6
	if own || !all {
		high = 6
	}
	if factor < 0.55 || factor > 3 && all && !own || factor > 100 {
		if id, cause, retake := b.ratioCause(i, factor, low, high); id != "" {
			return []Doubt{b.ratioDoubt(i, id, cause, retake, parent, kids...)}
		}
	}
	return b.alike(i, kids, all && !own)
}

func (b *betweenPass) ratioDoubt(i int, id, cause, retake string, parent *Reading, kids ...int) Doubt {
	lang := b.rec.Words
	d := b.doubt(i, id)
	sum := 0.0
	var names []string
	for _, k := range kids {
		sum += b.rs[k].Total.Power.V
		names = append(names, b.rs[k].ID)
	}
	d.What = lang.F("%s shows %.1f kW at %s, but what is fed from there shows %.1f kW (%s)", parent.ID, kilo(parent.Total.Power.V), inSentence(parent.PointName), kilo(sum), enumerate(lang, names))
	d.Cause, d.Retake = cause, retake
	return d
}

// alike looks for a current transformer whose ratio is not the one stated: every
// phase of the whole is off from the sum of its parts by the same factor, which
// no load that switched would do.
func (b *betweenPass) alike(i int, kids []int, complete bool) []Doubt {
	lang := b.rec.Words
	t := b.rec.Readings[i].Ratios
	if t == nil || !t.CT.IsSet() || !complete {
		return nil
	}
	var fs []float64
	for phase := range 3 {
		whole, ok := currentOf(&b.rs[i], phase)
		parts := 0.0
		for _, k := range kids {
			c, found := currentOf(&b.rs[k], phase)
			parts, ok = parts+c, ok && found
		}
		if !ok || parts <= 0 {
			return nil
		}
		fs = append(fs, whole/parts)
	}
	low, high := slices.Min(fs), slices.Max(fs)
	mean := (fs[0] + fs[1] + fs[2]) / 3
	if high-low > 0.06*mean || mean > 0.8 && mean < 1.25 {
		return nil
	}
	d := b.doubt(i, "ratio-wrong")
	d.What = lang.F("%s shows %.2f times the current of what is fed from there, on every phase alike", b.rs[i].ID, mean)
	d.Cause = lang.F("the current transformer is not the one of %s that is stated", t.CT.Text)
	d.Retake = lang.S("read the transformer's plate, and state its ratio under ratios")
	return []Doubt{d}
}

func currentOf(r *Reading, phase int) (float64, bool) {
	for _, p := range r.Phases {
		if site.PhaseIndex(p.Name) == phase && p.Current.Known() {
			return p.Current.V, true
		}
	}
	return 0, false
}

// feeders are the points that feed circuits of their own beside the points below
// them; then those need not make up the whole.
func feeders(rec *site.Record, rs []Reading) map[string]bool {
	own := map[string]bool{}
	for _, r := range rs {
		if r.At != r.Point {
			own[r.Point] = true
		}
	}
	for _, l := range rec.Loads {
		if at, ok := rec.Site.PointOf(l.At.Value); ok {
			own[at] = true
		}
	}
	return own
}
