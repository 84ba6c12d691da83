package quantity

import (
	"fmt"
	"math"
	"strings"

	"auditgen/internal/diag"
)

// Estimate is a quantity with its doubt, as a person states it:
//
//	62 %               no doubt stated
//	45..60..75 %       low, likely, high
//	40..70 %           somewhere between, none likelier
//	62 % ± 10 %        likely value and half-width, absolute ("+-" is accepted)
//	62 % ± 10 % of value   likely value and half-width as a share of it
//
// Limits with a likely value are read as a triangular distribution, limits
// alone as a rectangular one (JCGM 100:2008, 4.3.7 and 4.3.9).
type Estimate[Q Quantity] struct {
	Low, Likely, High Q
	Shape             Shape
	Text              string // as typed
}

// Shape is the distribution that an estimate stands for.
type Shape int

// The shapes.
const (
	Exact Shape = iota
	Triangular
	Rectangular
)

// Certain gives an estimate without doubt.
func Certain[Q Quantity](q Q) Estimate[Q] {
	return Estimate[Q]{Low: q, Likely: q, High: q}
}

// Mean is the expectation of the estimate.
func (e Estimate[Q]) Mean() Q {
	switch e.Shape {
	case Triangular:
		return (e.Low + e.Likely + e.High) / 3
	case Rectangular:
		return (e.Low + e.High) / 2
	}
	return e.Likely
}

// Deviation is the standard uncertainty of the estimate: for limits a, b with
// mode c, √((a²+b²+c²−ab−ac−bc)/18); for limits alone (b−a)/√12
// (JCGM 100:2008, 4.3.7 and 4.3.9, the triangle not needing to be symmetric).
func (e Estimate[Q]) Deviation() Q {
	a, b, c := float64(e.Low), float64(e.High), float64(e.Likely)
	switch e.Shape {
	case Triangular:
		// By the distances from the mode: the plain form loses all digits
		// when the limits are close to each other.
		l, h := c-a, b-c
		return Q(math.Sqrt((l*l + l*h + h*h) / 18))
	case Rectangular:
		return Q((b - a) / math.Sqrt(12))
	}
	return 0
}

// Scale multiplies the estimate and its doubt by a factor.
func (e Estimate[Q]) Scale(f float64) Estimate[Q] {
	e.Low, e.Likely, e.High = Q(f)*e.Low, Q(f)*e.Likely, Q(f)*e.High
	if f < 0 {
		e.Low, e.High = e.High, e.Low
	}
	return e
}

// UnmarshalText reads one of the forms above.
func (e *Estimate[Q]) UnmarshalText(text []byte) error {
	v, err := ParseEstimate[Q](string(text))
	if err == nil {
		*e = v
	}
	return err
}

// ParseEstimate reads one of the forms that Estimate lists. The error is a
// *diag.Problem.
func ParseEstimate[Q Quantity](text string) (Estimate[Q], error) {
	text = strings.TrimSpace(strings.ReplaceAll(text, "+-", "±"))
	e, err := parseEstimate[Q](text)
	e.Text = text
	return e, err
}

func parseEstimate[Q Quantity](text string) (Estimate[Q], error) {
	if middle, width, ok := strings.Cut(text, "±"); ok {
		return plusMinus[Q](text, middle, width)
	}
	if strings.Contains(text, "..") {
		return span[Q](text)
	}
	d, err := Parse[Q](text)
	return Certain(d.Value), err
}

func plusMinus[Q Quantity](text, middle, width string) (Estimate[Q], error) {
	var none Estimate[Q]
	k := KindOf[Q]()
	m, err := Parse[Q](middle)
	if err != nil {
		return none, err
	}
	var half Q
	if share, ok := strings.CutSuffix(strings.TrimSpace(width), "of value"); ok {
		r, err := Parse[Ratio](share)
		if err != nil {
			return none, err
		}
		half = Q(math.Abs(float64(m.Value)) * float64(r.Value))
	} else {
		d, err := Parse[Q](width)
		if err != nil {
			return none, err
		}
		half = d.Value
	}
	if half < 0 {
		return none, &diag.Problem{What: fmt.Sprintf("%q has a negative doubt", text), Expected: "a half-width of zero or more, such as " + k.Example + " ± 10 % of value"}
	}
	return Estimate[Q]{Low: m.Value - half, Likely: m.Value, High: m.Value + half, Shape: Triangular}, nil
}

func span[Q Quantity](text string) (Estimate[Q], error) {
	var none Estimate[Q]
	k := KindOf[Q]()
	form := fmt.Sprintf("low..likely..high and one unit, such as 45..60..75 %s", k.Symbols()[0])
	parts := strings.Split(text, "..")
	if len(parts) != 2 && len(parts) != 3 {
		return none, &diag.Problem{What: fmt.Sprintf("%q is not a range", text), Expected: form}
	}
	_, unit := split(parts[len(parts)-1])
	values := make([]Q, len(parts))
	for i, p := range parts {
		number, own := split(p)
		if own == "" {
			own = unit
		}
		if _, _, err := Number(number); err != nil {
			return none, err
		}
		if own == "" {
			return none, &diag.Problem{What: fmt.Sprintf("%q has no unit", text), Expected: fmt.Sprintf("%s in %s: %s", k.Name, diag.Or(k.Symbols()), form)}
		}
		d, err := Parse[Q](number + " " + own)
		if err != nil {
			p := err.(*diag.Problem)
			if p.Nearest != "" {
				p.Nearest = strings.TrimSuffix(text, own) + strings.TrimPrefix(p.Nearest, number+" ")
			}
			return none, p
		}
		values[i] = d.Value
	}
	for i := 1; i < len(values); i++ {
		if values[i] < values[i-1] {
			return none, &diag.Problem{What: fmt.Sprintf("%q is out of order", text), Expected: form}
		}
	}
	if len(values) == 2 {
		return Estimate[Q]{Low: values[0], Likely: (values[0] + values[1]) / 2, High: values[1], Shape: Rectangular}, nil
	}
	return Estimate[Q]{Low: values[0], Likely: values[1], High: values[2], Shape: Triangular}, nil
}

// Written words how an estimate is typed, for the data reference.
func (Estimate[Q]) Written() string {
	return KindOf[Q]().expected() + "; or low..likely..high, or a figure ± its half-width"
}
