package tariff

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"

	"auditgen/internal/diag"
	"auditgen/internal/money"
	"auditgen/internal/say"
)

// Ratio is an exact power factor, 0 to 1, or a tangent, which may be higher.
type Ratio struct{ decimal.Decimal }

// UnmarshalText reads a power factor.
func (r *Ratio) UnmarshalText(text []byte) error {
	d, err := money.ParseDecimal(string(text))
	if err != nil || d.IsNegative() || d.GreaterThan(decimal.New(100, 0)) {
		return &diag.Problem{What: fmt.Sprintf("%q is not a power factor", text), Expected: "a number from 0 to 1, such as 0.95"}
	}
	r.Decimal = d
	return nil
}

// FactorRule tells which power factor a tariff looks at.
type FactorRule int

// The rules. Average is kWh / sqrt(kWh² + kvarh²) over the bill; Peak is the
// highest kW over the highest kVA, which need not fall together; AtPeak is that
// of the window with the highest kW; Tangent is kvarh / kWh.
const (
	Average FactorRule = iota
	Peak
	AtPeak
	Tangent
)

// UnmarshalText reads one of the words.
func (r *FactorRule) UnmarshalText(text []byte) error {
	return oneOfWords((*int)(r), "power factor", string(text), "average", "peak", "at peak", "tangent")
}

// LeadingRule tells what a leading power factor counts as.
type LeadingRule int

// The rules.
const (
	LeadingIgnored LeadingRule = iota // counts as 1
	LeadingCharged                    // counts like a lagging one
)

// UnmarshalText reads ignored or charged.
func (r *LeadingRule) UnmarshalText(text []byte) error {
	switch string(text) {
	case "ignored":
		*r = LeadingIgnored
	case "charged":
		*r = LeadingCharged
	default:
		return diag.OneOf("rule for leading power factor", string(text), []string{"ignored", "charged"})
	}
	return nil
}

// list words a list: "a", "a and b", "a, b and c".
func list(words []string) string { return listIn(nil, words) }

// listIn words it in a language.
func listIn(lang *say.Language, words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return lang.F("%s and %s", strings.Join(words[:len(words)-1], ", "), words[len(words)-1])
}

// percent prints a fraction as a percentage.
func percent(fraction decimal.Decimal) string { return fraction.Shift(2).String() + " %" }
