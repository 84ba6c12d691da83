package browser

import (
	_ "embed"
	"errors"
	"fmt"
	"os"
	"strings"
)

//go:embed axe.js
var axeJS string

// Judgement is what axe-core says about a page in one view, by the rules for
// WCAG 2.0 to 2.2, levels A and AA, and best practice.
type Judgement struct {
	View       View
	Passed     []string // rules that held
	Violations []Fault
	Undecided  []Fault // axe could not tell, and no excuse holds: look at them
	Excused    []Fault // axe could not tell, with a good reason: see [excuse]
}

// Fault is one element that breaks a rule, or may.
type Fault struct {
	Rule    string `json:"rule"`
	Impact  string `json:"impact"`
	Target  string `json:"target"` // CSS selector
	HTML    string `json:"html"`
	Summary string `json:"summary"`

	Reason      string `json:"reason"` // axe's key for why it could not tell
	InDrawing   bool   `json:"inDrawing"`
	ScrolledOut bool   `json:"scrolledOut"`
}

func (f Fault) String() string {
	s := f.Rule
	if f.Reason != "" {
		s += " (" + f.Reason + ")"
	}
	return s + " at " + f.Target + " " + f.HTML + ": " + f.Summary
}

// Err is nil if nothing is violated and nothing is left undecided.
func (j Judgement) Err() error {
	var bad []string
	for _, f := range j.Violations {
		bad = append(bad, fmt.Sprintf("%s: violated: %s", j.View, f))
	}
	for _, f := range j.Undecided {
		bad = append(bad, fmt.Sprintf("%s: undecided: %s", j.View, f))
	}
	if bad == nil {
		return nil
	}
	return errors.New(strings.Join(bad, "\n"))
}

// wideView is the width in CSS pixels from which nothing may hide in a box that
// scrolls: what is excused in a narrow view must be judged in a wide one.
const wideView = 1280

// excuse tells why an undecided contrast needs no look. Text in a drawing lies
// over shapes whose colours axe can't read, so its colours are tested by
// computation elsewhere; a single character is often a sign rather than text;
// and a cell scrolled out of a narrow view is judged in a wide one. Anything else
// that axe could not tell, such as text over a gradient, must be looked at.
func excuse(f Fault, v View) string {
	if f.Rule != "color-contrast" {
		return ""
	}
	switch {
	case (f.Reason == "imgNode" || f.Reason == "bgOverlap") && f.InDrawing:
		return "text in a drawing"
	case f.Reason == "shortTextContent" || f.Reason == "nonBmp":
		return "one sign"
	case f.Reason == "elmPartiallyObscured" && f.ScrolledOut && v.size().Width < wideView:
		return "scrolled out of view"
	}
	return ""
}

// Axe judges a page in each view, in one tab. The page's policy is bypassed there
// and scripts run, as axe is itself a script: look at policy and scripts with
// [Browser.Open].
func (b *Browser) Axe(address string, views ...View) ([]Judgement, error) {
	if len(views) == 0 {
		return nil, errors.New("axe: no view given")
	}
	source, err := os.ReadFile(b.axe)
	if err != nil {
		return nil, fmt.Errorf("axe-core can't be read: %w", err)
	}
	for i := range views {
		views[i].Scripts = true
	}
	p, err := b.open(address, views[0], "load", true)
	if err != nil {
		return nil, err
	}
	defer p.Close()
	var loaded bool
	if err := p.evaluate(string(source)+"\n;typeof axe === 'object'", &loaded); err != nil {
		return nil, err
	}
	if !loaded {
		return nil, fmt.Errorf("%s does not define axe", b.axe)
	}
	var judgements []Judgement
	for _, v := range views {
		j, err := p.judge(v)
		if err != nil {
			return nil, fmt.Errorf("axe at %s: %w", v, err)
		}
		judgements = append(judgements, j)
	}
	return judgements, nil
}

func (p *Page) judge(v View) (Judgement, error) {
	j := Judgement{View: v}
	if err := p.Show(v); err != nil {
		return j, err
	}
	var got struct {
		Passed                 []string
		Violations, Incomplete []Fault
	}
	if err := p.evaluate(axeJS, &got); err != nil {
		return j, err
	}
	if len(got.Passed) == 0 {
		return j, errors.New("no rule passed, so no page was judged")
	}
	j.Passed, j.Violations = got.Passed, got.Violations
	for _, f := range got.Incomplete {
		if excuse(f, v) != "" {
			j.Excused = append(j.Excused, f)
		} else {
			j.Undecided = append(j.Undecided, f)
		}
	}
	return j, nil
}
