// Package report lays an assessment out as pages: sentences, tables, charts and
// workings, in one language. It decides no number and judges nothing; it turns
// what audit and finding give into typed structs, one for each page, that a
// theme's templates write. It knows no file and no clock: bytes come out.
package report

import (
	"errors"
	"fmt"
	"io/fs"

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
	draw      *charts.Renderer
	revisions Revisions
	downloads []Download
	beside    bool // files may lie beside the page
	works     *works
	chart     error           // the first chart that could not be drawn
	anchors   map[string]bool // readings and assumptions that have a place on the page
	report    *visitPage      // built once for all pages of the visit
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

// pages is the one list of the pages of a site. Part A and part B of a visit are
// pages of their own: part B is long, and whoever decides need not load it.
var pages = []pageKind{
	{"site", frontPages},
	{"visit", decidePages},
	{"visit-check", checkPages},
}

// whole is the one document that holds both parts of the latest visit.
var whole = pageKind{"visit-whole", wholePages}

// Input is what a report is made of.
type Input struct {
	Visits    []*assess.Assessment // oldest first
	Theme     fs.FS                // templates with their style sheet, the user's own files already laid over them (see Overlay)
	Draw      *charts.Renderer
	Revisions Revisions

	downloads [][]Download // of each visit; nil where nothing lies beside the page
}

// Build makes the pages of a site. The same input gives the same bytes. An error
// names the template or chart that failed.
func Build(in Input) ([]File, error) {
	data, downloads, err := dataFiles(in.Visits)
	if err != nil {
		return nil, err
	}
	in.downloads = downloads
	files, err := buildKinds(in, pages)
	return append(append(files, data...), photoFiles(in.Visits)...), err
}

// Whole makes one document of the latest visit: both parts, no link to another
// page.
func Whole(in Input) (File, error) {
	files, err := buildKinds(in, []pageKind{whole})
	if err != nil {
		return File{}, err
	}
	return files[0], nil
}

func buildKinds(in Input, kinds []pageKind) ([]File, error) {
	if len(in.Visits) == 0 {
		return nil, errors.New("report: there is no visit to report on")
	}
	th, err := readTheme(in.Theme)
	if err != nil {
		return nil, err
	}
	s := &site{theme: th}
	for i, a := range in.Visits {
		v := newVisit(a, in.Draw)
		if in.downloads != nil {
			v.downloads, v.beside = in.downloads[i], true
		}
		v.revisions = in.Revisions
		s.visits = append(s.visits, v)
	}
	var files []File
	for _, kind := range kinds {
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
	crossLink(files)
	return files, nil
}

func newVisit(a *assess.Assessment, draw *charts.Renderer) *visit {
	v := &visit{Assessment: a, format: newFormat(a.Record.Words, a.Currency), draw: draw}
	v.works = v.collectWorks()
	v.anchors = v.collectAnchors()
	return v
}

// date is the folder of a visit.
func (v *visit) date() string { return v.Record.Visit.Date.Value.String() }

// Names of the pages of a visit, in its folder.
const (
	decideFile = "index.html"
	checkFile  = "check.html"
)

// decidePages builds part A of each visit.
func decidePages(s *site) ([]page, error) {
	return visitPages(s, s.visits, decideFile, func(*visit, *visitPage) {})
}

// checkPages builds part B of each visit.
func checkPages(s *site) ([]page, error) {
	return visitPages(s, s.visits, checkFile, func(v *visit, p *visitPage) {
		p.Beside = len(p.Photos) > 0
		p.Title = v.F("Readings and workings of the assessment of %s, %s", v.client(), v.dateWords(v.Record.Visit.Date.Value))
		p.Description = v.S("The readings, limits, formulas and assumptions behind each figure of the report.")
		p.Back = append([]Link{{v.S("Part A of this report"), decideFile}}, p.Back...)
	})
}

// wholePages builds the one document of the latest visit.
func wholePages(s *site) ([]page, error) {
	return visitPages(s, s.visits[len(s.visits)-1:], decideFile, func(_ *visit, p *visitPage) { p.Back = nil })
}

// visitPages builds one page of each visit; change makes of the whole report
// what is particular to the page.
func visitPages(s *site, visits []*visit, name string, change func(*visit, *visitPage)) ([]page, error) {
	var out []page
	for _, v := range visits {
		if v.report == nil {
			v.report = v.page()
		}
		if v.chart != nil {
			return nil, fmt.Errorf("report: visit of %s: %w", v.date(), v.chart)
		}
		data := *v.report
		change(v, &data)
		s.theme.dress(&data.Base, v, v.runningHead())
		out = append(out, page{v.date() + "/" + name, &data})
	}
	return out, nil
}
