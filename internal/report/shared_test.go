package report

import (
	"io/fs"
	"os"
	"path"
	"sync"
	"testing"

	"auditgen/internal/assess"
	"auditgen/internal/charts"
	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/say"
	record "auditgen/internal/site"
	"auditgen/themes"
)

var renderer = charts.NewRenderer()

func folio(t testing.TB) fs.FS {
	t.Helper()
	sub, err := fs.Sub(themes.Files, "folio")
	if err != nil {
		t.Fatal(err)
	}
	return sub
}

var (
	once   sync.Once
	shared *assess.Assessment
)

// ledger is the second theme, laid over the first.
func ledger(t testing.TB) fs.FS {
	t.Helper()
	sub, err := fs.Sub(themes.Files, "ledger")
	if err != nil {
		t.Fatal(err)
	}
	return Overlay(sub, folio(t))
}

// example is the demonstration site, worked out once for all tests: none of them
// may change it.
func example(t testing.TB) *assess.Assessment {
	t.Helper()
	once.Do(func() { shared = assessed(t) })
	if shared == nil {
		t.Fatal("the example could not be worked out")
	}
	return shared
}

// assessed works the demonstration site out anew.
func assessed(t testing.TB) *assess.Assessment { return assessedIn(t, nil) }

// assessedIn works the demonstration site out in a language.
func assessedIn(t testing.TB, words *say.Language) *assess.Assessment {
	t.Helper()
	root := path.Join("..", "..")
	var faults diag.List
	rec := record.Read(record.Folder{FS: os.DirFS(root), Dir: "sites/example"}, civil.Date{}, &faults)
	if rec == nil {
		t.Fatal(faults.Sorted())
	}
	if words != nil {
		rec.Words = words
	}
	a, err := assess.Assess(rec)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// input is that of a report with the theme folio.
func input(t testing.TB, as ...*assess.Assessment) Input {
	t.Helper()
	return Input{Visits: as, Theme: folio(t), Draw: renderer}
}

// build makes the pages of assessments with the theme folio.
func build(t testing.TB, as ...*assess.Assessment) []File {
	t.Helper()
	files, err := Build(input(t, as...))
	if err != nil {
		t.Fatal(err)
	}
	keep(t, files)
	return files
}

// buildWhole makes the one document of assessments.
func buildWhole(t testing.TB, as ...*assess.Assessment) File {
	t.Helper()
	file, err := Whole(input(t, as...))
	if err != nil {
		t.Fatal(err)
	}
	return file
}

// keep leaves pages where a person can look at them, when asked to.
func keep(t testing.TB, files []File) {
	t.Helper()
	if dir := os.Getenv("REPORT_PAGES"); dir != "" {
		for _, f := range files {
			name := path.Join(dir, t.Name(), f.Name)
			if err := os.MkdirAll(path.Dir(name), 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(name, f.Data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}
