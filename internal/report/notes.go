package report

import (
	"bytes"
	"html/template"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	record "auditgen/internal/site"
)

// noteHeading is the level that a note's first-level heading is printed at:
// below the section's own.
const noteHeading = 4

// markdown renders notes. Raw HTML is off, which is the library's default;
// headings step down and links carry rel=noopener.
var markdown = goldmark.New(
	goldmark.WithExtensions(extension.Table, extension.Strikethrough),
	goldmark.WithParserOptions(parser.WithASTTransformers(util.Prioritized(tame{}, 100))),
)

// tame brings a note's headings below those of the page and its pictures and
// links to what a page without requests may have.
type tame struct{}

func (tame) Transform(doc *ast.Document, _ text.Reader, _ parser.Context) {
	var pictures []*ast.Image
	_ = ast.Walk(doc, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		if !entering {
			return ast.WalkContinue, nil
		}
		switch n := n.(type) {
		case *ast.Heading:
			n.Level = min(n.Level+noteHeading-1, 6)
		case *ast.Link:
			n.SetAttributeString("rel", []byte("noopener"))
		case *ast.AutoLink:
			n.SetAttributeString("rel", []byte("noopener"))
		case *ast.Image:
			pictures = append(pictures, n)
		}
		return ast.WalkContinue, nil
	})
	for _, p := range pictures {
		// A picture would ask for a file that the page does not have: its
		// description stays.
		parent := p.Parent()
		for c := p.FirstChild(); c != nil; {
			next := c.NextSibling()
			parent.InsertBefore(parent, p, c)
			c = next
		}
		parent.RemoveChild(parent, p)
	}
}

// renderNote turns a note into HTML. The library writes it with all raw HTML
// and dangerous addresses left out.
func renderNote(n record.Note) Note {
	var b bytes.Buffer
	if err := markdown.Convert([]byte(n.Text), &b); err != nil {
		return Note{ID: noteAnchor(n.Name)}
	}
	return Note{ID: noteAnchor(n.Name), HTML: template.HTML(b.String())}
}

func noteAnchor(name string) string { return "note-" + strings.ReplaceAll(name, " ", "-") }
