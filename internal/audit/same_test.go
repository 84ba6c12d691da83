package audit

import (
	"os"
	"reflect"
	"runtime"
	"testing"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/site"
)

func example(t testing.TB) *site.Record {
	t.Helper()
	var faults diag.List
	rec := site.Read(site.Folder{FS: os.DirFS("../.."), Dir: "sites/example"}, civil.Date{}, &faults)
	if rec == nil {
		t.Fatal(faults.Err())
	}
	return rec
}

// The same files give the same figures and the same working, step by step, on
// one processor or several.
func TestTwoRunsAreTheSame(t *testing.T) {
	for name, rec := range map[string]*site.Record{"mixed": mixed.record(t), "example": example(t)} {
		a, err := Run(rec)
		if err != nil {
			t.Fatal(err)
		}
		before := runtime.GOMAXPROCS(1)
		b, err := Run(rec)
		runtime.GOMAXPROCS(before)
		if err != nil {
			t.Fatal(err)
		}
		for i, st := range a.Sheet.Steps() {
			if other := b.Sheet.Steps()[i]; !reflect.DeepEqual(st, other) {
				t.Fatalf("%s: step %d is %+v, then %+v", name, i, st, other)
			}
		}
		x, y := reflect.ValueOf(*a), reflect.ValueOf(*b)
		for i := range x.NumField() {
			f := x.Type().Field(i)
			if f.IsExported() && f.Name != "Sheet" && !reflect.DeepEqual(x.Field(i).Interface(), y.Field(i).Interface()) {
				t.Errorf("%s: %s differs between two runs", name, f.Name)
			}
		}
	}
}

// The contributions are shares of one variance, largest first.
func TestContributionsAreShares(t *testing.T) {
	r := mixed.run(t)
	for name, cs := range map[string][]Contribution{"energy": r.Contributions, "cost": r.CostContributions} {
		sum := 0.0
		for i, c := range cs {
			sum += c.Share
			if c.Label == "" || c.Mend == "" && c.Assumed || c.Share < 0 || i > 0 && c.ID != Together && c.Share > cs[i-1].Share {
				t.Errorf("%s: %+v at %d", name, c, i)
			}
		}
		nearly(t, name, sum, 1, 1e-9)
	}
}

// BenchmarkRun works the demonstration site's year out.
func BenchmarkRun(b *testing.B) {
	rec := example(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Run(rec); err != nil {
			b.Fatal(err)
		}
	}
}
