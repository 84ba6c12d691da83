package intake

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"auditgen/internal/diag"
)

// The namespaces of an ESPI file (NAESB REQ.21).
const (
	atomSpace = "http://www.w3.org/2005/Atom"
	espiSpace = "http://naesb.org/espi"
)

// ESPIOptions tell how to take an ESPI file in.
type ESPIOptions struct {
	Projected bool // projections are taken in too
}

// ReadESPI reads the interval data of an ESPI (Green Button) XML file: one log
// for each usage point of electricity, in the order of the file. Elements are
// known by namespace and name, never by prefix; resources belong together by
// their links. It gives nil when there are faults.
func ReadESPI(file string, in io.Reader, o ESPIOptions, faults *diag.List) []*Log {
	r := &espiReader{file: file, faults: faults, dec: xml.NewDecoder(in), types: map[string]*readingType{}, locals: map[string]*LocalTime{}}
	before := faults.Len()
	r.read()
	if faults.Len() > before {
		return nil
	}
	logs := r.logs(o)
	if len(logs) == 0 && faults.Len() == before {
		faults.At(diag.Pos{File: file, Line: 1, Column: 1}, "the file holds no interval data of electricity", "an ESPI export with interval blocks")
	}
	if faults.Len() > before {
		return nil
	}
	return logs
}

type espiReader struct {
	file   string
	faults *diag.List
	dec    *xml.Decoder

	points []*usagePoint
	meters []*meterReading
	blocks []*block
	types  map[string]*readingType
	locals map[string]*LocalTime
	notes  []Note
	order  []string // links of reading types, in the order of the file
}

// entry is what stands around a resource and links it to others.
type entry struct {
	id, title, self, up string
	related             []string
	line                int
}

// name is the words by which a person knows the entry.
func (e *entry) name() string {
	for _, s := range []string{e.title, e.self, e.id} {
		if s != "" {
			return s
		}
	}
	return fmt.Sprintf("line %d", e.line)
}

type usagePoint struct {
	*entry
	kind int // 0 electricity; -1 not stated
}

type meterReading struct{ *entry }

type readingType struct {
	*entry
	behaviour, commodity, flow, kind, uom, multiplier, interval, currency, quality int
}

// block is an IntervalBlock with its readings as they stand.
type block struct {
	*entry
	start    int64
	hasStart bool
	readings []reading
}

// reading is an IntervalReading as it stands.
type reading struct {
	start, value, cost        int64
	duration                  int64
	line, column              int
	hasStart, hasDuration     bool
	hasValue, hasCost, stated bool
	quality                   Quality
}

func (r *espiReader) pos() diag.Pos {
	line, column := r.dec.InputPos()
	return diag.Pos{File: r.file, Line: line, Column: column}
}

func (r *espiReader) fault(what, expected string) { r.faults.At(r.pos(), what, expected) }

// token gives the next token; nil at the end or after a fault.
func (r *espiReader) token() xml.Token {
	t, err := r.dec.Token()
	if err == nil {
		return t
	}
	if err != io.EOF {
		var form *xml.SyntaxError
		what := err.Error()
		if errors.As(err, &form) {
			what = form.Msg
		}
		r.fault("the XML cannot be read: "+what, "")
	}
	return nil
}

func (r *espiReader) read() {
	var e *entry
	depth := 0
	for {
		switch t := r.token().(type) {
		case nil:
			if depth == 0 && e == nil && r.faults.Len() == 0 && r.dec.InputOffset() == 0 {
				r.fault("the file is empty", "an ESPI export")
			}
			return
		case xml.StartElement:
			switch {
			case t.Name.Space == atomSpace && t.Name.Local == "entry":
				line, _ := r.dec.InputPos()
				e = &entry{line: line}
			case t.Name.Space == espiSpace:
				if e == nil {
					line, _ := r.dec.InputPos()
					e = &entry{line: line}
					r.resource(t, e)
					e = nil
					continue
				}
				r.resource(t, e)
			case t.Name.Space == atomSpace && e != nil:
				r.atom(t, e)
			}
		case xml.EndElement:
			if t.Name.Space == atomSpace && t.Name.Local == "entry" {
				e = nil
			}
		}
	}
}

// atom reads what an entry says of itself.
func (r *espiReader) atom(t xml.StartElement, e *entry) {
	switch t.Name.Local {
	case "id":
		e.id = r.text()
	case "title":
		e.title = r.text()
	case "link":
		var rel, href string
		for _, a := range t.Attr {
			switch a.Name.Local {
			case "rel":
				rel = a.Value
			case "href":
				href = tidyLink(a.Value)
			}
		}
		switch rel {
		case "self":
			e.self = href
		case "up":
			e.up = href
		case "related":
			e.related = append(e.related, href)
		}
	}
}

