package paper

import (
	"strings"
	"testing"
	"time"
)

var visit = time.Date(2031, 5, 14, 0, 0, 0, 0, time.UTC)

// TestSettled puts the visit's date into a PDF's two dates, length for length (ISO
// 32000-1, 7.9.4), and ranks in the place
// of its nodes' numbers, and touches nothing else.
func TestSettled(t *testing.T) {
	pdf := "<</Title (x (2026))\n/CreationDate (D:20261128031928+00'00')\n/ModDate (D:20261128031928+00'00')>>"
	got, err := settled([]byte(pdf), visit)
	if err != nil {
		t.Fatal(err)
	}
	if want := strings.ReplaceAll(pdf, "20261128031928", "20310514000000"); string(got) != want {
		t.Errorf("dated to\n%s\nnot\n%s", got, want)
	}
	short, err := settled([]byte("/ModDate (D:20261128)"), visit)
	if err != nil || string(short) != "/ModDate (D:20310514)" {
		t.Errorf("a short date became %s (%v)", short, err)
	}
	tree, err := settled([]byte("/ModDate (D:20261128) [(node00000238) (node00000241) (node00000238)] node00000241"), visit)
	if err != nil || string(tree) != "/ModDate (D:20310514) [(node00000001) (node00000002) (node00000001)] node00000241" {
		t.Errorf("nodes became %s (%v)", tree, err)
	}
	if _, err := settled([]byte("%PDF"), visit); err == nil {
		t.Error("a PDF without a date gives no error")
	}
}

func TestNoChromium(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	t.Setenv(EnvChromium, "")
	if _, err := FindChromium(); err == nil || !strings.Contains(err.Error(), "chromium is not on PATH: install it") {
		t.Errorf("without Chromium: %v", err)
	}
	t.Setenv(EnvChromium, "/nowhere/chromium")
	if _, err := FindChromium(); err == nil || !strings.Contains(err.Error(), "not a program that can be run") {
		t.Errorf("with a wrong path: %v", err)
	}
	if _, err := Print("/nowhere/chromium", []byte("<p>x"), A4, visit); err == nil || !strings.Contains(err.Error(), "could not print the report") {
		t.Errorf("printing with a wrong path: %v", err)
	}
}
