package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/working"
)

func formulaCommand() *cobra.Command {
	return &cobra.Command{
		Use:   "formula [NAME [SYMBOL=VALUE ...]]",
		Short: "Work a formula out by hand, with its source",
		Long: `Without a name, list the formulas that reports are worked out with. With a name, or some words
of it, show what is found: its text, its source, and the units of its symbols. With a value for
each symbol, work it out; a symbol of a series is given once for each of its values.

Values carry their unit, as in the files; a power factor or another ratio may also be a plain
number. An amount of money carries its currency. Bills are worked out by the command bill.

Exit status: 0 printed, 2 there is no such formula, or a value cannot be used.`,
		Example: "  auditgen formula unbalance\n  auditgen formula capacitor for a power factor P=100kW pf_1=0.75 pf_2=0.95\n  auditgen formula voltage unbalance, NEMA U=400V U=380V U=420V\n  auditgen formula simple payback 'C=5400 EUR' 'S=1850 EUR' 'M=50 EUR'",
		RunE: func(c *cobra.Command, args []string) error {
			var words, values []string
			for _, a := range args {
				if strings.Contains(a, "=") {
					values = append(values, a)
				} else {
					words = append(words, a)
				}
			}
			name := strings.Join(words, " ")
			found, err := formulasNamed(name)
			if err != nil {
				return err
			}
			if len(values) > 0 && len(found) > 1 {
				return &usageError{fmt.Errorf("%d formulas have %q in their name: %s", len(found), name, strings.Join(namesOf(found), "; "))}
			}
			if len(values) > 0 {
				return workOut(c.OutOrStdout(), found[0], values)
			}
			for _, f := range found {
				if name == "" {
					fmt.Fprintf(c.OutOrStdout(), "%s: %s\n", f.Name, f.Text)
				} else {
					describe(c.OutOrStdout(), f)
				}
			}
			return nil
		},
	}
}

// formulasNamed gives the formula of a name, or those with all of its words in
// theirs, by name; the empty name gives all.
func formulasNamed(name string) ([]*working.Formula, error) {
	var found []*working.Formula
	var names []string
	for _, f := range working.Formulas() {
		if f.IsExact() && byHand(f) == nil {
			continue
		}
		if strings.EqualFold(f.Name, name) {
			return []*working.Formula{f}, nil
		}
		names = append(names, f.Name)
		if hasWords(f.Name, name) {
			found = append(found, f)
		}
	}
	if len(found) == 0 {
		err := fmt.Errorf("there is no formula %q; auditgen formula lists them all", name)
		if near := diag.Nearest(name, names); near != "" {
			err = fmt.Errorf("%w; did you mean %q?", err, near)
		}
		return nil, &usageError{err}
	}
	slices.SortFunc(found, func(a, b *working.Formula) int { return strings.Compare(a.Name, b.Name) })
	return found, nil
}

func hasWords(name, words string) bool {
	name = strings.ToLower(name)
	for w := range strings.FieldsSeq(strings.ToLower(words)) {
		if !strings.Contains(name, w) {
			return false
		}
	}
	return true
}

func namesOf(fs []*working.Formula) []string {
	names := make([]string, len(fs))
	for i, f := range fs {
		names[i] = f.Name
	}
	return names
}

func describe(w io.Writer, f *working.Formula) {
	fmt.Fprintf(w, "%s\n    %s\n    source: %s\n", f.Name, f.Text, f.Source)
	for i, s := range f.Symbols {
		series := ""
		if f.Series {
			series = ", one for each of the series"
		}
		fmt.Fprintf(w, "    %s in %s%s\n", s, askedFor(f, i), series)
	}
}

func unitsOf(k *quantity.Kind) string {
	switch {
	case k == nil:
		return "plain numbers"
	case isRatio(k):
		return "% or as a plain number"
	}
	return strings.Join(k.Symbols(), ", ")
}

func isRatio(k *quantity.Kind) bool { return k == quantity.KindOf[quantity.Ratio]() }

// workOut prints the formula with its values and what it gives.
func workOut(w io.Writer, f *working.Formula, values []string) error {
	if h := byHand(f); h != nil {
		return workAmounts(w, h, values)
	}
	of, err := valuesOf(f, values, func(i int, text string) (float64, error) { return valueOf(f.Args[i], text) })
	if err != nil {
		return err
	}
	var args []float64
	for _, vs := range of {
		for _, v := range vs {
			args = append(args, v.value)
		}
	}
	result := f.Eval(args...)
	if math.IsNaN(result) || math.IsInf(result, 0) {
		return &usageError{fmt.Errorf("%s gives no number for these values; look at their signs and sizes", f.Name)}
	}
	printWorked(w, f, of, written(f.Result, result))
	return nil
}

func printWorked[V any](w io.Writer, f *working.Formula, of [][]given[V], result string) {
	left, _, _ := strings.Cut(f.Text, " = ")
	fmt.Fprintf(w, "%s\n    %s\n    source: %s\n", f.Name, f.Text, f.Source)
	for i, vs := range of {
		for _, v := range vs {
			fmt.Fprintf(w, "    %s = %s\n", f.Symbols[i], v.text)
		}
	}
	fmt.Fprintf(w, "%s = %s\n", left, result)
}

// figures is how many significant digits a result is printed with: enough to
// check any printed example, fewer than would show how numbers are kept.
const figures = 7

func written(k *quantity.Kind, v float64) string {
	if k == nil {
		return strconv.FormatFloat(v, 'g', figures, 64)
	}
	if isRatio(k) {
		return strconv.FormatFloat(v, 'g', figures, 64) + " (" + k.Write(v, figures) + ")"
	}
	return k.Write(v, figures)
}

// given is a value as typed and as the formula takes it.
type given[V any] struct {
	text  string
	value V
}

// valuesOf reads the values of each symbol, in the order of the symbols.
func valuesOf[V any](f *working.Formula, values []string, read func(i int, text string) (V, error)) ([][]given[V], error) {
	all := make([][]given[V], len(f.Symbols))
	var wrong []error
	for _, text := range values {
		symbol, value, _ := strings.Cut(text, "=")
		i := slices.Index(f.Symbols, symbol)
		if i < 0 {
			wrong = append(wrong, diag.OneOf("symbol", symbol, f.Symbols))
			continue
		}
		if len(all[i]) == 1 && !f.Series {
			wrong = append(wrong, fmt.Errorf("%s is given twice", symbol))
			continue
		}
		v, err := read(i, value)
		if err != nil {
			wrong = append(wrong, fmt.Errorf("%s: %w", symbol, err))
			continue
		}
		all[i] = append(all[i], given[V]{value, v})
	}
	for i, s := range f.Symbols {
		if len(all[i]) == 0 && len(wrong) == 0 {
			wrong = append(wrong, fmt.Errorf("%s is missing, in %s", s, askedFor(f, i)))
		}
	}
	if len(wrong) > 0 {
		return nil, &usageError{joined(wrong)}
	}
	return all, nil
}

// joined makes one error of several, one to a line.
func joined(errs []error) error {
	lines := make([]string, len(errs))
	for i, e := range errs {
		lines[i] = e.Error()
	}
	return errors.New(strings.Join(lines, "\n          "))
}

func valueOf(k *quantity.Kind, text string) (float64, error) {
	if k == nil || isRatio(k) && !strings.Contains(text, "%") {
		v, _, err := quantity.Number(strings.TrimSpace(text))
		return v, err
	}
	v, _, err := k.Read(text)
	return v, err
}
