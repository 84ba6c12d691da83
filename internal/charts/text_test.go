package charts

import (
	"fmt"
	"math"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/beevik/etree"
	"github.com/go-echarts/go-echarts/v2/opts"
)

// texts returns the box of each text of a drawing.
func texts(t *testing.T, e *etree.Element, anchor string, found map[string]box) {
	t.Helper()
	anchor = e.SelectAttrValue("text-anchor", anchor)
	if e.Tag == "text" {
		x, errX := strconv.ParseFloat(e.SelectAttrValue("x", ""), 64)
		y, errY := strconv.ParseFloat(e.SelectAttrValue("y", ""), 64)
		if errX != nil || errY != nil {
			t.Fatalf("text %q has no place", e.Text())
		}
		w := textWidth(e.Text()) / slack
		switch anchor {
		case "middle":
			x -= w / 2
		case "end":
			x -= w
		}
		found[fmt.Sprintf("%q at %.1f %.1f", e.Text(), x, y)] = box{x, y - 9, x + w, y + 2}
	}
	for _, c := range e.ChildElements() {
		texts(t, c, anchor, found)
	}
}

// TestTextsApart looks for texts that touch or are cut, at many widths.
func TestTextsApart(t *testing.T) {
	r := NewRenderer()
	for _, width := range []int{320, 360, 560, 900} {
		for name, svg := range drawAll(t, r, samples(), width) {
			found := map[string]box{}
			root := parse(t, svg)
			texts(t, root, "start", found)
			height, _ := strconv.ParseFloat(root.SelectAttrValue("height", ""), 64)
			for k, b := range found {
				if b.left < -0.5 || b.right > float64(width)+0.5 || b.top < 0 || b.bottom > height {
					t.Errorf("%s at %d px: %s is cut", name, width, k)
				}
				for other, o := range found {
					if k < other && overlaps([]box{o}, b) {
						t.Errorf("%s at %d px: %s touches %s", name, width, k, other)
					}
				}
			}
		}
	}
}

func TestTextWidth(t *testing.T) {
	pairs := []struct{ a, b string }{{"Ü", "U"}, {"ö", "o"}, {"é", "e"}, {"Kühlräume", "Kuhlraume"}, {"a\u0301", "a"}}
	for _, p := range pairs {
		if a, b := textWidth(p.a), textWidth(p.b); math.Abs(a-b) > 0.3 {
			t.Errorf("%q is %v px wide, %q %v px", p.a, a, p.b, b)
		}
	}
	if w := textWidth("电"); w != fontSize*slack {
		t.Errorf("a wide character is %v px", w)
	}
	if w := textWidth("Печь"); w < 20 || w > 40 {
		t.Errorf("Cyrillic is %v px wide", w)
	}
	if a, b := measureFont("Ofen", "bold 24px inherit"), measureFont("Ofen", "12px inherit"); a <= 2*b {
		t.Errorf("bold 24 px gives %v, regular 12 px %v", a, b)
	}
}

func TestTextsAsGiven(t *testing.T) {
	name := `{b} & <i> "x" {a|y}`
	svg, err := NewRenderer().Draw(Lines{Text: Text{Title: name, Description: "a\x00b"}, X: []string{name + "\x01", "2"}, Unit: "{value}",
		Series: []Series{{Name: name + "\x02", Values: []float64{1, 2}}},
		Format: func(v float64, decimals int) string { return fmt.Sprintf("{c} %.*f", decimals, v) }}, "x", Size{Width: 900})
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]box{}
	texts(t, parse(t, svg), "start", found)
	for _, want := range []string{name, "{value}", "{c} 0.0", "{c} 2.0"} {
		ok := false
		for k := range found {
			ok = ok || strings.HasPrefix(k, strconv.Quote(want)+" at")
		}
		if !ok {
			t.Errorf("no text %q in %v", want, found)
		}
	}
}

