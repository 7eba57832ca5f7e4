//go:build unix

package main

import (
	"bytes"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
	"testing"
)

// secrets are what may be seen almost nowhere.
type secrets struct {
	archive []byte   // from which all keys come
	keys    []string // of galleries, as links hold them, and passphrases
}

// forms of a secret as programs write bytes.
func forms(secret []byte) [][]byte {
	return [][]byte{
		secret, []byte(hex.EncodeToString(secret)), []byte(strings.ToUpper(hex.EncodeToString(secret))),
		[]byte(base64.RawStdEncoding.EncodeToString(secret)), []byte(base64.RawURLEncoding.EncodeToString(secret)),
		[]byte(strings.Trim(fmt.Sprint(secret), "[]")),
	}
}

// in says which secret stands in a text: "archive", "key" or "".
func (s secrets) in(text []byte) string {
	for _, form := range forms(s.archive) {
		if bytes.Contains(text, form) {
			return "archive"
		}
	}
	for _, key := range s.keys {
		raw, err := base64.RawURLEncoding.DecodeString(key)
		if bytes.Contains(text, []byte(key)) || err == nil && len(raw) >= 16 && bytes.Contains(text, raw) {
			return "key"
		}
	}
	return ""
}

// watchedHugo stands before the real Hugo on PATH and notes what it is given:
// arguments, environment, and the files it works on.
func watchedHugo(t *testing.T) (seen string) {
	t.Helper()
	real, err := exec.LookPath("hugo")
	if err != nil {
		t.Fatal(err)
	}
	seen = t.TempDir()
	bin := t.TempDir()
	script := fmt.Sprintf(`#!/bin/sh
{ env; printf '%%s\n' "$@"; } >> '%[1]s/given'
source=
for a; do [ "$source" = next ] && source=$a && break; [ "$a" = --source ] && source=next; done
[ -d "$source" ] && cp -R "$source" '%[1]s/'stage.$$
exec '%[2]s' "$@"
`, seen, real)
	if err := os.WriteFile(filepath.Join(bin, "hugo"), []byte(script), 0o755); err != nil {
		t.Fatal(err)
	}
	t.Setenv("PATH", bin+string(os.PathListSeparator)+os.Getenv("PATH"))
	return seen
}

// hushed is an archive with an open and a locked gallery, and its secrets.
func hushed(t *testing.T, root string) secrets {
	t.Helper()
	killState(t, root, "A")
	put(t, root, "locked.md", "---\nclient: locked\nname: Nell Orme\ngallery: {title: Locked, passphrase_required: true}\n---\n")
	put(t, root, "l.md", "---\nplate: l-1\nmade: 2026-05-07\noutcome: keeper\nsitters: []\nclient: locked\ntitle: Rope\nalt: Rope.\n---\n")
	put(t, root, "l.jpg", string(drawScan(325, 425, 100, 61)))
	out, errOut, code := sandarac(t, "galleries", "--json", "--archive", root, "--today", killDay)
	if code != exitDone {
		t.Fatalf("galleries: exit code %d\n%s", code, errOut)
	}
	var told struct {
		Galleries []struct{ URL, Passphrase string }
	}
	if err := json.Unmarshal([]byte(out), &told); err != nil {
		t.Fatal(err)
	}
	var s secrets
	for _, g := range told.Galleries {
		if _, key, ok := strings.Cut(g.URL, "#"); ok {
			s.keys = append(s.keys, key)
		}
		if g.Passphrase != "" {
			s.keys = append(s.keys, g.Passphrase)
		}
	}
	var err error
	if s.archive, err = os.ReadFile(filepath.Join(root, ".sandarac", "secret")); err != nil || len(s.keys) != 3 {
		t.Fatalf("%d keys and passphrases, want 3; %v", len(s.keys), err)
	}
	if s.in([]byte(out)) != "key" || s.in(append([]byte("x"), s.archive...)) != "archive" {
		t.Fatal("the test would not see a secret")
	}
	return s
}

