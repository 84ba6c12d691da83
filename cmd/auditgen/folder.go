package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"

	"auditgen/internal/assess"
	"auditgen/internal/civil"
	"auditgen/internal/diag"
	"auditgen/internal/site"
)

// folder finds the root that a site belongs to: the nearest folder above it
// that holds provider.toml.
func folder(dir string) (place, error) {
	info, err := os.Stat(dir)
	if err != nil || !info.IsDir() {
		return place{}, &usageError{fmt.Errorf("there is no site folder %s", dir)}
	}
	full, err := filepath.Abs(dir)
	if err != nil {
		return place{}, err
	}
	for root := filepath.Dir(full); ; root = filepath.Dir(root) {
		if _, err := os.Stat(filepath.Join(root, site.ProviderFile)); err == nil {
			rel, err := filepath.Rel(root, full)
			return place{site.Folder{FS: os.DirFS(root), Dir: filepath.ToSlash(rel)}, root}, err
		}
		if root == filepath.Dir(root) {
			return place{}, &usageError{fmt.Errorf("there is no %s in a folder above %s: it says who makes the report, and with which instruments", site.ProviderFile, dir)}
		}
	}
}

// place is a site's folder and where its tree begins on this machine.
type place struct {
	site.Folder
	root string
}

// shown gives a position as the user can open it from where they are.
func (p place) shown(pos diag.Pos) diag.Pos {
	whole := filepath.Join(p.root, filepath.FromSlash(pos.File))
	pos.File = filepath.ToSlash(whole)
	if wd, err := os.Getwd(); err == nil {
		if short, err := filepath.Rel(wd, whole); err == nil && filepath.IsLocal(short) {
			pos.File = filepath.ToSlash(short)
		}
	}
	return pos
}

// shownFaults gives faults with positions as the user can open them; other
// errors pass.
func (p place) shownFaults(err error) error {
	var faults diag.Faults
	if !errors.As(err, &faults) {
		return err
	}
	for i := range faults {
		faults[i].Pos = p.shown(faults[i].Pos)
	}
	return faults
}

// assessOne reads a site and works out the latest visit by assess.Assess, or by
// assess.Find where the plan is not wanted. It speaks English, as the words
// beside it on the terminal do.
func assessOne(dir string, by func(*site.Record) (*assess.Assessment, error)) (*assess.Assessment, place, error) {
	f, err := folder(dir)
	if err != nil {
		return nil, f, err
	}
	rec, err := record(f, civil.Date{})
	if err != nil {
		return nil, f, err
	}
	rec.Words = nil
	a, err := by(rec)
	return a, f, f.shownFaults(err)
}

func record(f place, visit civil.Date) (*site.Record, error) {
	var faults diag.List
	rec := site.Read(f.Folder, visit, &faults)
	if err := faults.Err(); err != nil {
		return nil, f.shownFaults(err)
	}
	if rec == nil {
		return nil, errors.New("the site could not be read")
	}
	return rec, nil
}

// assessAll works out every visit, oldest first, in the site's language with a
// theme's own words.
func assessAll(f place, own themeWords, tell func(string)) ([]*assess.Assessment, error) {
	latest, err := record(f, civil.Date{})
	if err != nil {
		return nil, err
	}
	var all []*assess.Assessment
	for _, d := range latest.Dates {
		tell("working out the visit of " + d.String())
		rec := latest
		if d != latest.Visit.Date.Value {
			if rec, err = record(f, d); err != nil {
				return nil, err
			}
		}
		own.give(rec)
		a, err := assess.Assess(rec)
		if err != nil {
			return nil, f.shownFaults(err)
		}
		all = append(all, a)
	}
	return all, nil
}
