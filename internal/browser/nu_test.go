package browser_test

import (
	"strings"
	"testing"

	"auditgen/internal/browser"
)

func TestNu(t *testing.T) {
	tools := browser.Need(t)
	tests := []struct {
		name        string
		page, style []change
		want        string
		isError     bool
	}{
		{name: "clean"},
		{name: "unclosed element", page: []change{{"</main>", "<section><h2>Not closed</h2></main>"}}, want: "Unclosed element “section”", isError: true},
		{name: "unknown attribute", page: []change{{"<h1>", `<h1 colour="red">`}}, want: "Attribute “colour” not allowed", isError: true},
		{name: "unknown property in the style", style: []change{{"padding: .3rem .5rem", "paddling: .3rem"}}, want: "paddling", isError: true},
		{name: "the same id twice", page: []change{{main, main + `<p id="readings">Once more.</p>`}}, want: "Duplicate ID", isError: true},
		{name: "stale hash in the policy", page: []change{{"max-inline-size: 60rem", "max-inline-size: 61rem"}}, want: "Content Security Policy"},
		{name: "section without a heading", page: []change{{"</main>", "<section><p>What is this about?</p></section></main>"}}, want: "Section lacks heading"},
	}
	var files []string
	for _, test := range tests {
		files = append(files, writePage(t, test.page, test.style))
	}
	remarks, err := tools.Nu(files...)
	if err != nil {
		t.Fatal(err)
	}
	for i, test := range tests {
		var all []string
		isError := false
		for _, r := range remarks {
			if strings.HasSuffix(r.URL, files[i]) {
				all = append(all, r.String())
				isError = isError || r.IsError()
			}
		}
		t.Run(test.name, func(t *testing.T) {
			holds(t, "remarks", all, test.want)
			if isError != test.isError {
				t.Errorf("an error among them: %v, want %v", isError, test.isError)
			}
		})
	}
}

func TestNuCannotRun(t *testing.T) {
	tools := browser.Need(t)
	if _, err := tools.Nu(); err == nil {
		t.Error("no file, and no error")
	}
	tools.NuJar = "testdata/clean.html"
	if _, err := tools.Nu("testdata/clean.html"); err == nil {
		t.Error("a checker that can't start found nothing wrong")
	}
}

func TestNuMissingFile(t *testing.T) {
	tools := browser.Need(t)
	if _, err := tools.Nu("testdata/none.html"); err == nil {
		t.Error("a file that is not there has nothing wrong")
	}
}
