package recompute

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

const testdata = "../../testdata"

// python finds a Python with numpy.
func python(t *testing.T) string {
	t.Helper()
	for _, p := range []string{"python3", "/usr/bin/python3"} {
		if exec.Command(p, "-c", "import numpy").Run() == nil {
			return p
		}
	}
	const why = "needs Python 3 with numpy: apt-get install python3-numpy"
	if os.Getenv("AUDITGEN_PYTHON") == "required" {
		t.Fatal(why)
	}
	t.Skip(why)
	return ""
}

func run(t *testing.T, script string, args ...string) []byte {
	t.Helper()
	// Without -B Python would leave its compiled files in testdata.
	cmd := exec.Command(python(t), append([]string{"-B", script}, args...)...)
	var fault bytes.Buffer
	cmd.Stderr = &fault
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", script, err, fault.String())
	}
	return out
}

// Each script gives what stands beside it, to six digits: a valley's bottom is
// known no better, and other versions of numpy round otherwise.
func TestScriptsGiveWhatIsCommitted(t *testing.T) {
	for script, output := range map[string]string{
		"published/recompute/recompute.py": "published/recompute/values.json",
		"waveforms/analyse.py":             "waveforms/analysed.json",
	} {
		var got, want any
		if err := json.Unmarshal(run(t, filepath.Join(testdata, script)), &got); err != nil {
			t.Fatalf("%s: %v", script, err)
		}
		text, err := os.ReadFile(filepath.Join(testdata, output))
		if err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal(text, &want); err != nil {
			t.Fatalf("%s: %v", output, err)
		}
		values := 0
		if where := differ(got, want, "", &values); where != "" {
			t.Errorf("%s: %s", output, where)
		}
		t.Logf("%s: %d values", output, values)
	}
}

// differ tells where two JSON values differ, and counts numbers.
func differ(got, want any, at string, values *int) string {
	switch w := want.(type) {
	case map[string]any:
		g, ok := got.(map[string]any)
		if !ok || len(g) != len(w) {
			return fmt.Sprintf("%s has %d keys here, %d in the file", at, len(g), len(w))
		}
		for k := range w {
			if where := differ(g[k], w[k], at+"/"+k, values); where != "" {
				return where
			}
		}
	case []any:
		g, ok := got.([]any)
		if !ok || len(g) != len(w) {
			return fmt.Sprintf("%s has %d items here, %d in the file", at, len(g), len(w))
		}
		for i := range w {
			if where := differ(g[i], w[i], at+"/"+strconv.Itoa(i), values); where != "" {
				return where
			}
		}
	case float64:
		*values++
		g, ok := got.(float64)
		// What is nothing but for rounding has no digits to compare.
		if !ok || math.Abs(g-w) > 1e-6*math.Abs(w)+1e-9 {
			return fmt.Sprintf("%s is %v here, %v in the file", at, got, want)
		}
	default:
		if got != want {
			return fmt.Sprintf("%s is %v here, %v in the file", at, got, want)
		}
	}
	return ""
}

func TestDifferenceIsFound(t *testing.T) {
	read := func(s string) (v any) {
		if err := json.Unmarshal([]byte(s), &v); err != nil {
			t.Fatal(err)
		}
		return v
	}
	want := `[{"a": 1, "b": ["x", 2]}]`
	for got, same := range map[string]bool{
		want: true, `[{"a": 1.0000000001, "b": ["x", 2]}]`: true, `[{"a": 1.00001, "b": ["x", 2]}]`: false,
		`[{"a": 1, "b": ["y", 2]}]`: false, `[{"a": 1, "b": ["x"]}]`: false, `[{"a": 1}]`: false, `[{"a": "1", "b": ["x", 2]}]`: false,
	} {
		n := 0
		if where := differ(read(got), read(want), "", &n); (where == "") != same {
			t.Errorf("%s: %q", got, where)
		}
	}
}

// The sampled waves are what their script makes, to a unit of the last digit.
func TestWavesAreAsMade(t *testing.T) {
	dir := t.TempDir()
	run(t, filepath.Join(testdata, "waveforms", "make.py"), dir)
	made, _ := filepath.Glob(filepath.Join(dir, "*.csv"))
	kept, _ := filepath.Glob(filepath.Join(testdata, "waveforms", "*.csv"))
	if len(made) == 0 || len(made) != len(kept) {
		t.Errorf("%d files made, %d kept", len(made), len(kept))
	}
	for _, file := range made {
		sameFigures(t, file, filepath.Join(testdata, "waveforms", filepath.Base(file)))
	}
}

func sameFigures(t *testing.T, made, kept string) {
	t.Helper()
	a, err := os.ReadFile(made)
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(kept)
	if err != nil {
		t.Error(err)
		return
	}
	cells := func(text []byte) []string {
		return strings.FieldsFunc(string(text), func(r rune) bool {
			return r == '\n' || r == ',' && !bytes.ContainsRune(text, ';') || r == ';' || r == '\t'
		})
	}
	x, y := cells(a), cells(b)
	if len(x) != len(y) {
		t.Errorf("%s: %d cells made, %d kept", kept, len(x), len(y))
		return
	}
	for i := range x {
		if x[i] == y[i] {
			continue
		}
		u, err1 := strconv.ParseFloat(strings.Replace(x[i], ",", ".", 1), 64)
		v, err2 := strconv.ParseFloat(strings.Replace(y[i], ",", ".", 1), 64)
		_, decimals, _ := strings.Cut(strings.Replace(y[i], ",", ".", 1), ".")
		if err1 != nil || err2 != nil || math.Abs(u-v) > 1.5*math.Pow10(-len(decimals)) {
			t.Errorf("%s: cell %d is %s made, %s kept", kept, i, x[i], y[i])
			return
		}
	}
}
