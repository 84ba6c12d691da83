package tariff_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
)

// references are the worked bills and rules that were gathered from price
// sheets, printed bills and textbooks, by whose they are, with the directory of
// testdata/published that holds their case.
var references = []struct{ name, dir string }{
	{"University of Nebraska, factory with excess kvar", "bills-excess-kvar"},
	{"Nebraska, irrigation, kW x target / power factor", "bills-irrigation-power-factor"},
	{"New Jersey, shop, fuel credit", "bills-fuel-credit"},
	{"Maharashtra, high tension, incentive", "bills-step-incentive"},
	{"Grenada, household, tax on part", "bills-tax-beyond-energy"},
	{"Fiji, household, subsidy", "bills-subsidy"},
	{"Kerala, household, two months", "bills-subsidy-in-bands"},
	{"Malaysia, power factor surcharge", "bills-surcharge-two-slopes"},
	{"Thailand, household, blocks", "bills-rising-blocks"},
	{"Textbook, hours of use and prompt payment", "bills-prompt-payment"},
	{"Australia, demand per kW and day", "bills-demand-per-day"},
	{"Connecticut, exercises of an assessment centre", "bills-ratchet-exercise"},
	{"Method notes, a ratchet, three periods, a cut of light", "bills-collected-method"},
	{"Seymour, municipal household", "bills-municipal-blocks"},
	{"Mexico, small commercial, two months", "bills-two-months"},
	{"Malaysia, peak and off-peak, low power factor", "bills-peak-off-peak"},
	{"USA, large power service, hours-use credit", "bills-hours-of-use-credit"},
	{"Quebec, billing demand from winter", "bills-winter-floor"},
	{"USA, restaurant, seasons", "bills-restaurant-seasons"},
	{"USA, large general service, time of use", "bills-time-of-use-winter"},
	{"Ontario, two tiers with losses", "bills-tiers-and-losses"},
	{"Quebec, rate G", "bills-free-kilowatts"},
	{"Nova Scotia, winter ratchet", "bills-winter-ratchet"},
	{"British Columbia, discounts in order", "bills-discounts-in-order"},
	{"Mexico, demand from energy", "bills-ratio-surcharge"},
	{"Mexico, hourly tariff with bonus", "bills-ratio-bonus"},
	{"Brazil, contract exceeded, taxes inside", "bills-taxes-inside"},
	{"Chile, school, continuous percentage", "bills-continuous-power-factor"},
	{"Hours use, one split", "bills-hours-of-use"},
	{"Textbook, two-part tariff per kVA", "bills-two-part-kva"},
	{"Textbook, adder for each 1 % of power factor", "bills-power-factor-per-kwh"},
	{"Textbook, two-part tariff per kW", "bills-two-part-kw"},
	{"Textbook, high or low voltage", "bills-voltage-choice"},
	{"Otter Tail, proration by days", "bills-average-month"},
	{"Goodland, large commercial", "bills-plain-commercial"},
	{"Textbook, kVA against kW and kvarh", "bills-kva-or-kvarh"},
	{"Philippines, household 2016, tax by line", "bills-tax-by-line"},
	{"Philippines, high voltage, unbundled", "bills-unbundled"},
	{"Kenya, three months of prices", "bills-prices-by-month"},
	{"Japan, business power", "bills-basic-charge-both-ways"},
	{"Thailand, large business, partial peak", "bills-partial-peak-excess"},
	{"Spain, excess of contracts up to 50 kW", "bills-power-excess"},
	{"Spain, reactive energy of a period", "bills-reactive-allowance"},
	{"Germany, network, reactive by tariff time", "bills-network-reactive-by-time"},
	{"Western Australia, kvar at the peak", "bills-kvar-at-peak"},
	{"Queensland, network per kVA", "bills-network-kva"},
	{"Kerala, time-of-day percentages", "bills-day-percentages"},
	{"Gujarat, demand tiers, night rebate", "bills-demand-tiers-night-rebate"},
	{"Maharashtra and Delhi, slabs by days", "bills-slabs-by-days"},
	{"Malaysia, household from July 2025", "bills-class-by-energy"},
	{"United Kingdom, half-hourly site", "bills-two-calendars"},
	{"Philippines, household 2023, price by class", "bills-price-by-class"},
	{"Mauritius, floor of six months", "bills-six-month-floor"},
	{"Luxembourg, price ceiling", "bills-ceiling"},
	{"South Africa, household blocks", "bills-four-blocks"},
	{"South Africa, large user", "bills-notified-demand"},
	{"France, five periods", "bills-five-periods"},
	{"Spain, root of squares; bands of the maximeter", "bills-excess-of-power"},
	{"Rules of power factor of twenty networks", "bills-factor-rules"},
	{"Open-data record of rates", "bills-record-of-rates"},
	{"Sri Lanka, bands by days, fuel adjustment in percent", "bills-bands-by-days"},
	{"Taiwan, contract with a penalty in two steps", "bills-contract-two-penalties"},
	{"Spain, three contracts and a maximeter", "bills-maximeter-three-periods"},
	{"Hong Kong, off-peak excess and high load factor", "bills-high-load-factor"},
	{"United Kingdom, losses by band and a tax by daily use", "bills-losses-and-threshold"},
}

// withoutCase are those without a case, with the reason.
var withoutCase = map[string]string{
	"Textbook, unit cost from a load factor of 1.78":             "a wrong example: its energy cannot be drawn at its demand; TestImpossibleUse holds the note that such a bill carries",
	"Textbook, 8,760 h multiplied by 12":                         "a wrong example, in which no tariff is at fault",
	"Bureau of Energy Efficiency, capacitors":                    "kvar and kVA of a correction, not a bill; held in testdata/published/power-factor-correction",
	"France, green tariff before 2010, reduced power":            "a formula without numbers; the same form is held by bills-five-periods",
	"Cuba, price by formula of the fuel price":                   "a formula without numbers; its prices are typed by month",
	"Household hours of use over twelve months, Hong Kong rider": "a rider's words without a bill; TestMeanHoursOfUse prices it, and testdata/tariffs/forms/if-long-hours-of-use the form by one bill",
}

func TestEveryReferenceHasACase(t *testing.T) {
	dirs, err := filepath.Glob("../../testdata/published/bills-*")
	if err != nil {
		t.Fatal(err)
	}
	var listed []string
	for _, r := range references {
		listed = append(listed, r.dir)
		if cases, err := filepath.Glob(filepath.Join("../../testdata/published", r.dir, "case*.yaml")); err != nil || len(cases) == 0 {
			t.Errorf("%s: %s has no case (%v)", r.name, r.dir, err)
		}
		if _, both := withoutCase[r.name]; both {
			t.Errorf("%s has a case and a reason for none", r.name)
		}
	}
	for _, dir := range dirs {
		if info, err := os.Stat(dir); err == nil && info.IsDir() && !slices.Contains(listed, filepath.Base(dir)) {
			t.Errorf("%s is not listed", filepath.Base(dir))
		}
	}
	if len(withoutCase) > 6 {
		t.Errorf("%d references have no case", len(withoutCase))
	}
}
