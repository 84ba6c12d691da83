package main

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/shopspring/decimal"
	"github.com/spf13/cobra"

	"auditgen/internal/assess"
	"auditgen/internal/diag"
	"auditgen/internal/export"
	"auditgen/internal/tariff"
)

func billCommand() *cobra.Command {
	var asJSON, asCSV, billed, compare bool
	var month string
	c := &cobra.Command{
		Use:   "bill SITE",
		Short: "Print the year's bill, line by line",
		Long: `Print the year's bill as the tariff in force makes it of the expected use: an estimate,
not the supplier's bill.

Exit status: 0 printed, 2 something in the files is wrong.`,
		Example: "  auditgen bill sites/example\n  auditgen bill sites/example --month 2031-07\n  auditgen bill sites/example --json\n  auditgen bill sites/example --billed\n  auditgen bill sites/example --compare",
		Args:    func(c *cobra.Command, args []string) error { return oneSite(c, args) },
		RunE: func(c *cobra.Command, args []string) error {
			switch {
			case asJSON && asCSV:
				return &usageError{errors.New("--json and --csv are two forms of one output; choose one")}
			case compare && (billed || month != ""):
				return &usageError{errors.New("--compare is of the whole year on each tariff: leave --billed and --month away")}
			}
			a, f, err := assessOne(args[0], assess.Find)
			if err != nil {
				return err
			}
			switch {
			case billed:
				return billedTable(c.OutOrStdout(), a, f)
			case compare && asJSON:
				return compareJSON(c.OutOrStdout(), a, f)
			case compare && asCSV:
				return compareCSV(c.OutOrStdout(), a)
			case compare:
				return compareTable(c.OutOrStdout(), a)
			}
			bills, err := billsOf(a, month)
			if err != nil {
				return err
			}
			switch {
			case asCSV:
				return export.BillCSV(c.OutOrStdout(), a, bills, f.shown)
			case asJSON:
				return billJSON(c.OutOrStdout(), a, bills, f)
			case month != "":
				return monthTable(c.OutOrStdout(), a, &bills[0], f)
			}
			return yearTable(c.OutOrStdout(), a, f)
		},
	}
	c.Flags().BoolVar(&asJSON, "json", false, "print JSON, amounts as decimal strings")
	c.Flags().BoolVar(&asCSV, "csv", false, "print the lines as CSV")
	c.Flags().BoolVar(&billed, "billed", false, "the supplier's bills of bills.yaml, rebuilt and compared")
	c.Flags().BoolVar(&compare, "compare", false, "the alternatives of site.yaml beside the tariff in force, cheapest first")
	c.Flags().StringVar(&month, "month", "", "one month in full, such as 2031-07")
	return c
}

func billsOf(a *assess.Assessment, month string) ([]tariff.Bill, error) {
	if month == "" {
		return a.Bills, nil
	}
	for i := range a.Bills {
		if a.Bills[i].Period.String() == month {
			return a.Bills[i : i+1], nil
		}
	}
	return nil, &usageError{fmt.Errorf("there is no bill for %q: the months are %s to %s", month, a.Bills[0].Period, a.Bills[len(a.Bills)-1].Period)}
}

type jsonLine struct {
	Label    string `json:"label"`
	Quantity string `json:"quantity"`
	Unit     string `json:"unit"`
	Price    string `json:"price"`
	Amount   string `json:"amount"`
	At       string `json:"at"`
}

type jsonBill struct {
	From   string     `json:"from"`
	To     string     `json:"to"`
	Logged bool       `json:"logged"` // made from the meter's log; else expected
	Lines  []jsonLine `json:"lines"`
	Total  string     `json:"total"`
}

type jsonBills struct {
	Currency string     `json:"currency"`
	Bills    []jsonBill `json:"bills"`
	Total    string     `json:"total"`
}

func billJSON(w io.Writer, a *assess.Assessment, bills []tariff.Bill, f place) error {
	places := a.Record.Tariff.File.Currency.Value.Places
	out := jsonBills{Currency: a.Currency, Bills: jsonOf(a, bills, places, f)}
	total := decimal.Zero
	for _, b := range bills {
		total = total.Add(b.Total)
	}
	out.Total = export.Amount(total, places)
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(out)
}

