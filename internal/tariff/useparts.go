package tariff

import (
	"auditgen/internal/civil"
	"auditgen/internal/quantity"
)

// A Use that knows more than the registers of a meter implements one or more of
// the interfaces below. Where a tariff asks for more than the Use can tell, the
// nearest answer is taken and a note on the bill says so.

// SpokenUse is a Use that says itself what its quantities are, in a word of the
// lines: "logged". Without it they are expected or metered, as the options say.
type SpokenUse interface {
	Use
	Spoken() string
}

// ExportUse is a Use that knows what was delivered to the supplier.
type ExportUse interface {
	Use
	// Exported is the active energy delivered in the slots, not negative.
	Exported(SlotSet) quantity.WattHours
}

// RegisterUse is a Use with registers of its own for lagging and leading
// reactive energy. Reactive is then their difference.
type RegisterUse interface {
	Use
	Lagging(SlotSet) quantity.VarHours // not negative
	Leading(SlotSet) quantity.VarHours // not negative
}

// ApparentUse is a Use whose meter registers apparent energy.
type ApparentUse interface {
	Use
	// Apparent is the apparent energy in VAh, the sum of sqrt(Wh² + varh²)
	// over the meter's intervals.
	Apparent(SlotSet) float64
}

// SlidingUse is a Use that knows the highest mean over windows that begin every
// few minutes, not only where the last one ended.
type SlidingUse interface {
	Use
	// SlidingDemand is the highest mean in W, VA or var as the unit asks.
	SlidingDemand(slots SlotSet, unit DemandUnit, windowMinutes, everyMinutes int) float64
}

// PartUse is a Use that knows what was used in a part of its bill, from
// interval data or from a reading on the day.
type PartUse interface {
	Use
	// Part is the use of some days of the bill; false when it is not known.
	Part(Period) (Use, bool)
}

// CourseUse is a Use that holds the course of the bill in intervals.
type CourseUse interface {
	Use
	// Course lists what was metered in each interval of so many minutes that
	// begins in the slots, in the order of time; false when the use holds no
	// course so fine. Intervals follow one another from midnight.
	Course(slots SlotSet, minutes int) ([]Interval, bool)
}

// Interval is what was metered in one interval of a course.
type Interval struct {
	Day     civil.Date
	Minute  int                // of the local day, at which it begins
	Energy  quantity.WattHours // taken, not negative
	Lagging quantity.VarHours  // not negative
	Leading quantity.VarHours  // not negative
}
