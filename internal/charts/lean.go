package charts

import (
	"sort"
	"strings"

	"github.com/beevik/etree"
)

// lean joins what has one look: rectangles into one path, so that a heat map
// of 288 cells is seven paths; lines that follow each other; texts into a
// group. Nothing changes to the eye, since a rectangle moves only past others
// that it does not touch.
func lean(parent *etree.Element) {
	var run []*bunch
	for _, child := range append([]etree.Token{}, parent.Child...) {
		e, ok := child.(*etree.Element)
		if !ok {
			continue
		}
		lean(e)
		if blank(e) {
			parent.RemoveChild(e)
			continue
		}
		a, ok := rectangleOf(e)
		if !ok {
			// Anything else ends the run: what comes after may lie on it.
			run = nil
			if before := previous(e); before != nil && follows(before, e) {
				before.CreateAttr("d", before.SelectAttrValue("d", "")+e.SelectAttrValue("d", ""))
				parent.RemoveChild(e)
			}
			continue
		}
		look := lookOf(e)
		if home := findHome(run, look, a); home != nil {
			home.areas = append(home.areas, a)
			home.write()
			parent.RemoveChild(e)
			continue
		}
		run = append(run, &bunch{element: e, look: look, areas: []area{a}})
	}
	groupTexts(parent)
}

// previous returns the element before e, if it is a path.
func previous(e *etree.Element) *etree.Element {
	before := e.PrevSibling()
	if before == nil || before.Tag != "path" {
		return nil
	}
	return before
}

// follows tells whether e may be part of the path before it: both are bare
// lines of one look, solid and not see-through.
func follows(before, e *etree.Element) bool {
	for _, one := range []*etree.Element{before, e} {
		if one.Tag != "path" || one.SelectAttrValue("fill", "") != "none" || one.SelectAttr("transform") != nil ||
			one.SelectAttr("stroke-opacity") != nil {
			return false
		}
	}
	return lookOf(before) == lookOf(e)
}

// groupTexts moves the attributes that neighbouring texts share to a group.
func groupTexts(parent *etree.Element) {
	var group *etree.Element
	look := ""
	for _, e := range parent.ChildElements() {
		if e.Tag != "text" {
			group = nil
			continue
		}
		own := textLook(e)
		if group == nil || own != look {
			group, look = etree.NewElement("g"), own
			for _, key := range sharedByTexts {
				if a := e.SelectAttr(key); a != nil {
					group.CreateAttr(key, a.Value)
				}
			}
			parent.InsertChildAt(e.Index(), group)
		}
		for _, key := range sharedByTexts {
			e.RemoveAttr(key)
		}
		group.AddChild(e)
	}
}

// sharedByTexts are attributes that a text inherits from its group.
var sharedByTexts = []string{"fill", "stroke", "stroke-width", "stroke-linejoin", "paint-order", "text-anchor", "font-weight", "font-style", "font-size"}

func textLook(e *etree.Element) string {
	var b strings.Builder
	for _, key := range sharedByTexts {
		b.WriteString(e.SelectAttrValue(key, "") + "\n")
	}
	return b.String()
}

// bunch is a path of rectangles that have one look.
type bunch struct {
	element *etree.Element
	look    string
	areas   []area
}

// findHome returns the last bunch of a look that a rectangle may join: no
// bunch drawn after it touches the rectangle.
func findHome(run []*bunch, look string, a area) *bunch {
	for i := len(run) - 1; i >= 0; i-- {
		if run[i].look == look && !strings.Contains(look, "opacity=") {
			return run[i]
		}
		for _, other := range run[i].areas {
			if other.inset().meets(a) {
				return nil
			}
		}
		if run[i].look == look {
			return run[i]
		}
	}
	return nil
}

func rectangleOf(e *etree.Element) (area, bool) {
	if e.Tag != "path" || e.SelectAttr("transform") != nil || e.SelectAttr("id") != nil {
		return area{}, false
	}
	o, ok := parseOutline(e.SelectAttrValue("d", ""), identity)
	if !ok {
		return area{}, false
	}
	return o.rectangle()
}

// blank tells a filled path without area, such as the bar of a zero.
func blank(e *etree.Element) bool {
	if e.Tag != "path" || e.SelectAttrValue("fill", "") == "none" {
		return false
	}
	o, ok := parseOutline(e.SelectAttrValue("d", ""), identity)
	if !ok {
		return false
	}
	for _, p := range o.parts {
		flatX, flatY := true, true
		for _, at := range p.points {
			flatX = flatX && at.x == p.points[0].x
			flatY = flatY && at.y == p.points[0].y
		}
		if !flatX && !flatY {
			return false
		}
	}
	return true
}

func lookOf(e *etree.Element) string {
	var all []string
	for _, a := range e.Attr {
		if a.Key != "d" {
			all = append(all, a.Key+"="+a.Value)
		}
	}
	sort.Strings(all)
	return strings.Join(all, "\n")
}

// write sets the path data of the bunch. Without an outline of their own,
// rectangles that share an edge become one.
func (b *bunch) write() {
	areas := b.areas
	if !strings.Contains(b.look, "stroke=") {
		areas = joinRuns(areas)
	}
	var o outline
	for _, a := range areas {
		o.parts = append(o.parts, a.outline().parts...)
	}
	b.element.CreateAttr("d", o.String())
}

// joinRuns joins rectangles that follow each other from left to right.
func joinRuns(areas []area) []area {
	sorted := append([]area{}, areas...)
	sort.SliceStable(sorted, func(i, j int) bool {
		p, q := sorted[i], sorted[j]
		if p.top != q.top {
			return p.top < q.top
		}
		return p.left < q.left
	})
	var out []area
	for _, a := range sorted {
		if n := len(out); n > 0 && out[n-1].top == a.top && out[n-1].bottom == a.bottom && out[n-1].right >= a.left {
			out[n-1].right = max(out[n-1].right, a.right)
			continue
		}
		out = append(out, a)
	}
	return out
}
