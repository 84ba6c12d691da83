package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"strings"

	"golang.org/x/term"

	"auditgen/internal/publish"
)

// envPassphrase is the environment variable that may hold the passphrase.
const envPassphrase = "AUDITGEN_PASSPHRASE"

// passphrase takes the passphrase of a sealed report from a file, the
// environment or the terminal; never from a flag, which others on the machine
// could read and the shell would keep.
func passphrase(file string, prompt io.Writer) (string, error) {
	p, err := askedPassphrase(file, prompt)
	if err == nil && publish.CheckPassphrase(p) != nil {
		err = &usageError{publish.CheckPassphrase(p)}
	}
	return p, err
}

func askedPassphrase(file string, prompt io.Writer) (string, error) {
	if file != "" {
		data, err := os.ReadFile(file)
		if err != nil {
			return "", &usageError{fmt.Errorf("the passphrase file can't be read: %w", err)}
		}
		return strings.TrimRight(string(data), "\r\n"), nil
	}
	if p := os.Getenv(envPassphrase); p != "" {
		return p, nil
	}
	stdin := int(os.Stdin.Fd())
	if !term.IsTerminal(stdin) {
		return "", &usageError{fmt.Errorf("a sealed report needs a passphrase: run on a terminal, give --passphrase-file, or set %s", envPassphrase)}
	}
	var typed [2]string
	for i, ask := range []string{"Passphrase: ", "Once more: "} {
		fmt.Fprint(prompt, ask)
		data, err := term.ReadPassword(stdin)
		fmt.Fprintln(prompt)
		if err != nil {
			return "", err
		}
		typed[i] = string(data)
	}
	if typed[0] != typed[1] {
		return "", &usageError{errors.New("the two passphrases differ")}
	}
	return typed[0], nil
}
