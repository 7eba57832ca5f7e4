package seal

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"
	"testing"
)

func testSecret(t testing.TB, first byte) Secret {
	t.Helper()
	b := make([]byte, SecretSize)
	for i := range b {
		b[i] = first + byte(i)
	}
	s, err := SecretFrom(b)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func testGallery(t testing.TB, client string, generation int) Gallery {
	t.Helper()
	g, err := NewGallery(testSecret(t, 1), client, generation)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

func TestGalleryAddresses(t *testing.T) {
	seen := map[string]string{}
	for _, client := range []string{"a", "b", "a\x001"} {
		for generation := 1; generation <= 12; generation++ {
			g := testGallery(t, client, generation)
			if !regexp.MustCompile(`^[a-z2-7]{22}$`).MatchString(g.Name()) {
				t.Errorf("name %q", g.Name())
			}
			if len(unbase64(t, g.Fragment())) != 16 || len(g.Fragment()) != 22 {
				t.Errorf("fragment %q", g.Fragment())
			}
			for _, s := range []string{g.Name(), g.Fragment()} {
				if at := fmt.Sprintf("%q %d", client, generation); seen[s] != "" {
					t.Errorf("%s of %s belongs to %s too", s, at, seen[s])
				} else {
					seen[s] = at
				}
			}
			if again := testGallery(t, client, generation); again.Name() != g.Name() || again.Fragment() != g.Fragment() {
				t.Error("derived twice, different addresses")
			}
		}
	}
	other, err := NewGallery(testSecret(t, 2), "a", 1)
	if err != nil || seen[other.Name()] != "" || seen[other.Fragment()] != "" {
		t.Errorf("another archive, the same address: %v", err)
	}
	for _, bad := range []struct {
		client     string
		generation int
	}{{"", 1}, {"a", 0}, {"a", -1}} {
		if _, err := NewGallery(testSecret(t, 1), bad.client, bad.generation); err == nil {
			t.Errorf("client %q, generation %d accepted", bad.client, bad.generation)
		}
	}
}

// TestContractOfFileKeys derives a file key as the contract words it, from
// HMAC alone (RFC 5869, section 2), and opens a sealed file with it.
func TestContractOfFileKeys(t *testing.T) {
	g := testGallery(t, "rosa", 1)
	var out bytes.Buffer
	if _, err := g.Seal(&out, "list.bin", strings.NewReader("hello")); err != nil {
		t.Fatal(err)
	}
	prk := hmacSHA256(make([]byte, sha256.Size), unbase64(t, g.Fragment()))
	okm := hmacSHA256(prk, append([]byte("sandarac sealed file 1\x00list.bin"), 1))
	plain, err := Open(bytes.NewReader(out.Bytes()), okm[:16], 100)
	if err != nil || string(plain) != "hello" {
		t.Errorf("opened %q, %v", plain, err)
	}
	if size := out.Bytes()[16:21]; !bytes.Equal(size, []byte{0, 1, 0, 0, 0}) {
		t.Errorf("record size and key id length % x, want 65536 and 0", size)
	}
	if out.Len() != 21+16384+17 {
		t.Errorf("%d bytes, want 16 KiB, one record's overhead and the header", out.Len())
	}
}

func TestFilesCannotStandInForOneAnother(t *testing.T) {
	a, later, b := testGallery(t, "a", 1), testGallery(t, "a", 2), testGallery(t, "b", 1)
	locked, err := a.Locked("bado-kilu")
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if _, err := a.Seal(&out, "one.bin", strings.NewReader("content")); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what string
		g    Gallery
		name string
		want error
	}{
		{"itself", a, "one.bin", nil},
		{"another file of the gallery", a, "two.bin", ErrAltered},
		{"a file of a later generation", later, "one.bin", ErrAltered},
		{"a file of another gallery", b, "one.bin", ErrAltered},
		{"a file behind a passphrase", locked, "one.bin", ErrAltered},
	} {
		if _, err := c.g.Open(bytes.NewReader(out.Bytes()), c.name, 100); !errors.Is(err, c.want) {
			t.Errorf("opened as %s: %v, want %v", c.what, err, c.want)
		}
	}
}

func TestPassphrase(t *testing.T) {
	seen := map[string]bool{}
	for i := range 200 {
		p, err := Passphrase(testSecret(t, byte(i)), "a", 1+i%3)
		if err != nil {
			t.Fatal(err)
		}
		if !regexp.MustCompile(`^([bdklmnrstv][aeiou]){2}(-([bdklmnrstv][aeiou]){2}){3}$`).MatchString(p) || seen[p] {
			t.Errorf("passphrase %q", p)
		}
		seen[p] = true
	}
	g := testGallery(t, "a", 1)
	open := func(sealWith, openWith string) error {
		t.Helper()
		s, err := g.Locked(sealWith)
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if _, err := s.Seal(&out, "x.bin", strings.NewReader("content")); err != nil {
			t.Fatal(err)
		}
		o, err := g.Locked(openWith)
		if err != nil {
			t.Fatal(err)
		}
		_, err = o.Open(&out, "x.bin", 100)
		return err
	}
	if err := open("caf\u00e9", "cafe\u0301"); err != nil {
		t.Errorf("composed and decomposed é differ: %v", err)
	}
	if err := open("bado", "badu"); !errors.Is(err, ErrAltered) {
		t.Errorf("a wrong passphrase: %v", err)
	}
	if _, err := g.Locked(""); err == nil {
		t.Error("an empty passphrase was accepted")
	}
}

// TestStretch checks PBKDF2-HMAC-SHA-256 against RFC 8018, section 5.2, written
// out with HMAC alone: the first block is U1 ^ U2 ^ … over all rounds.
func TestStretch(t *testing.T) {
	got, err := stretch("bado-kilu-mero-tanu", "aaaaaaaaaaaaaaaaaaaaaa")
	if err != nil {
		t.Fatal(err)
	}
	password := []byte("bado-kilu-mero-tanu")
	u := hmacSHA256(password, []byte("sandarac passphrase 1\x00aaaaaaaaaaaaaaaaaaaaaa\x00\x00\x00\x01"))
	want := bytes.Clone(u)
	for range 600_000 - 1 {
		u = hmacSHA256(password, u)
		for i := range want {
			want[i] ^= u[i]
		}
	}
	if !bytes.Equal(got, want) {
		t.Errorf("stretched to %x, want %x", got, want)
	}
}

func TestFileNames(t *testing.T) {
	g := testGallery(t, "a", 1)
	one, two := sha256.Sum256([]byte("one")), sha256.Sum256([]byte("two"))
	names := []string{g.FileName("p1 480", one), g.FileName("p1 480", two), g.FileName("p1 960", one), testGallery(t, "b", 1).FileName("p1 480", one)}
	for i, n := range names {
		if !regexp.MustCompile(`^[a-z2-7]{20}\.bin$`).MatchString(n) {
			t.Errorf("name %q", n)
		}
		for _, m := range names[:i] {
			if n == m {
				t.Errorf("%q twice", n)
			}
		}
	}
	if names[0] != g.FileName("p1 480", one) {
		t.Error("a name that changes by itself")
	}
}

func TestSecretNeverPrints(t *testing.T) {
	s := testSecret(t, 'A')
	for _, verb := range []string{"%v", "%+v", "%#v", "%s", "%x", "%d", "%q"} {
		for _, v := range []any{s, &s, struct{ S Secret }{s}, []Secret{s}} {
			if out := fmt.Sprintf(verb, v); strings.Contains(out, "41") || strings.Contains(out, "ABC") || strings.Contains(out, "65") {
				t.Errorf("%s prints %s", verb, out)
			}
		}
	}
}

func TestEnsureSecret(t *testing.T) {
	path := filepath.Join(t.TempDir(), "secret")
	if _, err := ReadSecret(path); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a missing secret: %v", err)
	}
	made := make([]Secret, 8)
	var wait sync.WaitGroup
	for i := range made {
		wait.Go(func() {
			var err error
			if made[i], err = EnsureSecret(path); err != nil {
				t.Error(err)
			}
		})
	}
	wait.Wait()
	for _, s := range made {
		if s != made[0] || s == (Secret{}) {
			t.Fatal("two secrets for one archive")
		}
	}
	entries, err := os.ReadDir(filepath.Dir(path))
	if err != nil || len(entries) != 1 {
		t.Errorf("left beside the secret: %v, %v", entries, err)
	}
	if info, err := os.Stat(path); err != nil || info.Size() != 32 || (runtime.GOOS != "windows" && info.Mode().Perm() != 0o600) {
		t.Errorf("secret has mode %v and %d bytes, %v", info.Mode(), info.Size(), err)
	}
	if exposed, err := SecretExposed(path); exposed || err != nil {
		t.Errorf("a new secret is exposed: %v, %v", exposed, err)
	}
}

