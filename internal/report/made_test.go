package report

import (
	"strings"
	"testing"
	"unicode"

	"golang.org/x/text/language"

	"auditgen/internal/browser"
	"auditgen/internal/say"
)

// eachWord changes the words of a sentence and leaves its figures, and the
// places in braces, as they are.
func eachWord(english string, change func(word string) string) string {
	var out, word strings.Builder
	flush := func() {
		if word.Len() > 0 {
			out.WriteString(change(word.String()))
			word.Reset()
		}
	}
	rest := english
	for rest != "" {
		if at := anyVerb.FindStringIndex(rest); at != nil && at[0] == 0 {
			flush()
			out.WriteString(rest[:at[1]])
			rest = rest[at[1]:]
			continue
		}
		if rest[0] == '{' {
			if end := strings.IndexByte(rest, '}'); end > 0 {
				flush()
				out.WriteString(rest[:end+1])
				rest = rest[end+1:]
				continue
			}
		}
		r := []rune(rest)[0]
		if unicode.IsLetter(r) {
			word.WriteRune(r)
		} else {
			flush()
			out.WriteRune(r)
		}
		rest = rest[len(string(r)):]
	}
	flush()
	return out.String()
}

// longer is a sentence four tenths longer than the English.
func longer(english string) string {
	owed := 0.0
	return eachWord(english, func(word string) string {
		var out strings.Builder
		for _, r := range word {
			out.WriteRune(r)
			if owed += 0.4; owed >= 1 && unicode.IsLower(r) {
				out.WriteRune(r)
				owed--
			}
		}
		return out.String()
	})
}

// mirrored is a sentence in letters that are written from right to left.
func mirrored(english string) string {
	const latin, arabic = "abcdefghijklmnopqrstuvwxyz", "ابثدىفغهيجكلمنوبقرستعڤشخيز"
	letters := []rune(arabic)
	return eachWord(english, func(word string) string {
		return strings.Map(func(r rune) rune {
			if i := strings.IndexRune(latin, unicode.ToLower(r)); i >= 0 {
				return letters[i]
			}
			return r
		}, word)
	})
}

func TestMadeUpSentences(t *testing.T) {
	const sentence = "%s of {peak} goes to %[2]d of 100 %, then 5 %% more"
	if got := longer(sentence); got != "%s of {peak} ggoees too %[2]d off 100 %, theen 5 %% mmoree" {
		t.Errorf("made longer: %s", got)
	}
	if got := mirrored(sentence); got != "%s وف {peak} غوىس تو %[2]d وف 100 %, تهىن 5 %% مورى" {
		t.Errorf("mirrored: %s", got)
	}
}

// TestMadeUpLanguages lays pages out in a language that is longer than English
// and in one that is written from right to left: nothing sticks out on a phone,
// and the rules of accessibility hold.
func TestMadeUpLanguages(t *testing.T) {
	browser.Need(t)
	b := browser.Start(t)
	for name, file := range map[string]File{
		"longer":        buildWhole(t, assessedIn(t, say.Made(language.Portuguese, longer))),
		"right to left": buildWhole(t, smallIn(t, say.Made(language.Arabic, mirrored))),
	} {
		t.Run(name, func(t *testing.T) {
			keep(t, []File{file})
			path := onDisk(t, file)
			address, err := browser.FileURL(path)
			if err != nil {
				t.Fatal(err)
			}
			lookAt(t, b, path, address)
			judge(t, b, address)
			if doc := parse(t, file); (doc.Find("html[dir=rtl]").Length() == 1) != (name == "right to left") {
				t.Error("the direction of the page is not that of its language")
			}
		})
	}
}
