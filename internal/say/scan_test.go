package say

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"auditgen/internal/diag"
)

// speaking are the packages whose sentences the catalogues hold.
var speaking = []string{
	"internal/working", "internal/limits", "internal/power", "internal/profile", "internal/effect", "internal/economics", "internal/tariff", "internal/intake", "internal/site",
	"internal/audit", "internal/measure", "internal/finding", "internal/assess", "internal/export", "internal/report", "cmd/auditgen",
}

// methods are those that say a sentence, with the number of the argument that
// is its key. Key marks a sentence of a table, and Def and its kin have the source
// of a formula.
var methods = map[string]int{"S": 0, "F": 0, "N": 1, "Key": 0, "Def1": 2, "Def2": 2, "Def3": 2, "Def4": 2, "DefN": 2, "DefExact": 2}

// of are the packages whose functions are meant.
var of = map[string]string{"Key": "say", "Def1": "working", "Def2": "working", "Def3": "working", "Def4": "working", "DefN": "working", "DefExact": "working"}

// said is a sentence of the source.
type said struct {
	key, many string
	figures   bool // it is written with fmt
	optional  bool // a catalogue may leave it out
	pos       token.Position
}

// sentences collects what the source says.
func sentences(t *testing.T) []said {
	t.Helper()
	var all []said
	fset := token.NewFileSet()
	for _, dir := range speaking {
		pkgs, err := parser.ParseDir(fset, filepath.Join("../..", dir), func(f fs.FileInfo) bool { return !strings.HasSuffix(f.Name(), "_test.go") }, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, pkg := range pkgs {
			named := constants(pkg)
			ast.Inspect(pkg, func(n ast.Node) bool {
				if call, ok := n.(*ast.CallExpr); ok {
					if s, ok := saidBy(t, fset, call, named); ok {
						all = append(all, s)
					}
				}
				return true
			})
		}
	}
	return append(append(all, templates(t)...), tables(t)...)
}

// constants are the texts of a package that have a name.
func constants(pkg *ast.Package) map[string]string {
	named := map[string]string{}
	ast.Inspect(pkg, func(n ast.Node) bool {
		if spec, ok := n.(*ast.ValueSpec); ok {
			for i, value := range spec.Values {
				if s, ok := text(value); ok {
					named[spec.Names[i].Name] = s
				}
			}
		}
		return true
	})
	return named
}

func saidBy(t *testing.T, fset *token.FileSet, call *ast.CallExpr, named map[string]string) (said, bool) {
	sel, ok := call.Fun.(*ast.SelectorExpr)
	if !ok {
		return said{}, false
	}
	at, ok := methods[sel.Sel.Name]
	if !ok || len(call.Args) <= at || of[sel.Sel.Name] != "" && !isPackage(sel.X, of[sel.Sel.Name]) || sel.Sel.Name == "N" && len(call.Args) < 3 {
		return said{}, false
	}
	s := said{pos: fset.Position(call.Pos()), figures: sel.Sel.Name == "F" || sel.Sel.Name == "N"}
	literal := true
	s.key, literal = text(call.Args[at])
	if sel.Sel.Name == "N" {
		var second bool
		s.many, second = text(call.Args[at+1])
		literal = literal && second
	}
	if literal {
		return s, true
	}
	switch x := call.Args[at].(type) {
	case *ast.Ident:
		s.key = named[x.Name] // a source that several formulas share
		return s, s.key != "" && of[sel.Sel.Name] == "working"
	case *ast.SelectorExpr, *ast.IndexExpr:
		return said{}, false // of a table, whose sentences Key marks
	case *ast.CallExpr:
		if id, ok := x.Fun.(*ast.Ident); ok && id.Name == "string" {
			return said{}, false // a word of a type
		}
	}
	t.Errorf("%s: the sentence is put together, so that nobody can translate it", s.pos)
	return said{}, false
}

func isPackage(x ast.Expr, name string) bool {
	id, ok := x.(*ast.Ident)
	return ok && id.Name == name
}

// text is a literal, or several joined.
func text(x ast.Expr) (string, bool) {
	switch x := x.(type) {
	case *ast.BasicLit:
		s, err := strconv.Unquote(x.Value)
		return s, err == nil
	case *ast.BinaryExpr:
		a, ok := text(x.X)
		b, also := text(x.Y)
		return a + b, ok && also && x.Op == token.ADD
	}
	return "", false
}

var saying = regexp.MustCompile(`\bsay ("(?:[^"\\]|\\.)*")( [$.])?`)

// templates collects what the theme says.
func templates(t *testing.T) []said {
	t.Helper()
	var all []said
	err := filepath.WalkDir("../../themes", func(name string, d fs.DirEntry, err error) error {
		if err != nil || filepath.Ext(name) != ".tmpl" {
			return err
		}
		data, err := os.ReadFile(name)
		for i, line := range strings.Split(string(data), "\n") {
			for _, m := range saying.FindAllStringSubmatch(line, -1) {
				key, err := strconv.Unquote(m[1])
				if err != nil {
					t.Errorf("%s:%d: %s: %v", name, i+1, m[1], err)
				}
				all = append(all, said{key: key, figures: m[2] != "", pos: token.Position{Filename: name, Line: i + 1}})
			}
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// tableText finds words of a table, on a line of their own or within braces.
var tableText = regexp.MustCompile(`(?:^ *(?:- )?|[{,] *)(table|clause|place|base|statistic|name|note|who|caution): (?:"((?:[^"\\]|\\.)*)"|([^,{}\[\]#"]+))`)

// tables collects the words of the limit tables and of the ready measures. Those that a reader sees are
// needed; names and notes may be translated.
func tables(t *testing.T) []said {
	t.Helper()
	names, err := filepath.Glob("../limits/data/*.yaml")
	if err != nil || len(names) == 0 {
		t.Fatal("no limit tables", err)
	}
	names = append(names, "../site/ready/ready.yaml")
	var all []said
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for i, line := range strings.Split(string(data), "\n") {
			for _, m := range tableText.FindAllStringSubmatchIndex(line, -1) {
				field, key := line[m[2]:m[3]], ""
				switch {
				case m[4] >= 0:
					key = line[m[4]:m[5]]
				case strings.Contains(line, "{"):
					key = line[m[6]:m[7]]
				default:
					key, _, _ = strings.Cut(line[m[6]:], " #")
				}
				if key = strings.TrimSpace(key); strings.Contains(key, " ") { // a clause's number is no word
					all = append(all, said{key: key, optional: field == "name" || field == "note" || field == "clause", pos: token.Position{Filename: name, Line: i + 1}})
				}
			}
		}
	}
	return all
}

// TestCatalogues holds every catalogue to the source: each sentence that is said
// has its translation with the same figures, and each translation is of a
// sentence that is said.
func TestCatalogues(t *testing.T) {
	source := map[string]said{}
	for _, s := range sentences(t) {
		if was, ok := source[s.key]; ok && was.many != s.many && was.many != "" && s.many != "" {
			t.Errorf("%s: %q has other forms than at %s", s.pos, s.key, was.pos)
		} else if !ok || s.many != "" {
			source[s.key] = s
		}
	}
	t.Logf("%d sentences", len(source))
	for _, base := range Tags()[1:] {
		var faults diag.List
		catalogue := map[string]Entry{}
		for _, f := range files(base) {
			data, _ := builtIn.ReadFile(f)
			for _, e := range Entries(f, data, &faults) {
				if was, ok := catalogue[e.Key]; ok && (was.Pos.File == e.Pos.File || !slices.Equal(was.Text, e.Text)) {
					faults.At(e.Pos, "\""+e.Key+"\" was translated before, at "+was.Pos.String(), "one translation")
				}
				catalogue[e.Key] = e
				if _, ok := source[e.Key]; !ok {
					faults.At(e.Pos, "nothing says \""+e.Key+"\"", "no translation without its sentence")
				}
				if source[e.Key].figures || e.Many != "" {
					e.check(&faults)
				}
			}
		}
		if err := faults.Err(); err != nil {
			t.Error(err)
		}
		for _, key := range slices.Sorted(maps.Keys(source)) {
			if e, ok := catalogue[key]; !ok {
				if source[key].optional {
					continue
				}
				t.Errorf("%s: %s has no translation of %q", source[key].pos, base, key)
			} else if e.Many != source[key].many {
				t.Errorf("%s: %q has other forms in %s", source[key].pos, key, base)
			}
		}
	}
}