func TestBadSecrets(t *testing.T) {
	path := filepath.Join(t.TempDir(), "secret")
	for name, content := range map[string][]byte{
		"empty": {}, "cut": make([]byte, 31), "long": make([]byte, 33), "zeros": make([]byte, 32),
	} {
		if err := os.WriteFile(path, content, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := EnsureSecret(path); err == nil || errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: %v", name, err)
		}
		if got, err := os.ReadFile(path); err != nil || !bytes.Equal(got, content) {
			t.Errorf("%s: the file was changed", name)
		}
	}
	if _, err := ReadSecret(t.TempDir()); err == nil {
		t.Error("a folder as secret")
	}
	if runtime.GOOS == "windows" {
		return
	}
	for mode, want := range map[fs.FileMode]bool{0o600: false, 0o400: false, 0o640: true, 0o604: true, 0o666: true} {
		if err := os.Chmod(path, mode); err != nil {
			t.Fatal(err)
		}
		if got, err := SecretExposed(path); got != want || err != nil {
			t.Errorf("mode %v: exposed %v, %v", mode, got, err)
		}
	}
}

// slow is a source that cannot be sought.
type slow struct{ io.Reader }

func (slow) Seek(int64, int) (int64, error) { return 0, errDisk }

func TestSealReportsItsSource(t *testing.T) {
	g := testGallery(t, "a", 1)
	if _, err := g.Seal(io.Discard, "x.bin", slow{strings.NewReader("content")}); !errors.Is(err, errDisk) {
		t.Errorf("error %v", err)
	}
	if _, err := g.Seal(&full{30}, "x.bin", strings.NewReader("content")); !errors.Is(err, errDisk) {
		t.Errorf("error %v", err)
	}
}

func BenchmarkSeal100MB(b *testing.B) {
	g := testGallery(b, "a", 1)
	content := bytes.Repeat([]byte("wet plate "), 10_000_000)
	b.SetBytes(int64(len(content)))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := g.Seal(io.Discard, "x.bin", bytes.NewReader(content)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkOpen100MB(b *testing.B) {
	g := testGallery(b, "a", 1)
	var message bytes.Buffer
	if _, err := g.Seal(&message, "x.bin", bytes.NewReader(make([]byte, 100_000_000))); err != nil {
		b.Fatal(err)
	}
	ikm, err := FileKey(g.locked, "x.bin")
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(100_000_000)
	b.ReportAllocs()
	for b.Loop() {
		r, err := NewReader(bytes.NewReader(message.Bytes()), ikm)
		if err != nil {
			b.Fatal(err)
		}
		if _, err := io.Copy(io.Discard, r); err != nil {
			b.Fatal(err)
		}
	}
}
