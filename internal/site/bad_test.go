package site_test

import (
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/site"
)

var update = flag.Bool("update", false, "write the expected files anew")

const badFolder = "../../testdata/bad"

// files reads a folder into memory.
func files(t testing.TB, dir string) fstest.MapFS {
	t.Helper()
	m := fstest.MapFS{}
	root := os.DirFS(dir)
	err := fs.WalkDir(root, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(root, name)
		m[name] = &fstest.MapFile{Data: data}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func good(t testing.TB) fstest.MapFS { return files(t, filepath.Join(badFolder, "good")) }

func readMill(m fs.FS, visit civil.Date) (*site.Record, string) {
	var faults diag.List
	rec := site.Read(site.Folder{FS: m, Dir: "sites/mill"}, visit, &faults)
	var b strings.Builder
	faults.Write(&b)
	return rec, b.String()
}

// change applies a change.txt.
func change(t testing.TB, m fstest.MapFS, text string) {
	t.Helper()
	var file string
	var take, put []string
	flush := func() {
		if len(take)+len(put) == 0 {
			return
		}
		f := m[file]
		if f == nil {
			f = &fstest.MapFile{}
			m[file] = f
		}
		old, changed := strings.Join(take, ""), strings.Join(put, "")
		switch {
		case len(take) == 0:
			f.Data = append(f.Data, changed...)
		case strings.Count(string(f.Data), old) != 1:
			t.Fatalf("%s holds this %d times:\n%s", file, strings.Count(string(f.Data), old), old)
		default:
			f.Data = []byte(strings.Replace(string(f.Data), old, changed, 1))
		}
		take, put = nil, nil
	}
	for line := range strings.Lines(text) {
		switch {
		case strings.HasPrefix(line, "file: "):
			flush()
			file = strings.TrimSpace(line[len("file: "):])
		case strings.TrimSpace(line) == "delete":
			if m[file] == nil {
				t.Fatalf("there is no %s to delete", file)
			}
			delete(m, file)
		case strings.HasPrefix(line, "-"):
			if len(put) > 0 {
				flush()
			}
			take = append(take, line[1:])
		case strings.HasPrefix(line, "+"):
			put = append(put, line[1:])
		case strings.TrimSpace(line) == "":
			flush()
		default:
			t.Fatalf("not a line of a change: %q", line)
		}
	}
	flush()
}

// TestBadInput holds what is said about each wrong input to the letter.
func TestBadInput(t *testing.T) {
	if _, faults := readMill(good(t), civil.Date{}); faults != "" {
		t.Fatalf("the good site has faults:\n%s", faults)
	}
	cases, err := filepath.Glob(filepath.Join(badFolder, "*", "change.txt"))
	if err != nil || len(cases) < 40 {
		t.Fatalf("%d cases, %v", len(cases), err)
	}
	for _, name := range cases {
		dir := filepath.Dir(name)
		t.Run(filepath.Base(dir), func(t *testing.T) {
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			m := good(t)
			change(t, m, string(text))
			rec, got := readMill(m, civil.Date{})
			if rec != nil || got == "" {
				t.Fatal("the site was read without fault")
			}
			expected := filepath.Join(dir, "faults.txt")
			if *update {
				if err := os.WriteFile(expected, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(expected)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("got\n%swant\n%s", got, want)
			}
			plainWords(t, got)
		})
	}
}

// tenCases are the mistakes that must be told well, and together.
var tenCases = []string{"unit-missing", "unknown-key", "phase-unknown", "date-impossible", "duty-above-100", "reading-unknown", "tariff-missing", "count-negative", "tab", "load-id-twice"}

// TestTenAtOnce: the case with ten mistakes tells ten faults, each as it is told
// alone.
func TestTenAtOnce(t *testing.T) {
	read := func(name string) []string {
		data, err := os.ReadFile(filepath.Join(badFolder, name, "faults.txt"))
		if err != nil {
			t.Fatal(err)
		}
		return strings.Split(strings.TrimSuffix(string(data), "\n"), "\n")
	}
	var alone []string
	for _, name := range tenCases {
		faults := read(name)
		if len(faults) != 1 {
			t.Errorf("%s tells %d faults", name, len(faults))
		}
		alone = append(alone, said(faults[0]))
	}
	var together []string
	for _, f := range read("ten-at-once") {
		together = append(together, said(f))
	}
	slices.Sort(alone)
	slices.Sort(together)
	if !slices.Equal(alone, together) {
		t.Errorf("together\n%s\nalone\n%s", strings.Join(together, "\n"), strings.Join(alone, "\n"))
	}
}

// said is a fault without its line, which moves when lines are added above.
func said(fault string) string {
	m := placed.FindStringSubmatch(fault)
	return m[1] + fault[len(m[0]):]
}
