package say

import (
	"regexp"
	"strings"
)

// The words for "and" and "or" change before their own sound (Diccionario
// panhispánico de dudas, entries "y" and "o", from memory): y becomes e before i-
// and hi-, unless a vowel follows that makes it no vowel of its own (hielo); o
// becomes u before o- and ho-.
var (
	andBefore = regexp.MustCompile(`(^|[\s(])y ([«“]?(?:[iIíÍ][^\s\PL]|[hH](?:[íÍ]|[iI](?:$|[^aeoáéó]))))`)
	orBefore  = regexp.MustCompile(`(^|[\s(])o ([«“]?(?:[oOóÓ]|[hH][oOóÓ])\pL)`)
)

// spanish puts a finished sentence right where a figure that came into it begins
// with the sound of the word before it.
func spanish(text string) string {
	if strings.Contains(text, "y ") {
		text = andBefore.ReplaceAllString(text, "${1}e ${2}")
	}
	if strings.Contains(text, "o ") {
		text = orBefore.ReplaceAllString(text, "${1}u ${2}")
	}
	return text
}
