package intake

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"auditgen/internal/diag"
	"auditgen/internal/source"
)

var update = flag.Bool("update", false, "write what comes out into the cases")

// Each case holds a column map, a file, and either what is taken from it with
// the account, or the faults in their exact words.
func TestCases(t *testing.T) {
	files, err := filepath.Glob("../../testdata/intervals/cases/*.txt")
	if err != nil || len(files) < 20 {
		t.Fatalf("%d cases: %v", len(files), err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".txt")
		t.Run(name, func(t *testing.T) {
			a, err := txtar.ParseFile(file)
			if err != nil {
				t.Fatal(err)
			}
			got := runCase(t, a)
			if strings.HasPrefix(name, "fault-") != (got[0].Name == "faults") {
				t.Errorf("%s comes out of it:\n%s", got[0].Name, got[0].Data)
			}
			if *update {
				a.Files = append(a.Files[:2], got...)
				if err := os.WriteFile(file, txtar.Format(a), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			if len(a.Files) != 2+len(got) {
				t.Fatalf("the case expects %d results, %d come out", len(a.Files)-2, len(got))
			}
			for i, f := range got {
				if w := a.Files[2+i]; w.Name != f.Name || !bytes.Equal(w.Data, f.Data) {
					t.Errorf("%s:\n%s\nexpected %s:\n%s", f.Name, f.Data, w.Name, w.Data)
				}
			}
		})
	}
}

func runCase(t *testing.T, a *txtar.Archive) []txtar.File {
	t.Helper()
	var faults diag.List
	columns := &Columns{}
	if len(a.Files[0].Data) > 0 {
		columns = ReadColumns(source.YAML("columns.yaml", a.Files[0].Data, &faults), &faults)
	}
	var logs []*Log
	if faults.Len() == 0 && a.Files[1].Name == "data.xml" {
		logs = ReadESPI("data.xml", bytes.NewReader(a.Files[1].Data), ESPIOptions{Projected: columns.Projected}, &faults)
	} else if faults.Len() == 0 {
		logs = []*Log{ReadCSV("data.csv", a.Files[1].Data, columns, &faults)}
	}
	if faults.Len() > 0 {
		var b bytes.Buffer
		faults.Write(&b)
		return []txtar.File{{Name: "faults", Data: b.Bytes()}}
	}
	var out []txtar.File
	for _, l := range logs {
		out = append(out, taken(t, l)...)
	}
	return out
}

// taken prints a log and its account.
func taken(t *testing.T, l *Log) []txtar.File {
	t.Helper()
	var b, account bytes.Buffer
	if err := l.WriteTidy(&b); err != nil {
		t.Fatal(err)
	}
	tidy := b.String()
	if l.Point != "" {
		account.WriteString("point: " + l.Point + "\n")
	}
	if err := l.Print(&account); err != nil {
		t.Fatal(err)
	}
	// What was written is read again without a map, and is the same.
	again := read(t, tidy, nil)
	b.Reset()
	if err := again.WriteTidy(&b); err != nil || b.String() != tidy {
		t.Errorf("read again it is\n%s%v", b.String(), err)
	}
	return []txtar.File{{Name: "tidy.csv", Data: []byte(tidy)}, {Name: "account", Data: account.Bytes()}}
}
