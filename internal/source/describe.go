package source

import (
	"encoding"
	"fmt"
	"reflect"
	"strings"

	"auditgen/internal/diag"
)

// Node describes a place in a file: a single value, a group of named entries
// with fixed keys (Fields), entries with free keys (Entry) or a list (Item).
// A place may allow several of these.
type Node struct {
	Key     string // in its group; "" for entries, items and the file itself
	Path    string // readings[].phases.<name>.voltage
	Need    bool
	Doc     string
	Unit    string
	Default string
	Example string

	Single  *Single // a single value may stand here
	Fields  []*Node // a group with these keys may stand here
	Entry   *Node   // named entries of this kind may stand here
	Item    *Node   // a list of this kind may stand here
	Group   string  // the name of the group's type, to tell that two are alike
	Decodes reflect.Type
}

// Single describes how a single value is written.
type Single struct {
	How     string   // in words, with an example
	Words   []string // all words that may stand there, when it is a choice
	Pattern string   // regular expression that holds of every value; may be empty
	Kinds   []string // the JSON kinds that it may have in an editor: string, number, boolean
}

// shape is how a type of this package holds others.
type shape int

const (
	alone shape = iota
	entries
	aloneOrMany
)

type holder interface{ holds() (shape, reflect.Type) }

// Describe walks the struct tags of a file's type. Every key must have a doc.
func Describe(file reflect.Type) (*Node, error) {
	n := &Node{}
	d := &describer{}
	d.fill(n, file)
	if len(d.wrong) > 0 {
		return nil, fmt.Errorf("%s: %s", file, strings.Join(d.wrong, "; "))
	}
	return n, nil
}

type describer struct{ wrong []string }

func (d *describer) fill(n *Node, t reflect.Type) {
	if n.Decodes == nil {
		n.Decodes = t
	}
	if t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	zero := reflect.New(t).Elem().Interface()
	if h, ok := zero.(holder); ok {
		switch s, elem := h.holds(); s {
		case entries:
			n.Entry = &Node{Path: join(n.Path, "<name>")}
			d.fill(n.Entry, elem)
		case aloneOrMany:
			d.fill(n, elem)
			n.Item = d.item(n, elem)
		default:
			d.fill(n, elem)
		}
		return
	}
	switch {
	case t.Kind() == reflect.Struct && len(fields(t)) > 0:
		d.group(n, t)
	case t.Kind() == reflect.Slice:
		n.Item = d.item(n, t.Elem())
		if _, own := reflect.New(t).Interface().(Reader); own { // one of them may stand alone
			d.fill(n, t.Elem())
		}
	default:
		n.Single = d.single(n, t)
		if group := heldGroup(t); group != nil {
			d.group(n, group)
			n.Item = d.item(n, group)
		} else if _, own := reflect.New(t).Interface().(Reader); own && tried(t, &Value{Form: Sequence}) == nil {
			n.Item = &Node{Path: n.Path + "[]", Single: n.Single, Decodes: t}
		}
	}
}

// heldGroup gives the group that a type which reads itself holds a list of.
func heldGroup(t reflect.Type) reflect.Type {
	if t.Kind() != reflect.Struct {
		return nil
	}
	for _, f := range reflect.VisibleFields(t) {
		if f.Type.Kind() == reflect.Slice && f.Type.Elem().Kind() == reflect.Struct && len(fields(f.Type.Elem())) > 0 {
			return f.Type.Elem()
		}
	}
	return nil
}

func (d *describer) item(n *Node, t reflect.Type) *Node {
	item := &Node{Path: n.Path + "[]"}
	d.fill(item, t)
	return item
}

func (d *describer) group(n *Node, t reflect.Type) {
	if strings.Count(n.Path, ".") > deepest {
		d.wrong = append(d.wrong, n.Path+" holds itself")
		return
	}
	n.Group = t.String()
	for _, f := range reflect.VisibleFields(t) {
		tag := f.Tag
		key := tag.Get("key")
		if key == "" {
			continue
		}
		c := &Node{Key: key, Path: join(n.Path, key), Need: tag.Get("need") == "yes", Doc: tag.Get("doc"), Unit: tag.Get("unit"), Default: tag.Get("default"), Example: tag.Get("example")}
		if c.Doc == "" {
			d.wrong = append(d.wrong, c.Path+" has no doc")
		}
		d.fill(c, f.Type)
		n.Fields = append(n.Fields, c)
	}
	if s, ok := reflect.New(t).Elem().Interface().(interface{ Short() string }); ok {
		for _, c := range n.Fields {
			if c.Key == s.Short() {
				n.Single = c.Single
			}
		}
	}
}

// single describes a scalar type by what it says itself: its own words, or what
// it says was expected when it is given something that nobody would type.
func (d *describer) single(n *Node, t reflect.Type) *Single {
	s := &Single{}
	v := reflect.New(t).Interface()
	if w, ok := reflect.New(t).Elem().Interface().(interface{ Written() string }); ok {
		s.How = w.Written()
	}
	if p, ok := reflect.New(t).Elem().Interface().(interface{ Pattern() string }); ok {
		s.Pattern = p.Pattern()
	}
	_, text := v.(encoding.TextUnmarshaler)
	_, reader := v.(Reader)
	switch {
	case text || reader:
		told := tried(t, &Value{Text: "?"})
		if told == nil && reader { // it takes any single value for now
			told = tried(t, &Value{Form: Mapping})
		}
		if bare := tried(t, &Value{Text: "1"}); bare != nil && strings.Contains(bare.What, "has no unit") {
			told = bare // it lists the units
		}
		if s.How == "" && told != nil {
			s.How = told.Expected
		}
		if told != nil && told.Expected == diag.Choice(told.Options) {
			s.Words = told.Options
		}
		s.Kinds = []string{"string"}
		if tried(t, &Value{Text: "1"}) == nil || tried(t, &Value{Text: "0.5"}) == nil {
			s.Kinds = append(s.Kinds, "number")
		}
		if tried(t, &Value{Text: "yes"}) == nil {
			s.Kinds = append(s.Kinds, "boolean")
		}
	case t.Kind() == reflect.Bool:
		s.How, s.Words, s.Kinds = "yes or no", []string{"yes", "no"}, []string{"string", "boolean"}
	case t.Kind() == reflect.Int:
		s.How, s.Kinds = "a whole number", []string{"integer"}
	default:
		s.How, s.Kinds = "text", []string{"string", "number", "boolean"}
	}
	if s.How == "" {
		d.wrong = append(d.wrong, fmt.Sprintf("%s: a %s does not say how it is written", n.Path, t))
	}
	return s
}

// tried gives what a type says when it is given a value; nil when it takes it.
func tried(t reflect.Type, given *Value) *diag.Problem {
	v := reflect.New(t).Interface()
	if u, ok := v.(encoding.TextUnmarshaler); ok {
		if err := u.UnmarshalText([]byte(given.Text)); err != nil {
			if p, ok := err.(*diag.Problem); ok {
				return p
			}
			return &diag.Problem{What: err.Error()}
		}
		return nil
	}
	var faults diag.List
	given.Pos = diag.Pos{Line: 1, Column: 1}
	v.(Reader).ReadSource(given, &faults)
	if faults.Len() == 0 {
		return nil
	}
	f := faults.Sorted()[0]
	return &diag.Problem{What: f.What, Expected: f.Expected}
}

func join(path, key string) string {
	if path == "" {
		return key
	}
	return path + "." + key
}
