package intake

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/quantity"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

func readRate(t *testing.T, file string, o RateOptions) *Rate {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	var faults diag.List
	r := ReadRate(filepath.Base(file), data, o, &faults)
	if err := faults.Err(); err != nil {
		t.Fatal(err)
	}
	return r
}

// periodUse is a meter with kWh and kW by time period.
type periodUse struct {
	t  *tariff.Tariff
	by map[string][2]float64
}

func (u periodUse) each(slots tariff.SlotSet, take func(kwh, kw float64)) {
	for name, v := range u.by {
		if in := u.t.Within(name).And(slots); !in.Empty() {
			take(v[0], v[1])
		}
	}
}

func (u periodUse) Energy(slots tariff.SlotSet) (sum quantity.WattHours) {
	u.each(slots, func(kwh, _ float64) { sum += quantity.WattHours(kwh * 1000) })
	return sum
}
func (u periodUse) Reactive(tariff.SlotSet) quantity.VarHours { return 0 }
func (u periodUse) Demand(slots tariff.SlotSet, _ tariff.DemandUnit, _ int) (top float64) {
	u.each(slots, func(_, kw float64) { top = max(top, kw*1000) })
	return top
}

func TestRateRecordMakesItsBill(t *testing.T) {
	var want struct {
		Use          map[string][2]float64
		Past         struct{ Charge, Month, Demand string }
		Month        string
		Amounts      map[string]decimal.Decimal
		Total        decimal.Decimal
		WithoutFloor decimal.Decimal `json:"without_floor"`
	}
	expected(t, "intervals-rate-record", &want)
	r := readRate(t, filepath.Join(published, "intervals-rate-record", "record.json"), RateOptions{})
	tar := readTariff(t, string(r.YAML))
	use := []tariff.Use{periodUse{tar, want.Use}}
	var past tariff.Amount
	if err := past.UnmarshalText([]byte(want.Past.Demand)); err != nil {
		t.Fatal(err)
	}
	for total, o := range map[string]tariff.Options{
		want.Total.String():        {Earlier: []tariff.Past{{Period: month(t, want.Past.Month), Charge: want.Past.Charge, Demand: past}}},
		want.WithoutFloor.String(): {},
	} {
		bills, err := tar.PriceYear([]tariff.Period{month(t, want.Month)}, use, o)
		if err != nil {
			t.Fatal(err)
		}
		if got := bills[0].Total.String(); got != total {
			t.Errorf("total %s, want %s", got, total)
		}
		for _, l := range bills[0].Lines {
			if w, ok := want.Amounts[l.ID]; len(o.Earlier) > 0 && (!ok || !w.Equal(l.Amount)) {
				t.Errorf("%s: %s, want %s", l.ID, l.Amount, w)
			}
		}
	}
}

// Each record becomes the tariff beside it, which is read without a fault, and
// says at its head what was left and what was taken.
func TestRateRecords(t *testing.T) {
	files, err := filepath.Glob("../../testdata/intervals/records/*.json")
	if err != nil || len(files) < 4 {
		t.Fatalf("%d records: %v", len(files), err)
	}
	for _, file := range files {
		r := readRate(t, file, RateOptions{Currency: map[bool]string{true: "CAD"}[strings.HasSuffix(file, "odd-units.json")]})
		readTariff(t, string(r.YAML))
		beside := strings.TrimSuffix(file, ".json") + ".yaml"
		if *update {
			if err := os.WriteFile(beside, r.YAML, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(beside)
		if err != nil || !bytes.Equal(want, r.YAML) {
			t.Errorf("%s is not what comes of the record: %v\n%s", beside, err, r.YAML)
		}
	}
}

func TestRateFaults(t *testing.T) {
	const whole = `{"label":"x","name":"n","country":"USA","startdate":1893456000,"energyratestructure":[[{"rate":0.1}]]}`
	for _, c := range []struct{ text, want string }{
		{``, "r.json:1:1: the JSON cannot be read: unexpected end of JSON input; expected a record of the rate database"},
		{"{\n \"name\": nope}", "r.json:2:11: the JSON cannot be read: invalid character 'o' in literal null (expecting 'u'); expected a record of the rate database"},
		{`{"name":"n"}`, "r.json:1:1: the record has no prices; expected energyratestructure, demandratestructure, flatdemandstructure or a fixed charge"},
		{`[` + whole + `,` + whole + `]`, "r.json:1:1: the file holds 2 records: x, x; expected the label of one of them"},
		{strings.Replace(whole, `"startdate":1893456000,`, "", 1), "r.json:1:1: the record does not say from when it holds; expected the first day, such as 2031-01-01"},
		{strings.Replace(whole, `USA`, "FRA", 1), "r.json:1:25: the record is of FRA and does not name its currency; expected the currency, as an ISO 4217 code"},
		{strings.Replace(whole, `0.1`, `"dear"`, 1), `r.json:1:64: energyratestructure cannot be read: "dear" is not a number that a tariff has`},
		{strings.Replace(whole, `{"rate":0.1}`, `{"rate":0.1},{"rate":0.2}`, 1), "r.json:1:64: energyratestructure: tier 0 of period 0 has no upper edge; expected max: in every tier but the last"},
		{strings.Replace(whole, `]]`, `],[{"rate":1}]],"energyweekdayschedule":[[0]]`, 1),
			"r.json:1:1: there are 2 periods, and no energyweekendschedule says when they are; expected 12 rows of 24 period numbers\n" +
				"r.json:1:116: energyweekdayschedule is not a table of 12 months by 24 hours with numbers of periods that are there; expected 12 rows of 24 numbers from 0 to 1"},
	} {
		var faults diag.List
		if r := ReadRate("r.json", []byte(c.text), RateOptions{}, &faults); r != nil {
			t.Errorf("%s is taken", c.text)
		}
		if err := faults.Err(); err == nil || err.Error() != c.want {
			t.Errorf("%s:\n%v\nwant\n%s", c.text, err, c.want)
		}
	}
	var faults diag.List
	o := RateOptions{From: civil.Date{Year: 2031, Month: 2, Day: 1}, Currency: "EUR", Record: "x"}
	r := ReadRate("r.json", []byte(`{"items":[`+strings.Replace(whole, "USA", "FRA", 1)+`,{"label":"y"}]}`), o, &faults)
	if r == nil || !strings.Contains(string(r.YAML), "currency: EUR\nfrom: 2031-02-01\n") {
		t.Errorf("%v %v", faults.Err(), r)
	}
}

// FuzzReadRate: whatever the record, the tariff made of it is read without a
// fault.
func FuzzReadRate(f *testing.F) {
	files, _ := filepath.Glob("../../testdata/intervals/records/*.json")
	for _, file := range append(files, filepath.Join(published, "intervals-rate-record", "record.json")) {
		data, err := os.ReadFile(file)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		var faults diag.List
		r := ReadRate("r.json", data, RateOptions{Currency: "USD", From: civil.Date{Year: 2031, Month: 1, Day: 1}}, &faults)
		if r == nil {
			if faults.Err() == nil {
				t.Fatal("no tariff, and no fault")
			}
			return
		}
		if tariff.Read(source.YAML("r.yaml", r.YAML, &faults), &faults) == nil {
			t.Fatalf("%v\n%s", faults.Err(), r.YAML)
		}
	})
}