func TestFormat(t *testing.T) {
	if got := Format(nil).write(-1.25, 1); got != "\u22121.2" {
		t.Errorf("%q", got)
	}
	if got := Format(nil).write(math.Copysign(0, -1), 0); got != "0" {
		t.Errorf("%q", got)
	}
}

func TestScale(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		zero      bool
		want      string
	}{
		{0, 89, true, "0 20 40 60 80 100"},
		{0, 0, true, "0.0 0.5 1.0 1.5 2.0"},
		{-12, 30, true, "\u221220 \u221210 0 10 20 30"},
		{0, 0.97, true, "0.0 0.2 0.4 0.6 0.8 1.0"},
		{230, 230, false, "215 220 225 230 235 240 245"},
		{197, 255, false, "180 200 220 240 260"},
		{0, 1e6, true, "0 200000 400000 600000 800000 1000000"},
	} {
		s := newScale(c.low, c.high, c.zero, 5, nil)
		if got := strings.Join(s.labels, " "); got != c.want {
			t.Errorf("%v to %v: %s, not %s", c.low, c.high, got, c.want)
		}
		if s.min > c.low || s.max < c.high {
			t.Errorf("%v to %v is not on the axis from %v to %v", c.low, c.high, s.min, s.max)
		}
	}
}

func TestSpread(t *testing.T) {
	got := spread([]float64{50, 48, 10}, 15, 0, 60)
	if fmt.Sprint(got) != "[60 45 10]" && fmt.Sprint(got) != "[63 48 10]" {
		t.Errorf("%v", got)
	}
	if spread([]float64{1, 2, 3}, 15, 0, 20) != nil {
		t.Error("three names fit where there is room for two")
	}
}

func TestFunctionsRefused(t *testing.T) {
	option := map[string]any{"yAxis": []any{map[string]any{"formatter": string(opts.FuncOpts("function(v){return v}"))}}}
	if err := refuseFunctions("option", option); err == nil || !strings.Contains(err.Error(), "option.yAxis[0].formatter") {
		t.Errorf("a function option: %v", err)
	}
	b := golden()["bars"].(Bars)
	b.Unit = string(opts.FuncOpts("function(){}"))
	if _, err := NewRenderer().Draw(b, "x", Size{Width: 360}); err == nil {
		t.Error("a function in a chart's text was drawn")
	}
}

// TestLockNamesNoHost holds the list of packages to names, versions and
// hashes: whoever builds the library uses the registry that they trust.
func TestLockNamesNoHost(t *testing.T) {
	lock, err := os.ReadFile("bundle/package-lock.json")
	if err != nil {
		t.Fatal(err)
	}
	if m := regexp.MustCompile(`"resolved"|"https?:`).Find(lock); m != nil {
		t.Errorf("package-lock.json holds %s", m)
	}
}

func FuzzStyle(f *testing.F) {
	for _, s := range []string{"font-size:12px;font-family:inherit;", `font: 12px "Noto Sans", serif`, `font-family:'a;b';font-weight:bold`,
		"fill:url(#a;b)", "paint-order:stroke;;:x", "onclick:alert(1)", "a:b\";c:d", "font-size:"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, style string) {
		doc := etree.NewDocument()
		text := doc.CreateElement("svg").CreateElement("text")
		text.CreateAttr("style", style)
		text.CreateAttr("fill", "var(--ink)")
		text.SetText("x")
		raw, err := doc.WriteToString()
		if err != nil {
			return
		}
		svg, err := tidy(raw, "x", Text{Title: "t"}, nil)
		if err != nil {
			return
		}
		for _, e := range parse(t, svg).FindElements("//*") {
			for _, a := range e.Attr {
				known := keep[a.Key] != nil || hasWord("role aria-labelledby", a.Key)
				if !known || a.Space != "" {
					t.Fatalf("style %q became attribute %s", style, a.FullKey())
				}
			}
		}
	})
}
