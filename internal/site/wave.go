package site

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strconv"

	"auditgen/internal/diag"
	"auditgen/internal/power"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
	"auditgen/internal/waveform"
)

// Wave is a file of sampled voltages and currents that a reading comes from.
type Wave struct {
	source.Where
	File source.At[string] `key:"file" need:"yes" doc:"CSV file, by its place in the site's folder" example:"waves/R1.csv"`

	HeaderLine int               `key:"header-line" doc:"Line of the header, where lines stand before it that are no comments" example:"3"`
	Time       string            `key:"time" doc:"Name of the time column, where it is not time or t" example:"Zeit"`
	Rate       waveform.Rate     `key:"sample-rate" doc:"Samples a second, for a file without a usable time column" example:"10 kHz"`
	Channels   []waveform.Column `key:"channels" doc:"What each column holds; columns not named are left out" example:"[{column: Channel A, is: i_a, unit: mV, worth: 100 A/V}]"`

	Notes []string // what limits the worth of the samples
}

func (w *Wave) columns() waveform.Columns {
	return waveform.Columns{Header: w.HeaderLine, Time: w.Time, Rate: w.Rate, Channels: w.Channels}
}

// ReadSource reads the name of a file, or the group.
func (w *Wave) ReadSource(v *source.Value, faults *diag.List) {
	type group Wave
	if v.Form == source.Scalar {
		w.Pos = v.Pos
		w.File.ReadSource(v, faults)
		return
	}
	source.Decode(v, (*group)(w), faults)
}

// Short names the key that a single value stands for.
func (Wave) Short() string { return "file" }

// waves reads the files of samples of a visit into its readings.
func (r *reader) waves(v *Visit) {
	for i := range v.Readings {
		rd := &v.Readings[i]
		if rd.Wave == nil || rd.Wave.Faulty || rd.Ratios != nil || !rd.Wave.File.Good().IsSet() || !rd.Wiring.Good().IsSet() {
			continue
		}
		name := path.Join(r.Dir, rd.Wave.File.Value)
		if !fs.ValidPath(rd.Wave.File.Value) {
			r.faults.At(rd.Wave.File.Pos, fmt.Sprintf("%q is no place in the site's folder", rd.Wave.File.Value), "a name such as waves/R1.csv")
			continue
		}
		data, err := fs.ReadFile(r.FS, name)
		if err != nil {
			r.faults.At(rd.Wave.File.Pos, "the file "+name+" cannot be read", "a CSV file in the site's folder")
			continue
		}
		recording := waveform.Read(name, data, rd.Wave.columns(), r.faults)
		if recording == nil {
			continue
		}
		a, err := waveform.Analyse(recording)
		if err != nil {
			var p *diag.Problem
			if errors.As(err, &p) {
				r.faults.Add(p.At(rd.Wave.File.Pos))
			} else {
				r.faults.At(rd.Wave.File.Pos, err.Error(), "")
			}
			continue
		}
		r.sampled(rd, a, name)
	}
}

// sampled fills in what samples show and nobody typed.
func (r *reader) sampled(rd *Reading, a *waveform.Analysis, name string) {
	rd.Wave.Notes = a.Notes
	if len(a.Phases) > 1 && rd.Wiring.Value == OnePhaseTwoWire {
		r.faults.At(rd.Wave.File.Pos, fmt.Sprintf("the file holds %d phases, but the wiring is 1P2W", len(a.Phases)), "the wiring that was recorded, such as 3P4W")
		return
	}
	f := filler{pos: diag.Pos{File: name, Line: 1, Column: 1}, reading: rd}
	setAt(f, &rd.Frequency, a.Window.Frequency, "Hz", 3)
	if a.Total != nil && a.Total.Sequence != power.NoSequence && !rd.Sequence.IsSet() {
		rd.Sequence = source.At[Sequence]{Value: Sequence(a.Total.Sequence.String()), Pos: f.pos, Text: a.Total.Sequence.String()}
	}
	for _, p := range a.Phases {
		f.phase(p)
	}
	if a.Neutral != nil && a.NeutralMeasured {
		n := f.entry("N")
		setAt(f, &n.Current, a.Neutral.RMS, "A", 3)
	}
	if len(a.Phases) == 3 {
		for _, l := range a.Lines {
			set := f.line(l.Name)
			setAt(f, &set.Voltage, l.Voltage.RMS, "V", 2)
		}
	}
	if rd.Wiring.Value == ThreePhaseThreeWire && a.Total != nil {
		setAt(f, &rd.Total.Power, a.Total.Active, "W", 1)
		setAt(f, &rd.Total.Reactive, a.Total.Reactive, "var", 1)
		setAt(f, &rd.Total.Apparent, a.Total.Arithmetic, "VA", 1)
	}
}

