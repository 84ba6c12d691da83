package site

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"slices"
	"strings"

	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/picture"
	"auditgen/internal/say"
	"auditgen/internal/source"
	"auditgen/internal/tariff"
)

// Record is everything typed about a site, folded to one visit.
type Record struct {
	Slug         string // the folder's name
	Dir          string // of the site, in the tree that positions name files by
	Provider     Provider
	Site         Site
	Dates        []civil.Date // of all visits, oldest first
	Visit        Visit        // the visit reported on
	Readings     []Reading    // standing at that visit
	Loads        []Load       // standing at that visit
	Tariff       *tariff.Tariff
	Alternatives []Alternative // in the order of site.yaml
	Bills        []Billed      // what the supplier billed, oldest first; may be none
	Notes        []Note
	Logo         *picture.Image // nil without one
	Terms        *Note          // nil without any
	Measures     *MeasuresFile  // nil where none is proposed

	Words *say.Language // what the client's sentences are said in
}

// Note is a Markdown file of notes/.
type Note struct{ Name, Text string }

// Folder is where the files are: a tree that holds provider.toml, tariffs/ and
// the site's folder Dir. Positions name files by their place in the tree, so
// that a report does not depend on where it was made.
type Folder struct {
	FS  fs.FS
	Dir string
}

// ProviderFile is the name that marks the root of a Folder.
const ProviderFile = "provider.toml"

// Read reads the files of a site and folds its visits up to the one of the
// given date; the zero date means the latest. It gives nil when there are
// faults, which then say all that is wrong.
func Read(f Folder, visit civil.Date, faults *diag.List) *Record {
	r := &reader{Folder: f, faults: faults}
	rec := &Record{Slug: path.Base(f.Dir), Dir: f.Dir}
	providerRead := r.toml(ProviderFile, &rec.Provider)
	siteRead := r.yaml(path.Join(f.Dir, "site.yaml"), &rec.Site)
	visits := r.visits()
	rec.Words, _ = say.Load(rec.Site.Language.Value.Tag)
	if siteRead {
		rec.Tariff = r.tariff(rec.Site.Tariff)
	}
	if siteRead && rec.Tariff != nil {
		rec.Alternatives = r.alternatives(&rec.Site, rec.Tariff)
		rec.Bills = r.bills(rec.Tariff, rec.Site.Tariff.Value)
	}
	rec.Notes = r.notes()
	v := &checker{rec: rec, faults: faults}
	if providerRead {
		v.provider()
		rec.Logo, rec.Terms = r.logo(rec.Provider.Logo), r.terms(rec.Provider.Terms)
	}
	if siteRead {
		v.site()
	}
	if siteRead {
		v.logs()
		r.logs(&rec.Site, visits)
	}
	for i := range visits {
		v.visit(&visits[i], siteRead, providerRead)
		r.waves(&visits[i])
		r.photos(&visits[i])
	}
	rec.fold(visits, visit, r, siteRead)
	r.measures(rec)
	if faults.Len() > 0 {
		return nil
	}
	return rec
}

type reader struct {
	Folder
	faults *diag.List
	lost   bool // a visit, or its list of readings, could not be read
}

func (r *reader) load(name string) ([]byte, bool) {
	data, err := fs.ReadFile(r.FS, name)
	if err != nil {
		what := "the file cannot be read"
		var pe *fs.PathError
		if errors.As(err, &pe) {
			what += ": " + pe.Err.Error()
		}
		if errors.Is(err, fs.ErrNotExist) {
			what = "the file is missing"
		}
		r.faults.At(diag.Pos{File: name, Line: 1, Column: 1}, what, "")
		return nil, false
	}
	return data, true
}

// yaml decodes a file and reports whether enough of it was read for other files
// to be held against it.
func (r *reader) yaml(name string, into any) bool {
	data, ok := r.load(name)
	if !ok {
		return false
	}
	v := source.YAML(name, data, r.faults)
	source.Decode(v, into, r.faults)
	return v != nil
}

func (r *reader) toml(name string, into any) bool {
	data, ok := r.load(name)
	if !ok {
		return false
	}
	v := source.TOML(name, data, r.faults)
	source.Decode(v, into, r.faults)
	return v != nil
}

func (r *reader) visits() []Visit {
	dir := path.Join(r.Dir, "visits")
	names := r.names(dir, ".yaml")
	odd := r.names(dir, ".yml")
	for _, name := range odd {
		r.faults.At(diag.Pos{File: path.Join(dir, name), Line: 1, Column: 1}, "a file whose name ends in .yml is not read", "the name "+strings.TrimSuffix(name, ".yml")+".yaml")
		r.lost = true
	}
	if len(names) == 0 && len(odd) == 0 {
		r.faults.At(diag.Pos{File: dir, Line: 1, Column: 1}, "there is no visit", "a file such as visits/2031-05-14.yaml")
	}
	visits := make([]Visit, 0, len(names))
	for _, name := range names {
		var v Visit
		if !r.yaml(path.Join(dir, name), &v) {
			r.lost = true
			continue
		}
		r.lost = r.lost || v.Faulty && (len(v.Readings) == 0 || slices.ContainsFunc(v.Readings, unnamed))
		if v.Date.IsSet() && v.Date.Value.Year != 0 && v.Date.Value.String()+".yaml" != name {
			r.faults.At(v.Date.Pos, fmt.Sprintf("the visit of %s stands in a file named %s", v.Date.Value, name), "the file named "+v.Date.Value.String()+".yaml")
		}
		visits = append(visits, v)
	}
	slices.SortStableFunc(visits, func(a, b Visit) int { return a.Date.Value.Compare(b.Date.Value) })
	return visits
}

