package report

import (
	"fmt"
	"io/fs"
	"strings"
	"testing"
)

// TestAccentIsReadable computes the contrast of adjusted accents on every
// ground of both schemes.
func TestAccentIsReadable(t *testing.T) {
	for _, g := range []grounds{groundsFor(t, folio(t)), groundsFor(t, ledger(t))} {
		accentsOn(t, g)
	}
}

func groundsFor(t *testing.T, files fs.FS) grounds {
	t.Helper()
	th, err := readTheme(files)
	if err != nil {
		t.Fatal(err)
	}
	return th.grounds
}

func accentsOn(t *testing.T, g grounds) {
	t.Helper()
	for _, c := range []string{"#0d5b66", "#ffd400", "#00a0e0", "#e4002b", "#7ac143", "#101010", "#ffffff", "#000000", "#808080", "#ff00ff", "#0000ff"} {
		s := g.readableAccent(c)
		for _, side := range []struct {
			colour  string
			grounds []string
		}{{s.Light, g.light}, {s.Dark, g.dark}} {
			got, ok := parseColour(side.colour)
			if !ok {
				t.Fatalf("%s became %q", c, side.colour)
			}
			for _, on := range side.grounds {
				ground, _ := parseColour(on)
				if r := contrast(got, ground); r < 4.5 {
					t.Errorf("%s as %s on %s has a contrast of %.2f", c, side.colour, on, r)
				}
			}
		}
		t.Logf("%s: %s light, %s dark", c, s.Light, s.Dark)
	}
}

// TestAccentStays keeps a colour that can be read as it is.
func TestAccentStays(t *testing.T) {
	g := groundsFor(t, folio(t))
	if got := g.readableAccent("#0d5b66").Light; got != "#0d5b66" {
		t.Errorf("light is %s", got)
	}
	if got := g.readableAccent("#ffd400").Dark; got != "#ffd400" {
		t.Errorf("dark is %s", got)
	}
	if got := g.readableAccent("teal"); got != (scheme{"#000000", "#ffffff"}) {
		t.Errorf("no colour gives %v", got)
	}
}

func TestContrast(t *testing.T) {
	black, white := rgb{0, 0, 0}, rgb{1, 1, 1}
	if r := contrast(black, white); r < 20.99 || r > 21.01 {
		t.Errorf("black on white is %.2f, not 21 (WCAG 2.2)", r)
	}
}

// TestTokens computes the contrast of the themes' own colours, which rules that
// look at pages cannot judge over drawings.
func TestTokens(t *testing.T) {
	for theme, files := range map[string]fs.FS{"folio": folio(t), "ledger": ledger(t)} {
		style, err := styleOf(files)
		if err != nil {
			t.Fatal(err)
		}
		light, dark, err := tokensOf(style)
		if err != nil {
			t.Fatal(err)
		}
		tokensRead(t, theme+", light", light, true)
		tokensRead(t, theme+", dark", dark, false)
	}
}

func tokensRead(t *testing.T, name string, values map[string]string, light bool) {
	t.Helper()
	tokens := map[string]rgb{}
	for token, value := range values {
		if c, ok := parseColour(value); ok {
			tokens[strings.TrimPrefix(token, "--")] = c
		}
	}
	for _, pair := range []struct {
		ink, ground string
		least       float64
	}{
		{"ink", "paper", 7}, {"ink", "panel", 7}, {"ink", "hint", 7}, {"ink2", "paper", 4.5}, {"ink2", "panel", 4.5},
		{"act", "panel", 4.5}, {"plan", "panel", 4.5}, {"note", "panel", 4.5}, {"over", "paper", 4.5},
		{"bar", "paper", 3}, {"bar2", "paper", 3}, {"rule2", "paper", 3}, {"q6", "q0", 4.5},
	} {
		a, okA := tokens[pair.ink]
		b, okB := tokens[pair.ground]
		if !okA || !okB {
			t.Errorf("%s: no colour %s or %s", name, pair.ink, pair.ground)
		} else if r := contrast(a, b); r < pair.least {
			t.Errorf("%s: %s on %s has a contrast of %.2f, less than %.1f", name, pair.ink, pair.ground, r, pair.least)
		}
	}
	for i := 1; i < 7; i++ { // each step of the ramp away from paper
		l1, _, _ := tokens[fmt.Sprint("q", i-1)].oklch()
		l2, _, _ := tokens[fmt.Sprint("q", i)].oklch()
		if (l2 < l1) != light {
			t.Errorf("%s: the ramp turns at step %d", name, i)
		}
	}
}
