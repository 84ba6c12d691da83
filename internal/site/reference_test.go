package site_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"auditgen/internal/diag"
	"auditgen/internal/site"
	"auditgen/internal/source"
)

const docs = "../../docs"

// TestReference writes docs/data.md and the schemas from the types, with
// -update, and holds them to the types without.
func TestReference(t *testing.T) {
	files := described(t)
	hold(t, filepath.Join(docs, "data.md"), reference(files))
	for _, f := range files {
		hold(t, filepath.Join(docs, "schema", f.Schema), schemaOf(t, f))
	}
}

func described(t *testing.T) []site.File {
	t.Helper()
	files, err := site.Files()
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func schemaOf(t *testing.T, f site.File) []byte {
	t.Helper()
	s, err := source.Schema(f.Node, f.Name)
	if err != nil {
		t.Fatal(err)
	}
	again, err := source.Schema(described(t)[0].Node, f.Name)
	if first, _ := source.Schema(described(t)[0].Node, f.Name); err != nil || !bytes.Equal(first, again) {
		t.Error("the same description gives other bytes")
	}
	return s
}

func hold(t *testing.T, name string, got []byte) {
	t.Helper()
	if *update {
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s is not what the types say; write it anew with: go test ./internal/site -run TestReference -update", name)
	}
}

// each visits every key of a file.
func each(n *source.Node, visit func(*source.Node)) {
	if n.Key != "" {
		visit(n)
	}
	for _, f := range n.Fields {
		each(f, visit)
	}
	if n.Entry != nil {
		each(n.Entry, visit)
	}
	if n.Item != nil && n.Item.Group != n.Group {
		each(n.Item, visit)
	}
}

// TestExamples: every key that takes a value has an example, and each example is
// read without fault by what it is an example of.
func TestExamples(t *testing.T) {
	for _, f := range described(t) {
		keys := 0
		each(f.Node, func(n *source.Node) {
			keys++
			if n.Example == "" {
				if n.Fields == nil && (n.Item == nil || n.Item.Fields == nil) {
					t.Errorf("%s, %s: no example", f.Name, n.Path)
				}
				return
			}
			var faults diag.List
			var v *source.Value
			if f.Name == site.ProviderFile {
				v = source.TOML("example.toml", []byte("example = "+strconv.Quote(n.Example)+"\n"), &faults)
			} else {
				v = source.YAML("example.yaml", []byte("example: "+n.Example+"\n"), &faults)
			}
			if v != nil {
				source.Decode(v.Pairs[0].Value, reflect.New(n.Decodes).Interface(), &faults)
			}
			if err := faults.Err(); err != nil {
				t.Errorf("%s, %s: the example %s has faults:\n%v", f.Name, n.Path, n.Example, err)
			}
		})
		if keys < 8 {
			t.Errorf("%s has %d keys", f.Name, keys)
		}
	}
}

// plainValue is a value as an editor's reader of YAML or TOML has it.
func plainValue(v *source.Value) any {
	switch v.Form {
	case source.Mapping:
		m := map[string]any{}
		for _, p := range v.Pairs {
			m[p.Key] = plainValue(p.Value)
		}
		return m
	case source.Sequence:
		list := make([]any, len(v.Items))
		for i, item := range v.Items {
			list[i] = plainValue(item)
		}
		return list
	}
	if !v.Quoted {
		switch v.Text {
		case "true", "yes":
			return true
		case "false", "no":
			return false
		}
		if n, err := strconv.Atoi(v.Text); err == nil {
			return n
		}
		if x, err := strconv.ParseFloat(v.Text, 64); err == nil {
			return x
		}
	}
	return v.Text
}

// TestSchemas: each schema is one by the draft's own rules, takes the files that
// are right, and refuses what a schema can see to be wrong.
func TestSchemas(t *testing.T) {
	compiled := map[string]*jsonschema.Schema{}
	for _, f := range described(t) {
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schemaOf(t, f)))
		if err != nil {
			t.Fatal(err)
		}
		c := jsonschema.NewCompiler()
		if err := c.AddResource(f.Schema, doc); err != nil {
			t.Fatal(err)
		}
		if compiled[f.Schema], err = c.Compile(f.Schema); err != nil {
			t.Fatal(err)
		}
	}
	schemaFor := func(name string) *jsonschema.Schema {
		switch {
		case name == site.ProviderFile:
			return compiled["provider.json"]
		case strings.HasSuffix(name, "site.yaml"):
			return compiled["site.json"]
		case strings.Contains(name, "/visits/") && strings.HasSuffix(name, ".yaml"):
			return compiled["visit.json"]
		case strings.HasSuffix(name, "/measures.yaml"):
			return compiled["measures.json"]
		case strings.HasPrefix(name, "tariffs/"):
			return compiled["tariff.json"]
		}
		return nil
	}
	check := func(name string, data []byte) error {
		var faults diag.List
		read := source.YAML
		if name == site.ProviderFile {
			read = source.TOML
		}
		v := read(name, data, &faults)
		if v == nil {
			t.Fatalf("%s: %v", name, faults.Err())
		}
		return schemaFor(name).Validate(plainValue(v))
	}
	right := 0
	for _, root := range []string{filepath.Join(badFolder, "good"), "../.."} {
		for _, pattern := range []string{"provider.toml", "tariffs/*.yaml", "sites/*/site.yaml", "sites/*/measures.yaml", "sites/*/visits/*.yaml"} {
			names, err := filepath.Glob(filepath.Join(root, pattern))
			if err != nil {
				t.Fatal(err)
			}
			for _, name := range names {
				data, err := os.ReadFile(name)
				if err != nil {
					t.Fatal(err)
				}
				rel, _ := filepath.Rel(root, name)
				if err := check(filepath.ToSlash(rel), data); err != nil {
					t.Errorf("%s: %v", name, err)
				}
				right++
			}
		}
	}
	if right < 8 {
		t.Errorf("only %d files were right", right)
	}
	for _, name := range []string{"unit-missing", "unit-wrong", "unknown-key", "wiring-unknown", "keys-missing", "list-without-dashes", "space-in-number", "measures-terms-wrong", "state-without-duty"} {
		m := good(t)
		text := "file: sites/mill/visits/2031-03-12.yaml\n-      idling: {power: 3.1 kW, duty: 30 %}\n+      idling: {power: 3.1 kW}\n"
		if data, err := os.ReadFile(filepath.Join(badFolder, name, "change.txt")); err == nil {
			text = string(data)
		}
		change(t, m, text)
		if !refused(t, m, check) {
			t.Errorf("%s: no schema refuses it", name)
		}
	}
}