// filler writes what samples show into a reading.
type filler struct {
	pos     diag.Pos
	reading *Reading
}

func setAt[Q quantity.Quantity](f filler, into *source.At[quantity.Displayed[Q]], v Q, unit string, decimals int) {
	if into.IsSet() {
		return
	}
	if d, err := quantity.Parse[Q](quantity.Text(v, unit, decimals)); err == nil {
		*into = source.At[quantity.Displayed[Q]]{Value: d, Text: d.Text, Pos: f.pos}
	}
}

// entry gives the phase of that name, under whichever of its names it stands.
func (f filler) entry(name string) *Phase {
	i := slices.IndexFunc(f.reading.Phases, func(e source.Entry[Phase]) bool { return PhaseIndex(e.Key) == PhaseIndex(name) })
	if i < 0 {
		i = len(f.reading.Phases)
		f.reading.Phases = append(f.reading.Phases, source.Entry[Phase]{Key: name, Pos: f.pos})
	}
	return &f.reading.Phases[i].Value
}

func (f filler) line(name string) *LineSet {
	i := slices.IndexFunc(f.reading.Lines, func(e source.Entry[LineSet]) bool { return LineIndex(e.Key) == LineIndex(name) })
	if i < 0 {
		i = len(f.reading.Lines)
		f.reading.Lines = append(f.reading.Lines, source.Entry[LineSet]{Key: name, Pos: f.pos})
	}
	return &f.reading.Lines[i].Value
}

// name gives the phase that a recording without one belongs to: the one that is
// typed, else A.
func (f filler) name(recorded string) string {
	if recorded != "" {
		return recorded
	}
	for _, e := range f.reading.Phases {
		if i := PhaseIndex(e.Key); i >= 0 && i != Neutral {
			return e.Key
		}
	}
	return "A"
}

func (f filler) phase(p waveform.Phase) {
	name := f.name(p.Name)
	threeWire := f.reading.Wiring.Value == ThreePhaseThreeWire
	ph := f.entry(name)
	if v := p.Voltage; v != nil && !threeWire { // a star point in the middle is made up where there is no neutral
		setAt(f, &ph.Voltage, v.RMS, "V", 2)
		setAt(f, &ph.VoltageAngle, v.Orders[0].Angle, "°", 2)
		spectrum(f, &f.reading.Harmonics.Voltage, name, v.THD, shares(v.Orders))
	}
	if i := p.Current; i != nil {
		setAt(f, &ph.Current, i.RMS, "A", 3)
		if i.Fundamental > 0 {
			spectrum(f, &f.reading.Harmonics.Current, name, i.THD, shares(i.Orders))
		}
	}
	if w := p.Power; w != nil && !threeWire {
		setAt(f, &ph.Power, w.Active, "W", 1)
		setAt(f, &ph.Reactive, w.Reactive, "var", 1)
		setAt(f, &ph.Apparent, w.Apparent, "VA", 1)
		setAt(f, &ph.Angle, w.Angle, "°", 2)
	}
}

type share struct {
	order int
	value quantity.Ratio
}

// leastShare is the smallest order that is kept: less is in the noise of samples.
const leastShare = 0.005

func shares[Q ~float64](orders []waveform.Component[Q]) []share {
	var list []share
	for _, o := range orders {
		if o.Order > 1 && o.Share >= leastShare {
			list = append(list, share{o.Order, o.Share})
		}
	}
	return list
}

// spectrum adds the distortion of a wave, unless one was typed for the phase.
func spectrum(f filler, into *source.List[Spectrum], phase string, thd quantity.Ratio, orders []share) {
	if slices.ContainsFunc(*into, func(s Spectrum) bool { return PhaseIndex(s.Phase.Value) == PhaseIndex(phase) }) {
		return
	}
	s := Spectrum{Where: source.Where{Pos: f.pos}, Phase: source.At[string]{Value: phase, Text: phase, Pos: f.pos}}
	text := quantity.Text(thd, "%", 2) + " of fundamental"
	var d quantity.Distortion
	if d.UnmarshalText([]byte(text)) != nil {
		return
	}
	s.THD = source.At[quantity.Distortion]{Value: d, Text: text, Pos: f.pos}
	for _, o := range orders {
		e := source.Entry[source.At[quantity.Displayed[quantity.Ratio]]]{Key: strconv.Itoa(o.order), Pos: f.pos}
		setAt(f, &e.Value, o.value, "%", 2)
		s.Orders = append(s.Orders, e)
	}
	*into = append(*into, s)
}
