package audit

import (
	"math"
	"slices"

	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
	"auditgen/internal/site"
)

// lag is one way to read the angle by which a phase's current lags its voltage
// from what was shown, in degrees, with what it costs to believe it: a sign that
// was not shown may be either.
type lag struct{ degrees, cost float64 }

// lags gives the angles that a row allows; none where it shows too little.
func (in *checkInput) lags(r row) []lag {
	s, _, ok := r.whole()
	if r.below || r.voltage.ok && r.voltage.v == 0 {
		return nil
	}
	if r.angle.ok && r.power.ok && math.Cos(r.angle.v*math.Pi/180)*r.power.v >= 0 {
		return []lag{{turnedTo180(r.angle.v), 0}}
	}
	if r.power.ok && r.reactive.ok && (r.power.v != 0 || r.reactive.v != 0) {
		at := math.Atan2(r.reactive.v, r.power.v) * 180 / math.Pi
		list := []lag{{at, 0}}
		if r.power.v < 0 && r.reactive.v > 0 && !in.signedReactive() { // a display without the sign of kvar
			list = append(list, lag{-at, 8})
		}
		return list
	}
	cos, known := 0.0, false
	switch {
	case r.power.ok && ok && s > 0:
		cos, known = r.power.v/s, true
	case r.pf.ok && (!r.power.ok || r.power.v*r.pf.v > 0):
		cos, known = r.pf.v, true
	case r.pf.ok && r.power.ok:
		cos, known = math.Copysign(r.pf.v, r.power.v), true
	}
	if !known {
		return nil
	}
	at := math.Acos(math.Max(-1, math.Min(1, cos))) * 180 / math.Pi
	switch {
	case r.lead == quantity.Lagging && cos >= 0:
		return []lag{{at, 0}}
	case r.lead == quantity.Leading && cos >= 0:
		return []lag{{-at, 0}}
	case cos >= 0:
		return []lag{{at, 0}, {-at, 4}}
	}
	return []lag{{at, 0}, {-at, 0}}
}

// signedReactive tells whether the meter showed the sign of its kvar anywhere.
func (in *checkInput) signedReactive() bool {
	return slices.ContainsFunc(in.live(), func(r row) bool { return r.reactive.ok && r.reactive.v < 0 || r.lead != quantity.Unstated })
}

func turnedTo180(degrees float64) float64 {
	d := math.Mod(degrees, 360)
	switch {
	case d > 180:
		d -= 360
	case d <= -180:
		d += 360
	}
	return d
}

// mistake is a way to put three clamps or voltage leads wrong: by how much it
// turns each phase's angle.
type mistake struct {
	id     string
	turns  [3]float64 // degrees
	phases []int
	cost   float64 // the rarer the mistake, the more
}

// mistakes lists them. A clamp turned about turns its phase by 180°; a clamp on
// another phase than its voltage lead by 120° one way or the other.
var mistakes = func() []mistake {
	var ms []mistake
	for i := range 3 {
		m := mistake{id: "current-reversed", phases: []int{i}}
		m.turns[i] = 180
		ms = append(ms, m)
	}
	for i := range 3 {
		m := mistake{id: "current-reversed", turns: [3]float64{180, 180, 180}, cost: 3}
		m.turns[i] = 0
		for k := range 3 {
			if k != i {
				m.phases = append(m.phases, k)
			}
		}
		ms = append(ms, m)
	}
	ms = append(ms, mistake{id: "current-reversed", turns: [3]float64{180, 180, 180}, phases: []int{0, 1, 2}, cost: 4})
	for _, way := range []float64{120, -120} {
		for i := range 3 {
			k := (i + 1) % 3
			m := mistake{id: "clamps-exchanged", phases: []int{min(i, k), max(i, k)}, cost: 6}
			m.turns[i], m.turns[k] = way, -way
			ms = append(ms, m)
			one := mistake{id: "clamp-on-another-phase", phases: []int{i}, cost: 12}
			one.turns[i] = way
			ms = append(ms, one)
		}
		ms = append(ms, mistake{id: "clamps-rotated", turns: [3]float64{way, way, way}, phases: []int{0, 1, 2}, cost: 8})
	}
	return ms
}()

// The angles at which loads are found, in degrees of lag.
const (
	mostLead = 45
	mostLag  = 86
)

// checkClamps asks which mistake with clamps and voltage leads, if any, explains
// the directions in which power flows.
func checkClamps(in *checkInput) []Doubt {
	if in.raw.Wiring.Value == site.ThreePhaseThreeWire {
		return nil
	}
	var of [3][]lag
	three := in.raw.Wiring.Value == site.ThreePhaseFourWire && !in.raw.Balanced.Value
	for i := range of {
		if r := in.phase(i); r != nil {
			of[i] = in.lags(*r)
		}
		three = three && len(of[i]) > 0
	}
	if !three {
		return in.singleClamps()
	}
	if in.plausible(of) {
		return nil
	}
	if best, pf, ok := explain(of); ok {
		return []Doubt{in.clampDoubt(best, pf)}
	}
	return in.singleClamps()
}

