package browser_test

import (
	"os"
	"path/filepath"
	"testing"

	"auditgen/internal/browser"
)

func TestCheckSource(t *testing.T) {
	tests := []struct {
		name string
		page []change
		want string
	}{
		{name: "clean"},
		{name: "script", page: []change{{main, main + "<script></script>"}}, want: "<script>"},
		{name: "script in a drawing", page: []change{{"<rect", "<script></script><rect"}}, want: "<script>"},
		{name: "frame", page: []change{{main, main + `<iframe src="a.html"></iframe>`}}, want: "<iframe>"},
		{name: "style attribute", page: []change{{"<h1>", `<h1 style="color:red">`}}, want: `style="color:red"`},
		{name: "style attribute in a drawing", page: []change{{"<rect", `<rect style="fill:red"`}}, want: "style attributes"},
		{name: "handler", page: []change{{"<h1>", `<h1 onclick="go()">`}}, want: "is a script"},
		{name: "script as an address", page: []change{{`href="#readings"`, `href="javascript:go()"`}}, want: "javascript:go()"},
		{name: "picture elsewhere", page: []change{{main, main + `<img alt="" loading="lazy" src="//pictures.invalid/a.png">`}}, want: "not part of the report"},
		{name: "picture elsewhere, for fine screens", page: []change{{main, main + `<img alt="" src="data:," srcset="https://pictures.invalid/a.png 2x">`}}, want: "not part of the report"},
		{name: "drawing that uses another", page: []change{{"<rect", `<use href="https://pictures.invalid/a.svg#x"/><rect`}}, want: "not part of the report"},
		{name: "style that imports", page: []change{{":root {", "@import 'other.css'; :root {"}}, want: "@import"},
		{name: "style with a picture elsewhere", page: []change{{"svg rect {", "svg rect { background: url(https://pictures.invalid/a.png);"}}, want: "https://"},
		{name: "link to a standard", page: []change{{`href="#readings"`, `href="https://standards.invalid/1"`}}},
		{name: "link from the root", page: []change{{`href="#readings"`, `href="/index.html"`}}, want: "breaks when the folder moves"},
		{name: "link to a file", page: []change{{`href="#readings"`, `href="data/readings.csv"`}}},
		{name: "link to a file that is not there", page: []change{{`href="#readings"`, `href="data/profile.csv"`}}, want: "does not exist"},
		{name: "link to a folder", page: []change{{`href="#readings"`, `href="data"`}}, want: "a folder"},
		{name: "link to another page's anchor", page: []change{{`href="#readings"`, `href="other.html#here"`}}},
		{name: "link to no anchor of another page", page: []change{{`href="#readings"`, `href="other.html#there"`}}, want: "no such anchor"},
		{name: "link to no anchor", page: []change{{`href="#readings"`, `href="#reading"`}}, want: "#reading, which does not exist"},
		{name: "the same id twice", page: []change{{"<h1>", `<h1 id="main">`}}, want: `"main" stands 2 times`},
		{name: "no language", page: []change{{` lang="en"`, ""}}, want: "no language"},
		{name: "no title", page: []change{{"Three feeders on a Tuesday", " "}}, want: "no title"},
		{name: "title of a drawing only", page: []change{{"<title>Three feeders on a Tuesday</title>", ""}}, want: "no title"},
		{name: "no viewport", page: []change{{`name="viewport"`, `name="robots"`}}, want: "no viewport"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			path := writePage(t, test.page, nil)
			dir := filepath.Dir(path)
			if err := os.Mkdir(filepath.Join(dir, "data"), 0o755); err != nil {
				t.Fatal(err)
			}
			for name, text := range map[string]string{"data/readings.csv": "feeder\n", "other.html": `<!DOCTYPE html><p id="here">Here</p>`} {
				if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			got, err := browser.CheckSource(path, 10_000)
			if err != nil {
				t.Fatal(err)
			}
			holds(t, "found", got, test.want)
		})
	}
}

func TestCheckSourceSize(t *testing.T) {
	got, err := browser.CheckSource(writePage(t, nil, nil), 1000)
	if err != nil {
		t.Fatal(err)
	}
	holds(t, "found", got, "more than 1000")
}
