package site

import (
	"fmt"
	"slices"
	"strings"

	"auditgen/internal/diag"
	"auditgen/internal/power"
	"auditgen/internal/quantity"
)

const (
	// mostLoading is the loading up to which a motor turns for long, as that of
	// the key loading.
	mostLoading = 1.5
	// mostSlip bounds the slip of a plate, as a share of the synchronous speed:
	// motors of high slip are made for 5 to 13 % (NEMA design D, from memory).
	mostSlip = 0.15
	// leastCurrent is the share of its full-load current below which a motor does
	// not turn: even without load it takes a fifth or more (practice, from memory).
	leastCurrent = 0.10
)

// slipPoles are the numbers of poles that motors on a spot check have.
var slipPoles = []int{2, 4, 6, 8, 10, 12}

// plateLoading checks what a plate's loading follows from: one of loading, speed
// and current, and what the last two need beside them.
func (c *checker) plateLoading(n *Nameplate, m *MotorPlate) {
	var ways []string
	var last diag.Pos
	way := func(key string, pos diag.Pos) {
		ways = append(ways, key)
		if last.Compare(pos) < 0 {
			last = pos
		}
	}
	if n.Loading.IsSet() {
		way("loading", n.Loading.Pos)
	}
	if n.Speed != nil {
		way("speed", n.Speed.Pos)
	}
	if n.Current != nil {
		way("current", n.Current.Pos)
	}
	if len(ways) > 1 {
		c.faults.At(last, fmt.Sprintf("the plate tells its loading %d times: %s", len(ways), strings.Join(ways, ", ")), "one of them")
		return
	}
	if n.Voltage != nil {
		c.plateVoltage(n)
	}
	if n.Speed == nil && n.Current == nil {
		return
	}
	if !n.Efficiency.IsSet() && !n.Faulty {
		c.faults.At(last, "a motor's plate gives what it gives at its shaft, not what it takes", "the efficiency beside it, such as efficiency: 88 %")
	}
	if m != nil && m.Drive.Value {
		c.faults.At(last, "the motor runs on a drive, which makes a frequency and a voltage of its own: its "+ways[0]+" does not tell its loading", "loading, or a reading at the input of the drive")
	}
	if n.Speed != nil {
		c.slip(n, m)
	}
	if n.Current != nil {
		c.plateCurrent(n)
	}
}

func (c *checker) plateVoltage(n *Nameplate) {
	v := n.Voltage
	if n.Speed == nil && n.Current == nil {
		c.faults.At(v.Pos, "a voltage beside a plate corrects its speed or current, and neither stands here", "speed or current beside it, or no voltage")
		return
	}
	c.positive(v.Read.Good(), float64(v.Read.Value.Value), v.Read.Text, "a voltage above zero")
	c.positive(v.Plate.Good(), float64(v.Plate.Value.Value), v.Plate.Text, "a voltage above zero")
	if k := v.Read.Value.Value / v.Plate.Value.Value; v.Read.Good().IsSet() && v.Plate.Good().IsSet() && k > 0 && (k < 0.7 || k > 1.3) {
		c.faults.At(v.Read.Pos, fmt.Sprintf("%s is %.0f %% of the voltage on the plate", v.Read.Text, 100*float64(k)), "70 % to 130 %, both between lines, and the plate's voltage of star or delta as it is connected")
	}
}

// slip holds a speed against what the plate, its poles and the frequency allow.
func (c *checker) slip(n *Nameplate, m *MotorPlate) {
	s, nominal := n.Speed, c.rec.Site.Supply.Frequency
	c.positive(s.Read.Good(), float64(s.Read.Value.Value), s.Read.Text, "a speed above zero")
	c.positive(s.Plate.Good(), float64(s.Plate.Value.Value), s.Plate.Text, "a speed above zero")
	if !s.Poles.Good().IsSet() || !nominal.Good().IsSet() || nominal.Value.Value <= 0 {
		return
	}
	poles := s.Poles.Value
	if !slices.Contains(slipPoles, poles) {
		c.faults.At(s.Poles.Pos, fmt.Sprintf("%d is not a motor's number of poles", poles), "2, 4, 6, 8, 10 or 12")
		return
	}
	if m != nil && m.Poles.Good().IsSet() && m.Poles.Value != poles {
		c.faults.At(s.Poles.Pos, fmt.Sprintf("the motor has %d poles here and %d under motor", poles, m.Poles.Value), "the number on its plate in both places")
		return
	}
	f := nominal.Value.Value
	if s.Frequency.IsSet() {
		if !s.Frequency.Good().IsSet() {
			return
		}
		f = s.Frequency.Value.Value
		if k := f / nominal.Value.Value; k < 0.9 || k > 1.1 {
			c.faults.At(s.Frequency.Pos, fmt.Sprintf("%s is far from the nominal frequency of %s", s.Frequency.Text, nominal.Text), "the frequency of the supply while the speed was read")
			return
		}
	}
	field, _ := power.SynchronousSpeed(nominal.Value.Value, quantity.Ratio(poles))
	if p := s.Plate.Value.Value; s.Plate.Good().IsSet() && p > 0 && !hasSlip(p, field) {
		expected := fmt.Sprintf("a full-load speed from %.0f to below %.0f rpm", (1-mostSlip)*float64(field), float64(field))
		if fits := polesOf(p, nominal.Value.Value); fits > 0 {
			expected += fmt.Sprintf(", or poles: %d", fits)
		}
		c.faults.At(s.Plate.Pos, fmt.Sprintf("a plate of %s does not go with %d poles at %s, whose synchronous speed is %s rpm", s.Plate.Text, poles, nominal.Text, rpm(field)), expected)
		return
	}
	c.slipRead(n, f)
}

