// Package intake brings in what others have logged and published: interval data
// of meters, as CSV and as ESPI (Green Button) XML, and tariff records.
//
// Interval data becomes a Log: rows in the order of time, each with its own start
// in UTC and its own duration. Nothing is mended in silence: what was found, and
// by which rule it was taken or left out, stands in the log's account.
//
// Energies are whole millionths of a watt-hour (or var-hour), so that sums are
// exact and do not depend on their order. Figures with more digits are rounded
// to the nearest, halves away from zero.
package intake

import (
	"strings"
	"time"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/say"
)

// Energy is an active or reactive energy in µWh or µvarh.
type Energy int64

// mostEnergy bounds a row, in µWh: 1 GWh. mostTotal bounds a log.
const (
	mostEnergy = 1e15
	mostTotal  = 4e18
)

// WattHours gives an active energy in Wh.
func (e Energy) WattHours() quantity.WattHours { return quantity.WattHours(float64(e) / 1e6) }

// VarHours gives a reactive energy in varh.
func (e Energy) VarHours() quantity.VarHours { return quantity.VarHours(float64(e) / 1e6) }

// Channel is one of the quantities that a log may hold.
type Channel int

// The channels.
const (
	Import  Channel = iota // active energy taken
	Export                 // active energy delivered to the supplier
	Lagging                // reactive energy, lagging (inductive)
	Leading                // reactive energy, leading (capacitive)
	channels
)

var channelWords = [channels]string{"energy taken", "energy delivered", "reactive energy, lagging", "reactive energy, leading"}

// String names the channel in words.
func (c Channel) String() string { return channelWords[c] }

// unit is the unit in which people read the channel.
func (c Channel) unit() string {
	if c >= Lagging {
		return "kvarh"
	}
	return "kWh"
}

// ChannelSet is a set of channels.
type ChannelSet uint8

// Has reports whether a channel is in the set.
func (s ChannelSet) Has(c Channel) bool { return s&(1<<c) != 0 }

func (s *ChannelSet) add(c Channel) { *s |= 1 << c }

// Reactive reports whether the set has a reactive channel.
func (s ChannelSet) Reactive() bool { return s.Has(Lagging) || s.Has(Leading) }

// Row is what was metered in one interval.
type Row struct {
	Start    int64 // seconds since 1970-01-01 UTC, at which the interval begins
	Duration int32 // seconds, more than 0
	line     int32 // where it stands in its file
	file     int16 // index into the log's files
	Quality  Quality
	Values   [channels]Energy // by channel, not negative
}

// End is the second at which the interval ends.
func (r *Row) End() int64 { return r.Start + int64(r.Duration) }

// Log is what one meter logged.
type Log struct {
	Rows     []Row      // in the order of time, without overlap
	Has      ChannelSet // channels that were logged; the others are not known
	Interval int32      // the commonest duration in seconds; 0 without rows
	Account  Account

	Point string     // name of the metering point, where the file has one
	Local *LocalTime // what the file says of its clock; nil where it says nothing
	files []string
}

// Total sums a channel.
func (l *Log) Total(c Channel) Energy {
	sum := Energy(0)
	for i := range l.Rows {
		sum += l.Rows[i].Values[c]
	}
	return sum
}

// Span gives first start and last end in UTC; false without rows.
func (l *Log) Span() (from, to time.Time, ok bool) {
	if len(l.Rows) == 0 {
		return from, to, false
	}
	return utc(l.Rows[0].Start), utc(l.Rows[len(l.Rows)-1].End()), true
}

// Files names the files that the log was read from.
func (l *Log) Files() []string { return l.files }

func (l *Log) pos(r *Row) diag.Pos {
	if r.line == 0 || int(r.file) >= len(l.files) {
		return diag.Pos{}
	}
	return diag.Pos{File: l.files[r.file], Line: int(r.line)}
}

func utc(seconds int64) time.Time { return time.Unix(seconds, 0).UTC() }

// stamp prints an instant: 2031-03-12T08:00Z, with seconds where there are any.
func stamp(seconds int64) string {
	t := utc(seconds)
	if t.Second() != 0 {
		return t.Format("2006-01-02T15:04:05Z")
	}
	return t.Format("2006-01-02T15:04Z")
}

// Quality is what the supplier says of a reading.
type Quality uint8

// The qualities, as the ESPI schema (NAESB REQ.21, QualityOfReading) lists them.
const (
	Unstated Quality = iota
	Valid
	Edited       // by hand
	Estimated    // from a day of reference
	Interpolated // between readings
	Questionable
	Derived
	Projected // not metered at all
	Mixed
	Raw
	Normalised // to another weather
	Other
	Validated
	Verified
	Revenue // of revenue quality
	qualities
)

var qualityWords = []string{
	"", say.Key("valid"), say.Key("edited"), say.Key("estimated"), say.Key("interpolated"), say.Key("questionable"), say.Key("derived"), say.Key("projected"),
	say.Key("mixed"), say.Key("raw"), say.Key("normalised"), say.Key("other"), say.Key("validated"), say.Key("verified"), say.Key("revenue"),
}

// String gives the word that stands in a file: estimated.
func (q Quality) String() string { return qualityWords[q] }

// good tells qualities that need no word on a bill.
func (q Quality) good() bool {
	return q == Unstated || q == Valid || q == Validated || q == Verified || q == Revenue
}

// UnmarshalText reads one of the words.
func (q *Quality) UnmarshalText(text []byte) error {
	word := strings.TrimSpace(string(text))
	for i, w := range qualityWords {
		if w == word && i > 0 {
			*q = Quality(i)
			return nil
		}
	}
	return diag.OneOf("quality", word, qualityWords[1:])
}

// espiQuality gives the quality of a code of the ESPI schema.
func espiQuality(code int) (Quality, bool) {
	if code == 0 {
		return Valid, true
	}
	if code >= 7 && code <= 19 {
		return Edited + Quality(code-7), true
	}
	return Unstated, false
}
