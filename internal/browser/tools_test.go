package browser_test

import (
	"fmt"
	"os"
	"runtime"
	"strings"
	"testing"

	"auditgen/internal/browser"
	"auditgen/internal/paper"
)

// witness stands for a test and remembers how it was ended.
type witness struct {
	testing.TB
	ended, words string
}

func (w *witness) Helper() {}
func (w *witness) Skipf(format string, args ...any) {
	w.ended, w.words = "skipped", fmt.Sprintf(format, args...)
	runtime.Goexit()
}
func (w *witness) Fatalf(format string, args ...any) {
	w.ended, w.words = "failed", fmt.Sprintf(format, args...)
	runtime.Goexit()
}

func TestNeed(t *testing.T) {
	tests := []struct {
		name, mode, chromium, path string
		want                       string
		words                      []string
	}{
		{name: "nothing installed", want: "skipped", words: []string{"apt-get install chromium", "apt-get install default-jre-headless", "apt-get install poppler-utils"}},
		{name: "nothing installed, but required", mode: "required", want: "failed", words: []string{"AUDITGEN_BROWSER=required", "apt-get install chromium"}},
		{name: "wrong path given", mode: "required", chromium: "/nowhere/chromium", want: "failed", words: []string{`AUDITGEN_CHROMIUM names "/nowhere/chromium"`}},
		{name: "unknown mode", mode: "requierd", path: os.Getenv("PATH"), want: "failed", words: []string{`AUDITGEN_BROWSER="requierd" is not understood`}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Setenv(browser.EnvRequired, test.mode)
			t.Setenv(paper.EnvChromium, test.chromium)
			t.Setenv("PATH", test.path)
			w := &witness{}
			done := make(chan struct{})
			go func() { defer close(done); browser.Need(w) }()
			<-done
			if w.ended != test.want {
				t.Fatalf("ended %q, want %q: %s", w.ended, test.want, w.words)
			}
			for _, words := range test.words {
				if !strings.Contains(w.words, words) {
					t.Errorf("the message misses %q: %s", words, w.words)
				}
			}
		})
	}
}

func TestLaunchNoBrowser(t *testing.T) {
	if b, err := browser.Launch("/nowhere/chromium", ""); err == nil {
		b.Close()
		t.Error("a browser that is not there started")
	}
}
