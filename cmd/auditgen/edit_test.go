package main

import (
	"os"
	"strings"

	"github.com/rogpeppe/go-internal/testscript"
)

// edit replaces a text that must occur exactly once: edit FILE OLD NEW. The
// sequences \n and \t stand for a line end and a tab.
func edit(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: edit FILE OLD NEW")
	}
	file := ts.MkAbs(args[0])
	unescape := strings.NewReplacer(`\n`, "\n", `\t`, "\t").Replace
	old, fresh := unescape(args[1]), unescape(args[2])
	text := ts.ReadFile(file)
	if n := strings.Count(text, old); n != 1 {
		ts.Fatalf("%q occurs %d times in %s", old, n, args[0])
	}
	ts.Check(os.WriteFile(file, []byte(strings.Replace(text, old, fresh, 1)), 0o644))
}
