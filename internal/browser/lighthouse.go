package browser

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"
)

// Scores is what Lighthouse gives a page, each from 0 to 100.
type Scores struct {
	Accessibility, BestPractices int
	Performance                  int      // of this machine as well as of the page: a figure, no verdict
	Short                        []string // audits of the first two that the page does not pass in full
}

// scored are the categories asked for, the verdicts first.
var scored = []string{"accessibility", "best-practices", "performance"}

// Lighthouse judges a page at an address as a phone on a slow network would see
// it. It starts a Chromium of its own and needs no other host.
func (t Tools) Lighthouse(address string) (Scores, error) {
	cmd := exec.Command(t.Node, t.LighthouseJS, address, "--quiet", "--output=json", "--output-path=stdout",
		"--only-categories="+strings.Join(scored, ","), "--no-enable-error-reporting",
		"--chrome-flags=--headless --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking --disable-component-update --disable-sync")
	cmd.Env = append(os.Environ(), "CHROME_PATH="+t.Chromium)
	var errs strings.Builder
	cmd.Stderr = &errs
	out, err := cmd.Output()
	if err != nil {
		return Scores{}, fmt.Errorf("lighthouse at %s: %w: %s", address, err, strings.TrimSpace(errs.String()))
	}
	var got struct {
		Categories map[string]struct {
			Score     *float64
			AuditRefs []struct {
				ID     string
				Weight float64
			}
		}
		Audits map[string]struct{ Score *float64 }
	}
	if err := json.Unmarshal(out, &got); err != nil {
		return Scores{}, fmt.Errorf("lighthouse's answer on %s can't be read: %w", address, err)
	}
	var s Scores
	for i, into := range []*int{&s.Accessibility, &s.BestPractices, &s.Performance} {
		c := got.Categories[scored[i]]
		if c.Score == nil {
			return Scores{}, fmt.Errorf("lighthouse gave %s no score for %s: %s", address, scored[i], strings.TrimSpace(errs.String()))
		}
		*into = int(*c.Score*100 + 0.5)
		for _, ref := range c.AuditRefs {
			if score := got.Audits[ref.ID].Score; i < 2 && ref.Weight > 0 && score != nil && *score < 1 {
				s.Short = append(s.Short, scored[i]+": "+ref.ID)
			}
		}
	}
	slices.Sort(s.Short)
	return s, nil
}