func refused(t *testing.T, m fstest.MapFS, check func(string, []byte) error) bool {
	t.Helper()
	for name, f := range m {
		if check(name, f.Data) != nil {
			return true
		}
	}
	return false
}

// reference is the text of docs/data.md.
func reference(files []site.File) []byte {
	var b bytes.Buffer
	intro, err := os.ReadFile("testdata/data-intro.md")
	if err != nil {
		panic(err)
	}
	b.Write(intro)
	for _, f := range files {
		fmt.Fprintf(&b, "\n## `%s`\n\n%s\n", f.Name, f.About)
		r := renderer{b: &b, at: map[string]string{}}
		r.node(f.Node, "")
	}
	return b.Bytes()
}

type renderer struct {
	b  *bytes.Buffer
	at map[string]string // where a group's type is described
}

// node writes the table of a group, then those of what lies in it.
func (r *renderer) node(n *source.Node, heading string) {
	for n.Group == "" && n.Fields == nil {
		switch {
		case n.Entry != nil:
			n = n.Entry
		case n.Item != nil:
			n = n.Item
		default:
			return
		}
	}
	if n.Fields == nil || r.at[n.Group] != "" {
		return
	}
	r.at[n.Group] = n.Path
	if n.Path == "" {
		r.at[n.Group] = "the top"
	} else {
		fmt.Fprintf(r.b, "\n### `%s`\n", n.Path)
	}
	if heading != "" {
		fmt.Fprintf(r.b, "\n%s.\n", heading)
	}
	r.b.WriteString("\n| key | needed | meaning | written as | default | example |\n|---|---|---|---|---|---|\n")
	for _, f := range n.Fields {
		need := ""
		if f.Need {
			need = "yes"
		}
		fmt.Fprintf(r.b, "| `%s` | %s | %s | %s | %s | %s |\n", f.Key, need, cell(f.Doc), cell(r.form(f)), cell(f.Default), code(f.Example))
	}
	for _, f := range n.Fields {
		r.node(f, sentence(f.Doc))
	}
}

func sentence(s string) string {
	if s == "" {
		return ""
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

// form words what may stand at a key.
func (r *renderer) form(n *source.Node) string {
	var forms []string
	if s := n.Single; s != nil {
		how := s.How
		if !told(how, n.Unit) {
			how += " (here in " + n.Unit + ")"
		}
		forms = append(forms, how)
	}
	if n.Fields != nil {
		forms = append(forms, "group `"+r.known(n)+"`")
	}
	if n.Entry != nil {
		forms = append(forms, "entries by name, each "+r.form(n.Entry))
	}
	if n.Item != nil {
		switch {
		case n.Item.Group != "" && n.Item.Group == n.Group, n.Single != nil && n.Item.Single != nil && n.Item.Single.How == n.Single.How:
			forms = append(forms, "a list of them")
		default:
			forms = append(forms, "list of "+strings.TrimPrefix(r.form(n.Item), "one "))
		}
	}
	return strings.Join(forms, "; or ")
}

// told reports whether the words name each of the units already.
func told(how, units string) bool {
	for u := range strings.FieldsFuncSeq(units, func(r rune) bool { return r == ' ' || r == ',' }) {
		if u != "or" && !strings.Contains(how, u) {
			return false
		}
	}
	return true
}

func (r *renderer) known(n *source.Node) string {
	if at := r.at[n.Group]; at != "" {
		return at
	}
	return n.Path
}

func cell(s string) string { return strings.ReplaceAll(s, "|", "\\|") }

func code(s string) string {
	if s == "" {
		return ""
	}
	return "`" + cell(s) + "`"
}
