package auditgen_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// order lists the packages: each may import only those before it. A new package
// fails this test until it has a place here.
var order = []string{
	"internal/diag",
	"internal/civil",
	"internal/quantity",
	"internal/money",
	"internal/say",
	"internal/source",
	"internal/working",
	"internal/limits",
	"internal/power",
	"internal/waveform",
	"internal/uncertainty",
	"internal/profile",
	"internal/effect",
	"internal/economics",
	"internal/tariff",
	"internal/intake",
	"internal/picture",
	"internal/site",
	"internal/audit",
	"internal/measure",
	"internal/finding",
	"internal/assess",
	"internal/export",
	"internal/charts",
	"internal/report",
	"internal/publish",
	"internal/paper",
	"themes",
	"internal/plant",   // support of tests: the example's plant
	"internal/browser", // support of tests: a page in a browser
	"internal/browser/shoot",
	"internal/published", // support of tests: worked examples and the formulas held to them
	"internal/recompute", // support of tests: reference values worked out again
	"cmd/auditgen",
}

// fences lists imports that only some packages may have, and the packages.
var fences = []struct {
	imports []string
	only    []string
}{
	{[]string{"go.yaml.in/yaml", "gopkg.in/yaml", "github.com/goccy/go-yaml", "github.com/BurntSushi/toml", "github.com/pelletier/go-toml"}, []string{"internal/source"}},
	{[]string{"html/template", "text/template"}, []string{"internal/report"}},
	{[]string{"os", "os/exec", "os/signal", "net", "net/http"}, []string{"cmd/auditgen", "internal/publish", "internal/paper", "internal/plant", "internal/browser", "internal/browser/shoot"}},
	{[]string{"math/rand"}, nil},
	{[]string{"crypto/rand"}, []string{"internal/publish"}},      // salt and nonce of a sealed report
	{[]string{"math/rand/v2"}, []string{"internal/uncertainty"}}, // drawn from a seed that is kept
}

// clock lists what tells the time or waits for it.
var clock = []string{"Now", "Since", "Until", "After", "AfterFunc", "Tick", "NewTicker", "NewTimer", "Sleep"}

// clockUse lists the packages that may use the clock, and what of it; "*" is all.
var clockUse = map[string][]string{
	"cmd/auditgen":           {"*"},
	"internal/publish":       {"*"},
	"internal/plant":         {"*"},
	"internal/browser":       {"*"},
	"internal/browser/shoot": {"*"},
	"internal/charts":        {"AfterFunc"}, // stops a script that does not end
}

// theseOnly lists packages that import nothing but what is named.
var theseOnly = map[string][]string{
	"themes": {"embed", "io/fs"},
}

// pkg is a package's own files, tests left out.
type pkg struct {
	dir     string
	imports map[string]bool
	clock   map[string]bool // what of package time it uses
}

func packages(t *testing.T) []pkg {
	t.Helper()
	byDir := map[string]*pkg{}
	err := fs.WalkDir(os.DirFS("."), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		base := path.Base(name)
		if d.IsDir() && name != "." && (base == "testdata" || base == "node_modules" || base == "out" || base[0] == '.' || base[0] == '_') {
			return fs.SkipDir
		}
		if d.IsDir() || path.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		if ignored(file) {
			return nil
		}
		dir := path.Dir(name)
		p := byDir[dir]
		if p == nil {
			p = &pkg{dir: dir, imports: map[string]bool{}, clock: map[string]bool{}}
			byDir[dir] = p
		}
		p.read(file)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	var all []pkg
	for _, p := range byDir {
		all = append(all, *p)
	}
	slices.SortFunc(all, func(a, b pkg) int { return strings.Compare(a.dir, b.dir) })
	return all
}

// ignored tells programs that are run by hand, such as those of go generate.
func ignored(file *ast.File) bool {
	for _, g := range file.Comments {
		for _, c := range g.List {
			if c.Pos() < file.Package && strings.HasPrefix(c.Text, "//go:build ignore") {
				return true
			}
		}
	}
	return false
}

func (p *pkg) read(file *ast.File) {
	timeName := ""
	for _, i := range file.Imports {
		imported, _ := strconv.Unquote(i.Path.Value)
		p.imports[imported] = true
		if imported == "time" {
			timeName = "time"
			if i.Name != nil {
				timeName = i.Name.Name
			}
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok && timeName != "" && x.Name == timeName && slices.Contains(clock, s.Sel.Name) {
				p.clock[s.Sel.Name] = true
			}
		}
		return true
	})
}

func module(t *testing.T) string {
	t.Helper()
	data, err := os.ReadFile("go.mod")
	if err != nil {
		t.Fatal(err)
	}
	first, _, _ := strings.Cut(string(data), "\n")
	return strings.TrimSpace(strings.TrimPrefix(first, "module "))
}

func TestEveryPackageHasItsPlace(t *testing.T) {
	var found []string
	for _, p := range packages(t) {
		found = append(found, p.dir)
		if !slices.Contains(order, p.dir) {
			t.Errorf("%s has no place in the order of packages", p.dir)
		}
	}
	for _, dir := range order {
		if !slices.Contains(found, dir) {
			t.Errorf("%s is in the order of packages and does not exist", dir)
		}
	}
}

func TestPackagesImportOnlyThoseBefore(t *testing.T) {
	root := module(t) + "/"
	for _, p := range packages(t) {
		own := slices.Index(order, p.dir)
		for imported := range p.imports {
			dir, ours := strings.CutPrefix(imported, root)
			if ours && slices.Index(order, dir) >= own {
				t.Errorf("%s imports %s, which does not come before it", p.dir, dir)
			}
		}
	}
}

func TestFences(t *testing.T) {
	for _, p := range packages(t) {
		for imported := range p.imports {
			for _, f := range fences {
				if within(imported, f.imports) && !slices.Contains(f.only, p.dir) {
					t.Errorf("%s imports %s, which only these may: %s", p.dir, imported, strings.Join(f.only, ", "))
				}
			}
			if only, ok := theseOnly[p.dir]; ok && !slices.Contains(only, imported) {
				t.Errorf("%s imports %s; it may import only %s", p.dir, imported, strings.Join(only, ", "))
			}
		}
		for used := range p.clock {
			if may := clockUse[p.dir]; !slices.Contains(may, "*") && !slices.Contains(may, used) {
				t.Errorf("%s uses time.%s", p.dir, used)
			}
		}
	}
}

// within reports whether an import is one of the paths or, of a module with a
// version behind it, lies in one.
func within(imported string, paths []string) bool {
	return slices.ContainsFunc(paths, func(p string) bool {
		return imported == p || strings.Contains(p, ".") && (strings.HasPrefix(imported, p+"/") || strings.HasPrefix(imported, p+"."))
	})
}
