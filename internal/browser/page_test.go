package browser_test

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"auditgen/internal/browser"
)

// change is an edit that spoils the clean page.
type change struct{ old, new string }

// writePage writes the clean page with edits to its source and style, and the
// hash of the edited style in its policy.
func writePage(t *testing.T, page, style []change) string {
	t.Helper()
	// The Nu HTML checker works out the hash without the blank ends of a style,
	// and a browser with them.
	css := strings.TrimSpace(edit(t, read(t, "testdata/clean.css"), style))
	sum := sha256.Sum256([]byte(css))
	body := strings.Replace(read(t, "testdata/clean.html"), "HASH", "sha256-"+base64.StdEncoding.EncodeToString(sum[:]), 1)
	body = strings.Replace(body, "STYLE", css, 1)
	path := filepath.Join(t.TempDir(), "index.html")
	if err := os.WriteFile(path, []byte(edit(t, body, page)), 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

func edit(t *testing.T, s string, changes []change) string {
	t.Helper()
	for _, c := range changes {
		if !strings.Contains(s, c.old) {
			t.Fatalf("the page to spoil no longer holds %q", c.old)
		}
		s = strings.Replace(s, c.old, c.new, 1)
	}
	return s
}

func read(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

func address(t *testing.T, path string) string {
	t.Helper()
	url, err := browser.FileURL(path)
	if err != nil {
		t.Fatal(err)
	}
	return url
}

func open(t *testing.T, b *browser.Browser, url string, v browser.View) *browser.Page {
	t.Helper()
	p, err := b.Open(url, v)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(p.Close)
	return p
}

// holds fails unless one line at least has the words, and unless there is no line
// where no words are asked for.
func holds(t *testing.T, what string, lines []string, words string) {
	t.Helper()
	if words == "" {
		if len(lines) > 0 {
			t.Errorf("%s: want none, got:\n%s", what, strings.Join(lines, "\n"))
		}
		return
	}
	for _, line := range lines {
		if strings.Contains(line, words) {
			return
		}
	}
	t.Errorf("%s: none holds %q, got:\n%s", what, words, strings.Join(lines, "\n"))
}

const (
	noPolicy = `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src '`
	main     = `<main id="main">`
)

func TestTraffic(t *testing.T) {
	b := browser.Start(t)
	noRules := []change{{noPolicy, `<meta name="author" content="`}}
	tests := []struct {
		name                         string
		page, style                  []change
		scripts                      bool
		foreign, violations, console string
		wantRequests                 int
	}{
		{name: "clean", wantRequests: 1},
		{name: "clean with scripts on", scripts: true, wantRequests: 1},
		{name: "picture elsewhere", page: append(noRules, change{main, main + `<img alt="A board" src="https://pictures.invalid/board.png">`}),
			foreign: "https://pictures.invalid/board.png", console: "ERR_NAME_NOT_RESOLVED", wantRequests: 2},
		{name: "picture elsewhere by address", page: append(noRules, change{main, main + `<img alt="A board" src="http://192.0.2.7/board.png">`}),
			foreign: "http://192.0.2.7/board.png", console: "ERR_", wantRequests: 2},
		{name: "picture elsewhere, stopped by policy", page: []change{{main, main + `<img alt="A board" src="https://pictures.invalid/board.png">`}},
			foreign: "https://pictures.invalid/board.png", violations: "img-src", console: "Content Security Policy", wantRequests: 2},
		{name: "font elsewhere", page: noRules, style: []change{{"font: 1.0625rem/1.55 sans-serif", "font: 1rem Other"}, {":root", "@font-face { font-family: Other; src: url(https://fonts.invalid/f.woff2) }\n:root"}},
			foreign: "https://fonts.invalid/f.woff2", console: "ERR_NAME_NOT_RESOLVED", wantRequests: 2},
		{name: "script that fetches", page: append(noRules, change{main, `<script>fetch('https://count.invalid/hit').catch(() => {})</script>` + main}), scripts: true,
			foreign: "https://count.invalid/hit", console: "ERR_NAME_NOT_RESOLVED", wantRequests: 2},
		{name: "script with scripts off", page: append(noRules, change{main, `<script>fetch('https://count.invalid/hit')</script>` + main}), wantRequests: 1},
		{name: "script stopped by policy", page: []change{{main, `<script>document.title = ''</script>` + main}}, scripts: true,
			violations: "script-src", console: "Content Security Policy", wantRequests: 1},
		{name: "script that throws", page: append(noRules, change{main, `<script>nothing.here()</script>` + main}), scripts: true,
			console: "exception", wantRequests: 1},
		{name: "style attribute", page: []change{{"<h1>", `<h1 style="color:red">`}}, violations: "style-src-attr", console: "Content Security Policy", wantRequests: 1},
		{name: "stale style hash", page: []change{{"max-inline-size: 60rem", "max-inline-size: 61rem"}},
			violations: "style-src-elem", console: "Content Security Policy", wantRequests: 1},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			p := open(t, b, address(t, writePage(t, test.page, test.style)), browser.View{Scripts: test.scripts})
			got := p.Traffic()
			holds(t, "foreign", got.Foreign, test.foreign)
			holds(t, "violations", got.Violations, test.violations)
			holds(t, "console", got.Console, test.console)
			holds(t, "unread", got.Unread, "")
			if len(got.Requests) != test.wantRequests {
				t.Errorf("%d requests, want %d: %v", len(got.Requests), test.wantRequests, got.Requests)
			}
			if wrong := test.foreign+test.violations+test.console != ""; wrong != (got.Err() != nil) {
				t.Errorf("Err() = %v", got.Err())
			}
		})
	}
}

func TestTrafficOverHTTP(t *testing.T) {
	b := browser.Start(t)
	other := httptest.NewServer(http.NotFoundHandler())
	defer other.Close()
	path := writePage(t, []change{{noPolicy, `<meta name="author" content="`}, {main, main + `<img alt="A board" src="` + other.URL + `/b.png">`}}, nil)
	home := browser.Serve(t, filepath.Dir(path))
	got := open(t, b, home+"/index.html", browser.View{}).Traffic()
	holds(t, "another port is another host", got.Foreign, other.URL)
	holds(t, "unread", got.Unread, "")

	clean := browser.Serve(t, filepath.Dir(writePage(t, nil, nil)))
	got = open(t, b, clean+"/index.html", browser.View{}).Traffic()
	if err := got.Err(); err != nil || len(got.Requests) != 1 {
		t.Errorf("want one request, got %q: %v", got.Requests, err)
	}
}

func TestOpenMissingPage(t *testing.T) {
	b := browser.Start(t)
	if p, err := b.Open(address(t, filepath.Join(t.TempDir(), "none.html")), browser.View{}); err == nil {
		p.Close()
		t.Error("a page that is not there opened")
	}
}

func TestOverflow(t *testing.T) {
	b := browser.Start(t)
	tests := []struct {
		name        string
		page, style []change
		width       int
		print       bool
		want        string
	}{
		{name: "clean, narrow", width: 320},
		{name: "clean, wide", width: 1280},
		{name: "wide table", page: []change{{`class="scroll"`, ""}}, style: []change{{".scroll th, .scroll td", "th, td"}}, width: 320, want: "the page is"},
		{name: "wide table where there is room", page: []change{{`class="scroll"`, ""}}, style: []change{{".scroll th, .scroll td", "th, td"}}, width: 1280},
		{name: "table that scrolls", style: []change{{"min-inline-size: 9rem", "min-inline-size: 15rem"}}, width: 680},
		{name: "table that scrolls, on paper", style: []change{{"min-inline-size: 0", "min-inline-size: 15rem"}}, width: 680, print: true, want: "section.scroll"},
		{name: "clean, on paper", width: 680, print: true},
		{name: "long word", page: []change{{"<h1>One", "<h1>" + strings.Repeat("Feeder", 20) + " one"}}, style: []change{{"overflow-wrap: break-word;", ""}}, width: 320, want: "h1"},
		{name: "text cut off", style: []change{{".scroll {", "h1 { white-space: nowrap; overflow: hidden; }\n.scroll {"}}, width: 320, want: "h1"},
		{name: "cut off by the page", style: []change{{"body {", "html { overflow-x: hidden; } h1 { min-inline-size: 40rem; }\nbody {"}}, width: 320, want: "h1"},
		{name: "pushed out on the left", style: []change{{"body {", "h1 { margin-inline-start: -4rem; }\nbody {"}}, width: 320, want: "h1"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			p := open(t, b, address(t, writePage(t, test.page, test.style)), browser.View{Width: test.width, Print: test.print})
			got, err := p.Overflow()
			if err != nil {
				t.Fatal(err)
			}
			holds(t, "overflow", got, test.want)
		})
	}
}

