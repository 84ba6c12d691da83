package profile

import (
	"math"
	"testing"
	"time"

	"auditgen/internal/civil"
	"auditgen/internal/quantity"
)

// Weights of a duty by degree-hours, by hand: half the duty goes with the
// weather, one month in four is twice as warm as the mean of the four.
func TestDutyByDegreeHours(t *testing.T) {
	var table [12]float64
	var hours [12]quantity.Hours
	for i := range 4 {
		hours[i] = 100
	}
	table[0], table[1], table[2], table[3] = 200, 100, 100, 0
	got := DutyByDegreeHours(table, hours, 0.5)
	for i, want := range []float64{1.5, 1, 1, 0.5} {
		if math.Abs(got[i]-want) > 1e-12 {
			t.Errorf("month %d: %g, want %g", i+1, got[i], want)
		}
	}
	if got[5] != 1 {
		t.Errorf("a month without hours: %g", got[5])
	}
}

// Hours of a year by hand: 22 days a month of 8 h are 2,112 h; three shifts of
// 8 h from Monday to Friday are 24 h on each of the 261 such days of 2031.
func TestCalendarsOfProductionAndShifts(t *testing.T) {
	var p civil.Production
	var s civil.Shifts
	for text, into := range map[string]interface{ UnmarshalText([]byte) error }{"22 days a month, 8 h a day": &p, "3 shifts of 8 h from 06:00": &s} {
		if err := into.UnmarshalText([]byte(text)); err != nil {
			t.Fatal(err)
		}
	}
	produced, shifts := Calendar{Production: &p}, Calendar{}
	for _, d := range []time.Weekday{time.Monday, time.Tuesday, time.Wednesday, time.Thursday, time.Friday} {
		shifts.Shifts[d] = []civil.Shifts{s}
	}
	y, err := Fold(Grid{Year: 2031, Zone: time.UTC, Step: 15}, []Calendar{produced, shifts}, func(civil.Date, int) int { return 0 })
	if err != nil {
		t.Fatal(err)
	}
	if got := y.Open(0, 0, AllSlots); got != 12*22*8 {
		t.Errorf("production: %g h", float64(got))
	}
	if got := y.Open(1, 0, AllSlots); got != 261*24 {
		t.Errorf("shifts: %g h", float64(got))
	}
}
