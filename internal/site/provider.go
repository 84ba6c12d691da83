package site

import (
	"fmt"
	"regexp"
	"strings"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
)

// Provider is provider.toml: who sells the assessment, and with which instruments.
type Provider struct {
	Name        source.At[string]       `key:"name" need:"yes" doc:"Name of the firm, as printed on the report" example:"Rowan & Tench Electrical Services"`
	Licence     source.At[string]       `key:"licence" doc:"Licence or registration number" example:"REG 20-417"`
	Address     source.At[string]       `key:"address" doc:"Postal address on one line" example:"4 Mill Row, Ardlethen"`
	Email       source.At[string]       `key:"email" doc:"Address for questions about a report" example:"office@rowan-tench.example"`
	Phone       source.At[string]       `key:"phone" doc:"Telephone number" example:"+00 1234 5678"`
	Accent      source.At[Colour]       `key:"accent" doc:"Colour of links, numbers and the top rule; darkened or lightened until it can be read" default:"#0d5b66" example:"#0d5b66"`
	Paper       source.At[Paper]        `key:"paper" doc:"Paper of the printed report: A4 or Letter" default:"A4" example:"A4"`
	Logo        source.At[string]       `key:"logo" doc:"SVG or PNG file beside provider.toml, printed beside the name; of an SVG only shapes and their paint are kept" example:"logo.svg"`
	Terms       source.At[string]       `key:"terms" doc:"Markdown file beside provider.toml: terms of business, printed with the issue of the report" example:"terms.md"`
	Independent source.At[string]       `key:"independence" doc:"One sentence on sales interests, printed with the limits of use" example:"We sell no equipment."`
	Instruments source.List[Instrument] `key:"instrument" need:"yes" doc:"The measuring instruments, one [[instrument]] each"`
	Prices      source.List[Price]      `key:"price" doc:"The price list that measures take their cost from, one [[price]] each"`
}

// Instrument is a measuring instrument with what bounds its readings.
type Instrument struct {
	source.Where
	ID          source.At[string]                               `key:"id" need:"yes" doc:"Short name that visits refer to" example:"clamp-1"`
	Name        source.At[string]                               `key:"name" need:"yes" doc:"What it is" example:"three-phase clamp power meter"`
	Serial      source.At[string]                               `key:"serial" doc:"Serial number" example:"0417-22"`
	Category    source.At[Category]                             `key:"category" doc:"Measurement category and voltage (IEC 61010-2-030)" example:"CAT IV 600 V"`
	Voltage     source.At[Accuracy]                             `key:"voltage-accuracy" doc:"Accuracy of voltage: share of reading and digits of the last place" default:"1 % + 5 digits" example:"0.5 % + 5 digits"`
	Current     source.At[Accuracy]                             `key:"current-accuracy" doc:"Accuracy of current" default:"2 % + 5 digits" example:"1 % + 5 digits"`
	Power       source.At[Accuracy]                             `key:"power-accuracy" doc:"Accuracy of active, reactive and apparent power at power factor 1" default:"3 % + 10 digits" example:"1.5 % + 5 digits"`
	PhaseAngle  source.At[quantity.Displayed[quantity.Degrees]] `key:"phase-error" unit:"°" doc:"Largest error of the angle between voltage and current; its effect on power grows as tan φ" default:"1 °" example:"1 °"`
	Distortion  source.At[Accuracy]                             `key:"distortion-accuracy" doc:"Accuracy of distortion: share of reading and digits" default:"5 % + 5 digits" example:"3 % + 5 digits"`
	SmallestAmp source.At[quantity.Displayed[quantity.Amperes]] `key:"smallest-current" unit:"A" doc:"Below this current, power factor, angle and distortion are not valid" default:"2 A" example:"2 A"`
	Calibrated  source.At[civil.Date]                           `key:"calibrated" doc:"Date of the last calibration" example:"2030-09-02"`
	Due         source.At[civil.Date]                           `key:"calibration-due" doc:"Date the next calibration is due" example:"2031-09-02"`
	Sign        source.At[SignConvention]                       `key:"power-factor-sign" doc:"What a minus before a power factor means on its display: power flows back (power), the current lags (lag) or leads (lead)" default:"not known" example:"power"`
	Certificate source.At[string]                               `key:"certificate" doc:"Number of the calibration certificate" example:"C-30-1182"`
}

// Accuracy is "±(a % of reading + n digits)", the form in which instruments
// state their limits of error.
type Accuracy struct {
	OfReading quantity.Ratio
	Digits    float64
}

