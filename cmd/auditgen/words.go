package main

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode/utf8"

	"auditgen/internal/audit"
	"auditgen/internal/finding"
	"auditgen/internal/report"
	"auditgen/internal/say"
	"auditgen/internal/working"
)

// grouped prints a number with thousands apart.
func grouped(v float64, decimals int) string {
	return groupedText(strconv.FormatFloat(v, 'f', decimals, 64))
}

// groupedText sets the thousands of a printed number apart. A zero has no sign.
func groupedText(text string) string {
	digits, negative := strings.CutPrefix(text, "-")
	whole, frac, _ := strings.Cut(digits, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if frac != "" {
		whole += "." + frac
	}
	if negative && strings.Trim(whole, "0.,") != "" {
		return "-" + whole
	}
	return whole
}

// headline writes a finding's headline with its figures, each with as many digits
// as its interval allows.
func headline(lang *say.Language, f finding.Finding) string {
	text := report.Plain(lang, f.Headline)
	fill := func(name string, i audit.Interval) {
		value, _, _ := report.Digits(lang, i)
		text = strings.ReplaceAll(text, "{"+name+"}", value+" "+i.Unit)
	}
	if f.Cost != nil {
		fill("cost", *f.Cost)
	}
	for name, i := range f.Figures {
		fill(name, i)
	}
	_, first := utf8.DecodeRuneInString(text)
	return strings.ToUpper(text[:first]) + text[first:]
}

// prefixed are the base units that are shown in thousands.
var prefixed = map[string]string{"W": "kW", "Wh": "kWh", "VA": "kVA", "var": "kvar", "varh": "kvarh"}

// value prints a step's value with its unit.
func value(st working.Step) string {
	if st.Exact != nil {
		text := st.Exact.String()
		return strings.TrimSpace(text + " " + st.Unit)
	}
	if k, ok := prefixed[st.Unit]; ok {
		return significant(st.Value/1e3) + " " + k
	}
	return strings.TrimSpace(significant(st.Value) + " " + st.Unit)
}

// significant prints six significant digits without an exponent.
func significant(v float64) string {
	if v == 0 {
		return "0"
	}
	decimals := max(0, 5-int(math.Floor(math.Log10(math.Abs(v)))))
	text := strconv.FormatFloat(v, 'f', min(decimals, 9), 64)
	if strings.Contains(text, ".") {
		text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	}
	return text
}

func count(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