// plausible tells whether three phases may be what loads take: none gives power
// back, none leads far while others lag, and not all lead far.
func (in *checkInput) plausible(of [3][]lag) bool {
	farLead, lagging := 0, 0
	for i, ls := range of {
		at := ls[0].degrees
		r := in.phase(i)
		if math.Abs(at) > 90+float64(in.limits.PhaseAngle) && (!r.power.ok || -r.power.v > r.power.err) {
			return false
		}
		if at < -55 && at > -87 {
			farLead++
		}
		if at > 10 {
			lagging++
		}
	}
	return farLead < 3 && (farLead == 0 || lagging == 0)
}

// explain finds the mistake that leaves the likeliest load: all phases at angles
// of loads, and near each other.
func explain(of [3][]lag) (best mistake, pf float64, found bool) {
	least := math.Inf(1)
	for _, m := range mistakes {
		for _, a := range of[0] {
			for _, b := range of[1] {
				for _, c := range of[2] {
					score, mean, ok := m.score([3]lag{a, b, c})
					if ok && score < least-1e-9 {
						best, pf, least, found = m, math.Cos(mean*math.Pi/180), score, true
					}
				}
			}
		}
	}
	return best, pf, found && least <= 60
}

func (m mistake) score(ls [3]lag) (score, mean float64, ok bool) {
	low, high := math.Inf(1), math.Inf(-1)
	score = m.cost
	for i, l := range ls {
		at := turnedTo180(l.degrees - m.turns[i])
		if at < -mostLead || at > mostLag {
			return 0, 0, false
		}
		low, high = math.Min(low, at), math.Max(high, at)
		mean += at / 3
		score += l.cost
		if at < -3 {
			score += 10.0 / 3
		}
	}
	return score + high - low, mean, true
}

func (in *checkInput) clampDoubt(m mistake, pf float64) Doubt {
	lang := in.rec.Words
	var names []string
	for _, i := range m.phases {
		names = append(names, in.phase(i).name)
	}
	var shows []string
	sum := 0.0
	for i := range 3 {
		r := in.phase(i)
		shows = append(shows, r.directionText(lang))
		sum += r.power.v
	}
	d := in.doubt(m.id, enumerate(lang, names))
	turned := lang.F("%s shows %s; turned by 120° they would be those of a load of power factor %.2f", in.r.ID, enumerate(lang, shows), pf)
	d.Severe, d.Pos = true, firstPos(in.phase(m.phases[0]).power.pos, in.phase(m.phases[0]).pf.pos)
	d.Retake = lang.S("follow each clamp's cable and voltage lead to one phase, and read again")
	switch m.id {
	case "current-reversed":
		d.What = in.reversedText(m.phases)
		d.Cause = lang.N(len(names), "the clamp on %s is on backwards", "the clamps on %s are on backwards", phaseWords(lang, names))
		d.Retake = lang.N(len(names), "turn the clamp so that its arrow points to the load and read again", "turn the clamps so that their arrows point to the load and read again")
		if len(names) == 3 {
			d.Cause = lang.S("the clamps are all on backwards, or power flows back to the supply")
			if !in.signedReactive() {
				d.Cause = lang.S("the clamps are all on backwards, or power flows back to the supply; or each is on another phase than its voltage lead, which the sign of the kvar would tell")
			}
		}
	case "clamps-exchanged":
		d.What = lang.F("%s shows %s: %.2f kW together; turned by 120° they would be those of a load of power factor %.2f", in.r.ID, enumerate(lang, shows), kilo(sum), pf)
		d.Cause = lang.F("the clamps, or the voltage leads, of %s are exchanged, or a voltage lead was not moved with its clamp", phaseWords(lang, names))
	case "clamp-on-another-phase":
		d.What = turned
		d.Cause = lang.F("the clamp of %s is on another phase than its voltage lead: the angle is off by 120°", phaseWords(lang, names))
	case "clamps-rotated":
		d.What = turned
		d.Cause = lang.S("every clamp is one phase on from its voltage lead: all angles are off by 120°")
	}
	if m.id != "current-reversed" {
		in.sequenceSpoilt = true
	}
	for _, i := range m.phases {
		in.spoil(in.phase(i))
	}
	return d
}

