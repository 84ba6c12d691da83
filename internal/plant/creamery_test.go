package plant

import (
	"os"
	"strings"
	"testing"
)

const creameryVisit = "../../sites/example/visits/2031-05-14.yaml"

// The demonstration visit must show what the model of the plant gives and
// nothing else: a number edited by hand would break the physics unseen.
func TestDemonstrationReadingsComeFromTheModel(t *testing.T) {
	data, err := os.ReadFile(creameryVisit)
	if err != nil {
		t.Fatal(err)
	}
	_, after, found := strings.Cut(string(data), "\nreadings:\n")
	block, _, closed := strings.Cut(after, "\nloads:\n")
	if !found || !closed {
		t.Fatalf("%s has no readings block followed by loads", creameryVisit)
	}
	got := strings.Split(strings.TrimRight(block, "\n"), "\n")
	want := strings.Split(strings.TrimRight(CreameryReadings(), "\n"), "\n")
	for i := range max(len(got), len(want)) {
		var g, w string
		if i < len(got) {
			g = got[i]
		}
		if i < len(want) {
			w = want[i]
		}
		if g != w {
			t.Fatalf("line %d of the readings\n file  %s\n model %s", i+1, g, w)
		}
	}
}

// Exactly one reading is spoilt: phase C of R20.
func TestOnlyOneReadingRunsBackwards(t *testing.T) {
	negative := 0
	reading := ""
	for line := range strings.SplitSeq(CreameryReadings(), "\n") {
		if id, ok := strings.CutPrefix(line, "  - id: "); ok {
			reading = id
		}
		if strings.Contains(line, "power: -") {
			negative++
			if reading != "R20" || !strings.HasPrefix(strings.TrimSpace(line), "C:") {
				t.Errorf("negative power in %s: %s", reading, line)
			}
		}
	}
	if negative != 1 {
		t.Errorf("%d lines show negative power, want 1", negative)
	}
}

func TestEveryNamedLoadIsThere(t *testing.T) {
	p := Creamery()
	known := map[string]bool{}
	for _, l := range p.Loads {
		if known[l.ID] {
			t.Errorf("load %s is listed twice", l.ID)
		}
		known[l.ID] = true
	}
	for _, id := range CreameryRunning {
		if !known[id] {
			t.Errorf("%s runs but is no load of the plant", id)
		}
	}
}

func TestReplaceSwapsPairs(t *testing.T) {
	in := []string{"a", "b", "c"}
	got := strings.Join(replace(in, "a", "x", "c", "z"), "")
	if got != "xbz" || strings.Join(in, "") != "abc" {
		t.Errorf("replace gave %s and left %v", got, in)
	}
}

func TestDisplayHasNoNegativeZero(t *testing.T) {
	for _, c := range []struct{ in, want float64 }{{-0.004, 0}, {0.0049, 0}, {-0.006, -0.006}, {1.2, 1.2}} {
		if got := plain(c.in); got != c.want || (got == 0 && 1/got < 0) {
			t.Errorf("plain(%g) = %g, want %g", c.in, got, c.want)
		}
	}
}
