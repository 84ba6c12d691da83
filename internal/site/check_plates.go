package site

import (
	"fmt"
	"math"
	"slices"

	"auditgen/internal/source"
)

// banks checks the capacitor banks of site.yaml.
func (c *checker) banks() {
	banks := c.rec.Site.Capacitors
	unique(c.faults, "capacitor bank", banks, func(b Bank) source.At[string] { return b.ID })
	for _, b := range banks {
		c.id(b.ID)
		c.place(b.At)
		c.positive(b.Rated.Good(), float64(b.Rated.Value.Value), b.Rated.Text, "a reactive power above zero")
		c.positive(b.Voltage.Good(), float64(b.Voltage.Value.Value), b.Voltage.Text, "a voltage above zero")
		c.within(b.Reactor.Good(), b.Reactor.Value.Value, b.Reactor.Text, 0.01, 0.25, "a share from 1 % to 25 %")
		c.steps(b)
	}
}

// steps refuses steps that do not add up to the bank.
func (c *checker) steps(b Bank) {
	sum := 0.0
	for _, s := range b.Steps {
		c.positive(s.Good(), float64(s.Value.Value), s.Text, "a reactive power above zero")
		if !s.Good().IsSet() {
			return
		}
		sum += float64(s.Value.Value)
	}
	rated := float64(b.Rated.Value.Value)
	if len(b.Steps) > 0 && b.Rated.Good().IsSet() && math.Abs(sum-rated) > 0.02*rated {
		c.faults.At(b.Rated.Pos, fmt.Sprintf("the steps of %q add up to %g kvar, not to %s", b.ID.Value, math.Round(sum/10)/100, b.Rated.Text), "steps that add up to rated")
	}
}

// transformer checks the plate of the supply transformer.
func (c *checker) transformer(t *Transformer) {
	if t == nil {
		return
	}
	c.positive(t.Rating.Good(), float64(t.Rating.Value.Value), t.Rating.Text, "a rating above zero")
	c.within(t.Impedance.Good(), t.Impedance.Value.Value, t.Impedance.Text, 0.005, 0.3, "an impedance of 0.5 % to 30 %")
	c.positive(t.NoLoadLoss.Good(), float64(t.NoLoadLoss.Value.Value), t.NoLoadLoss.Text, "a loss above zero")
	c.positive(t.LoadLoss.Good(), float64(t.LoadLoss.Value.Value), t.LoadLoss.Text, "a loss above zero")
	c.within(t.EddyLoss.Good(), t.EddyLoss.Value.Value, t.EddyLoss.Text, 0, 0.5, "a share from 0 % to 50 %")
}

// motor checks the plate of a load's motor.
func (c *checker) motor(m *MotorPlate) {
	if m == nil {
		return
	}
	c.positive(m.Rated.Good(), float64(m.Rated.Value.Value), m.Rated.Text, "a rating above zero")
	if m.Poles.Good().IsSet() && !slices.Contains([]int{2, 4, 6, 8}, m.Poles.Value) {
		c.faults.At(m.Poles.Pos, fmt.Sprintf("%d is not a motor's number of poles", m.Poles.Value), "2, 4, 6 or 8")
	}
	c.within(m.Efficiency.Good(), m.Efficiency.Value.Value, m.Efficiency.Text, 0.3, 0.99, "an efficiency from 30 % to 99 %")
}
