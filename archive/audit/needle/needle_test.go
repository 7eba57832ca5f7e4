package needle

import (
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func ids(s *Set, data []byte) map[int]string {
	out := map[int]string{}
	s.Find(data, func(id int, form string, _ int) { out[id] = form })
	return out
}

func TestFind(t *testing.T) {
	key := []byte("\x00\x01\xfe\xffgallery key!\x80\x7f")
	name := []byte("kX3_gallery-name-22ch0")
	s := NewSet()
	if !s.Add(key, 1) || !s.Add(name, 2) || s.Add([]byte("too short"), 3) {
		t.Fatal("wrong lengths")
	}
	for data, want := range map[string]string{
		"x" + string(key) + "y":                      "map[1:as it is]",
		hex.EncodeToString(key):                      "map[1:in hexadecimal]",
		strings.ToUpper(hex.EncodeToString(key)):     "map[1:in hexadecimal]",
		base64.StdEncoding.EncodeToString(key):       "map[1:in base64]",
		base64.RawURLEncoding.EncodeToString(key):    "map[1:in base64]",
		"https://x.example/g/" + string(name) + "/#": "map[2:as it is]",
		string(key[:len(key)-1]):                     "map[]",
		"":                                           "map[]",
		strings.Repeat("kX3_gallery-name-22ch", 4):   "map[]",
	} {
		if got := fmt.Sprint(ids(s, []byte(data))); got != want {
			t.Errorf("%q: %s, want %s", data, got, want)
		}
	}
}

// A secret inside any longer text that was encoded as a whole.
func TestFindInside(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		secret := rapid.SliceOfN(rapid.Byte(), Shortest, 40).Draw(rt, "secret")
		before := rapid.SliceOfN(rapid.Byte(), 0, 9).Draw(rt, "before")
		after := rapid.SliceOfN(rapid.Byte(), 0, 9).Draw(rt, "after")
		whole := append(append(before, secret...), after...)
		s := NewSet()
		s.Add(secret, 5)
		for form, data := range map[string]string{
			"raw":        string(whole),
			"hex":        hex.EncodeToString(whole),
			"base64":     base64.StdEncoding.EncodeToString(whole),
			"base64url":  base64.RawURLEncoding.EncodeToString(whole),
			"hex, upper": strings.ToUpper(hex.EncodeToString(whole)),
		} {
			if ids(s, []byte(data))[5] == "" {
				rt.Fatalf("%s: %q not found in %q", form, secret, data)
			}
		}
	})
}

// Nothing is found by chance in random bytes, nor missed at a seam.
func TestStream(t *testing.T) {
	random := rand.NewChaCha8([32]byte{1})
	s := NewSet()
	secret := make([]byte, 16)
	for i := range 3000 {
		random.Read(secret)
		s.Add(secret, i)
	}
	data := make([]byte, 4<<20)
	random.Read(data)
	if got := ids(s, data); len(got) > 0 {
		t.Errorf("found by chance: %v", got)
	}
	text := hex.EncodeToString(secret)
	for at := range 40 {
		whole := strings.Repeat("-", at) + text + strings.Repeat("-", 40)
		found := false
		for from := 0; from < len(whole); from += 30 {
			piece := whole[from:min(from+30+s.Overlap(), len(whole))]
			found = found || len(ids(s, []byte(piece))) > 0
		}
		if !found {
			t.Errorf("missed at %d", at)
		}
	}
}

func BenchmarkFind(b *testing.B) {
	random := rand.NewChaCha8([32]byte{2})
	s := NewSet()
	secret := make([]byte, 16)
	for i := range 2000 {
		random.Read(secret)
		s.Add(secret, i)
	}
	data := make([]byte, 1<<20)
	random.Read(data)
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		s.Find(data, func(int, string, int) {})
	}
}
