// Package browser looks at finished pages the way a reader's machine will: it
// opens them in headless Chromium, prints them, runs accessibility rules over
// them and has the Nu HTML checker read their source. Only tests, and the
// contributor's tool in the shoot directory, use it.
//
// # What must be installed
//
// Chromium (on PATH, or named by AUDITGEN_CHROMIUM), Java 11 or later, poppler's
// pdfinfo, pdftotext, pdftohtml and pdftoppm, and two npm packages with pinned versions:
//
//	cd internal/browser/npm && npm ci --ignore-scripts
//
// A test calls [Need] first. Where a tool is missing the test is skipped, or
// fails if AUDITGEN_BROWSER=required is set, in both cases with a sentence that
// says what to install. .ci/run sets it, so there no check can be left out
// unseen.
//
// # What the checks can't tell
//
// Automatic accessibility rules find a part of the possible faults only. They
// can't judge contrast over pictures, whether a sentence is true, or what a
// screen reader makes of a page. Look at the pages too: see the shoot directory.
package browser
