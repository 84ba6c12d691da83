package tariff_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"auditgen/internal/diag"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

var update = flag.Bool("update", false, "write the faults of testdata/tariffs/bad as they are")

// TestBadTariffs holds every fault of each wrong tariff to its exact words.
func TestBadTariffs(t *testing.T) {
	paths, err := filepath.Glob("../../testdata/tariffs/bad/*.txtar")
	if err != nil || len(paths) < 15 {
		t.Fatalf("found %d bad tariffs (%v)", len(paths), err)
	}
	for _, path := range paths {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar"), func(t *testing.T) {
			a, err := txtar.ParseFile(path)
			if err != nil {
				t.Fatal(err)
			}
			var faults diag.List
			if tar := tariff.Read(source.YAML("tariff.yaml", a.Files[0].Data, &faults), &faults); tar != nil {
				t.Error("a bad tariff was read")
			}
			var got strings.Builder
			faults.Write(&got)
			if *update {
				a.Files[1].Data = []byte(got.String())
				if err := os.WriteFile(path, txtar.Format(a), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if want := string(a.Files[1].Data); got.String() != want {
				t.Errorf("got:\n%s\nwant:\n%s", got.String(), want)
			}
		})
	}
}