var accuracyForm = regexp.MustCompile(`^(?:±\s*)?\(?\s*([0-9.]+)\s*%\s*(?:\+\s*([0-9]+)\s*(?:digits?|dgt))?\s*\)?$`)

// UnmarshalText reads an accuracy such as "1.5 % + 5 digits".
func (a *Accuracy) UnmarshalText(text []byte) error {
	m := accuracyForm.FindStringSubmatch(strings.TrimSpace(string(text)))
	if m == nil {
		return &diag.Problem{What: fmt.Sprintf("%q is not an accuracy", text), Expected: "a share of the reading and digits, such as 1.5 % + 5 digits"}
	}
	share, _, err := quantity.Number(m[1])
	if err != nil {
		return err
	}
	a.OfReading = quantity.Ratio(share / 100)
	if m[2] != "" {
		a.Digits, _, err = quantity.Number(m[2])
	}
	return err
}

// Category is a measurement category with its voltage, "CAT IV 600 V".
type Category struct {
	Class int // 2, 3 or 4
	Volts quantity.VoltsLN
}

var categoryClasses = []string{"II", "III", "IV"}

// UnmarshalText reads a category.
func (c *Category) UnmarshalText(text []byte) error {
	const expected = "category and voltage, such as CAT III 600 V"
	f := strings.Fields(string(text))
	if len(f) != 4 || f[0] != "CAT" {
		return &diag.Problem{What: fmt.Sprintf("%q is not a measurement category", text), Expected: expected}
	}
	for i, class := range categoryClasses {
		if f[1] == class {
			c.Class = i + 2
		}
	}
	if c.Class == 0 {
		p := diag.OneOf("category", f[1], categoryClasses)
		p.Expected = expected
		return p
	}
	v, err := quantity.Parse[quantity.VoltsLN](f[2] + " " + f[3])
	if err == nil && v.Value <= 0 {
		return &diag.Problem{What: fmt.Sprintf("%q is not a measurement category", text), Expected: expected}
	}
	c.Volts = v.Value
	return err
}

// String gives the category as typed.
func (c Category) String() string {
	if c.Class == 0 {
		return "not stated"
	}
	return fmt.Sprintf("CAT %s %.0f V", categoryClasses[c.Class-2], float64(c.Volts))
}

// Colour is a colour in the form #rrggbb.
type Colour string

var colourForm = regexp.MustCompile(`^#[0-9a-fA-F]{6}$`)

// UnmarshalText reads a colour.
func (c *Colour) UnmarshalText(text []byte) error {
	if !colourForm.Match(text) {
		return &diag.Problem{What: fmt.Sprintf("%q is not a colour", text), Expected: "# and six hexadecimal digits, such as #0d5b66"}
	}
	*c = Colour(strings.ToLower(string(text)))
	return nil
}

// Paper is the paper that a report is printed on.
type Paper string

// The papers.
const (
	A4     Paper = "A4"
	Letter Paper = "Letter"
)

// UnmarshalText reads A4 or Letter.
func (p *Paper) UnmarshalText(text []byte) error {
	switch strings.ToLower(string(text)) {
	case "a4":
		*p = A4
	case "letter":
		*p = Letter
	default:
		return diag.OneOf("paper", string(text), []string{string(A4), string(Letter)})
	}
	return nil
}

// Accuracies are the limits of error of an instrument with its defaults filled in.
type Accuracies struct {
	Voltage, Current, Power, Distortion Accuracy
	PhaseAngle                          quantity.Degrees
	SmallestCurrent                     quantity.Amperes
}

// Limits gives the instrument's limits of error; what provider.toml leaves out
// takes the default of the data reference.
func (i Instrument) Limits() Accuracies {
	return Accuracies{
		Voltage:         or(i.Voltage, Accuracy{0.01, 5}),
		Current:         or(i.Current, Accuracy{0.02, 5}),
		Power:           or(i.Power, Accuracy{0.03, 10}),
		Distortion:      or(i.Distortion, Accuracy{0.05, 5}),
		PhaseAngle:      or(i.PhaseAngle, quantity.Displayed[quantity.Degrees]{Value: 1}).Value,
		SmallestCurrent: or(i.SmallestAmp, quantity.Displayed[quantity.Amperes]{Value: 2}).Value,
	}
}

func or[T any](a source.At[T], standard T) T {
	if a.IsSet() {
		return a.Value
	}
	return standard
}
