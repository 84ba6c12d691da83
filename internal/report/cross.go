package report

import (
	"bytes"
	"net/url"
	"path"
	"strings"

	"golang.org/x/net/html"
)

// crossLink lets a link name its target alone, "#R1", on whichever page of the
// folder the target stands: where the page itself has no such place and a page
// beside it has, the link gains that page's name. Builders and templates thus
// need not know how the sections are spread over pages.
func crossLink(files []File) {
	places := make([]map[string]bool, len(files))
	for i, f := range files {
		places[i] = placesOf(f.Data)
	}
	for i := range files {
		files[i].Data = relink(files[i].Data, func(id string) string {
			if places[i][id] {
				return ""
			}
			for k, other := range files {
				if places[k][id] && path.Dir(other.Name) == path.Dir(files[i].Name) {
					return path.Base(other.Name)
				}
			}
			return ""
		})
	}
}

// placesOf are the ids of a page.
func placesOf(page []byte) map[string]bool {
	ids := map[string]bool{}
	rewrite(page, func(tag []byte, attributes map[string]string) []byte {
		ids[attributes["id"]] = true
		return tag
	})
	return ids
}

// relink writes a page with the name that file gives put before each link to a
// place of the page; all else stays as it is, byte for byte.
func relink(page []byte, file func(id string) string) []byte {
	return rewrite(page, func(tag []byte, attributes map[string]string) []byte {
		id, ok := strings.CutPrefix(attributes["href"], "#")
		if plain, err := url.PathUnescape(id); err == nil {
			id = plain
		}
		if !ok || file(id) == "" {
			return tag
		}
		return bytes.Replace(tag, []byte(`href="#`), []byte(`href="`+file(id)+"#"), 1)
	})
}

// rewrite copies a page and lets change give other bytes for a start tag.
func rewrite(page []byte, change func(tag []byte, attributes map[string]string) []byte) []byte {
	var out bytes.Buffer
	t := html.NewTokenizer(bytes.NewReader(page))
	for {
		kind := t.Next()
		raw := bytes.Clone(t.Raw()) // asking for attributes changes letters in place
		switch kind {
		case html.ErrorToken: // the end: reading from memory has no other error
			out.Write(raw)
			return out.Bytes()
		case html.StartTagToken, html.SelfClosingTagToken:
			raw = change(raw, attributesOf(t))
		}
		out.Write(raw)
	}
}

func attributesOf(t *html.Tokenizer) map[string]string {
	found := map[string]string{}
	_, more := t.TagName()
	for more {
		var key, value []byte
		key, value, more = t.TagAttr()
		found[string(key)] = string(value)
	}
	return found
}
