package charts

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"unicode"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
	"golang.org/x/text/width"
)

// fontSize is the size of all chart text in CSS pixels, as drawn.
const fontSize = 12

// slack widens the Go fonts to the widest of the usual system fonts: the
// reader's own is not known when the chart is drawn. Measured on chart labels
// of several languages, Noto Sans is up to 1.08 and DejaVu Sans up to 1.15
// times as wide as Go Regular, which the gaps beside a text make up for.
const slack = 1.12

// face gives advance widths of one font.
type face struct {
	font *sfnt.Font
	mu   sync.Mutex
	buf  sfnt.Buffer
	ems  map[rune]float64
}

func newFace(ttf []byte) func() *face {
	return sync.OnceValue(func() *face {
		f, err := sfnt.Parse(ttf)
		if err != nil {
			// The font is compiled in: without it every width is the fallback.
			f = nil
		}
		return &face{font: f, ems: map[rune]float64{}}
	})
}

var (
	regularFace = newFace(goregular.TTF)
	boldFace    = newFace(gobold.TTF)
)

// em returns the advance width of r at a font size of 1.
func (f *face) em(r rune) float64 {
	f.mu.Lock()
	defer f.mu.Unlock()
	if w, known := f.ems[r]; known {
		return w
	}
	w := f.advance(r)
	f.ems[r] = w
	return w
}

func (f *face) advance(r rune) float64 {
	if unicode.In(r, unicode.Mn, unicode.Me, unicode.Cf) {
		return 0
	}
	if f.font != nil {
		const unit = 1000
		at, err := f.font.GlyphIndex(&f.buf, r)
		if err == nil && at != 0 {
			a, err := f.font.GlyphAdvance(&f.buf, at, fixed.I(unit), font.HintingNone)
			if err == nil {
				return float64(a) / 64 / unit
			}
		}
	}
	switch width.LookupRune(r).Kind() {
	case width.EastAsianWide, width.EastAsianFullwidth:
		return 1
	}
	if unicode.IsSpace(r) {
		return 0.28
	}
	return 0.62
}

// textWidth returns the width of a line of regular text in CSS pixels.
func textWidth(text string) float64 { return lineWidth(regularFace(), text, fontSize) }

func lineWidth(f *face, text string, size float64) float64 {
	sum := 0.0
	for _, r := range text {
		sum += f.em(r)
	}
	// Whole hundredths, so that the last bits of a sum never move a label.
	return math.Round(sum*size*slack*100) / 100
}

var fontPixels = regexp.MustCompile(`(\d+(?:\.\d+)?)px`)

// measureFont returns the width of text in a CSS font such as
// "bold 12px inherit"; the chart library asks for it.
func measureFont(text, cssFont string) float64 {
	size := float64(fontSize)
	if m := fontPixels.FindStringSubmatch(cssFont); m != nil {
		if px, err := strconv.ParseFloat(m[1], 64); err == nil {
			size = px
		}
	}
	f := regularFace()
	if strings.Contains(cssFont, "bold") {
		f = boldFace()
	}
	return lineWidth(f, text, size)
}
