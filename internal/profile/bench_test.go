package profile

import (
	"strconv"
	"testing"
	"time"
)

func BenchmarkFold(b *testing.B) {
	g, calendars := grid(b, 2031, "Europe/Dublin", 15), siteCalendars(b)
	for b.Loop() {
		if _, err := Fold(g, calendars, threeSlots); err != nil {
			b.Fatal(err)
		}
	}
}

// machinesOf spreads a number of machines of all kinds over the calendars.
func machinesOf(n int) []Machine {
	kinds := siteMachines()
	out := make([]Machine, n)
	for i := range out {
		out[i] = kinds[i%len(kinds)]
		out[i].Count = float64(1 + i%4)
		f := 0.5 + float64(i*7919%1000)/1000
		out[i].Modes = nil
		for _, mode := range kinds[i%len(kinds)].Modes {
			out[i].Modes = append(out[i].Modes, Mode{mode.Share, Power{}.plus(f, mode.Power)})
		}
	}
	return out
}

var sizes = []int{10, 30, 100, 1000}

func benchModel(b *testing.B, n int) (*Model, []Machine) {
	y, err := Fold(grid(b, 2031, "Europe/Dublin", 15), siteCalendars(b), threeSlots)
	if err != nil {
		b.Fatal(err)
	}
	machines := machinesOf(n)
	m, err := NewModel(y, machines)
	if err != nil {
		b.Fatal(err)
	}
	return m, machines
}

// BenchmarkEnergy is a year of new machines: energy and reactive energy by
// month and slot.
func BenchmarkEnergy(b *testing.B) {
	for _, n := range sizes {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			m, machines := benchModel(b, n)
			b.ReportAllocs()
			for b.Loop() {
				if err := m.Set(machines); err != nil {
					b.Fatal(err)
				}
				for month := time.January; month <= time.December; month++ {
					for slot := range 3 {
						m.Energy(month, SlotsOf(slot))
						m.Reactive(month, SlotsOf(slot))
					}
				}
			}
		})
	}
}

// BenchmarkDemand is a year of new machines: the peak of each month in each slot.
func BenchmarkDemand(b *testing.B) {
	for _, unit := range []Unit{Active, Apparent} {
		for _, n := range sizes {
			b.Run([]string{"kW", "kVA"}[unit]+"/"+strconv.Itoa(n), func(b *testing.B) {
				m, machines := benchModel(b, n)
				b.ReportAllocs()
				for b.Loop() {
					if err := m.Set(machines); err != nil {
						b.Fatal(err)
					}
					for month := time.January; month <= time.December; month++ {
						for slot := range 3 {
							m.Demand(month, SlotsOf(slot), unit)
						}
					}
				}
			})
		}
	}
}

// BenchmarkCoincidence is what made one month's peak.
func BenchmarkCoincidence(b *testing.B) {
	for _, n := range sizes {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			m, _ := benchModel(b, n)
			for b.Loop() {
				m.Coincidence(time.May, AllSlots, Active)
			}
		})
	}
}