// TestSecretsStayHidden: the archive's secret is nowhere but in its file. The keys
// of galleries are told by the command for them, and in the bench book on the
// papers and pages for clients: not in the site, not in what commands say, not in
// what Hugo is given.
func TestSecretsStayHidden(t *testing.T) {
	const foreign = "canary-of-the-cloud"
	t.Setenv("AWS_SECRET_ACCESS_KEY", foreign)
	seen, root := watchedHugo(t), t.TempDir()
	s := hushed(t, root)
	in := func(name string) string { return filepath.Join(root, name) }
	elsewhere := t.TempDir()
	put(t, elsewhere, "thesis.txt", "mine")
	say := func(args ...string) {
		t.Helper()
		out, errOut, _ := sandarac(t, append(args, "--archive", root, "--today", killDay)...)
		if got := s.in([]byte(out + errOut)); got != "" {
			t.Errorf("%v tells the %s", args, got)
		}
	}
	for _, args := range [][]string{
		{"build"}, {"check", "--deep", "--remarks"}, {"check", "--json"}, {"analyse", "--json"}, {"fixity", "record"}, {"fixity", "verify"}, {"fixity", "bag", in("../bag")},
		{"log", "--export", "-"}, {"publish", in("../www"), "--list"}, {"build", "--out", elsewhere}, {"publish", elsewhere},
	} {
		say(args...)
	}
	for _, place := range []string{"public", "../www", "../bag"} {
		walkFiles(t, in(place), func(name string, content []byte) {
			if got := s.in(content); got != "" || s.in([]byte(name)) != "" {
				t.Errorf("the %s stands in %s/%s", got, place, name)
			}
		})
	}
	papers := 0
	walkFiles(t, in("bench-book"), func(name string, content []byte) {
		switch got := s.in(content); {
		case got == "archive", got == "key" && !strings.HasPrefix(name, "papers/") && !strings.HasPrefix(name, "clients"):
			t.Errorf("the %s stands in the bench book's %s", got, name)
		case got == "key":
			papers++
		}
	})
	if papers == 0 {
		t.Error("no paper holds a link: the test would not see a key")
	}
	given, stages := 0, 0
	walkFiles(t, seen, func(name string, content []byte) {
		if name == "given" {
			if given = bytes.Count(content, []byte("--source")); s.in(content) != "" || bytes.Contains(content, []byte(foreign)) {
				t.Errorf("Hugo is given a secret:\n%s", content)
			}
			return
		}
		stages++
		if s.in(content) == "archive" {
			t.Errorf("the archive's secret stands in what Hugo works on: %s", name)
		}
	})
	if given < 2 || stages < 50 {
		t.Errorf("Hugo was seen %d times, with %d files", given, stages)
	}
	s.ownFiles(t, root)
}

// ownFiles looks at the tool's own folder: the secret is in one file, and files
// that hold it or a key are the owner's alone.
func (s secrets) ownFiles(t *testing.T, root string) {
	t.Helper()
	own := filepath.Join(root, ".sandarac")
	walkFiles(t, own, func(name string, content []byte) {
		got := s.in(content)
		if got == "" {
			return
		}
		info, err := fs.Stat(os.DirFS(own), name)
		if err != nil {
			t.Fatal(err)
		}
		if info.Mode().Perm()&0o077 != 0 || got == "archive" && name != "secret" {
			t.Errorf("the %s stands in %s, mode %v", got, path.Join(".sandarac", name), info.Mode())
		}
	})
	for _, mode := range []fs.FileMode{0o644, 0o600} {
		if err := os.Chmod(filepath.Join(own, "secret"), mode); err != nil {
			t.Fatal(err)
		}
		out, errOut, _ := sandarac(t, "check", "--archive", root, "--today", killDay)
		if told := strings.Contains(out+errOut, "secret"); told != (mode == 0o644) || s.in([]byte(out+errOut)) != "" {
			t.Errorf("mode %v of the secret: check says\n%s%s", mode, out, errOut)
		}
	}
	// A damaged secret is an error that does not quote it.
	if err := os.WriteFile(filepath.Join(own, "secret"), s.archive[:31], 0o600); err != nil {
		t.Fatal(err)
	}
	out, errOut, code := sandarac(t, "build", "--archive", root, "--today", killDay)
	if short := (secrets{archive: s.archive[:31]}); code == exitDone || short.in([]byte(out+errOut)) != "" {
		t.Errorf("a damaged secret: exit code %d\n%s%s", code, out, errOut)
	}
}
