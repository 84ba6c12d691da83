package effect

import (
	"slices"
	"testing"

	"auditgen/internal/quantity"
)

// Of banks of usual steps none smaller reaches the need, and the steps are of
// usual sizes in a usual pattern.
func TestBankIsTheSmallestThatReaches(t *testing.T) {
	for _, c := range []struct {
		need, total quantity.Vars
		steps       int
	}{
		{1, 2500, 1}, {2500, 2500, 1}, {43_567, 45_000, 0}, {55_323, 60_000, 0}, {67_130, 70_000, 0}, {260_000, 275_000, 0},
	} {
		b, ok := BankFor(c.need)
		if !ok || b.Total() < c.need {
			t.Errorf("need %v: %v", c.need, b)
			continue
		}
		if b.Total() != c.total || c.steps > 0 && len(b.Steps) != c.steps {
			t.Errorf("need %v: bank of %v in %v, want %v", c.need, b.Total(), b.Steps, c.total)
		}
		for _, s := range b.Steps {
			if !slices.Contains(StepSizes, float64(s)/1e3) {
				t.Errorf("need %v: step of %v is not usual", c.need, s)
			}
		}
		if !slices.IsSorted(b.Steps) {
			t.Errorf("steps %v", b.Steps)
		}
	}
	if _, ok := BankFor(0); ok {
		t.Error("a bank for nothing")
	}
	if _, ok := BankFor(5e6); ok {
		t.Error("a bank beyond all patterns")
	}
}

// A bank in service never leads, and leaves less than its smallest step where it
// could do more (for steps of 1:1:2 every multiple can be had).
func TestBankInServiceNeverLeads(t *testing.T) {
	b := Bank{Steps: []quantity.Vars{10e3, 10e3, 20e3}}
	if got := b.Combinations(); !slices.Equal(got, []quantity.Vars{10e3, 20e3, 30e3, 40e3}) {
		t.Errorf("combinations %v", got)
	}
	for q := quantity.Vars(0); q < 60e3; q += 777 {
		on := b.InService(q)
		if on > q || q < b.Total() && q-on >= b.Steps[0] {
			t.Errorf("%v in service for %v", on, q)
		}
	}
}

// 25 MVA and 500 kvar resonate at 7.07, a hazard at the 7th; 300 kvar at 9.13 is
// none of 5 and 7 (electrical.md 9.2b, constructed). Both sides of half an order.
func TestResonanceOfEachCombination(t *testing.T) {
	at := func(q quantity.Vars, orders ...int) []Hazard {
		return Bank{Steps: []quantity.Vars{q}}.Resonances(25e6, orders)
	}
	if h := at(500e3, 5, 7, 11, 13); len(h) != 1 || h[0].Near != 7 || float64(h[0].Resonance) < 7.07 || float64(h[0].Resonance) > 7.08 {
		t.Errorf("500 kvar: %v", h)
	}
	if h := at(300e3, 5, 7, 11, 13); len(h) != 0 {
		t.Errorf("300 kvar: %v", h)
	}
	q := func(order float64) quantity.Vars { return quantity.Vars(25e6 / order / order) }
	if h := at(q(5.49), 5); len(h) != 1 {
		t.Errorf("within half an order: %v", h)
	}
	if h := at(q(5.51), 5); len(h) != 0 {
		t.Errorf("beyond half an order: %v", h)
	}
	many := Bank{Steps: []quantity.Vars{200e3, 300e3}}.Resonances(25e6, []int{7, 11})
	if len(many) != 2 { // 200: 11.18, 300: 9.13, 500: 7.07
		t.Errorf("two steps: %v, want those at 11 and 7", many)
	}
}

// IEC 61642 practice, from memory: 7 % from the 5th on, 14 % with a 3rd.
func TestReactorByLowestOrder(t *testing.T) {
	for _, c := range []struct {
		orders []int
		want   quantity.Ratio
	}{{nil, 0}, {[]int{5, 7}, 0.07}, {[]int{7, 5, 3}, 0.14}, {[]int{11}, 0.07}} {
		if got := Reactor(c.orders); got != c.want {
			t.Errorf("%v: %v, want %v", c.orders, got, c.want)
		}
	}
}

func TestOvercompensationCountsHours(t *testing.T) {
	q, h := []quantity.Vars{30e3, 12e3, 10e3, 4e3}, []quantity.Hours{2000, 3000, 1000, 2760}
	for _, c := range []struct {
		fixed quantity.Vars
		want  quantity.Hours
	}{{4e3, 0}, {5e3, 2760}, {10e3, 2760}, {20e3, 6760}, {40e3, 8760}} {
		if got := Overcompensated(q, h, c.fixed); got != c.want {
			t.Errorf("%v leads for %v h, want %v", c.fixed, got, c.want)
		}
	}
}

// What makes no sense gives no number.
func TestNoNumberFromNonsense(t *testing.T) {
	for name, ok := range map[string]bool{
		"efficiency of nothing": second(BetterEfficiency(0, 0.9)), "efficiency above 1": second(BetterEfficiency(0.9, 1.1)),
		"full speed twice": second(SpeedPower(2, 3, 1)), "no exponent": second(SpeedPower(0.8, 0, 1)), "head above all": second(HeadPower(0.8, 1.2, 1)),
		"no cooling": second(Interaction(0.5, 0.5, 0)), "no test": second(LeakShare(0, 0)), "no network": second(VoltageRise(1, 0)),
		"all in a kelvin": second(SetPoint(1, 2)), "no performance": second(BetterCooling(1, 0, 1)), "load above 1": second(LossFactor(1.2, 0.3)),
	} {
		if ok {
			t.Errorf("%s gives a number", name)
		}
	}
}

func second[T any](_ T, ok bool) bool { return ok }