func (r *row) directionText(lang *say.Language) string {
	if r.power.ok {
		return lang.F("%s on %s", r.power.text, r.name)
	}
	return lang.F("a power factor of %s on %s", r.pf.text, r.name)
}

func (in *checkInput) reversedText(phases []int) string {
	lang := in.rec.Words
	var wrong []string
	right := 0
	for i := range 3 {
		if slices.Contains(phases, i) {
			wrong = append(wrong, in.phase(i).directionText(lang))
		} else {
			right++
		}
	}
	if len(wrong) == 1 {
		r := in.phase(phases[0])
		text := r.power.text
		if !r.power.ok {
			text = lang.F("a power factor of %s", r.pf.text)
		}
		return lang.F("%s shows %s while %s", where(lang, in.r.ID, r.name), text, others(lang, right))
	}
	return lang.F("%s shows %s while %s", in.r.ID, enumerate(lang, wrong), others(lang, right))
}

func others(lang *say.Language, positive int) string {
	switch positive {
	case 0:
		return lang.S("no phase takes power")
	case 1:
		return lang.S("another phase takes power")
	}
	return lang.S("the other phases take power")
}

// singleClamps looks at phases for themselves: power that flows against that of
// the others, or an angle that only another phase's voltage gives.
func (in *checkInput) singleClamps() []Doubt {
	lang := in.rec.Words
	positive := 0
	for _, r := range in.live() {
		if r.power.ok && r.power.v > 0 {
			positive++
		}
	}
	var against []*row
	var ds []Doubt
	for i := range in.live() {
		r := &in.rows[i]
		if r.below || !r.power.ok && r.pf.ok && r.pf.v >= 0 || !r.power.ok && !r.pf.ok || r.power.ok && r.power.v >= 0 {
			continue
		}
		if ls := in.lags(*r); len(ls) == 1 && math.Abs(ls[0].degrees) < 118 && !r.line && (in.signedReactive() || ls[0].degrees > 0) {
			d := in.doubt("clamp-on-another-phase", r.name)
			d.What = lang.F("%s shows %s at an angle of %.0f°", where(lang, in.r.ID, r.name), r.power.text, ls[0].degrees)
			d.Cause = lang.S("the clamp is on another phase than the voltage lead: the angle is off by 120°")
			d.Retake, d.Severe, d.Pos = lang.S("follow clamp and voltage lead to one phase, and read again"), true, r.power.pos
			ds = append(ds, d)
			in.spoil(r)
			continue
		}
		against = append(against, r)
	}
	if len(against) == 0 {
		return ds
	}
	var names, texts []string
	for _, r := range against {
		names = append(names, r.name)
		text := r.power.text
		if !r.power.ok {
			text = lang.F("a power factor of %s", r.pf.text)
		}
		texts = append(texts, text)
	}
	d := in.doubt("current-reversed", enumerate(lang, names))
	d.What = lang.F("%s shows %s while %s", where(lang, in.r.ID, names[0]), texts[0], others(lang, positive))
	if len(names) > 1 {
		d.What = lang.F("%s shows %s on %s while %s", in.r.ID, enumerate(lang, texts), phaseWords(lang, names), others(lang, positive))
	}
	d.Cause = lang.N(len(names), "the clamp on %s is on backwards", "the clamps on %s are on backwards", phaseWords(lang, names))
	if ls := in.lags(*against[0]); positive == 0 && len(ls) == 2 && ls[0].degrees > 0 && against[0].reactive.ok {
		d.Cause = lang.S("the clamp is on backwards, or on another phase than the voltage lead: the sign of the kvar would tell")
	} else if positive == 0 {
		d.Cause = lang.N(len(names), "the clamp is on backwards, or power flows back to the supply", "the clamps are all on backwards, or power flows back to the supply")
	}
	d.Retake, d.Severe = lang.N(len(names), "turn the clamp so that its arrow points to the load and read again", "turn the clamps so that their arrows point to the load and read again"), true
	d.Pos = firstPos(against[0].power.pos, against[0].pf.pos)
	for _, r := range against {
		in.spoil(r)
	}
	return append(ds, d)
}

