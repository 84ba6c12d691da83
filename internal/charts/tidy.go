package charts

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"github.com/beevik/etree"
)

// tidy turns the library's SVG into one that a page with a strict policy can
// hold: no style, no script, no data of the library; ids that begin with the
// chart's own; a name and a description; rounded numbers. It reports a
// drawing whose marks are not as many as the data.
func tidy(raw, id string, text Text, marks []int) (SVG, error) {
	doc := etree.NewDocument()
	if err := doc.ReadFromString(raw); err != nil {
		return "", fmt.Errorf("the drawing is not well-formed: %w", err)
	}
	root := doc.Root()
	if root == nil || root.Tag != "svg" {
		return "", fmt.Errorf("the drawing is not an SVG")
	}
	if err := countMarks(root, marks); err != nil {
		return "", err
	}
	unclip(root)
	t := tidier{ids: map[string]string{}, id: id}
	t.nameIDs(root)
	t.element(root)
	if t.err != nil {
		return "", t.err
	}
	lean(root)
	entitle(root, id, text)
	doc.WriteSettings = etree.WriteSettings{CanonicalText: true, CanonicalAttrVal: true}
	out := etree.NewDocument()
	out.WriteSettings = doc.WriteSettings
	out.SetRoot(root)
	s, err := out.WriteToString()
	if err != nil {
		return "", fmt.Errorf("write the drawing: %w", err)
	}
	return SVG(s), nil
}

// countMarks holds the marks drawn for each series against the data. The
// library draws nothing, and says nothing, where it does not know a series.
func countMarks(root *etree.Element, want []int) error {
	got := make([]int, len(want))
	for _, e := range root.FindElements(".//*[@ecmeta_ssr_type='chart']") {
		i, err := strconv.Atoi(e.SelectAttrValue("ecmeta_series_index", ""))
		if err != nil || i < 0 || i >= len(got) {
			return fmt.Errorf("the drawing has a mark of an unknown series")
		}
		got[i]++
	}
	for i := range want {
		if got[i] != want[i] {
			return fmt.Errorf("series %d has %d marks in the drawing for %d values", i, got[i], want[i])
		}
	}
	return nil
}

// unclip undoes the clipping of lines to the plot. The scales hold every
// value, so it cuts nothing off but half of a line along the edge.
func unclip(root *etree.Element) {
	for _, g := range root.FindElements(".//g[@clip-path]") {
		at := g.Index()
		for i, child := range append([]etree.Token{}, g.Child...) {
			g.Parent().InsertChildAt(at+i, child)
		}
		g.Parent().RemoveChild(g)
	}
	for _, c := range root.FindElements(".//clipPath") {
		c.Parent().RemoveChild(c)
	}
}

// tags are the elements that a drawing may hold.
var tags = map[string]bool{
	"svg": true, "g": true, "path": true, "text": true, "rect": true, "circle": true,
	"polyline": true, "polygon": true, "defs": true, "pattern": true,
}

// keep are the attributes that a drawing may hold, with what is done to each.
var keep = map[string]func(string) string{
	"viewBox": same, "width": same, "height": same, "xmlns": same,
	"x": tenth, "y": tenth, "cx": tenth, "cy": tenth, "r": tenth,
	"d": same, "points": tenthList, "transform": same, "patternTransform": tenthArguments,
	"fill": same, "stroke": same, "stroke-width": same, "stroke-dasharray": same,
	"fill-opacity": same, "stroke-opacity": same, "stroke-linecap": same, "paint-order": same,
	"stroke-linejoin": same, "text-anchor": same, "dominant-baseline": same,
	"font-size": same, "font-weight": same, "font-style": same,
	"patternUnits": same, "id": same,
}

func same(s string) string { return s }

var decimals = regexp.MustCompile(`-?\d+\.\d+`)

func tenthList(s string) string {
	return decimals.ReplaceAllStringFunc(s, tenth)
}

func tenthArguments(s string) string { return tenthList(s) }

func tenth(s string) string {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return s
	}
	return tenthText(tenths(v))
}