func unnamed(r Reading) bool { return !r.ID.Good().IsSet() }

// names lists the files of a folder with an extension, sorted; a folder that is
// not there has none.
func (r *reader) names(dir, ext string) []string {
	entries, err := fs.ReadDir(r.FS, dir)
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		if !e.IsDir() && path.Ext(e.Name()) == ext {
			names = append(names, e.Name())
		}
	}
	return names
}

func (r *reader) tariff(name source.At[string]) *tariff.Tariff {
	if !name.IsSet() {
		return nil
	}
	file := path.Join("tariffs", name.Value+".yaml")
	data, err := fs.ReadFile(r.FS, file)
	if err != nil || path.Dir(file) != "tariffs" {
		r.noTariff(name)
		return nil
	}
	v := source.YAML(file, data, r.faults)
	if v == nil {
		return nil
	}
	return tariff.Read(v, r.faults)
}

func (r *reader) noTariff(name source.At[string]) {
	known := r.names("tariffs", ".yaml")
	for i, k := range known {
		known[i] = strings.TrimSuffix(k, ".yaml")
	}
	f := diag.Fault{
		Pos:      name.Pos,
		What:     fmt.Sprintf("there is no tariff file tariffs/%s.yaml", name.Value),
		Expected: "the name of a file in tariffs/ without .yaml: " + diag.Or(known),
	}
	if len(known) > 1 {
		f.Nearest = diag.Nearest(name.Value, known)
	}
	if len(known) == 0 {
		f.Expected = "a file of that name in the folder tariffs beside provider.toml"
	}
	r.faults.Add(f)
}

func (r *reader) notes() []Note {
	dir := path.Join(r.Dir, "notes")
	var notes []Note
	for _, name := range r.names(dir, ".md") {
		if data, ok := r.load(path.Join(dir, name)); ok {
			notes = append(notes, Note{Name: strings.TrimSuffix(name, ".md"), Text: string(data)})
		}
	}
	return notes
}

// fold lays the visits over each other up to the one asked for: a load or
// reading stands until a later visit gives its id again or removes it.
func (rec *Record) fold(visits []Visit, at civil.Date, r *reader, siteRead bool) {
	for _, v := range visits {
		rec.Dates = append(rec.Dates, v.Date.Value)
	}
	if len(visits) == 0 {
		return
	}
	last := len(visits) - 1
	if at.Year != 0 {
		last = slices.Index(rec.Dates, at)
		if last < 0 {
			dates := make([]string, len(rec.Dates))
			for i, d := range rec.Dates {
				dates[i] = d.String()
			}
			r.faults.At(diag.Pos{File: path.Join(r.Dir, "visits"), Line: 1, Column: 1}, fmt.Sprintf("there is no visit of %s", at), diag.Or(dates))
			return
		}
	}
	for _, v := range visits[:last+1] {
		for _, id := range v.Removed {
			n := len(rec.Readings) + len(rec.Loads)
			rec.Readings = slices.DeleteFunc(rec.Readings, func(x Reading) bool { return x.ID.Value == id.Value })
			rec.Loads = slices.DeleteFunc(rec.Loads, func(x Load) bool { return x.ID.Value == id.Value })
			if len(rec.Readings)+len(rec.Loads) == n && !r.lost {
				r.faults.At(id.Pos, fmt.Sprintf("no load or reading %q stands before this visit", id.Value), "an id of an earlier visit")
			}
		}
		for i := range v.Loads {
			v.Loads[i].Seen = v.Date.Value
		}
		rec.Readings = overlay(rec.Readings, v.Readings, func(x Reading) string { return x.ID.Value })
		rec.Loads = overlay(rec.Loads, v.Loads, func(x Load) string { return x.ID.Value })
	}
	rec.Visit = visits[last]
	(&checker{rec: rec, faults: r.faults}).references(siteRead, r.lost)
}

func overlay[T any](standing, found []T, id func(T) string) []T {
	for _, f := range found {
		if i := slices.IndexFunc(standing, func(s T) bool { return id(s) == id(f) }); i >= 0 {
			standing[i] = f
		} else {
			standing = append(standing, f)
		}
	}
	return standing
}

// Instrument finds an instrument by its id.
func (p Provider) Instrument(id string) (Instrument, bool) {
	for _, i := range p.Instruments {
		if i.ID.Value == id {
			return i, true
		}
	}
	return Instrument{}, false
}

// PointOf gives the declared point of a place: itself, or the board of a way
// written board-way.
func (s Site) PointOf(at string) (string, bool) {
	if _, ok := s.Points.Get(at); ok {
		return at, true
	}
	if board, _, ok := cutLast(at, "-"); ok {
		if _, known := s.Points.Get(board); known {
			return board, true
		}
	}
	return "", false
}

func cutLast(s, sep string) (before, after string, found bool) {
	i := strings.LastIndex(s, sep)
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+len(sep):], true
}

// ReadingByID finds a standing reading.
func (rec *Record) ReadingByID(id string) (Reading, bool) {
	for _, r := range rec.Readings {
		if r.ID.Value == id {
			return r, true
		}
	}
	return Reading{}, false
}

// InstrumentOf gives the instrument that a reading was taken with.
func (rec *Record) InstrumentOf(r Reading) Instrument {
	id := rec.Visit.With.Value
	if r.With.IsSet() {
		id = r.With.Value
	}
	i, _ := rec.Provider.Instrument(id)
	return i
}
