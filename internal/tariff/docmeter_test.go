package tariff_test

import (
	"auditgen/internal/civil"
	"auditgen/internal/quantity"
	"auditgen/internal/tariff"
)

// docMeter is the meter of docs/tariffs.md. Where a network has periods of its
// own, each period's use falls on the first slot that has it.
type docMeter struct {
	*slotUse
	tar     *tariff.Tariff
	january tariff.SlotSet
}

// newDocMeter reads the table of the text: kWh, kvarh, kW, kVA, kvar.
func newDocMeter(tar *tariff.Tariff) docMeter {
	m := docMeter{newSlotUse(len(tar.Slots())), tar, tar.Occurring(tariff.Months(2031)[0])}
	for name, x := range map[string][5]float64{
		"peak": {9000, 6000, 92, 112, 62}, "day": {14000, 9000, 88, 105, 58}, "night": {7000, 3000, 41, 47, 23},
	} {
		if s, ok := m.slotOf(name); ok {
			m.set(s, x)
		}
	}
	return m
}

func (m docMeter) slotOf(period string) (tariff.Slot, bool) {
	for i := range m.tar.Slots() {
		if s := tariff.Slot(i); m.january.Has(s) && m.tar.Within(period).Has(s) {
			return s, true
		}
	}
	return 0, false
}

// Exported are 1,200 kWh in the day hours.
func (m docMeter) Exported(set tariff.SlotSet) quantity.WattHours {
	if s, ok := m.slotOf("day"); ok && set.Has(s) {
		return 1.2e6
	}
	return 0
}

// Leading are 400 kvarh at night.
func (m docMeter) Leading(set tariff.SlotSet) quantity.VarHours {
	if s, ok := m.slotOf("night"); ok && set.Has(s) {
		return 0.4e6
	}
	return 0
}

func (m docMeter) Lagging(set tariff.SlotSet) quantity.VarHours {
	return m.Reactive(set) + m.Leading(set)
}

// Part has 60 % of the use before 20 January.
func (m docMeter) Part(p tariff.Period) (tariff.Use, bool) {
	share := 0.4
	if p.From.Day == 1 && p.To.Day == 20 {
		share = 0.6
	} else if p.From.Day != 20 {
		return nil, false
	}
	u := newSlotUse(len(m.kwh))
	for s := range m.kwh {
		u.set(tariff.Slot(s), [5]float64{share * m.kwh[s], share * m.kvarh[s], m.kw[s], m.kva[s], m.kvar[s]})
	}
	return u, true
}

// Course gives every period three windows at its highest kW, at 95 % and at
// 90 % of it; the rest of its energy is spread evenly. The kvarh of odd windows
// are three times those of even ones.
func (m docMeter) Course(set tariff.SlotSet, minutes int) ([]tariff.Interval, bool) {
	var all []tariff.Interval
	nth := map[tariff.Slot]int{}
	count := map[tariff.Slot]int{}
	month := tariff.Months(2031)[0]
	each := func(use func(day civil.Date, at int, s tariff.Slot)) {
		for d := month.From; month.Contains(d); d = d.AddDays(1) {
			for at := 0; at < 1440; at += minutes {
				if s := m.tar.SlotAt(d, at); set.Has(s) && m.kw[s] > 0 {
					use(d, at, s)
				}
			}
		}
	}
	each(func(_ civil.Date, _ int, s tariff.Slot) { count[s]++ })
	hours := float64(minutes) / 60
	each(func(d civil.Date, at int, s tariff.Slot) {
		n, of := nth[s], float64(count[s])
		nth[s]++
		e := (m.kwh[s] - 2.85*m.kw[s]*hours) / (of - 3)
		if n < 3 {
			e = m.kw[s] * hours * (1 - 0.05*float64(n))
		}
		r := m.kvarh[s] / of * (0.5 + float64(n%2))
		all = append(all, tariff.Interval{Day: d, Minute: at, Energy: quantity.WattHours(e * 1000), Lagging: quantity.VarHours(r * 1000)})
	})
	return all, true
}
