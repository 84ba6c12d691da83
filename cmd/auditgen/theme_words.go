package main

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/text/language"

	"auditgen/internal/diag"
	"auditgen/internal/say"
	"auditgen/internal/site"
)

// themeWords are a theme's own words: a catalogue for each language or region,
// by its tag.
type themeWords map[language.Tag][]byte

// wordsOf reads words/*.po of a theme and tells all that is wrong with them: a
// slip in a catalogue would else change nothing without a word.
func wordsOf(theme fs.FS, shown string) (themeWords, error) {
	own := themeWords{}
	var faults diag.List
	entries, err := fs.ReadDir(theme, "words")
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	for _, e := range entries {
		name, file := strings.CutSuffix(e.Name(), ".po")
		at := diag.Pos{File: filepath.ToSlash(filepath.Join(shown, "words", e.Name())), Line: 1, Column: 1}
		tag, err := language.Parse(name)
		if !file || err != nil || !spoken(tag) {
			faults.At(at, fmt.Sprintf("%q is the catalogue of no language", e.Name()), diag.Choice(poNames()))
			continue
		}
		data, err := fs.ReadFile(theme, path.Join("words", e.Name()))
		if err != nil {
			return nil, err
		}
		say.Check(at.File, data, &faults)
		own[tag] = data
	}
	return own, faults.Err()
}

func spoken(tag language.Tag) bool {
	_, ok := say.Load(tag)
	return ok
}

func poNames() []string {
	var names []string
	for _, tag := range say.Tags() {
		names = append(names, tag+".po")
	}
	return names
}

// give lets a record speak with a theme's words, those of its region last.
func (own themeWords) give(rec *site.Record) {
	tag := rec.Words.At()
	var over [][]byte
	for _, t := range ancestors(tag) {
		if data, ok := own[t]; ok {
			over = append(over, data)
		}
	}
	if len(over) > 0 {
		rec.Words, _ = say.Load(tag, over...) // it was loaded before
	}
}

// ancestors are a tag and those it belongs to, the widest first: es, es-419, es-MX.
func ancestors(tag language.Tag) []language.Tag {
	var all []language.Tag
	for t := tag; t != language.Und; t = t.Parent() {
		all = append(all, t)
	}
	slices.Reverse(all)
	return all
}
