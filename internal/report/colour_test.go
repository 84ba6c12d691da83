package report

import "testing"

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
