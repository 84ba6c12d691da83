package browser

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"strings"
)

// Remark is one message of the Nu HTML checker.
type Remark struct {
	Type    string `json:"type"`    // error, info, or non-document-error
	SubType string `json:"subType"` // warning for an info that is one, fatal for an error that stopped it
	URL     string `json:"url"`
	Line    int    `json:"lastLine"`
	Column  int    `json:"lastColumn"`
	Message string `json:"message"`
	Extract string `json:"extract"`
}

func (r Remark) String() string {
	kind := r.Type
	if r.SubType != "" {
		kind += " (" + r.SubType + ")"
	}
	return fmt.Sprintf("%s:%d:%d: %s: %s, at %q", strings.TrimPrefix(r.URL, "file:"), r.Line, r.Column, kind, r.Message, r.Extract)
}

// IsError tells an error from a warning or a note.
func (r Remark) IsError() bool { return r.Type != "info" }

// Nu has the Nu HTML checker read files, HTML by default and CSS and SVG by their
// ending, in one run: starting Java costs more than reading a page. It returns
// errors and warnings; an error of its own means that it could not run.
func (t Tools) Nu(files ...string) ([]Remark, error) {
	if len(files) == 0 {
		return nil, fmt.Errorf("the Nu HTML checker was given no file")
	}
	for _, file := range files {
		if _, err := os.Stat(file); err != nil { // the checker itself passes over it
			return nil, fmt.Errorf("the Nu HTML checker can't read a page: %w", err)
		}
	}
	args := append([]string{"-Xss2m", "-jar", t.NuJar, "--format", "json", "--stdout", "--exit-zero-always", "--also-check-css", "--also-check-svg"}, files...)
	var out, errs bytes.Buffer
	cmd := exec.Command(t.Java, args...)
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		return nil, fmt.Errorf("the Nu HTML checker failed: %w: %s", err, strings.TrimSpace(errs.String()))
	}
	var got struct{ Messages *[]Remark }
	if err := json.Unmarshal(out.Bytes(), &got); err != nil || got.Messages == nil {
		return nil, fmt.Errorf("the Nu HTML checker's answer can't be read (%v): %.300s %.300s", err, out.String(), errs.String())
	}
	return *got.Messages, nil
}
