package browser

import (
	"bytes"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/net/html"
)

// CheckSource reads a page's source and lists what a finished page may not hold:
// scripts, handlers, style attributes, references to another host, no language,
// title or viewport; ids that stand twice, links to an anchor or file that is not
// there; and more than maxBytes. A browser need not load a thing for it to be
// found here: a link waits for a click, a lazy picture for a scroll.
func CheckSource(path string, maxBytes int) ([]string, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	doc, err := html.Parse(bytes.NewReader(data))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	s := source{path: path, ids: map[string]int{}}
	if len(data) > maxBytes {
		s.report("%d bytes, more than %d", len(data), maxBytes)
	}
	for node := range doc.Descendants() {
		if node.Type == html.ElementNode {
			s.element(node)
		}
	}
	s.finish()
	return s.found, nil
}

type source struct {
	path                      string
	found                     []string
	ids                       map[string]int
	anchors                   []string
	language, title, viewport bool
}

func (s *source) report(format string, args ...any) {
	s.found = append(s.found, fmt.Sprintf(format, args...))
}

func (s *source) element(n *html.Node) {
	if n.Data == "title" && n.Namespace == "" { // a drawing may have a title too
		s.title = s.title || n.FirstChild != nil && strings.TrimSpace(n.FirstChild.Data) != ""
	}
	switch n.Data {
	case "script", "iframe", "object", "embed", "base", "form":
		s.report("<%s> has no place in a report", n.Data)
	case "style":
		if n.FirstChild != nil {
			s.styleSheet(n.FirstChild.Data)
		}
	}
	for _, a := range n.Attr {
		s.attribute(n, a)
	}
}

func (s *source) styleSheet(css string) {
	for _, word := range []string{"@import", "http://", "https://", "url(//", "url('//", `url("//`} {
		if strings.Contains(css, word) {
			s.report("the style holds %s", word)
		}
	}
}

func (s *source) attribute(n *html.Node, a html.Attribute) {
	switch {
	case a.Key == "style":
		s.report("<%s style=%q>: the policy stops style attributes", n.Data, a.Val)
	case strings.HasPrefix(a.Key, "on"):
		s.report("<%s %s=%q> is a script", n.Data, a.Key, a.Val)
	case a.Key == "id":
		s.ids[a.Val]++
	case a.Key == "lang" && n.Data == "html":
		s.language = a.Val != ""
	case a.Key == "name" && n.Data == "meta" && a.Val == "viewport":
		s.viewport = true
	case a.Key == "srcset":
		for _, candidate := range strings.Split(a.Val, ",") {
			if fields := strings.Fields(candidate); len(fields) > 0 {
				s.reference(n, fields[0])
			}
		}
	case slices.Contains([]string{"src", "href", "action", "formaction", "poster", "data", "background", "ping"}, a.Key):
		s.reference(n, a.Val)
	}
}

func (s *source) reference(n *html.Node, address string) {
	u, err := url.Parse(address)
	switch {
	case err != nil:
		s.report("<%s> refers to %q, which is no address", n.Data, address)
	case u.Scheme == "data" || u.Scheme == "mailto" || u.Scheme == "tel":
	case n.Data == "a" && (u.Scheme == "https" || u.Scheme == "http"):
		// Followed only when a reader clicks; nothing is loaded.
	case u.Scheme != "" || u.Host != "":
		s.report("<%s> refers to %q, which is not part of the report", n.Data, address)
	case strings.HasPrefix(address, "/"):
		s.report("<%s> refers to %q, which breaks when the folder moves", n.Data, address)
	case u.Path == "":
		if u.Fragment != "" {
			s.anchors = append(s.anchors, u.Fragment)
		}
	default:
		s.file(n, u)
	}
}

func (s *source) file(n *html.Node, u *url.URL) {
	target := filepath.Join(filepath.Dir(s.path), filepath.FromSlash(u.Path))
	info, err := os.Stat(target)
	switch {
	case err != nil:
		s.report("<%s> refers to %q, which does not exist", n.Data, u.Path)
	case info.IsDir():
		s.report("<%s> refers to %q, a folder: opened from disk it shows no page", n.Data, u.Path)
	case u.Fragment != "" && strings.HasSuffix(target, ".html") && !hasAnchor(target, u.Fragment):
		s.report("<%s> refers to %q, but that page has no such anchor", n.Data, u.String())
	}
}

func hasAnchor(path, id string) bool {
	data, err := os.ReadFile(path)
	if err != nil {
		return false
	}
	doc, err := html.Parse(bytes.NewReader(data))
	if err != nil {
		return false
	}
	for node := range doc.Descendants() {
		for _, a := range node.Attr {
			if a.Key == "id" && a.Val == id {
				return true
			}
		}
	}
	return false
}

func (s *source) finish() {
	var twice []string
	for id, count := range s.ids {
		if count > 1 {
			twice = append(twice, id)
		}
	}
	slices.Sort(twice)
	for _, id := range twice {
		s.report("the id %q stands %d times", id, s.ids[id])
	}
	for _, anchor := range s.anchors {
		if s.ids[anchor] == 0 && anchor != "top" {
			s.report("a link leads to #%s, which does not exist", anchor)
		}
	}
	for _, must := range []struct {
		ok   bool
		what string
	}{{s.language, "language"}, {s.title, "title"}, {s.viewport, "viewport"}} {
		if !must.ok {
			s.report("the page states no %s", must.what)
		}
	}
}
