package charts

import (
	"math"
	"strconv"
	"strings"
)

// point is a place in tenths of a pixel: whole numbers add up without the
// gaps that rounded steps leave.
type point struct{ x, y int }

// outline is a path of straight lines only.
type outline struct {
	parts []part
}

type part struct {
	points []point
	closed bool
}

// matrix is an SVG transform: x' = a·x + c·y + e, y' = b·x + d·y + f.
type matrix struct{ a, b, c, d, e, f float64 }

var identity = matrix{a: 1, d: 1}

// parseTransform reads the forms that the drawing library writes.
func parseTransform(s string) (matrix, bool) {
	if s == "" {
		return identity, true
	}
	name, rest, ok := strings.Cut(strings.TrimSuffix(s, ")"), "(")
	if !ok {
		return identity, false
	}
	var n []float64
	for _, f := range strings.FieldsFunc(rest, func(r rune) bool { return r == ',' || r == ' ' }) {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil {
			return identity, false
		}
		n = append(n, v)
	}
	switch {
	case name == "translate" && len(n) == 2:
		return matrix{1, 0, 0, 1, n[0], n[1]}, true
	case name == "matrix" && len(n) == 6:
		return matrix{n[0], n[1], n[2], n[3], n[4], n[5]}, true
	}
	return identity, false
}

func (m matrix) apply(x, y float64) point {
	return point{tenths(m.a*x + m.c*y + m.e), tenths(m.b*x + m.d*y + m.f)}
}

func tenths(v float64) int { return int(math.Round(v * 10)) }

// parseOutline reads path data of the commands M, L, l, h, v and Z, as the
// drawing library and String write it, and moves it by m. It reports false for any other path.
func parseOutline(data string, m matrix) (outline, bool) {
	var out outline
	var x, y, startX, startY float64
	for len(data) > 0 {
		command := data[0]
		end := strings.IndexAny(data[1:], "MLlZzAaCcQqHhVvTtSsm") + 1
		if end == 0 {
			end = len(data)
		}
		n, ok := numbers(data[1:end])
		data = data[end:]
		if !ok {
			return out, false
		}
		switch command {
		case 'M', 'L', 'l':
			if len(n) == 0 || len(n)%2 != 0 || command != 'M' && len(out.parts) == 0 || command == 'M' && len(n) != 2 {
				return out, false
			}
			for i := 0; i < len(n); i += 2 {
				if command == 'l' {
					x, y = x+n[i], y+n[i+1]
				} else {
					x, y = n[i], n[i+1]
				}
				if command == 'M' {
					startX, startY = x, y
					out.parts = append(out.parts, part{})
				}
				last := &out.parts[len(out.parts)-1]
				last.points = append(last.points, m.apply(x, y))
			}
		case 'h', 'v':
			if len(n) != 1 || len(out.parts) == 0 {
				return out, false
			}
			if command == 'h' {
				x += n[0]
			} else {
				y += n[0]
			}
			last := &out.parts[len(out.parts)-1]
			last.points = append(last.points, m.apply(x, y))
		case 'Z', 'z':
			if len(n) != 0 || len(out.parts) == 0 {
				return out, false
			}
			out.parts[len(out.parts)-1].closed = true
			x, y = startX, startY
		default:
			return out, false
		}
	}
	return out, len(out.parts) > 0
}

func numbers(s string) ([]float64, bool) {
	var n []float64
	for _, f := range strings.FieldsFunc(s, func(r rune) bool { return r == ' ' || r == ',' || r == '\n' }) {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil || math.IsNaN(v) || math.Abs(v) > 1e6 {
			return nil, false
		}
		n = append(n, v)
	}
	return n, true
}

// String writes path data in as few characters as is simple.
func (o outline) String() string {
	var b strings.Builder
	for _, p := range o.parts {
		at := p.points[0]
		b.WriteString("M" + tenthText(at.x) + " " + tenthText(at.y))
		points := p.points[1:]
		if p.closed && len(points) > 0 && points[len(points)-1] == p.points[0] {
			points = points[:len(points)-1]
		}
		for _, next := range points {
			switch dx, dy := next.x-at.x, next.y-at.y; {
			case dx == 0 && dy == 0 && len(points) > 1:
			case dy == 0:
				b.WriteString("h" + tenthText(dx))
			case dx == 0:
				b.WriteString("v" + tenthText(dy))
			default:
				b.WriteString("l" + tenthText(dx) + " " + tenthText(dy))
			}
			at = next
		}
		if p.closed {
			b.WriteString("z")
		}
	}
	return b.String()
}

func tenthText(v int) string { return strconv.FormatFloat(float64(v)/10, 'f', -1, 64) }

// area is an upright rectangle in tenths of a pixel.
type area struct{ left, top, right, bottom int }

// inset leaves out the half pixel by which the library lets the cells of a
// heat map overlap, so that no seam shows.
func (a area) inset() area { return area{a.left + 6, a.top + 6, a.right - 6, a.bottom - 6} }

func (a area) meets(b area) bool {
	return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom
}

// rectangle returns the outline as one upright rectangle, if it is one.
func (o outline) rectangle() (area, bool) {
	if len(o.parts) != 1 || !o.parts[0].closed {
		return area{}, false
	}
	p := o.parts[0].points
	if len(p) == 5 && p[4] == p[0] {
		p = p[:4]
	}
	if len(p) != 4 {
		return area{}, false
	}
	upright := p[0].x == p[3].x && p[1].x == p[2].x && p[0].y == p[1].y && p[2].y == p[3].y ||
		p[0].x == p[1].x && p[2].x == p[3].x && p[0].y == p[3].y && p[1].y == p[2].y
	if !upright {
		return area{}, false
	}
	a := area{min(p[0].x, p[2].x), min(p[0].y, p[2].y), max(p[0].x, p[2].x), max(p[0].y, p[2].y)}
	return a, true
}

func (a area) outline() outline {
	return outline{parts: []part{{closed: true, points: []point{
		{a.left, a.top}, {a.right, a.top}, {a.right, a.bottom}, {a.left, a.bottom}}}}}
}
