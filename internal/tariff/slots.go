package tariff

import (
	"auditgen/internal/civil"
	"auditgen/internal/source"
)

// Slot is a number for a class of time: every minute of the year belongs to one
// slot, and all minutes of a slot are alike to the tariff.
type Slot int

// maxSlots is how many slots a SlotSet holds.
const maxSlots = 256

// SlotSet is a set of slots. It can be compared and be the key of a map.
type SlotSet [maxSlots / 64]uint64

// Has reports whether a slot is in the set.
func (s SlotSet) Has(i Slot) bool { return s[i/64]&(1<<(i%64)) != 0 }

// Add puts a slot into the set.
func (s *SlotSet) Add(i Slot) { s[i/64] |= 1 << (i % 64) }

// Empty reports whether the set has no slot.
func (s SlotSet) Empty() bool { return s == SlotSet{} }

// And gives the slots that are in both sets.
func (s SlotSet) And(t SlotSet) SlotSet {
	for i := range s {
		s[i] &= t[i]
	}
	return s
}

// Or gives the slots that are in either set.
func (s SlotSet) Or(t SlotSet) SlotSet {
	for i := range s {
		s[i] |= t[i]
	}
	return s
}

// Slots names the tariff's slots in the order of their numbers.
func (t *Tariff) Slots() []string { return t.cal.names }

// SlotAt gives the slot of a minute of the local day, 0 to 1439. A minute that
// the clock skips or repeats when it changes has the slot of its clock time.
func (t *Tariff) SlotAt(day civil.Date, minute int) Slot {
	return Slot(t.cal.minutes[t.cal.class(day)][minute])
}

// DaySlots gives the slot of each minute of a local day. The slice is shared
// between days that are alike and must not be changed.
func (t *Tariff) DaySlots(day civil.Date) []uint8 { return t.cal.minutes[t.cal.class(day)] }

// Occurring gives the slots that occur in a billing period.
func (t *Tariff) Occurring(p Period) SlotSet {
	var set SlotSet
	var last dayClass
	for d, n := p.From, p.Days(); n > 0; {
		classes := t.cal.yearClasses(d.Year)
		first := civil.Date{Year: d.Year, Month: 1, Day: 1}.DaysUntil(d)
		run := classes[first:min(len(classes), first+n)]
		for i, class := range run {
			if i == 0 || class != last {
				set = set.Or(t.cal.kinds[class])
				last = class
			}
		}
		n -= len(run)
		d = civil.Date{Year: d.Year + 1, Month: 1, Day: 1}
	}
	return set
}

// Within gives the slots of a time period or a season by its name; none when
// the tariff has no such name.
func (t *Tariff) Within(name string) SlotSet {
	one := source.OneOrMany[string]{{Value: name}}
	set := t.cal.pick(one, nil)
	if set.Empty() {
		set = t.cal.pick(nil, one)
	}
	return set
}
