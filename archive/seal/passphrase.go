package seal

import (
	"crypto/hkdf"
	"crypto/pbkdf2"
	"crypto/sha256"
	"fmt"
	"math/big"
	"strconv"
	"strings"

	"golang.org/x/text/unicode/norm"
)

const (
	infoPassphrase = "sandarac passphrase 1"
	// Rounds of PBKDF2-HMAC-SHA-256: the figure of the OWASP Password Storage
	// Cheat Sheet (2023). The list of a locked gallery states it, so that it can
	// be raised without breaking anything.
	Rounds = 600_000

	consonants = "bdklmnrstv"
	vowels     = "aeiou"
	words      = 4
)

// Passphrase derives the passphrase of a gallery: four words of two syllables,
// such as "bado-kilu-mero-tanu", drawn evenly from 50^8 (45 bits). It is never
// stored; whoever has the archive secret can print it again.
func Passphrase(s Secret, client string, generation int) (string, error) {
	info := infoPassphrase + "\x00" + client + "\x00" + strconv.Itoa(generation)
	b, err := hkdf.Key(sha256.New, s.bytes[:], nil, info, 32)
	if err != nil {
		return "", fmt.Errorf("deriving the passphrase: %w", err)
	}
	// 256 bits reduced modulo 50 eight times: the bias is below 2^-200.
	rest, base, digit := new(big.Int).SetBytes(b), big.NewInt(int64(len(consonants)*len(vowels))), new(big.Int)
	var out strings.Builder
	for i := range 2 * words {
		if i > 0 && i%2 == 0 {
			out.WriteByte('-')
		}
		rest.DivMod(rest, base, digit)
		d := int(digit.Int64())
		out.WriteByte(consonants[d/len(vowels)])
		out.WriteByte(vowels[d%len(vowels)])
	}
	return out.String(), nil
}

// PassphraseSalt is the salt, in the clear, with which the passphrase of the
// gallery called name is stretched. Names differ, and so do salts.
func PassphraseSalt(name string) string { return infoPassphrase + "\x00" + name }

// stretch turns a passphrase into 32 bytes, slowly. The passphrase is taken in
// Unicode normalisation form C, as the browser does.
func stretch(passphrase, name string) ([]byte, error) {
	if passphrase == "" {
		return nil, fmt.Errorf("the passphrase of gallery %s is empty", name)
	}
	b, err := pbkdf2.Key(sha256.New, norm.NFC.String(passphrase), []byte(PassphraseSalt(name)), Rounds, 32)
	if err != nil {
		return nil, fmt.Errorf("stretching the passphrase: %w", err)
	}
	return b, nil
}
