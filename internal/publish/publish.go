// Package publish puts files on disk as one whole: written beside, swapped in
// at the end, so that a failed run leaves what was there before.
package publish

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"auditgen/internal/report"
)

// manifest is written with every set of files: what belongs to it. A folder
// without one is somebody else's and is never replaced.
const manifest = "manifest.txt"

const manifestHead = "Written by auditgen. The next report replaces this folder whole.\n\n"

// ErrForeign says that the folder holds files that no report put there.
var ErrForeign = errors.New("the folder holds other files")

// Write replaces the folder dir by the files. On an error the folder is as it
// was before.
func Write(dir string, files []report.File) (err error) {
	if err := ours(dir); err != nil {
		return err
	}
	parent := filepath.Dir(dir)
	if err := os.MkdirAll(parent, 0o755); err != nil {
		return err
	}
	fresh, err := os.MkdirTemp(parent, "."+filepath.Base(dir)+"-new-")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.RemoveAll(fresh)
		}
	}()
	if err := fill(fresh, append(slices.Clone(files), list(files))); err != nil {
		return err
	}
	if err := os.Chmod(fresh, 0o755); err != nil {
		return err
	}
	return swap(fresh, dir)
}

// WriteFile writes one file as a whole: beside its place first, then moved there,
// so that a failed run leaves what was there before.
func WriteFile(path string, data []byte) (err error) {
	dir := filepath.Dir(path)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	fresh, err := os.CreateTemp(dir, "."+filepath.Base(path)+"-new-")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			os.Remove(fresh.Name())
		}
	}()
	_, err = fresh.Write(data)
	if err := errors.Join(err, fresh.Chmod(0o644), fresh.Close()); err != nil {
		return err
	}
	return os.Rename(fresh.Name(), path)
}

// ours refuses a folder that a report did not make.
func ours(dir string) error {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, os.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	if len(entries) == 0 {
		return nil
	}
	data, err := os.ReadFile(filepath.Join(dir, manifest))
	if err != nil || !strings.HasPrefix(string(data), manifestHead) {
		return fmt.Errorf("%s: %w", dir, ErrForeign)
	}
	return nil
}

// list makes the manifest: each file with its SHA-256, in order of names.
func list(files []report.File) report.File {
	lines := make([]string, len(files))
	for i, f := range files {
		sum := sha256.Sum256(f.Data)
		lines[i] = hex.EncodeToString(sum[:]) + "  " + f.Name + "\n"
	}
	slices.SortFunc(lines, func(a, b string) int { return strings.Compare(a[64:], b[64:]) })
	return report.File{Name: manifest, Data: []byte(manifestHead + strings.Join(lines, ""))}
}

func fill(dir string, files []report.File) error {
	for _, f := range files {
		if !filepath.IsLocal(filepath.FromSlash(f.Name)) {
			return fmt.Errorf("the name %q leads out of the folder", f.Name)
		}
		path := filepath.Join(dir, filepath.FromSlash(f.Name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(path, f.Data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// swap puts fresh in the place of dir. If that fails half-way, the old folder
// is put back.
func swap(fresh, dir string) error {
	old := ""
	if _, err := os.Stat(dir); err == nil {
		spare, err := os.MkdirTemp(filepath.Dir(dir), "."+filepath.Base(dir)+"-old-")
		if err != nil {
			return err
		}
		defer os.RemoveAll(spare)
		old = filepath.Join(spare, "folder")
		if err := os.Rename(dir, old); err != nil {
			return err
		}
	}
	if err := os.Rename(fresh, dir); err != nil {
		if old != "" {
			return errors.Join(err, os.Rename(old, dir))
		}
		return err
	}
	return nil
}
