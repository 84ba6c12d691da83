package picture

import (
	"bytes"
	"math"
	"regexp"
	"strconv"
	"strings"

	"github.com/beevik/etree"

	"auditgen/internal/diag"
)

// Logo makes a PNG or SVG fit to stand on a page: a PNG is drawn anew, an SVG
// keeps only what draws.
func Logo(data []byte) (Image, error) {
	if bytes.HasPrefix(data, []byte("\x89PNG")) {
		return rasterLogo(data)
	}
	return vectorLogo(data)
}

// drawing are the elements and attributes that an SVG logo keeps: shapes, their
// paint and its gradients. Text, pictures, links, styles, scripts and animation
// go: they ask for fonts or files, or act.
var (
	elements   = words("svg g path rect circle ellipse line polyline polygon title desc defs linearGradient radialGradient stop clipPath")
	attributes = words("xmlns viewBox width height x y x1 x2 y1 y2 cx cy r rx ry fx fy d points transform fill fill-opacity fill-rule stroke stroke-width stroke-opacity stroke-linecap stroke-linejoin stroke-miterlimit stroke-dasharray opacity id offset stop-color stop-opacity gradientUnits gradientTransform spreadMethod clip-path clip-rule clipPathUnits preserveAspectRatio color")
	ownPaint   = regexp.MustCompile(`^url\(#[A-Za-z_][\w.-]*\)$`)
)

func words(list string) map[string]bool {
	set := map[string]bool{}
	for _, w := range strings.Fields(list) {
		set[w] = true
	}
	return set
}

func vectorLogo(data []byte) (Image, error) {
	noLogo := &diag.Problem{What: "the logo is neither a PNG nor a drawing that can be read", Expected: "a PNG file, or an SVG file with a viewBox"}
	doc := etree.NewDocument()
	doc.ReadSettings.Entity = map[string]string{} // none but XML's own
	if err := doc.ReadFromBytes(data); err != nil || doc.Root() == nil || doc.Root().Tag != "svg" {
		return Image{}, noLogo
	}
	width, height, ok := viewBox(doc.Root())
	if !ok {
		return Image{}, noLogo
	}
	clean(doc.Root())
	doc.Root().CreateAttr("xmlns", "http://www.w3.org/2000/svg")
	out := etree.NewDocument()
	out.SetRoot(doc.Root())
	text, err := out.WriteToBytes()
	if err != nil {
		return Image{}, err
	}
	shown := int(math.Max(1, math.Round(logoHeight*width/height)))
	return Image{"image/svg+xml", text, shown, logoHeight}, nil
}

func viewBox(svg *etree.Element) (width, height float64, ok bool) {
	part := strings.Fields(strings.ReplaceAll(svg.SelectAttrValue("viewBox", ""), ",", " "))
	if len(part) != 4 {
		return 0, 0, false
	}
	width, err1 := strconv.ParseFloat(part[2], 64)
	height, err2 := strconv.ParseFloat(part[3], 64)
	return width, height, err1 == nil && err2 == nil && width > 0 && height > 0 && width/height < 20
}

// clean keeps of an element and all below it what is listed.
func clean(e *etree.Element) {
	var kept []etree.Attr
	for _, a := range e.Attr {
		paint := strings.Contains(strings.ToLower(a.Value), "url(")
		if a.Space == "" && attributes[a.Key] && (!paint || ownPaint.MatchString(a.Value)) {
			kept = append(kept, a)
		}
	}
	e.Space, e.Attr = "", kept
	for _, child := range append([]etree.Token{}, e.Child...) {
		switch c := child.(type) {
		case *etree.Element:
			if elements[c.Tag] && (c.Space == "" || c.Space == "svg") {
				clean(c)
				continue
			}
		case *etree.CharData:
			if strings.TrimSpace(c.Data) == "" || e.Tag == "title" || e.Tag == "desc" {
				continue
			}
		}
		e.RemoveChild(child)
	}
}
