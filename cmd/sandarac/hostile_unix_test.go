//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// hostileKinds makes what is no file, and files whose names steer terminals; it
// gives the names that check must say something of.
func hostileKinds(t *testing.T, root string) []string {
	t.Helper()
	outside := t.TempDir()
	put(t, outside, "secret.md", "---\nplate: h-secret\nmade: 2026-05-01\noutcome: keeper\nsitters: []\n---\n")
	put(t, outside, "secret.jpg", string(drawScan(325, 425, 100, 77)))
	names := []string{"pipe.md", "pipe.jpg", "passwd.md", "linked.md", "linked.jpg", "folder-link", "dangling.md", "loop.md", "zero.jpg"}
	at := func(name string) string { return filepath.Join(root, name) }
	for _, err := range []error{
		syscall.Mkfifo(at("pipe.md"), 0o644), syscall.Mkfifo(at("pipe.jpg"), 0o644),
		os.Symlink("/etc/passwd", at("passwd.md")), os.Symlink(filepath.Join(outside, "secret.md"), at("linked.md")), os.Symlink(filepath.Join(outside, "secret.jpg"), at("linked.jpg")),
		os.Symlink(outside, at("folder-link")), os.Symlink(at("nowhere"), at("dangling.md")), os.Symlink(at("loop.md"), at("loop.md")),
		os.Mkdir(at("folder.md"), 0o755), os.Mkdir(at("folder.jpg"), 0o755),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	// Only root may make a device; a pipe stands for it elsewhere.
	if syscall.Mknod(at("zero.jpg"), syscall.S_IFCHR|0o644, 1<<8|5) != nil {
		if err := syscall.Mkfifo(at("zero.jpg"), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	put(t, root, "zero.md", "---\nplate: h-zero\nmade: 2026-05-01\noutcome: keeper\nsitters: []\n---\n")
	put(t, root, "CASE.md", "---\nplate: h-case-1\nmade: 2026-05-01\n---\n")
	put(t, root, "case.md", "---\nplate: h-case-2\nmade: 2026-05-01\n---\n")
	names = append(names, "case.md")
	for _, name := range []string{"bell\a.md", "new\nline.md", "escape\x1b[2J.md", "bad\xff\xfe.md", "turn\u202egpj.md"} {
		put(t, root, name, "---\nplate: h-name\nmade: 2026-05-01\noutcome: keeper\nsitters: []\n---\n")
	}
	put(t, root, strings.Repeat("n", 250)+".md", "---\nplate: h-longname\nmade: 2026-05-01\noutcome: scrapped\n---\n")
	return names
}

// TestHostileFolders: an archive that somebody else made cannot have the tool's
// own folders lie elsewhere, where they would be cleared.
func TestHostileFolders(t *testing.T) {
	for _, name := range []string{".sandarac", ".sandarac/work", ".sandarac/cache", ".sandarac/secret", "public", "bench-book"} {
		t.Run(name, func(t *testing.T) {
			root, home := t.TempDir(), t.TempDir()
			put(t, root, "studio.md", hostileStudio)
			soundPlate(t, root, "sound", 1)
			precious := []string{"work/letter.txt", "pictures/00/family.jpg", "audit/notes.txt", "letter.txt", "secret"}
			for _, p := range precious {
				put(t, home, p, "precious")
			}
			target := home
			if name == ".sandarac/secret" {
				target = filepath.Join(home, "letter.txt")
			}
			if err := os.MkdirAll(filepath.Dir(filepath.Join(root, name)), 0o700); err != nil {
				t.Fatal(err)
			}
			if err := os.Symlink(target, filepath.Join(root, name)); err != nil {
				t.Fatal(err)
			}
			out, errOut, code := bounded(t, "build", "--archive", root, "--today", hostileDay)
			for _, p := range precious {
				if body, err := os.ReadFile(filepath.Join(home, p)); err != nil || string(body) != "precious" {
					t.Errorf("%s is gone or changed: %q, %v", p, body, err)
				}
			}
			n := 0
			walkFiles(t, home, func(string, []byte) { n++ })
			if n != len(precious) {
				t.Errorf("%d files in the folder, want %d", n, len(precious))
			}
			if code == exitDone || !strings.Contains(out+errOut, filepath.Base(name)) {
				t.Errorf("exit code %d\n%s\n%s", code, out, errOut)
			}
		})
	}
}
