package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path"
	"strings"

	"auditgen/internal/civil"
	"auditgen/internal/report"
	"auditgen/internal/site"
)

// mostRevisions is how many changes a report lists.
const mostRevisions = 10

// revisions asks git how the data came to be; where it is in no repository, or
// git is not there, the report has no history. Only what touched the site's own
// folder is listed: other changes may concern other clients.
func revisions(p place, stderr io.Writer) report.Revisions {
	var none report.Revisions
	all := []string{site.ProviderFile, "tariffs", p.Dir}
	last, err := git(p.root, "log", "-1", "--format=%h", "--abbrev=10", "--", all[0], all[1], all[2])
	if err != nil {
		if !expected(err) {
			fmt.Fprintf(stderr, "auditgen: the report has no revision history: %v\n", err)
		}
		return none
	}
	changed, err1 := git(p.root, "status", "--porcelain", "--", all[0], all[1], all[2])
	lines, err2 := git(p.root, "log", fmt.Sprint("-", mostRevisions), "--format=%h%x09%cs%x09%s", "--abbrev=10", "--", path.Clean(p.Dir))
	if last == "" || err1 != nil || err2 != nil {
		return none // no change to these files is recorded yet
	}
	r := report.Revisions{Data: last, Changed: changed != ""}
	for line := range strings.Lines(lines) {
		part := strings.SplitN(strings.TrimSpace(line), "\t", 3)
		var date civil.Date
		if len(part) < 3 || date.UnmarshalText([]byte(part[1])) != nil {
			continue
		}
		r.List = append(r.List, report.Revision{Hash: part[0], Date: date, Subject: part[2]})
	}
	return r
}

// expected tells the ordinary reasons why there is no history.
func expected(err error) bool {
	return errors.Is(err, exec.ErrNotFound) ||
		strings.Contains(err.Error(), "not a git repository") || strings.Contains(err.Error(), "does not have any commits yet")
}

// git runs git on a folder, with nothing that the folder's settings could start.
func git(dir string, args ...string) (string, error) {
	var out, errs bytes.Buffer
	c := exec.Command("git", append([]string{"-C", dir, "-c", "core.fsmonitor=false", "-c", "log.showSignature=false", "--no-pager", "--no-optional-locks"}, args...)...)
	c.Env = append(os.Environ(), "LC_ALL=C")
	c.Stdout, c.Stderr = &out, &errs
	if err := c.Run(); err != nil {
		return "", fmt.Errorf("%w: %s", err, strings.TrimSpace(errs.String()))
	}
	return strings.TrimSpace(out.String()), nil
}
