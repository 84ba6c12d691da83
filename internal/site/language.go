package site

import (
	"golang.org/x/text/language"

	"auditgen/internal/diag"
	"auditgen/internal/say"
)

// Language is a language that the report can be written in, with the region
// whose numbers it follows: en, en-GB, es-MX.
type Language struct{ language.Tag }

// UnmarshalText reads a BCP 47 tag whose language has a catalogue.
func (l *Language) UnmarshalText(text []byte) error {
	tag, err := language.Parse(string(text))
	if err == nil {
		if _, ok := say.Load(tag); ok {
			l.Tag = tag
			return nil
		}
	}
	return diag.OneOf("language", string(text), say.Tags())
}