// slipRead holds the speed that was read against the field of the frequency and
// the slip of the plate.
func (c *checker) slipRead(n *Nameplate, f quantity.Hertz) {
	s := n.Speed
	read := s.Read.Value.Value
	if !s.Read.Good().IsSet() || !s.Plate.Good().IsSet() || read <= 0 || s.Plate.Value.Value <= 0 {
		return
	}
	field, _ := power.SynchronousSpeed(f, quantity.Ratio(s.Poles.Value))
	if read >= field {
		c.faults.At(s.Read.Pos, fmt.Sprintf("%s is not below %s rpm, the synchronous speed of %d poles at %g Hz: a motor that drives something turns slower", s.Read.Text, rpm(field), s.Poles.Value, float64(f)), "a lower speed, the poles of the plate, or the frequency that was read meanwhile")
		return
	}
	rated, _ := power.FullLoadSpeedAt(s.Plate.Value.Value, f, c.rec.Site.Supply.Frequency.Value.Value)
	x, _ := power.MotorLoadFromSlip(field, read, rated)
	if v := n.Voltage; v != nil && v.Read.Good().IsSet() && v.Plate.Good().IsSet() {
		x, _ = power.MotorLoadFromSlipAtVoltage(x, v.Read.Value.Value, v.Plate.Value.Value)
	}
	if x > mostLoading {
		c.faults.At(s.Read.Pos, fmt.Sprintf("%s would be a loading of %.0f %%: the motor slips far more than its plate says", s.Read.Text, 100*float64(x)), "a speed that goes with at most 150 %, read once it is up to speed; and the plate's own full-load speed")
	}
}

// rpm writes a speed without decimals that say nothing.
func rpm(n power.PerMin) string {
	return strings.TrimSuffix(fmt.Sprintf("%.1f", float64(n)), ".0")
}

// hasSlip reports whether a full-load speed goes with a field of the speed given.
func hasSlip(plate, field power.PerMin) bool {
	return plate < field && plate >= (1-mostSlip)*field
}

// polesOf gives the number of poles whose slip at a full-load speed is the least,
// or 0 where none goes with it.
func polesOf(plate power.PerMin, f quantity.Hertz) int {
	for _, p := range slices.Backward(slipPoles) {
		if field, _ := power.SynchronousSpeed(f, quantity.Ratio(p)); hasSlip(plate, field) {
			return p
		}
	}
	return 0
}

// plateCurrent holds a current against that of the plate.
func (c *checker) plateCurrent(n *Nameplate) {
	i := n.Current
	c.positive(i.Read.Good(), float64(i.Read.Value.Value), i.Read.Text, "a current above zero")
	c.positive(i.Plate.Good(), float64(i.Plate.Value.Value), i.Plate.Text, "a current above zero")
	if !i.Read.Good().IsSet() || !i.Plate.Good().IsSet() || i.Read.Value.Value <= 0 || i.Plate.Value.Value <= 0 {
		return
	}
	x, _ := power.MotorLoadFromCurrentAlone(i.Read.Value.Value, i.Plate.Value.Value)
	switch {
	case x > mostLoading:
		c.faults.At(i.Read.Pos, fmt.Sprintf("%s is %.0f %% of the current on the plate: no motor bears that for long", i.Read.Text, 100*float64(x)), "at most 150 %, read once it is up to speed; and the plate's current of star or delta as it is connected")
	case x < leastCurrent:
		c.faults.At(i.Read.Pos, fmt.Sprintf("%s is %.1f %% of the current on the plate: even without load a motor takes more", i.Read.Text, 100*float64(x)), "at least 10 %, read with the clamp around one conductor")
	}
}
