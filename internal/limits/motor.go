package limits

import (
	"math"
	"slices"

	"auditgen/internal/quantity"
	"auditgen/internal/say"
)

// Efficiency classes of motors, the lowest first. On 60 Hz plates IE2 is also
// known as EPAct or high efficiency, and IE3 as NEMA Premium.
var MotorClasses = []string{"IE1", "IE2", "IE3", "IE4"}

// motorClass is a class of 50 Hz motors: η = A·x³ + B·x² + C·x + D in percent, x
// the logarithm to base 10 of the rated output in kilowatts.
type motorClass struct {
	Class        string   `key:"class" need:"yes"`
	Poles        number   `key:"poles" need:"yes"`
	Coefficients []number `key:"coefficients" need:"yes"`
	Status       Status   `key:"status"`
}

// motorRating is a rating of 60 Hz motors with the efficiencies of the classes.
type motorRating struct {
	Rated        quantity.Displayed[quantity.RatedWatts] `key:"rated" need:"yes"`
	Efficiencies []ratio                                 `key:"efficiencies" need:"yes"`
}

// MotorEfficiency gives the nominal full-load efficiency of a class of
// line-operated motors, from the class, the supply's frequency, the number of
// poles and the rated output. It is false outside the tables: 50 Hz, 2, 4 or 6
// poles (IE1: 2 or 4), from 0.75 kW; 60 Hz, 4 poles, 1 hp to 200 hp.
func MotorEfficiency(class string, f quantity.Hertz, poles int, rated quantity.RatedWatts) (Limit[quantity.Ratio], bool) {
	switch f {
	case 50:
		return efficiency50(class, poles, rated)
	case 60:
		return efficiency60(class, poles, rated)
	}
	return Limit[quantity.Ratio]{}, false
}

func efficiency50(class string, poles int, rated quantity.RatedWatts) (Limit[quantity.Ratio], bool) {
	file, t := published().table(IEC60034_30_1, "efficiency-50-hz")
	if t == nil || !(rated >= 750) || rated > 1e6 {
		return Limit[quantity.Ratio]{}, false
	}
	x := math.Log10(min(float64(rated), 200e3) / 1e3)
	for _, c := range t.Classes {
		if c.Class != class || int(c.Poles) != poles {
			continue
		}
		percent := 0.0
		for _, k := range c.Coefficients {
			percent = percent*x + float64(k)
		}
		cite := t.cite(file)
		if c.Status != "" {
			cite.Status = c.Status
		}
		return Limit[quantity.Ratio]{Name: MotorName(nil, class, poles), Value: quantity.Ratio(math.Round(percent*10) / 1000), Cite: cite}, true
	}
	return Limit[quantity.Ratio]{}, false
}

func efficiency60(class string, poles int, rated quantity.RatedWatts) (Limit[quantity.Ratio], bool) {
	file, t := published().table(IEC60034_30_1, "efficiency-60-hz")
	column := slices.Index(MotorClasses, class)
	if t == nil || poles != 4 || column < 0 {
		return Limit[quantity.Ratio]{}, false
	}
	last := len(t.Ratings) - 1
	// Plates in kilowatts stand a little off the round horsepower.
	const slack = 1.02
	if !(rated*slack >= t.Ratings[0].Rated.Value) || rated > slack*t.Ratings[last].Rated.Value {
		return Limit[quantity.Ratio]{}, false
	}
	at := 0
	for i := 1; i <= last; i++ {
		if rated >= (t.Ratings[i-1].Rated.Value+t.Ratings[i].Rated.Value)/2 {
			at = i
		}
	}
	return Limit[quantity.Ratio]{Name: MotorName(nil, class, poles), Value: t.Ratings[at].Efficiencies[column].Value, Cite: t.cite(file)}, true
}

// MotorName names the efficiency of a class of motors.
func MotorName(lang *say.Language, class string, poles int) string {
	return lang.F("nominal efficiency of class %s, %d poles", class, poles)
}

// MotorClassOf gives the highest class whose nominal efficiency a plate's
// efficiency reaches: "" where it reaches none. It is false outside the tables.
func MotorClassOf(efficiency quantity.Ratio, f quantity.Hertz, poles int, rated quantity.RatedWatts) (string, bool) {
	reached, known := "", false
	for _, class := range MotorClasses {
		l, ok := MotorEfficiency(class, f, poles, rated)
		if !ok {
			continue
		}
		known = true
		if efficiency >= l.Value-1e-9 {
			reached = class
		}
	}
	return reached, known
}