// TestShow proves that views differ: the same page is another picture in the
// dark, on paper's style, at another width and with its workings open, and the
// same picture again when the first view returns.
func TestShow(t *testing.T) {
	b := browser.Start(t)
	p := open(t, b, address(t, writePage(t, nil, nil)), browser.View{})
	first := pictures(t, p)
	for _, v := range []browser.View{{Dark: true}, {Print: true}, {Width: 390}, {OpenDetails: true}} {
		if err := p.Show(v); err != nil {
			t.Fatal(err)
		}
		if bytes.Equal(first, pictures(t, p)) {
			t.Errorf("%s looks like the first view", v)
		}
	}
	if err := p.Show(browser.View{}); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(first, pictures(t, p)) {
		t.Error("back at the first view the page looks different")
	}
}

// TestScriptsOff proves that scripts run when on, and do not when off.
func TestScriptsOff(t *testing.T) {
	b := browser.Start(t)
	url := address(t, writePage(t, []change{{noPolicy, `<meta name="author" content="`}, {"</main>", `</main><script>document.querySelector('h1').textContent = 'Changed'</script>`}}, nil))
	for _, scripts := range []bool{true, false} {
		texts, err := open(t, b, url, browser.View{Scripts: scripts}).Texts()
		if err != nil {
			t.Fatal(err)
		}
		if changed := strings.Contains(strings.Join(texts, "|"), "Changed"); changed != scripts {
			t.Errorf("scripts on %v: changed by the script %v", scripts, changed)
		}
	}
}

func pictures(t *testing.T, p *browser.Page) []byte {
	t.Helper()
	all, err := p.Pictures()
	if err != nil {
		t.Fatal(err)
	}
	return bytes.Join(all, nil)
}