func jsonOf(a *assess.Assessment, bills []tariff.Bill, places int32, f place) []jsonBill {
	out := []jsonBill{}
	for _, b := range bills {
		jb := jsonBill{From: b.Period.From.String(), To: b.Period.To.AddDays(-1).String(), Logged: a.Months[b.Period.From.Month-1].Logged(), Lines: []jsonLine{}, Total: export.Amount(b.Total, places)}
		for _, l := range b.Lines {
			jb.Lines = append(jb.Lines, jsonLine{l.Label, l.Quantity.String(), l.Unit, l.PriceText(), export.Amount(l.Amount, places), line(f.shown(l.At))})
		}
		out = append(out, jb)
	}
	return out
}

// line gives file and line of a position.
func line(p diag.Pos) string { return fmt.Sprintf("%s:%d", p.File, p.Line) }

func yearTable(w io.Writer, a *assess.Assessment, f place) error {
	fmt.Fprintf(w, "%s: %d on the tariff %q, expected\n\n", a.Record.Site.Client.Value, a.Year, a.Record.Tariff.File.Name.Value)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "month\tkWh\tkW\tkVA\tpower factor\t"+a.Currency+"\t")
	for i, m := range a.Months {
		fmt.Fprintf(t, "%s\t%s\t%s\t%s\t%.2f\t%s\t%s\n", a.Bills[i].Period, grouped(m.Energy.Value, 0), grouped(m.PeakKW.Value, 1), grouped(m.PeakKVA.Value, 1), m.PF.V, money(a.Bills[i].Total), tabbed(basis(a, i)))
	}
	fmt.Fprintf(t, "year\t%s\t%s\t%s\t\t%s\t\n", grouped(a.Energy.Value, 0), grouped(a.Peak.Value, 1), grouped(a.PeakKVA.Value, 1), money(yearTotal(a)))
	if err := t.Flush(); err != nil {
		return err
	}
	fmt.Fprintln(w)
	t = tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintln(t, "charge\tquantity\tprice\t"+a.Currency+" a year\twhere")
	for _, l := range a.YearLines {
		quantity := "by month"
		if l.Quantity != "" {
			quantity = groupedText(l.Quantity) + " " + l.Unit
		}
		price := l.Price
		if price == "" {
			price = "several"
		}
		d, err := decimal.NewFromString(l.Exact)
		if err != nil {
			return err
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t%12s\t%s\n", l.Label, quantity, price, money(d), line(f.shown(l.At)))
	}
	fmt.Fprintf(t, "total\t\t\t%12s\t\n", money(yearTotal(a)))
	return t.Flush()
}

// basis is what a month's bill is made from.
func basis(a *assess.Assessment, i int) string {
	if a.Months[i].Logged() {
		return "logged"
	}
	return ""
}

// tabbed ends a cell that stands only in some rows.
func tabbed(cell string) string {
	if cell == "" {
		return ""
	}
	return cell + "\t"
}

func yearTotal(a *assess.Assessment) decimal.Decimal {
	total := decimal.Zero
	for _, b := range a.Bills {
		total = total.Add(b.Total)
	}
	return total
}

// money prints an amount with thousands apart, to the last digit it has.
func money(d decimal.Decimal) string { return groupedText(d.StringFixed(max(2, -d.Exponent()))) }

// monthTable prints one bill so that a person can follow it with a calculator.
func monthTable(w io.Writer, a *assess.Assessment, b *tariff.Bill, f place) error {
	fmt.Fprintf(w, "bill of %s, %s\n", b.Period, cmp.Or(basis(a, int(b.Period.From.Month)-1), "expected"))
	for _, l := range b.Lines {
		fmt.Fprintf(w, "\n%s\n  %s × %s = %s %s   (%s)\n", l.Label, l.QuantityText(), l.PriceText(), money(l.Amount), b.Currency.Code, line(f.shown(l.At)))
		for _, how := range l.How {
			fmt.Fprintf(w, "    %s\n", how)
		}
		if l.Note != "" {
			fmt.Fprintf(w, "    %s\n", l.Note)
		}
	}
	fmt.Fprintf(w, "\ntotal %s %s\n", money(b.Total), b.Currency.Code)
	for _, n := range b.Notes {
		fmt.Fprintf(w, "note: %s\n", n)
	}
	return nil
}
