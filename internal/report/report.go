// Package report lays an assessment out as pages: sentences, tables, charts and
// workings, in one language. It decides no number and judges nothing; it turns
// what audit and finding give into typed structs, one for each page, that a
// theme's templates write. It knows no file and no clock: bytes come out.
package report

import (
	"errors"
	"fmt"
	"io/fs"

	"golang.org/x/text/language"

	"auditgen/internal/assess"
	"auditgen/internal/charts"
)

// File is a finished page: its name below the site's folder, with slashes, and
// its bytes.
type File struct {
	Name string
	Data []byte
}

// site is what the builders of pages work from.
type site struct {
	visits []*visit // oldest first
	theme  *theme
}

// latest is the last visit.
func (s *site) latest() *visit { return s.visits[len(s.visits)-1] }

// visit is one visit with what the builders of its sections share.
type visit struct {
	*assess.Assessment
	format
	draw    *charts.Renderer
	works   *works
	chart   error           // the first chart that could not be drawn
	anchors map[string]bool // readings and assumptions that have a place on the page
}

// pageKind is a kind of page: its template and how its pages are built.
type pageKind struct {
	template string
	build    func(*site) ([]page, error)
}

// page is one page of a kind, ready for its template.
type page struct {
	name string
	data pageData
}

// pageData is implemented by the struct of each kind of page.
type pageData interface{ base() *Base }

// pages is the one list of the pages of a site.
var pages = []pageKind{
	{"site", frontPages},
	{"visit", visitPages},
}

// Build makes the pages of a site from the assessments of its visits, oldest
// first. The theme is a folder of templates with its style sheet, the user's
// own files already laid over it (see Overlay). The same input gives the same
// bytes. An error names the template or chart that failed.
func Build(visits []*assess.Assessment, themeFiles fs.FS, draw *charts.Renderer) ([]File, error) {
	if len(visits) == 0 {
		return nil, errors.New("report: there is no visit to report on")
	}
	th, err := readTheme(themeFiles)
	if err != nil {
		return nil, err
	}
	s := &site{theme: th}
	for _, a := range visits {
		s.visits = append(s.visits, newVisit(a, draw))
	}
	var files []File
	for _, kind := range pages {
		built, err := kind.build(s)
		if err != nil {
			return nil, err
		}
		for _, p := range built {
			p.data.base().Kind = kind.template
			data, err := th.execute(kind.template, p.data)
			if err != nil {
				return nil, fmt.Errorf("report: page %s: %w", p.name, err)
			}
			files = append(files, File{p.name, data})
		}
	}
	return files, nil
}

func newVisit(a *assess.Assessment, draw *charts.Renderer) *visit {
	v := &visit{Assessment: a, format: newFormat(language.English, a.Currency), draw: draw}
	v.works = v.collectWorks()
	v.anchors = v.collectAnchors()
	return v
}

// date is the folder of a visit.
func (v *visit) date() string { return v.Record.Visit.Date.Value.String() }

// visitPages builds the report of each visit.
func visitPages(s *site) ([]page, error) {
	var out []page
	for _, v := range s.visits {
		data := v.page()
		s.theme.dress(&data.Base, v, v.runningHead())
		if v.chart != nil {
			return nil, fmt.Errorf("report: visit of %s: %w", v.date(), v.chart)
		}
		out = append(out, page{v.date() + "/index.html", data})
	}
	return out, nil
}
