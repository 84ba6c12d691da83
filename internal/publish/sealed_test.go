package publish

import (
	"bytes"
	"encoding/base64"
	"regexp"
	"strings"
	"testing"
)

// unsealed opens a sealed page again, from nothing but its text.
func unsealed(t *testing.T, page []byte, passphrase string) ([]byte, error) {
	t.Helper()
	part := func(pattern string) []byte {
		m := regexp.MustCompile(pattern).FindSubmatch(page)
		if m == nil {
			t.Fatalf("the sealed page has no %s", pattern)
		}
		data, err := base64.StdEncoding.DecodeString(string(m[1]))
		if err != nil {
			t.Fatal(err)
		}
		return data
	}
	gcm, err := sealer(passphrase, part(`data-salt="([^"]*)"`))
	if err != nil {
		t.Fatal(err)
	}
	return gcm.Open(nil, part(`data-nonce="([^"]*)"`), part(`data-iterations="600000">([^<]*)<`), nil)
}

func TestSeal(t *testing.T) {
	page := []byte("<!DOCTYPE html><title>Quernstone Creamery</title><style>a{}</style>")
	const passphrase = "caf\u00e9 quarry lantern nine"
	first, err := Seal(page, passphrase)
	if err != nil {
		t.Fatal(err)
	}
	for _, typed := range []string{passphrase, "cafe\u0301 quarry lantern nine"} {
		if got, err := unsealed(t, first, typed); err != nil || !bytes.Equal(got, page) {
			t.Errorf("%+q opens %q (%v)", typed, got, err)
		}
	}
	if _, err := unsealed(t, first, "cafe quarry lantern nine"); err == nil {
		t.Error("a wrong passphrase opens the page")
	}
	spoilt := regexp.MustCompile(`(600000">.{20})(.)`).ReplaceAllFunc(first, func(m []byte) []byte {
		m = bytes.Clone(m)
		if m[len(m)-1] ^= 1; m[len(m)-1] == '@' || m[len(m)-1] == '[' || m[len(m)-1] == '`' || m[len(m)-1] == '{' || m[len(m)-1] == '*' || m[len(m)-1] == '.' {
			m[len(m)-1] = 'x'
		}
		return m
	})
	if _, err := unsealed(t, spoilt, passphrase); err == nil {
		t.Error("a changed page opens")
	}
	if bytes.Contains(first, []byte("Quernstone")) || bytes.Contains(first, []byte("SALT")) || bytes.Contains(first, []byte("HASH")) {
		t.Error("the sealed page shows the client, or was not filled in")
	}
	second, err := Seal(page, passphrase)
	if err != nil || bytes.Equal(first, second) {
		t.Errorf("salt and nonce are used twice (%v)", err)
	}
	if _, err := Seal(page, "too short"); err == nil || !strings.Contains(err.Error(), "at least 12 are needed") {
		t.Errorf("a short passphrase gives %v", err)
	}
}
