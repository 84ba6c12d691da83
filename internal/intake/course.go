package intake

import "auditgen/internal/tariff"

// Course lists what was metered in each interval of so many minutes that begins
// in the slots; false when the readings are longer than that. Time without a
// reading has no interval.
func (u *Use) Course(slots tariff.SlotSet, minutes int) ([]tariff.Interval, bool) {
	if u.longest == 0 || int64(u.log.Interval) > int64(minutes)*60 {
		return nil, false
	}
	u.reactive() // its absence becomes a note
	var out []tariff.Interval
	for _, s := range newWalk(u.tariff, u.zone).steps(u.log, u.Period, minutes) {
		if !slots.Has(tariff.Slot(s.first)) {
			continue
		}
		day := floorDiv(s.wall, aDay)
		out = append(out, tariff.Interval{Day: dateOf(day), Minute: int(s.wall-day*aDay) / 60, Energy: s.active.WattHours(),
			Lagging: s.lagging.VarHours(), Leading: s.leading.VarHours()})
	}
	return out, out != nil
}
