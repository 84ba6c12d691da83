package browser

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"auditgen/internal/paper"
)

// EnvRequired is the environment variable that makes a missing tool a failure
// when it is "required".
const EnvRequired = "AUDITGEN_BROWSER"

// Tools holds the paths of the programs that the checks run.
type Tools struct {
	Chromium     string
	Java         string
	NuJar        string // the Nu HTML checker
	Axe          string // axe-core, minified
	Node         string
	LighthouseJS string // Lighthouse, for Node
	PDFInfo      string
	PDFText      string
	PDFHTML      string // pdftohtml, which can list a PDF's bookmarks
	PDFPNG       string // pdftoppm, which draws a PDF's pages
}

// FindTools looks for every tool. The error has one sentence for each that is
// missing, saying how to get it.
func FindTools() (Tools, error) {
	var found Tools
	var missing []string
	note := func(err error) {
		if err != nil {
			missing = append(missing, err.Error())
		}
	}
	var err error
	found.Chromium, err = paper.FindChromium()
	note(err)
	found.Java, err = onPath("java", "default-jre-headless")
	note(err)
	found.PDFInfo, err = onPath("pdfinfo", "poppler-utils")
	note(err)
	found.PDFText, err = onPath("pdftotext", "poppler-utils")
	note(err)
	found.PDFHTML, err = onPath("pdftohtml", "poppler-utils")
	note(err)
	found.PDFPNG, err = onPath("pdftoppm", "poppler-utils")
	note(err)
	found.Node, err = onPath("node", "nodejs")
	note(err)
	modules, err := modulesDir()
	note(err)
	if err == nil {
		found.NuJar, err = installed(modules, "vnu-jar/build/dist/vnu.jar")
		note(err)
		found.Axe, err = installed(modules, "axe-core/axe.min.js")
		note(err)
		found.LighthouseJS, err = installed(modules, "lighthouse/cli/index.js")
		note(err)
	}
	if len(missing) > 0 {
		return found, fmt.Errorf("%s", strings.Join(missing, "; "))
	}
	return found, nil
}

// Need returns the tools, or ends the test: skipped where one is missing, failed
// if AUDITGEN_BROWSER=required is set.
func Need(t testing.TB) Tools {
	t.Helper()
	mode := os.Getenv(EnvRequired)
	if mode != "" && mode != "required" {
		t.Fatalf("%s=%q is not understood: set it to required, or leave it unset", EnvRequired, mode)
	}
	found, err := FindTools()
	switch {
	case err == nil:
		return found
	case mode == "required":
		t.Fatalf("the page checks are required (%s=required), but %v", EnvRequired, err)
	default:
		t.Skipf("the page checks are left out, as %v", err)
	}
	return Tools{}
}

func onPath(program, debianPackage string) (string, error) {
	path, err := exec.LookPath(program)
	if err != nil {
		return "", fmt.Errorf("%s is not on PATH: install it (Debian: apt-get install %s)", program, debianPackage)
	}
	return path, nil
}

// modulesDir finds npm's folder from the working directory upwards, since a test
// runs in the folder of its package.
func modulesDir() (string, error) {
	dir, err := os.Getwd()
	if err != nil {
		return "", fmt.Errorf("the working directory can't be told: %w", err)
	}
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return filepath.Join(dir, "internal", "browser", "npm", "node_modules"), nil
		}
		parent := filepath.Dir(dir)
		if parent == dir {
			return "", fmt.Errorf("no go.mod above the working directory: run the tests inside the repository")
		}
		dir = parent
	}
}

func installed(modules, file string) (string, error) {
	path := filepath.Join(modules, filepath.FromSlash(file))
	if _, err := os.Stat(path); err != nil {
		return "", fmt.Errorf("%s is not installed: run npm ci --ignore-scripts in internal/browser/npm", strings.SplitN(file, "/", 2)[0])
	}
	return path, nil
}
