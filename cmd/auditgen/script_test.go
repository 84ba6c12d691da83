package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

func TestMain(m *testing.M) {
	testscript.Main(sharing{m}, map[string]func(){
		"auditgen": func() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) },
	})
}

// sharing runs the tests with a folder for what is made once for all of them.
type sharing struct{ *testing.M }

// Run makes the folder, runs the tests and removes it.
func (s sharing) Run() int {
	dir, err := os.MkdirTemp("", "auditgen-test-")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	shared = dir
	return s.M.Run()
}

// TestScripts runs the commands as a user types them. Each script starts with a
// copy of the example in its work folder, and of the smallest site in small,
// which is worked out much faster.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			for _, part := range []string{"provider.toml", "sites", "tariffs"} {
				if err := copyTree(filepath.Join("..", "..", part), filepath.Join(e.WorkDir, part)); err != nil {
					return err
				}
			}
			if err := os.Mkdir(filepath.Join(e.WorkDir, "small"), 0o755); err != nil {
				return err
			}
			for _, part := range []string{"provider.toml", "minimal", "tariffs"} {
				if err := copyTree(filepath.Join("..", "..", "testdata", "sites", part), filepath.Join(e.WorkDir, "small", part)); err != nil {
					return err
				}
			}
			return nil
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"edit": edit,
		},
	})
}

func copyTree(from, to string) error {
	info, err := os.Stat(from)
	if err != nil {
		return err
	}
	if info.IsDir() {
		return os.CopyFS(to, os.DirFS(from))
	}
	data, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
		return err
	}
	return os.WriteFile(to, data, 0o644)
}
