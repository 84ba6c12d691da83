package report

import (
	"fmt"
	"io/fs"
	"regexp"
	"strings"
	"testing"
)

// TestAccentIsReadable computes the contrast of adjusted accents on every
// ground of both schemes.
func TestAccentIsReadable(t *testing.T) {
	for _, c := range []string{"#0d5b66", "#ffd400", "#00a0e0", "#e4002b", "#7ac143", "#101010", "#ffffff", "#000000", "#808080", "#ff00ff", "#0000ff"} {
		s := readableAccent(c)
		for _, side := range []struct {
			colour  string
			grounds []string
		}{{s.Light, lightGrounds}, {s.Dark, darkGrounds}} {
			got, ok := parseColour(side.colour)
			if !ok {
				t.Fatalf("%s became %q", c, side.colour)
			}
			for _, g := range side.grounds {
				ground, _ := parseColour(g)
				if r := contrast(got, ground); r < 4.5 {
					t.Errorf("%s as %s on %s has a contrast of %.2f", c, side.colour, g, r)
				}
			}
		}
		t.Logf("%s: %s light, %s dark", c, s.Light, s.Dark)
	}
}

// TestAccentStays keeps a colour that can be read as it is.
func TestAccentStays(t *testing.T) {
	if got := readableAccent("#0d5b66").Light; got != "#0d5b66" {
		t.Errorf("light is %s", got)
	}
	if got := readableAccent("#ffd400").Dark; got != "#ffd400" {
		t.Errorf("dark is %s", got)
	}
	if got := readableAccent("teal"); got != (scheme{"#000000", "#ffffff"}) {
		t.Errorf("no colour gives %v", got)
	}
}

func TestContrast(t *testing.T) {
	black, white := rgb{0, 0, 0}, rgb{1, 1, 1}
	if r := contrast(black, white); r < 20.99 || r > 21.01 {
		t.Errorf("black on white is %.2f, not 21 (WCAG 2.2)", r)
	}
}

// TestTokens computes the contrast of the theme's own colours, which rules that
// look at pages cannot judge over drawings.
func TestTokens(t *testing.T) {
	style, err := fs.ReadFile(folio(t), stylesheet)
	if err != nil {
		t.Fatal(err)
	}
	light, dark, ok := strings.Cut(string(style), "prefers-color-scheme:dark")
	if !ok {
		t.Fatal("the theme has no dark scheme")
	}
	dark, _, _ = strings.Cut(dark, "/*")
	for name, block := range map[string]string{"light": light, "dark": dark} {
		tokens := map[string]rgb{}
		for _, m := range regexp.MustCompile(`--([a-z0-9]+):(#[0-9a-f]{6})`).FindAllStringSubmatch(block, -1) {
			tokens[m[1]], _ = parseColour(m[2])
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
			if (l2 < l1) != (name == "light") {
				t.Errorf("%s: the ramp turns at step %d", name, i)
			}
		}
	}
}