type tidier struct {
	id  string
	ids map[string]string // the library's ids to the chart's
	err error
}

// nameIDs gives each id of the drawing a new one in the order of the document.
func (t *tidier) nameIDs(root *etree.Element) {
	for _, e := range root.FindElements(".//*[@id]") {
		t.ids[e.SelectAttrValue("id", "")] = fmt.Sprintf("%s-p%d", t.id, len(t.ids)+1)
	}
}

var reference = regexp.MustCompile(`^url\(#([^)]*)\)$`)

func (t *tidier) element(e *etree.Element) {
	if !tags[e.Tag] || e.Space != "" {
		t.fail("element %s", e.FullTag())
		return
	}
	unstyle(e)
	if e.Tag == "path" {
		rebuild(e)
	}
	attrs := e.Attr
	e.Attr = nil
	for _, a := range attrs {
		if a.Space == "" {
			if change, ok := keep[a.Key]; ok {
				e.Attr = append(e.Attr, etree.Attr{Key: a.Key, Value: t.rename(a.Key, change(a.Value))})
			}
		}
	}
	if e.SelectAttrValue("stroke-width", "") == "0" {
		for _, key := range []string{"stroke", "stroke-width", "stroke-linecap", "stroke-linejoin", "stroke-dasharray"} {
			e.RemoveAttr(key)
		}
	}
	if e.Tag == "text" {
		settle(e)
	}
	for _, child := range e.ChildElements() {
		t.element(child)
	}
	for _, child := range append([]etree.Token{}, e.Child...) {
		switch c := child.(type) {
		case *etree.Element:
			if invisible(c) {
				e.RemoveChild(c)
			}
		case *etree.CharData:
			if e.Tag != "text" {
				e.RemoveChild(c)
			}
		default:
			e.RemoveChild(c)
		}
	}
}

func (t *tidier) fail(format string, args ...any) {
	if t.err == nil {
		t.err = fmt.Errorf("the drawing holds what a page cannot: "+format, args...)
	}
}

func (t *tidier) rename(key, value string) string {
	if key == "id" {
		return t.ids[value]
	}
	if m := reference.FindStringSubmatch(value); m != nil {
		if t.ids[m[1]] == "" {
			t.fail("a reference to %q, which is not in it", m[1])
		}
		return "url(#" + t.ids[m[1]] + ")"
	}
	if strings.Contains(value, "url(") {
		t.fail("%s=%q", key, value)
	}
	return value
}

// unstyle moves the declarations of a style attribute to attributes, which a
// policy without unsafe-inline allows. The font is the page's, so its family
// goes, and so does the size that the root sets.
func unstyle(e *etree.Element) {
	a := e.RemoveAttr("style")
	if a == nil {
		return
	}
	for _, d := range declarations(a.Value) {
		switch d.name {
		case "font-family", "font":
		case "font-size":
			if px := strings.TrimSuffix(d.value, "px"); px != strconv.Itoa(fontSize) {
				e.CreateAttr("font-size", px)
			}
		default:
			e.CreateAttr(d.name, d.value)
		}
	}
}

type declaration struct{ name, value string }

// declarations reads a style attribute. A semicolon within quotes or brackets
// belongs to the value.
func declarations(style string) []declaration {
	var out []declaration
	var quote rune
	depth, start := 0, 0
	add := func(s string) {
		name, value, ok := strings.Cut(s, ":")
		name = strings.ToLower(strings.TrimSpace(name))
		if ok && propertyName.MatchString(name) {
			out = append(out, declaration{name, strings.TrimSpace(value)})
		}
	}
	for i, r := range style {
		switch {
		case quote != 0:
			if r == quote {
				quote = 0
			}
		case r == '"' || r == '\'':
			quote = r
		case r == '(':
			depth++
		case r == ')':
			depth--
		case r == ';' && depth <= 0:
			add(style[start:i])
			start = i + 1
		}
	}
	add(style[start:])
	return out
}

var propertyName = regexp.MustCompile(`^[a-z][a-z-]*$`)

