// Package profile turns calendars, duty and states of machines into a year:
// energy by month and tariff slot, the mean day, and the highest demand that
// chance lets a month show.
//
// A year is never kept as rows of intervals. Machines switch by calendar, so
// [Fold] passes over the year once and keeps the distinct states (month, slot,
// which calendars are on) with the time spent in each. A [Model] puts machines
// on a folded year; changing a power, a duty or a count needs no new fold.
//
// Conventions: times are local clock times of the site; a day on which the
// clocks change has the 23 or 25 hours that it really has. Month 0 stands for
// the whole year. Power is in W, energy in Wh, reactive power in var (lagging
// positive), time in minutes where it is counted and in hours where it is
// multiplied.
package profile

import "math/bits"

// Slots is a set of tariff slots, one bit for each number that slotAt gives.
type Slots uint64

// AllSlots holds every slot.
const AllSlots = ^Slots(0)

// MaxSlots is how many slots a tariff may have.
const MaxSlots = 64

// SlotsOf makes a set of slot numbers; numbers outside 0 to 63 are left out.
func SlotsOf(slots ...int) Slots {
	var s Slots
	for _, n := range slots {
		if n >= 0 && n < MaxSlots {
			s |= 1 << n
		}
	}
	return s
}

// Has reports whether a slot is in the set.
func (s Slots) Has(slot int) bool { return slot >= 0 && slot < MaxSlots && s>>slot&1 == 1 }

// Set is a set of calendars that are on together, one bit for each index into
// the list given to Fold.
type Set uint64

// MaxCalendars is how many calendars a year may have.
const MaxCalendars = 64

// Has reports whether a calendar is on in the set.
func (s Set) Has(calendar int) bool {
	return calendar >= 0 && calendar < MaxCalendars && s>>calendar&1 == 1
}

// Len counts the calendars in the set.
func (s Set) Len() int { return bits.OnesCount64(uint64(s)) }
