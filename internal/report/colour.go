package report

import (
	"fmt"
	"math"
	"strconv"
)

// grounds are the colours on which the provider's accent is read.
type grounds struct{ light, dark []string }

// readable is the contrast that the accent is brought to, a little over the
// 4.5 of WCAG 2.2, 1.4.3.
const readable = 4.6

// scheme is an accent as printed in light and in dark.
type scheme struct{ Light, Dark string }

// readableAccent darkens a colour for the light scheme and lightens it for the
// dark one until it can be read on every ground. Only the lightness of OKLCH
// moves: hue and chroma, which make a brand, stay. A colour that cannot be
// parsed gives black and white.
func (g grounds) readableAccent(colour string) scheme {
	c, ok := parseColour(colour)
	if !ok {
		return scheme{"#000000", "#ffffff"}
	}
	return scheme{move(c, g.light, -0.005), move(c, g.dark, 0.005)}
}

func move(c rgb, grounds []string, step float64) string {
	l, chroma, hue := c.oklch()
	for n := 0; n <= 200; n++ {
		at := fromOKLCH(l, chroma, hue)
		if n == 0 {
			at = c
		}
		if at.readableOn(grounds) {
			return at.String()
		}
		l = math.Min(1, math.Max(0, l+step))
	}
	if step < 0 {
		return "#000000"
	}
	return "#ffffff"
}

func (c rgb) readableOn(grounds []string) bool {
	for _, g := range grounds {
		ground, _ := parseColour(g)
		if contrast(c, ground) < readable {
			return false
		}
	}
	return true
}

// rgb is a colour of sRGB, each channel from 0 to 1.
type rgb struct{ r, g, b float64 }

func parseColour(s string) (rgb, bool) {
	if len(s) != 7 || s[0] != '#' {
		return rgb{}, false
	}
	n, err := strconv.ParseUint(s[1:], 16, 32)
	if err != nil {
		return rgb{}, false
	}
	return rgb{float64(n>>16) / 255, float64(n>>8&255) / 255, float64(n&255) / 255}, true
}

func (c rgb) String() string {
	to := func(v float64) int { return int(math.Round(math.Min(1, math.Max(0, v)) * 255)) }
	return fmt.Sprintf("#%02x%02x%02x", to(c.r), to(c.g), to(c.b))
}

func linear(v float64) float64 {
	if v <= 0.04045 {
		return v / 12.92
	}
	return math.Pow((v+0.055)/1.055, 2.4)
}

func gamma(v float64) float64 {
	if v <= 0.0031308 {
		return 12.92 * v
	}
	return 1.055*math.Pow(v, 1/2.4) - 0.055
}

// luminance is the relative luminance of WCAG 2.2.
func (c rgb) luminance() float64 {
	return 0.2126*linear(c.r) + 0.7152*linear(c.g) + 0.0722*linear(c.b)
}

// contrast is the contrast ratio of WCAG 2.2, 1 to 21.
func contrast(a, b rgb) float64 {
	x, y := a.luminance(), b.luminance()
	return (math.Max(x, y) + 0.05) / (math.Min(x, y) + 0.05)
}

// oklch gives lightness, chroma and hue in OKLCH (CSS Color 4, 9.3; matrices by
// B. Ottosson).
func (c rgb) oklch() (l, chroma, hue float64) {
	r, g, b := linear(c.r), linear(c.g), linear(c.b)
	x := math.Cbrt(0.4122214708*r + 0.5363325363*g + 0.0514459929*b)
	y := math.Cbrt(0.2119034982*r + 0.6806995451*g + 0.1073969566*b)
	z := math.Cbrt(0.0883024619*r + 0.2817188376*g + 0.6299787005*b)
	l = 0.2104542553*x + 0.7936177850*y - 0.0040720468*z
	a := 1.9779984951*x - 2.4285922050*y + 0.4505937099*z
	q := 0.0259040371*x + 0.7827717662*y - 0.8086757660*z
	return l, math.Hypot(a, q), math.Atan2(q, a)
}

// fromOKLCH is the inverse of oklch; channels that sRGB lacks are clipped.
func fromOKLCH(l, chroma, hue float64) rgb {
	a, q := chroma*math.Cos(hue), chroma*math.Sin(hue)
	x := math.Pow(l+0.3963377774*a+0.2158037573*q, 3)
	y := math.Pow(l-0.1055613458*a-0.0638541728*q, 3)
	z := math.Pow(l-0.0894841775*a-1.2914855480*q, 3)
	c := rgb{
		gamma(4.0767416621*x - 3.3077115913*y + 0.2309699292*z),
		gamma(-1.2684380046*x + 2.6097574011*y - 0.3413193965*z),
		gamma(-0.0041960863*x - 0.7034186147*y + 1.7076147010*z),
	}
	return rgb{clip(c.r), clip(c.g), clip(c.b)}
}

func clip(v float64) float64 { return math.Min(1, math.Max(0, v)) }