// unitCircle is how the library writes a round symbol, before its transform.
var unitCircle = regexp.MustCompile(`^M1 0A1 1 0 1 1 1 -0(\.\d+)?(A1 1 0 0 1 1 0)?Z?$`)

// rebuild writes a path of straight lines anew: its transform applied, its
// numbers rounded. A round symbol becomes a circle.
func rebuild(e *etree.Element) {
	data := e.SelectAttrValue("d", "")
	m, ok := parseTransform(e.SelectAttrValue("transform", ""))
	if !ok {
		return
	}
	if unitCircle.MatchString(data) && m.a == m.d && m.b == 0 && m.c == 0 {
		e.Tag = "circle"
		e.RemoveAttr("d")
		e.RemoveAttr("transform")
		e.CreateAttr("cx", tenthText(tenths(m.e)))
		e.CreateAttr("cy", tenthText(tenths(m.f)))
		e.CreateAttr("r", tenthText(tenths(m.a)))
		return
	}
	if o, ok := parseOutline(data, m); ok {
		e.RemoveAttr("transform")
		e.CreateAttr("d", o.String())
	}
}

// middleShift lowers a text from the middle of its line to its baseline, in
// parts of its size. Not every viewer knows dominant-baseline.
const middleShift = 0.35

// settle applies the transform of a text to its place, and its baseline.
func settle(e *etree.Element) {
	m, ok := parseTransform(e.SelectAttrValue("transform", ""))
	if !ok || m.a != 1 || m.b != 0 || m.c != 0 || m.d != 1 {
		return
	}
	x, _ := strconv.ParseFloat(e.SelectAttrValue("x", "0"), 64)
	y, _ := strconv.ParseFloat(e.SelectAttrValue("y", "0"), 64)
	e.RemoveAttr("transform")
	e.CreateAttr("x", tenthText(tenths(m.e+x)))
	if e.SelectAttrValue("dominant-baseline", "") == "central" {
		size, err := strconv.ParseFloat(e.SelectAttrValue("font-size", strconv.Itoa(fontSize)), 64)
		if err == nil {
			y += middleShift * size
			e.RemoveAttr("dominant-baseline")
		}
	}
	e.CreateAttr("y", tenthText(tenths(m.f+y)))
	if e.SelectAttrValue("text-anchor", "") == "start" {
		e.RemoveAttr("text-anchor")
	}
}

// invisible tells an element that leaves no ink.
func invisible(e *etree.Element) bool {
	switch e.Tag {
	case "g", "defs":
		return len(e.ChildElements()) == 0
	case "text":
		return strings.TrimSpace(e.Text()) == ""
	case "pattern":
		return false
	}
	fill := e.SelectAttrValue("fill", "")
	stroke := e.SelectAttrValue("stroke", "none")
	unfilled := fill == "none" || e.SelectAttrValue("fill-opacity", "1") == "0"
	unstroked := stroke == "none" || e.SelectAttrValue("stroke-width", "1") == "0"
	return unfilled && unstroked
}

// entitle gives the drawing its accessible name.
func entitle(root *etree.Element, id string, text Text) {
	root.CreateAttr("role", "img")
	root.CreateAttr("id", id)
	root.CreateAttr("font-size", strconv.Itoa(fontSize))
	title := etree.NewElement("title")
	title.CreateAttr("id", id+"-title")
	title.SetText(cleanText(text.Title))
	names := id + "-title"
	root.InsertChildAt(0, title)
	if text.Description != "" {
		names += " " + id + "-desc"
		desc := etree.NewElement("desc")
		desc.CreateAttr("id", id+"-desc")
		desc.SetText(cleanText(text.Description))
		root.InsertChildAt(1, desc)
	}
	root.CreateAttr("aria-labelledby", names)
}

// cleanText drops what XML has no place for.
func cleanText(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' && r != '\n' && r != '\t' || r == 0xFFFE || r == 0xFFFF || r == 0x7F {
			return -1
		}
		return r
	}, strings.ToValidUTF8(s, "\uFFFD"))
}
