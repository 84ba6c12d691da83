package browser_test

import (
	"os"
	"path/filepath"
	"slices"
	"testing"

	"auditgen/internal/browser"
)

// TestLighthouse holds that a page without a language and with a picture that
// nobody can hear described is found out, so that 100 means something.
func TestLighthouse(t *testing.T) {
	tools := browser.Need(t)
	dir := t.TempDir()
	page := `<!doctype html><html><head><meta charset="utf-8"><title>A page</title><meta name="viewport" content="width=device-width"></head><body><h1>A page</h1><img src="data:image/gif;base64,R0lGODlhAQABAAAAACw=" width="10" height="10"></body></html>`
	if err := os.WriteFile(filepath.Join(dir, "index.html"), []byte(page), 0o644); err != nil {
		t.Fatal(err)
	}
	got, err := tools.Lighthouse(browser.Serve(t, dir) + "/")
	if err != nil {
		t.Fatal(err)
	}
	if got.Accessibility == 100 {
		t.Errorf("accessibility is %d", got.Accessibility)
	}
	for _, want := range []string{"accessibility: html-has-lang", "accessibility: image-alt"} {
		if !slices.Contains(got.Short, want) {
			t.Errorf("%q is not among %q", want, got.Short)
		}
	}
}
