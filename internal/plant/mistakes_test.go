package plant

import (
	"flag"
	"os"
	"path/filepath"
	"testing"
)

var update = flag.Bool("update", false, "write the sites with mistakes anew")

const doubtsDir = "../../testdata/doubts"

// The sites with mistakes hold what the model gives with the mistake made, and
// nothing else.
func TestSitesWithMistakesComeFromTheModel(t *testing.T) {
	known := map[string]bool{}
	for _, m := range Mistakes() {
		if known[m.Name] {
			t.Errorf("%s is there twice", m.Name)
		}
		known[m.Name] = true
		for name, text := range m.Files {
			path := filepath.Join(doubtsDir, m.Name, filepath.FromSlash(name))
			if *update {
				if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			got, err := os.ReadFile(path)
			if err != nil {
				t.Error(err)
			} else if string(got) != text {
				t.Errorf("%s is not what the model gives; if the change is meant: go test ./internal/plant -update", path)
			}
		}
	}
	entries, err := os.ReadDir(doubtsDir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.IsDir() && e.Name() != "tariffs" && !known[e.Name()] {
			t.Errorf("%s belongs to no mistake", e.Name())
		}
	}
}
