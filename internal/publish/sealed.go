package publish

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/pbkdf2"
	"crypto/rand"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Parameters of the seal: AES-256-GCM (NIST SP 800-38D) with a key by
// PBKDF2-HMAC-SHA256 (RFC 8018). 600,000 iterations are what OWASP's Password
// Storage Cheat Sheet asks for with SHA-256 (read in 2023, from memory).
const (
	sealIterations = 600_000
	sealSalt       = 16 // bytes
	sealKey        = 32
)

// leastPassphrase is the shortest passphrase taken, in characters. The sealed
// page may be copied and tried at leisure, so that its only guard is the work of
// guessing.
const leastPassphrase = 12

//go:embed sealed.html
var sealedPage string

//go:embed sealed.js
var sealedScript string

//go:embed sealed.css
var sealedStyle string

// CheckPassphrase refuses a passphrase that is soon guessed.
func CheckPassphrase(passphrase string) error {
	if n := utf8.RuneCountInString(passphrase); n < leastPassphrase {
		return fmt.Errorf("the passphrase has %d characters; at least %d are needed, such as five words drawn at random", n, leastPassphrase)
	}
	return nil
}

// Seal encrypts a self-contained page with a passphrase and gives a page that
// opens it in the browser by Web Crypto. Salt and nonce are random: the one
// place where the same input does not give the same bytes.
func Seal(page []byte, passphrase string) ([]byte, error) {
	if err := CheckPassphrase(passphrase); err != nil {
		return nil, err
	}
	salt := make([]byte, sealSalt)
	rand.Read(salt) // never fails
	gcm, err := sealer(passphrase, salt)
	if err != nil {
		return nil, err
	}
	nonce := make([]byte, gcm.NonceSize())
	rand.Read(nonce)
	text := base64.StdEncoding.EncodeToString
	hash := func(s string) string {
		sum := sha256.Sum256([]byte(s))
		return text(sum[:])
	}
	style, script := strings.TrimSpace(sealedStyle), strings.TrimSpace(sealedScript)
	return []byte(strings.NewReplacer(
		"SCRIPTHASH", hash(script), "STYLEHASH", hash(style), "STYLE", style, "SCRIPT", script,
		"SALT", text(salt), "NONCE", text(nonce), "ITERATIONS", strconv.Itoa(sealIterations),
		"SEALED", text(gcm.Seal(nil, nonce, page, nil)),
	).Replace(sealedPage)), nil
}

// sealer derives the key. The passphrase is brought to Unicode's form C first,
// as the page does, since keyboards differ in how they make an accented letter.
func sealer(passphrase string, salt []byte) (cipher.AEAD, error) {
	key, err := pbkdf2.Key(sha256.New, norm.NFC.String(passphrase), salt, sealIterations, sealKey)
	if err != nil {
		return nil, err
	}
	block, err := aes.NewCipher(key)
	if err != nil {
		return nil, err
	}
	return cipher.NewGCM(block)
}
