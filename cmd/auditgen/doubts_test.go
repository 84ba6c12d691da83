package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"auditgen/internal/plant"
)

var update = flag.Bool("update", false, "write what check says of the sites with mistakes anew")

var doubtHead = regexp.MustCompile(`(?m)^\S+:\d+:\d+: ([a-z-]+)$`)

// Each mistake that people make with a clamp meter has a site; check names it
// and nothing else, and says nothing where nothing is wrong. What it prints
// stands beside the site.
func TestMistakesAreNamed(t *testing.T) {
	root := filepath.Join("..", "..", "testdata", "doubts")
	for _, m := range plant.Mistakes() {
		t.Run(m.Name, func(t *testing.T) {
			var out, errs bytes.Buffer
			if code := run([]string{"check", filepath.Join(root, m.Name)}, strings.NewReader(""), &out, &errs); code != 0 {
				t.Fatalf("exit status %d: %s", code, errs.String())
			}
			text := regexp.MustCompile(`(?m)^\S*testdata/doubts/`).ReplaceAllString(out.String(), "")
			var named []string
			for _, h := range doubtHead.FindAllStringSubmatch(text, -1) {
				named = append(named, h[1])
			}
			if got := strings.Join(named, " "); got != m.Doubt {
				t.Errorf("named %q, want %q\n%s", got, m.Doubt, text)
			}
			golden := filepath.Join(root, m.Name, "check.txt")
			if *update {
				if err := os.WriteFile(golden, []byte(text), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			want, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			if text != string(want) {
				t.Errorf("check says\n%s\nand in %s stands\n%s", text, golden, want)
			}
		})
	}
}
