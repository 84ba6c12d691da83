package browser_test

import (
	"strings"
	"testing"

	"auditgen/internal/browser"
)

func TestAxe(t *testing.T) {
	b := browser.Start(t)
	tests := []struct {
		name                         string
		page, style                  []change
		view                         browser.View
		violated, undecided, excused string
	}{
		{name: "clean"},
		{name: "clean, dark, narrow, details open", view: browser.View{Width: 320, Dark: true, OpenDetails: true}, excused: "color-contrast (elmPartiallyObscured)"},
		{name: "picture without a text", page: []change{{main, main + `<img src="data:image/gif;base64,R0lGODlhAQABAAAAACw=">`}}, violated: "image-alt"},
		{name: "drawing without a name", page: []change{{` aria-label="Feeder 1 carries 48 kW of 96 kW"><title>Feeder 1 carries half</title>`, ">"}}, violated: "svg-img-alt"},
		{name: "pale text", style: []change{{"td, th {", "h1 { color: #bbb }\ntd, th {"}}, violated: "color-contrast"},
		{name: "pale text in the light only, seen in the dark", style: []change{{"--ink: #1b1e21", "--ink: #ccc"}}, view: browser.View{Dark: true}},
		{name: "pale text in the dark only", style: []change{{"--ink: #e9e6df", "--ink: #333"}}, view: browser.View{Dark: true}, violated: "color-contrast"},
		{name: "pale text in the details, closed", style: []change{{"td, th {", "details p { color: #bbb }\ntd, th {"}}},
		{name: "pale text in the details, open", style: []change{{"td, th {", "details p { color: #bbb }\ntd, th {"}}, view: browser.View{OpenDetails: true}, violated: "color-contrast"},
		{name: "text over a gradient", style: []change{{"td, th {", "h1 { background: linear-gradient(#fff, #eee) }\ntd, th {"}}, undecided: "color-contrast (bgGradient)"},
		{name: "no language", page: []change{{`<html lang="en">`, "<html>"}}, violated: "html-has-lang"},
		{name: "heading left out", page: []change{{"<h1>One feeder carries half of the load</h1>", "<h3>One feeder carries half of the load</h3>"}}, violated: "page-has-heading-one"},
		{name: "link without words", page: []change{{">The readings</a>", "></a>The readings"}}, violated: "link-name"},
		{name: "scrolling table out of the keyboard's reach", page: []change{{` tabindex="0"`, ""}}, view: browser.View{Width: 320}, violated: "scrollable-region-focusable"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			got, err := b.Axe(address(t, writePage(t, test.page, test.style)), test.view)
			if err != nil {
				t.Fatal(err)
			}
			j := got[0]
			holds(t, "violated", lines(j.Violations), test.violated)
			holds(t, "undecided", lines(j.Undecided), test.undecided)
			if test.excused != "" {
				holds(t, "excused", lines(j.Excused), test.excused)
			}
			if wrong := test.violated+test.undecided != ""; wrong != (j.Err() != nil) {
				t.Errorf("Err() = %v", j.Err())
			}
		})
	}
}

// TestAxeRules holds the rules that a later release of axe, or a wrong tag in the
// call, could leave out unseen.
func TestAxeRules(t *testing.T) {
	b := browser.Start(t)
	got, err := b.Axe(address(t, writePage(t, nil, nil)), browser.View{}, browser.View{Width: 390, Dark: true})
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 2 {
		t.Fatalf("%d judgements of 2 views", len(got))
	}
	for _, j := range got {
		passed := " " + strings.Join(j.Passed, " ") + " "
		for _, rule := range []string{"color-contrast", "html-has-lang", "document-title", "svg-img-alt", "target-size", "region", "landmark-one-main", "page-has-heading-one"} {
			if !strings.Contains(passed, " "+rule+" ") {
				t.Errorf("%s: rule %s was not judged; passed:%s", j.View, rule, passed)
			}
		}
	}
}

func lines(faults []browser.Fault) []string {
	var out []string
	for _, f := range faults {
		out = append(out, f.String())
	}
	return out
}
