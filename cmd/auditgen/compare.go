package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"github.com/shopspring/decimal"

	"auditgen/internal/assess"
	"auditgen/internal/audit"
	"auditgen/internal/export"
)

// compareTable prints the tariffs by the cost of the year, and what would bring
// each level with the one in force.
func compareTable(w io.Writer, a *assess.Assessment) error {
	if len(a.Tariffs) == 0 {
		_, err := fmt.Fprintln(w, "The site lists no alternatives: alternatives: in site.yaml, with names of files in tariffs/.")
		return err
	}
	fmt.Fprintf(w, "%s: %d on each tariff, expected\n\n", a.Record.Site.Client.Value, a.Year)
	t := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	fmt.Fprintln(t, "tariff\t"+a.Currency+"\tdifference\t")
	for _, p := range a.Tariffs {
		difference := "in force"
		if !p.InForce {
			difference = signedMoney(p.Difference)
		}
		fmt.Fprintf(t, "%s\t%s\t%s\t\n", p.File, money(p.Exact), difference)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	for _, p := range a.Tariffs {
		if p.InForce {
			continue
		}
		fmt.Fprintf(w, "\n%s costs what the tariff in force costs\n", p.File)
		for _, turn := range p.Turns {
			fmt.Fprintf(w, "  %s\n", turnText(turn))
		}
		for _, n := range notesOf(p) {
			fmt.Fprintf(w, "  note: %s\n", n)
		}
	}
	_, err := fmt.Fprintln(w, "\nWho may have which tariff, terms and notice are the supplier's word.")
	return err
}

// notesOf lists what the bills of a tariff are noted with, each once.
func notesOf(p audit.PricedTariff) []string {
	notes := []string{}
	seen := map[string]bool{}
	for _, b := range p.Bills {
		for _, n := range b.Notes {
			if !seen[n] {
				seen[n] = true
				notes = append(notes, n)
			}
		}
	}
	return notes
}

func turnText(t audit.Turn) string {
	name := map[string]string{"energy": "energy, demand in proportion", "demand": "demand alone", "power factor": "power factor alone"}[t.Of]
	print := func(v float64) string {
		switch t.Now.Unit {
		case "Wh":
			return grouped(v/1e3, 0) + " kWh"
		case "W":
			return grouped(v/1e3, 1) + " kW"
		}
		return fmt.Sprintf("%.2f", v)
	}
	if !t.At.Known() {
		return fmt.Sprintf("%s: nowhere from %s to %s (now %s)", name, print(t.From), print(t.To), print(t.Now.V))
	}
	return fmt.Sprintf("%s: at %s (now %s)", name, print(t.At.V), print(t.Now.V))
}

func signedMoney(d decimal.Decimal) string {
	if d.IsPositive() {
		return "+" + money(d)
	}
	return money(d)
}

type jsonTurn struct {
	Of   string   `json:"of"`
	Unit string   `json:"unit"`
	Now  float64  `json:"now"`
	At   *float64 `json:"at"` // null where there is none
	From float64  `json:"from"`
	To   float64  `json:"to"`
}

type jsonTariff struct {
	Tariff     string     `json:"tariff"`
	Name       string     `json:"name"`
	InForce    bool       `json:"in_force"`
	Cost       string     `json:"cost"`
	Difference string     `json:"difference"`
	Level      []jsonTurn `json:"level_at"`
	Notes      []string   `json:"notes"`
	Bills      []jsonBill `json:"bills"`
}

// compareJSON prints the same with every bill in full.
func compareJSON(w io.Writer, a *assess.Assessment, f place) error {
	places := a.Record.Tariff.File.Currency.Value.Places
	out := struct {
		Currency string       `json:"currency"`
		Tariffs  []jsonTariff `json:"tariffs"`
	}{a.Currency, []jsonTariff{}}
	for _, p := range a.Tariffs {
		jt := jsonTariff{Tariff: p.File, Name: p.Name, InForce: p.InForce, Cost: export.Amount(p.Exact, places), Difference: export.Amount(p.Difference, places), Level: []jsonTurn{}, Notes: notesOf(p), Bills: jsonOf(a, p.Bills, places, f)}
		for _, t := range p.Turns {
			k := map[string]float64{"Wh": 1e3, "W": 1e3, "": 1}[t.Now.Unit]
			jt.Level = append(jt.Level, jsonTurn{Of: t.Of, Unit: map[string]string{"Wh": "kWh", "W": "kW", "": "1"}[t.Now.Unit], Now: t.Now.V / k, From: t.From / k, To: t.To / k})
			if t.At.Known() {
				at := t.At.V / k
				jt.Level[len(jt.Level)-1].At = &at
			}
		}
		out.Tariffs = append(out.Tariffs, jt)
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(out)
}

// compareCSV prints a row for each tariff and month.
func compareCSV(w io.Writer, a *assess.Assessment) error {
	places := a.Record.Tariff.File.Currency.Value.Places
	rows := [][]string{{"tariff", "in_force", "from", "to", "amount_" + strings.ToLower(a.Currency)}}
	for _, p := range a.Tariffs {
		for _, b := range p.Bills {
			rows = append(rows, []string{p.File, fmt.Sprint(p.InForce), b.Period.From.String(), b.Period.To.AddDays(-1).String(), export.Amount(b.Total, places)})
		}
	}
	return csv.NewWriter(w).WriteAll(rows)
}
