package report

import (
	"math"

	"auditgen/internal/audit"
	"auditgen/internal/charts"
	record "auditgen/internal/site"
	"auditgen/internal/working"
)

// PhasorFigure is the phasor diagram of a reading whose angles are known, with
// its numbers.
type PhasorFigure struct {
	Heading, Link, Reading string
	Figure                 *Figure
	Rows                   []PhasorRow
	Note                   string
}

// PhasorRow is a phase's voltage and current with their angles, in degrees.
type PhasorRow struct{ Phase, Volts, VoltAngle, Amperes, Lag, CurrentAngle string }

// phasors draws a reading's voltages and currents where the angles of all its
// voltages are known; nil where they are not.
func (v *visit) phasors(r audit.Reading) *PhasorFigure {
	f := &PhasorFigure{Reading: r.ID, Link: "#r-" + r.ID}
	c := charts.Phasors{}
	greatestV, greatestA, lagging := 0.0, 0.0, 0
	for _, p := range r.Phases {
		if record.PhaseIndex(p.Name) < 0 || !p.Voltage.Known() || p.Voltage.V <= 0 || !p.VoltageAngle.Known() {
			continue
		}
		row := PhasorRow{Phase: p.Name, Volts: v.number(p.Voltage.V, 1), VoltAngle: v.number(p.VoltageAngle.V, 1)}
		c.Voltages = append(c.Voltages, charts.Vector{Label: p.Name + ": " + v.withUnit(row.Volts, "V"), Size: p.Voltage.V, Angle: p.VoltageAngle.V})
		greatestV = max(greatestV, p.Voltage.V)
		if lag, ok := lagOf(p); ok && p.Current.Known() && p.Current.V > 0 {
			at := math.Mod(p.VoltageAngle.V-lag+540, 360) - 180
			row.Amperes, row.Lag, row.CurrentAngle = v.number(p.Current.V, 1), v.number(lag, 1), v.number(at, 1)
			c.Currents = append(c.Currents, charts.Vector{Label: p.Name + ": " + v.withUnit(row.Amperes, "A"), Size: p.Current.V, Angle: at})
			greatestA = max(greatestA, p.Current.V)
			if lag > 0 {
				lagging++
			}
		}
		f.Rows = append(f.Rows, row)
	}
	if len(c.Voltages) < 2 || len(c.Voltages) < len(r.Phases) {
		return nil
	}
	f.Heading = v.phasorHeading(len(c.Currents), lagging)
	f.Note = v.componentNote(r.Components)
	c.VoltageKey = v.F("voltage, outer circle %s", v.withUnit(v.number(greatestV, 0), "V"))
	c.CurrentKey = v.F("current, inner circle %s", v.withUnit(v.number(greatestA, 1), "A"))
	c.Text = charts.Text{Title: f.Heading, Description: v.F("Phasors of reading %s, angles growing anticlockwise. The table below has the numbers.", r.ID)}
	f.Figure = v.figure("chart-phasors-"+r.ID, v.F("Phasors of reading %s, %s", r.ID, lower(r.PointName)), c)
	return f
}

// lagOf is the angle by which a phase's current lags its voltage: as shown, or as
// measured active and reactive power give it.
func lagOf(p audit.Phase) (float64, bool) {
	switch {
	case p.Angle.Known():
		return p.Angle.V, true
	case p.Power.Known() && p.Reactive.Known() && p.Reactive.Kind == working.Measured && (p.Power.V != 0 || p.Reactive.V != 0):
		return math.Atan2(p.Reactive.V, p.Power.V) * 180 / math.Pi, true
	}
	return 0, false
}

func (f format) phasorHeading(currents, lagging int) string {
	switch {
	case currents == 0:
		return f.S("The voltages with their angles")
	case lagging == currents:
		return f.N(currents, "The current lags its voltage", "Every current lags its voltage")
	case lagging == 0:
		return f.N(currents, "The current does not lag its voltage", "No current lags its voltage")
	}
	return capital(f.N(lagging, "one of %[2]s currents lags its voltage", "%s of %s currents lag their voltages", f.numeral(lagging), f.numeral(currents)))
}

// componentNote words the symmetrical components.
func (v *visit) componentNote(c audit.Components) string {
	if !c.ZeroShare.Known() || !c.NegativeShare.Known() {
		return ""
	}
	return v.F("Symmetrical components of the voltages: positive sequence %s, negative %s (%s), zero %s (%s).",
		v.withUnit(v.number(c.Positive.V, 1), "V"), v.withUnit(v.number(c.Negative.V, 2), "V"), v.percent(c.NegativeShare.V, 2), v.withUnit(v.number(c.Zero.V, 2), "V"), v.percent(c.ZeroShare.V, 2))
}