// tidyLink takes scheme, host and slashes at the ends off a link: the same thing
// is linked in several ways within one file.
func tidyLink(href string) string {
	href = strings.TrimSpace(href)
	if _, rest, ok := strings.Cut(href, "://"); ok {
		_, href, _ = strings.Cut(rest, "/")
	}
	return strings.Trim(href, "/")
}

// text reads the text of an element up to its end.
func (r *espiReader) text() string {
	var b strings.Builder
	for depth := 0; ; {
		switch t := r.token().(type) {
		case nil:
			return strings.TrimSpace(b.String())
		case xml.CharData:
			if b.Len() < 4096 {
				b.Write(t)
			}
		case xml.StartElement:
			depth++
		case xml.EndElement:
			if depth == 0 {
				return strings.TrimSpace(b.String())
			}
			depth--
		}
	}
}

// number reads a whole number; a fault where there is none.
func (r *espiReader) number(name string) int64 {
	at := r.pos()
	text := r.text()
	n, err := strconv.ParseInt(text, 10, 64)
	if err != nil {
		r.faults.At(at, fmt.Sprintf("%s is %q", name, text), "a whole number")
	}
	return n
}

func (r *espiReader) resource(t xml.StartElement, e *entry) {
	switch t.Name.Local {
	case "UsagePoint":
		p := &usagePoint{entry: e, kind: -1}
		r.inside(func(name string) bool {
			if name == "kind" {
				p.kind = int(r.number(name))
				return true
			}
			return false
		})
		r.points = append(r.points, p)
	case "MeterReading":
		r.inside(nil)
		r.meters = append(r.meters, &meterReading{e})
	case "ReadingType":
		r.readingType(e)
	case "IntervalBlock":
		r.block(e)
	case "LocalTimeParameters":
		r.localTime(e)
	default:
		r.inside(nil)
	}
}

// inside walks the elements of a resource up to its end. take reads one and
// reports whether it did.
func (r *espiReader) inside(take func(name string) bool) {
	for depth := 0; ; {
		switch t := r.token().(type) {
		case nil:
			return
		case xml.StartElement:
			if take == nil || t.Name.Space != espiSpace || !take(t.Name.Local) {
				depth++
			}
		case xml.EndElement:
			if depth == 0 {
				return
			}
			depth--
		}
	}
}

func (r *espiReader) readingType(e *entry) {
	t := &readingType{entry: e, behaviour: -1, commodity: -1, flow: -1, kind: -1, uom: -1, quality: -1}
	into := map[string]*int{"accumulationBehaviour": &t.behaviour, "commodity": &t.commodity, "flowDirection": &t.flow, "kind": &t.kind, "uom": &t.uom,
		"powerOfTenMultiplier": &t.multiplier, "intervalLength": &t.interval, "currency": &t.currency, "defaultQuality": &t.quality}
	r.inside(func(name string) bool {
		p := into[name]
		if p == nil {
			return false
		}
		*p = int(r.number(name))
		return true
	})
	if _, twice := r.types[e.self]; !twice {
		r.order = append(r.order, e.self)
	}
	r.types[e.self] = t
}

func (r *espiReader) block(e *entry) {
	b := &block{entry: e}
	r.inside(func(name string) bool {
		switch name {
		case "IntervalReading":
			b.readings = append(b.readings, r.reading())
			return true
		case "interval":
			r.inside(func(name string) bool {
				if name == "start" {
					b.start, b.hasStart = r.number(name), true
				}
				return name == "start"
			})
			return true
		}
		return false
	})
	r.blocks = append(r.blocks, b)
}

func (r *espiReader) reading() reading {
	line, column := r.dec.InputPos()
	x := reading{line: line, column: column}
	r.inside(func(name string) bool {
		switch name {
		case "value":
			x.value, x.hasValue = r.number(name), true
		case "cost":
			x.cost, x.hasCost = r.number(name), true
		case "start":
			x.start, x.hasStart = r.number(name), true
		case "duration":
			x.duration, x.hasDuration = r.number(name), true
		case "quality":
			x.worse(int(r.number(name)))
		default:
			return false
		}
		return true
	})
	return x
}

// worse takes a quality code, of several the one that says most against the
// reading.
func (x *reading) worse(code int) {
	q, known := espiQuality(code)
	if !known {
		q = Other
	}
	if !x.stated || x.quality.good() && !q.good() || q == Projected {
		x.quality = q
	}
	x.stated = true
}
