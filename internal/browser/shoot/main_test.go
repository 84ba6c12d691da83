package main

import (
	"bytes"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"testing"

	"auditgen/internal/browser"
)

func TestShoot(t *testing.T) {
	browser.Need(t)
	dir := filepath.Join(t.TempDir(), "new")
	if err := shoot("../testdata/clean.html", dir, io.Discard); err != nil {
		t.Fatal(err)
	}
	for name, width := range map[string]int{
		"screen-1280-light-1.png": 1280, "screen-1280-dark-1.png": 1280, "screen-390-light-1.png": 390,
		"first-1280.png": 1280, "first-390.png": 390,
	} {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Error(err)
			continue
		}
		picture, err := png.DecodeConfig(bytes.NewReader(data))
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if picture.Width != width {
			t.Errorf("%s is %d pixels wide, want %d", name, picture.Width, width)
		}
	}
	sheets, err := filepath.Glob(filepath.Join(dir, "a4-*.png"))
	if err != nil || len(sheets) == 0 {
		t.Errorf("no picture of a sheet: %v", err)
	}
	for _, name := range []string{"a4.pdf", "letter.pdf"} {
		data, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil || !bytes.HasPrefix(data, []byte("%PDF-")) {
			t.Errorf("%s is no PDF: %v", name, err)
		}
	}
}

func TestShootMissingPage(t *testing.T) {
	if err := shoot("none.html", t.TempDir(), io.Discard); err == nil {
		t.Error("a page that is not there was shot")
	}
}