// checkWattmeters looks for a clamp turned about in a two-wattmeter set. Then the
// third current that follows from the other two is √3 times theirs, and the
// power factor that the wattmeters give does not fit volts and amperes.
func checkWattmeters(in *checkInput) []Doubt {
	lang := in.rec.Words
	if in.raw.Wiring.Value != site.ThreePhaseThreeWire {
		return nil
	}
	d := in.doubt("wattmeter-clamp-reversed", "")
	d.Cause = lang.S("one of the two clamps is on backwards, so that the wattmeters are subtracted")
	d.Retake, d.Severe = lang.S("turn one clamp so that both arrows point to the load, and read again"), true
	var i []row
	for _, r := range in.live() {
		if !r.line && r.current.ok && !r.below {
			i = append(i, r)
		}
	}
	if len(i) == 3 {
		for k := range i {
			x, y := i[(k+1)%3].current, i[(k+2)%3].current
			if nearFactor(x.v, y.v, 1, 0.1) && nearFactor(i[k].current.v, (x.v+y.v)/2, math.Sqrt(3), 0.05) {
				d.What = lang.F("%s shows %s on %s, √3 times the %s and %s of the others", in.r.ID, i[k].current.text, i[k].name, x.text, y.text)
				d.Pos = i[k].current.pos
				in.spoilAll()
				return []Doubt{d}
			}
		}
	}
	return in.subtracted(d, i)
}

// subtracted holds the apparent power that two wattmeters of a balanced load
// give, √((W1+W2)² + 3(W1−W2)²), against √3·U·I.
func (in *checkInput) subtracted(d Doubt, currents []row) []Doubt {
	lang := in.rec.Words
	var w []row
	for _, r := range in.live() {
		if r.line && r.power.ok {
			w = append(w, r)
		}
	}
	u, n := 0.0, 0
	for _, l := range in.lines {
		if l.ok {
			u, n = u+l.v, n+1
		}
	}
	if len(w) != 2 || n == 0 || len(currents) < 2 || !nearFactor(currents[0].current.v, currents[1].current.v, 1, 0.1) {
		return nil
	}
	s := math.Sqrt(3) * u / float64(n) * (currents[0].current.v + currents[1].current.v) / 2
	sum, apart := w[0].power.v+w[1].power.v, w[0].power.v-w[1].power.v
	as, turned := math.Hypot(sum, math.Sqrt(3)*apart), math.Hypot(apart, math.Sqrt(3)*sum)
	if as <= 1.2*s && as >= 0.75*s || math.Abs(turned/s-1) > 0.08 {
		return nil
	}
	d.What = lang.F("%s: wattmeters of %s and %s stand for %.2f kVA if balanced, but the currents make %.2f kVA; with one turned about they agree", in.r.ID, w[0].power.text, w[1].power.text, kilo(as), kilo(s))
	d.Pos = w[0].power.pos
	in.spoilAll()
	return []Doubt{d}
}

// checkSequence asks about a phase sequence that runs the other way. The sizes
// of voltages never tell it: only a display or angles do.
func checkSequence(in *checkInput) []Doubt {
	lang := in.rec.Words
	if in.sequenceSpoilt {
		return nil
	}
	byAngles := in.angleSequence()
	typed := in.raw.Sequence
	shows, pos := string(typed.Value), typed.Pos
	if byAngles != power.NoSequence && shows != "" && byAngles.String() != shows {
		d := in.doubt("sequence-against-angles", "")
		d.What = lang.F("%s shows sequence %s, but its voltage angles turn %s", in.r.ID, shows, byAngles)
		d.Cause = lang.S("two angles are written down the wrong way about, or with the other sign")
		d.Retake, d.Pos = lang.S("read the angles and the sequence at one moment"), pos
		return []Doubt{d}
	}
	if shows == "" && byAngles != power.NoSequence {
		shows = byAngles.String()
		pos = in.phase(1).voltageAngle.pos
	}
	if shows != string(site.Reverse) || !in.aloneReversed() {
		return nil
	}
	d := in.doubt("sequence-reversed", "")
	d.What = lang.F("%s shows sequence ACB", in.r.ID)
	d.Cause = lang.S("the voltage leads of two phases are exchanged, together with their clamps; or the supply itself turns the other way, and motors with it")
	d.Retake, d.Pos = lang.S("put leads and clamps on in the order of the phases and look at the sequence again"), pos
	return []Doubt{d}
}

// aloneReversed tells whether no more readings show ACB than ABC: a site that
// turns the other way shows it everywhere.
func (in *checkInput) aloneReversed() bool {
	forward, reverse := 0, 0
	for _, r := range in.rec.Readings {
		switch r.Sequence.Value {
		case site.Forward:
			forward++
		case site.Reverse:
			reverse++
		}
	}
	return forward > 0 || reverse <= 1
}

func (in *checkInput) angleSequence() power.Sequence {
	var v [3]power.Phasor[quantity.VoltsLN]
	for i := range v {
		r := in.phase(i)
		if r == nil || !r.voltageAngle.ok || !r.voltage.ok {
			return power.NoSequence
		}
		v[i] = power.Phasor[quantity.VoltsLN]{Size: quantity.VoltsLN(r.voltage.v), Angle: quantity.Degrees(r.voltageAngle.v)}
	}
	return power.SequenceOf(power.Symmetrical(v[0], v[1], v[2]))
}
