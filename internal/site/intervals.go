package site

import (
	"fmt"
	"io/fs"
	"path"
	"time"

	"auditgen/internal/diag"
	"auditgen/internal/intake"
	"auditgen/internal/source"
)

// IntervalFile is a log of intervals: one CSV file, or several of one meter.
type IntervalFile struct {
	source.Where
	File    source.OneOrMany[string] `key:"file" need:"yes" doc:"CSV file, by its place in the site's folder; several files of one meter become one" example:"[intervals/jan.csv, intervals/feb.csv]"`
	Columns *intake.Columns          `key:"columns" doc:"What its columns are; left out for the form that intake intervals writes" example:"{start: Time, import: \"P [kW]\"}"`

	Log *intake.Log // what was read
}

// ReadSource reads the names of files, or the group.
func (f *IntervalFile) ReadSource(v *source.Value, faults *diag.List) {
	type group IntervalFile
	if v.Form != source.Mapping {
		f.Pos = v.Pos
		f.File.ReadSource(v, faults)
		return
	}
	source.Decode(v, (*group)(f), faults)
	if f.Columns != nil {
		f.Columns.Check(faults)
	}
}

// Short names the key that a single value stands for.
func (IntervalFile) Short() string { return "file" }

// logs reads the logs of points and of loads.
func (r *reader) logs(s *Site, visits []Visit) {
	for i := range s.Intervals {
		r.log(&s.Intervals[i].Value, s.TimeZone.Value.Location)
	}
	for i := range visits {
		for k := range visits[i].Loads {
			if f := visits[i].Loads[k].Intervals; f != nil {
				r.log(f, s.TimeZone.Value.Location)
			}
		}
	}
}

// log reads one log; times that do not say their distance from UTC are in the
// map's zone, else in the site's.
func (r *reader) log(f *IntervalFile, zone *time.Location) {
	if f.Faulty || zone == nil {
		return
	}
	columns := &intake.Columns{}
	if f.Columns != nil {
		c := *f.Columns
		columns = &c
	}
	if columns.Zone.Value.Location == nil {
		columns.Zone.Value.Location = zone
	}
	var logs []*intake.Log
	for _, name := range f.File {
		if l := r.oneLog(name, columns); l != nil {
			logs = append(logs, l)
		}
	}
	if len(logs) == 0 || len(logs) < len(f.File) {
		return
	}
	f.Log = intake.Join(logs...)
	if len(f.Log.Rows) == 0 {
		r.faults.At(f.File[0].Pos, fmt.Sprintf("%s holds no reading that could be taken", f.File[0].Value), "rows with a time and an energy or a power")
	}
}

func (r *reader) oneLog(name source.At[string], columns *intake.Columns) *intake.Log {
	if !name.Good().IsSet() {
		return nil
	}
	if !fs.ValidPath(name.Value) {
		r.faults.At(name.Pos, fmt.Sprintf("%q is no place in the site's folder", name.Value), "a name such as intervals/main-meter.csv")
		return nil
	}
	file := path.Join(r.Dir, name.Value)
	data, err := fs.ReadFile(r.FS, file)
	if err != nil {
		r.faults.At(name.Pos, "the file "+file+" cannot be read", "a CSV file in the site's folder")
		return nil
	}
	return intake.ReadCSV(file, data, columns, r.faults)
}

// logs checks what the logs of points are of.
func (c *checker) logs() {
	for _, e := range c.rec.Site.Intervals {
		if _, ok := c.rec.Site.Points.Get(e.Key); !ok && len(c.rec.Site.Points) > 0 {
			p := diag.OneOf("point", e.Key, c.rec.Site.Points.Keys())
			c.faults.Add(p.At(e.Pos))
		}
	}
}
