// Package say writes the client's sentences in the language of the report. The
// key of a sentence is its English form, so the code reads as the report does.
package say

import (
	"embed"
	"fmt"
	"io/fs"
	"path"
	"slices"

	"github.com/leonelquinteros/gotext"
	"golang.org/x/text/language"
)

//go:embed words/*/*.po
var builtIn embed.FS

// Language says sentences in one language. A nil Language says them in English.
type Language struct {
	Tag  language.Tag
	look func(key string, n int, many string) (text string, found bool)
	made bool // for tests
	// settle, where set, puts a finished sentence right.
	settle func(text string) string

	// Missed, where set, is told each key that has no translation.
	Missed func(key string)
}

// English says every sentence as it is written in the code.
var English = &Language{Tag: language.English}

// Tags lists the languages that have a catalogue, English first.
func Tags() []string {
	tags := []string{"en"}
	for _, f := range files("*") {
		tags = append(tags, path.Base(path.Dir(f)))
	}
	return slices.Compact(tags)
}

// files lists the catalogues of a language, in order.
func files(base string) []string {
	list, _ := fs.Glob(builtIn, "words/"+base+"/*.po") // the pattern is well formed
	return list
}

// Load gives the language of a tag such as "es" or "es-MX", or false when no
// catalogue has its base. Words are further catalogues in the PO format, each
// of which overrides what stands before it.
func Load(tag language.Tag, words ...[]byte) (*Language, bool) {
	if tag == language.Und {
		tag = language.English
	}
	b, _ := tag.Base()
	base := b.String()
	if !slices.Contains(Tags(), base) {
		return nil, false
	}
	var catalogues []*gotext.Po
	for _, f := range files(base) {
		data, _ := builtIn.ReadFile(f) // it was listed
		catalogues = append(catalogues, parsed(data))
	}
	for _, data := range words {
		catalogues = append(catalogues, parsed(data))
	}
	slices.Reverse(catalogues)
	return &Language{Tag: tag, settle: settled[base], look: func(key string, n int, many string) (string, bool) {
		for _, po := range catalogues {
			switch {
			case many == "" && po.IsTranslated(key):
				return po.GetDomain().GetTranslations()[key].Get(), true
			case many != "" && po.IsTranslatedN(key, n):
				return po.GetN(key, many, n), true
			}
		}
		return "", base == "en"
	}}, true
}

// settled are the rules by which a language's words change beside each other.
var settled = map[string]func(text string) string{"es": spanish}

func parsed(data []byte) *gotext.Po {
	po := gotext.NewPo()
	po.Parse(data)
	return po
}

// Made is a language made up for tests: every sentence goes through a function,
// which must keep its verbs.
func Made(tag language.Tag, change func(english string) string) *Language {
	return &Language{Tag: tag, made: true, look: func(key string, n int, many string) (string, bool) {
		if many != "" && n != 1 {
			key = many
		}
		return change(key), true
	}}
}

// At is the language's tag.
func (l *Language) At() language.Tag {
	if l == nil || l.Tag == language.Und {
		return language.English
	}
	return l.Tag
}

// unread are the languages whose catalogue no native speaker has read yet.
var unread = map[string]bool{"es": true}

// Unread tells whether no native speaker has read the language's catalogue yet.
func (l *Language) Unread() bool {
	if l == nil || l.made {
		return false
	}
	b, _ := l.Tag.Base()
	return unread[b.String()]
}

// S says a sentence, or part of one, that has no figures.
func (l *Language) S(key string) string {
	if l == nil || l.look == nil {
		return key
	}
	text, found := l.look(key, 1, "")
	return l.or(text, found, key)
}

// F says a sentence with figures, written with the verbs of fmt; a translation
// may take them in another order as %[2]s.
func (l *Language) F(format string, args ...any) string {
	return l.settled(fmt.Sprintf(l.S(format), args...))
}

// settled puts a sentence right whose figures change the words beside them.
func (l *Language) settled(text string) string {
	if l == nil || l.settle == nil {
		return text
	}
	return l.settle(text)
}

// N says a sentence in the form for a number of things: one has the form for 1
// and many that for any other, as English has them. The number is not among the
// figures unless args holds it.
func (l *Language) N(n int, one, many string, args ...any) string {
	text := many
	if n == 1 {
		text = one
	}
	if l != nil && l.look != nil {
		other, found := l.look(one, n, many)
		text = l.or(other, found, text)
	}
	// A figure named by its place keeps fmt from complaining of those left out.
	last := fmt.Sprintf("%%[%d]s", len(args)+1)
	return l.settled(fmt.Sprintf(text+last, append(slices.Clip(args), "")...))
}

// Key marks a sentence of a table, which is said where it is shown.
func Key(english string) string { return english }

func (l *Language) or(text string, found bool, english string) string {
	if !found && l.Missed != nil {
		l.Missed(english)
	}
	if text == "" {
		return english
	}
	return text
}
