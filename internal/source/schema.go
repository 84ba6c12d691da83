package source

import (
	"bytes"
	"encoding/json"
	"slices"
)

// Schema gives the JSON Schema (draft 2020-12) of a file from its description,
// for the completion and the hover text of editors. The same description gives
// the same bytes.
func Schema(n *Node, title string) ([]byte, error) {
	s := n.schema()
	s["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	s["title"] = title
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	err := e.Encode(s) // keys are sorted
	return b.Bytes(), err
}

func (n *Node) schema() map[string]any {
	var forms []map[string]any
	if n.Single != nil {
		forms = append(forms, n.Single.schema())
	}
	if n.Fields != nil {
		forms = append(forms, n.groupSchema())
	}
	if n.Entry != nil {
		forms = append(forms, map[string]any{"type": "object", "additionalProperties": n.Entry.schema()})
	}
	if n.Item != nil {
		forms = append(forms, map[string]any{"type": "array", "items": n.Item.schema()})
	}
	s := forms[0]
	if len(forms) > 1 {
		s = map[string]any{"anyOf": forms}
	}
	if text := n.hover(); text != "" {
		s["description"] = text
	}
	return s
}

func (n *Node) groupSchema() map[string]any {
	properties := map[string]any{}
	required := []string{}
	for _, f := range n.Fields {
		properties[f.Key] = f.schema()
		if f.Need {
			required = append(required, f.Key)
		}
	}
	g := map[string]any{"type": "object", "properties": properties, "additionalProperties": false}
	if len(required) > 0 {
		slices.Sort(required)
		g["required"] = required
	}
	return g
}

func (s *Single) schema() map[string]any {
	j := map[string]any{}
	switch {
	case len(s.Words) > 0:
		words := make([]any, len(s.Words))
		for i, w := range s.Words {
			words[i] = w
		}
		if slices.Contains(s.Kinds, "boolean") {
			words = append(words, true, false)
		}
		j["enum"] = words
	case len(s.Kinds) == 1:
		j["type"] = s.Kinds[0]
	default:
		j["type"] = s.Kinds
	}
	if s.Pattern != "" {
		j["pattern"] = s.Pattern
	}
	return j
}

// hover is the text that an editor shows at a key.
func (n *Node) hover() string {
	text := n.Doc
	add := func(label, what string) {
		if what != "" {
			if text != "" {
				text += "\n\n"
			}
			text += label + what
		}
	}
	if n.Single != nil && n.Single.How != "text" {
		add("Written as ", n.Single.How)
	}
	add("Unit: ", n.Unit)
	add("Default: ", n.Default)
	add("Example: ", n.Example)
	return text
}
