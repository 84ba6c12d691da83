package tariff_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/shopspring/decimal"

	"auditgen/internal/tariff"
)

// TestNoFloatReachesAnAmount reads the package's own source: binary numbers may
// appear only where a meter's answer becomes decimal (pricer.meter and
// pricer.exactCourse), in the interfaces that the meter answers through, and in
// the two files of quick bills, which cannot make a decimal of one.
func TestNoFloatReachesAnAmount(t *testing.T) {
	allowed := map[string]bool{"meter": true, "exactCourse": true, "Use": true, "ApparentUse": true, "SlidingUse": true}
	banned := []string{"float64", "float32", "NewFromFloat", "NewFromFloat32", "NewFromFloatWithExponent", "InexactFloat64", "Float64", "BigFloat", "ParseFloat", "math"}
	makesDecimals := banned[2:5]
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	seen := false
	for _, file := range files {
		if strings.HasSuffix(file, "_test.go") {
			continue
		}
		banned := banned
		if file == "quick.go" || file == "quick_ops.go" {
			banned = makesDecimals
		}
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, file, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			for _, part := range parts(d) {
				ast.Inspect(part.node, func(n ast.Node) bool {
					word := ""
					switch n := n.(type) {
					case *ast.Ident:
						word = n.Name
					case *ast.BasicLit:
						if n.Kind == token.FLOAT {
							word = "float64"
						}
					}
					if slices.Contains(banned, word) {
						if allowed[part.name] {
							seen = true
						} else {
							t.Errorf("%s: %s uses %s", set.Position(n.Pos()), part.name, word)
						}
					}
					return true
				})
			}
		}
	}
	if !seen {
		t.Error("the place where binary numbers become decimal was not found: the test looks at nothing")
	}
}

type namedPart struct {
	name string
	node ast.Node
}

// parts names the functions and types of a declaration; imports are left out.
func parts(d ast.Decl) []namedPart {
	switch d := d.(type) {
	case *ast.FuncDecl:
		return []namedPart{{d.Name.Name, d}}
	case *ast.GenDecl:
		var all []namedPart
		for _, s := range d.Specs {
			switch s := s.(type) {
			case *ast.TypeSpec:
				all = append(all, namedPart{s.Name.Name, s})
			case *ast.ValueSpec:
				all = append(all, namedPart{s.Names[0].Name, s})
			}
		}
		return all
	}
	return nil
}

// TestBillHoldsNoFloat looks through the types of a bill and of a tariff.
func TestBillHoldsNoFloat(t *testing.T) {
	exact := reflect.TypeFor[decimal.Decimal]()
	seen := map[reflect.Type]bool{}
	var look func(path string, x reflect.Type)
	look = func(path string, x reflect.Type) {
		if x == exact || seen[x] {
			return
		}
		seen[x] = true
		switch x.Kind() {
		case reflect.Float32, reflect.Float64:
			t.Errorf("%s is a %s", path, x)
		case reflect.Pointer, reflect.Slice, reflect.Array:
			look(path+"[]", x.Elem())
		case reflect.Map:
			look(path+"[key]", x.Key())
			look(path+"[]", x.Elem())
		case reflect.Struct:
			for i := range x.NumField() {
				if f := x.Field(i); f.IsExported() {
					look(path+"."+f.Name, f.Type)
				}
			}
		}
	}
	look("Bill", reflect.TypeFor[tariff.Bill]())
	look("File", reflect.TypeFor[tariff.File]())
	look("Options", reflect.TypeFor[tariff.Options]())
	if len(seen) < 30 {
		t.Errorf("only %d types were looked at", len(seen))
	}
}
