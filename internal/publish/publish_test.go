package publish

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"auditgen/internal/report"
)

func files(pairs ...string) []report.File {
	var fs []report.File
	for i := 0; i < len(pairs); i += 2 {
		fs = append(fs, report.File{Name: pairs[i], Data: []byte(pairs[i+1])})
	}
	return fs
}

func read(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var ns []string
	for _, e := range entries {
		ns = append(ns, e.Name())
	}
	return ns
}

func TestWriteReplacesWhole(t *testing.T) {
	parent := t.TempDir()
	dir := filepath.Join(parent, "deep", "example")
	if err := Write(dir, files("index.html", "one", "2031-05-14/index.html", "old visit")); err != nil {
		t.Fatal(err)
	}
	if err := Write(dir, files("index.html", "two")); err != nil {
		t.Fatal(err)
	}
	if got := read(t, filepath.Join(dir, "index.html")); got != "two" {
		t.Errorf("index.html holds %q", got)
	}
	if got := names(t, dir); !slices.Equal(got, []string{"index.html", manifest}) {
		t.Errorf("a page of the old report is left: %v", got)
	}
	if got := names(t, filepath.Dir(dir)); !slices.Equal(got, []string{"example"}) {
		t.Errorf("something is left beside the report: %v", got)
	}
	info, err := os.Stat(dir)
	if err != nil || info.Mode().Perm()&0o055 != 0o055 {
		t.Errorf("a web server cannot read the folder: %v %v", info.Mode(), err)
	}
}

func TestWriteKeepsTheOldOnFailure(t *testing.T) {
	parent := t.TempDir()
	dir := filepath.Join(parent, "example")
	if err := Write(dir, files("index.html", "one")); err != nil {
		t.Fatal(err)
	}
	for what, bad := range map[string][]report.File{
		"leads out":       files("index.html", "two", "../outside.html", "x"),
		"absolute":        files("/tmp/outside.html", "x"),
		"file and folder": files("a", "x", "a/b", "y"),
	} {
		if err := Write(dir, bad); err == nil {
			t.Errorf("%s: no error", what)
		}
		if got := read(t, filepath.Join(dir, "index.html")); got != "one" {
			t.Errorf("%s: index.html holds %q", what, got)
		}
		if got := names(t, parent); !slices.Equal(got, []string{"example"}) {
			t.Errorf("%s: something is left beside the report: %v", what, got)
		}
	}
}

func TestWriteLeavesForeignFoldersAlone(t *testing.T) {
	dir := t.TempDir()
	letter := filepath.Join(dir, "letter.txt")
	if err := os.WriteFile(letter, []byte("dear"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Write(dir, files("index.html", "x")); !errors.Is(err, ErrForeign) {
		t.Fatalf("error %v", err)
	}
	// A file of that name alone does not make the folder ours.
	if err := os.WriteFile(filepath.Join(dir, manifest), []byte("my list"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Write(dir, files("index.html", "x")); !errors.Is(err, ErrForeign) {
		t.Fatalf("error %v", err)
	}
	if read(t, letter) != "dear" {
		t.Error("the letter changed")
	}
}

func TestManifestListsEachFileOnce(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "r")
	if err := Write(dir, files("b.html", "b", "a.html", "a")); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(strings.TrimPrefix(read(t, filepath.Join(dir, manifest)), manifestHead)), "\n")
	// SHA-256 of "a" and "b", by sha256sum.
	want := []string{
		"ca978112ca1bbdcafac231b39a23dc4da786eff8147c4e72b9807785afee48bb  a.html",
		"3e23e8160039594a33894f6564e1b1348bbd7a0088d42c4acb73eeaed59c009d  b.html",
	}
	if !slices.Equal(lines, want) {
		t.Errorf("manifest lists\n%s", strings.Join(lines, "\n"))
	}
}

func TestWriteFileReplacesWhole(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new")
	path := filepath.Join(dir, "one.html")
	for _, text := range []string{"one", "two"} {
		if err := WriteFile(path, []byte(text)); err != nil {
			t.Fatal(err)
		}
		if got := read(t, path); got != text {
			t.Errorf("the file holds %q", got)
		}
	}
	if got := names(t, dir); !slices.Equal(got, []string{"one.html"}) {
		t.Errorf("something is left beside the file: %v", got)
	}
	info, err := os.Stat(path)
	if err != nil || info.Mode().Perm() != 0o644 {
		t.Errorf("the file's mode is %v (%v)", info.Mode(), err)
	}
	if err := os.Mkdir(filepath.Join(dir, "folder"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := WriteFile(filepath.Join(dir, "folder"), []byte("x")); err == nil {
		t.Error("a folder was replaced by a file")
	}
	if got := names(t, dir); !slices.Equal(got, []string{"folder", "one.html"}) {
		t.Errorf("a failed run leaves %v", got)
	}
}
