//go:build unix

package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"io/fs"
	"maps"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"
)

// How often a build and a log are killed:
//
//	SANDARAC_KILLS=200 go test ./cmd/sandarac -run Killed -timeout 0
const (
	killsEnv   = "SANDARAC_KILLS"
	killsUsual = 25
)

const killDay = "2026-06-15"

// killed are the records of an archive in one of two states. Between them a
// consent is withdrawn, a plate is added, and titles change.
func killState(t testing.TB, root, state string) {
	t.Helper()
	put(t, root, "studio.md", "---\nstudio: Reed Street Rooms\nurl: https://plates.example/\ncredit: Ilse Tarn\ntime_zone: Europe/Dublin\n---\n")
	put(t, root, "ada.md", "---\nsitter: ada\nname: Ada Quill\nconsent: {portfolio: true, name: true, given: 2026-05-01"+map[string]string{"A": "", "B": ", withdrawn: 2026-06-01"}[state]+"}\n---\n")
	put(t, root, "client.md", "---\nclient: quill\nname: Dov Marsh\ngallery: {title: State "+state+"}\n---\n")
	for i := range 6 {
		name := fmt.Sprintf("may/p%d", i)
		if i == 5 && state == "A" {
			for _, ext := range []string{".md", ".jpg"} {
				if err := os.RemoveAll(filepath.Join(root, name+ext)); err != nil {
					t.Fatal(err)
				}
			}
			continue
		}
		who := "[]"
		if i == 0 {
			who = "[{sitter: ada}]"
		}
		put(t, root, name+".md", fmt.Sprintf("---\nplate: kd41-%d\nmade: 2026-05-0%dT10:20\noutcome: keeper\nsitters: %s\nclient: quill\ntitle: Reeds in state %s\nalt: Reeds.\nsupport: tin\nformat: quarter\n---\n", i, i+1, who, state))
		if _, err := os.Stat(filepath.Join(root, name+".jpg")); err != nil {
			put(t, root, name+".jpg", string(drawScan(650, 850, 200, 40+i)))
		}
	}
}

// sums gives the SHA-256 of every file below a folder.
func sums(t testing.TB, dir string) map[string][32]byte {
	t.Helper()
	out := map[string][32]byte{}
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		body, err := fs.ReadFile(os.DirFS(dir), name)
		out[name] = sha256.Sum256(body)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// difference names a file in which a tree is neither the one nor the other.
func difference(got map[string][32]byte, states map[string]map[string][32]byte) string {
	var told []string
	for state, want := range states {
		if maps.Equal(got, want) {
			return ""
		}
		for _, name := range slices.Sorted(maps.Keys(want)) {
			if got[name] != want[name] {
				told = append(told, fmt.Sprintf("not state %s: %s", state, name))
				break
			}
		}
		if len(got) != len(want) {
			told = append(told, fmt.Sprintf("not state %s: %d files, want %d", state, len(got), len(want)))
		}
	}
	return strings.Join(told, "; ")
}

// command starts the program as a process of its own, in a group of its own.
func command(args ...string) (*exec.Cmd, *bytes.Buffer) {
	cmd := exec.Command("sandarac", args...)
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	cmd.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	return cmd, &out
}

// killAfter runs the program and kills it after a time: with everything it
// started, as a power cut does, or alone, as an impatient user does, so that its
// Hugo lives on.
func killAfter(t testing.TB, after time.Duration, group bool, args ...string) (killed bool) {
	t.Helper()
	cmd, out := command(args...)
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	done := make(chan error, 1)
	go func() { done <- cmd.Wait() }()
	select {
	case err := <-done:
		if err != nil {
			t.Fatalf("%v: %v\n%s", args, err, out)
		}
		return false
	case <-time.After(after):
	}
	pid := cmd.Process.Pid
	if group {
		pid = -pid
	}
	_ = syscall.Kill(pid, syscall.SIGKILL)
	select {
	case <-done:
	case <-time.After(20 * time.Second): // its Hugo holds the pipe; it ends by itself
		t.Error("what was killed does not end")
	}
	return true
}

// TestBuildKilled kills builds at seeded moments. Before the next build, visitors
// see the old site or the new one; after it, the new one, and nothing is left
// lying about.
func TestBuildKilled(t *testing.T) {
	root := t.TempDir()
	build := []string{"build", "--archive", root, "--today", killDay}
	public, bench := map[string]map[string][32]byte{}, map[string]map[string][32]byte{}
	whole := time.Duration(0)
	for _, state := range []string{"B", "A"} {
		killState(t, root, state)
		start := time.Now()
		if cmd, out := command(build...); cmd.Run() != nil {
			t.Fatalf("state %s does not build:\n%s", state, out)
		}
		whole = max(whole, time.Since(start))
		public[state], bench[state] = sums(t, filepath.Join(root, "public")), sums(t, filepath.Join(root, "bench-book"))
	}
	if maps.Equal(public["A"], public["B"]) {
		t.Fatal("the states do not differ")
	}
	random := rand.New(rand.NewPCG(17, 1851))
	state, kills, news := "A", 0, 0
	for i := range numberFrom(t, killsEnv, killsUsual) {
		if state == "A" {
			state = "B"
		} else {
			state = "A"
		}
		killState(t, root, state)
		if i%5 == 4 {
			if err := os.RemoveAll(filepath.Join(root, ".sandarac", "cache")); err != nil {
				t.Fatal(err)
			}
		}
		after := time.Duration(random.Int64N(int64(whole) * 11 / 10))
		if killAfter(t, after, i%2 == 0, build...) {
			kills++
		}
		if told := difference(sums(t, filepath.Join(root, "public")), public); told != "" {
			t.Fatalf("kill %d after %s: a mixture in public: %s", i, after, told)
		}
		if told := difference(sums(t, filepath.Join(root, "bench-book")), bench); told != "" {
			t.Fatalf("kill %d after %s: a mixture in the bench book: %s", i, after, told)
		}
		if maps.Equal(sums(t, filepath.Join(root, "public")), public[state]) {
			news++
		}
		start := time.Now()
		if cmd, out := command(build...); cmd.Run() != nil {
			t.Fatalf("kill %d after %s: the next build fails:\n%s", i, after, out)
		}
		whole = (whole + time.Since(start)) / 2
		for name, want := range map[string]map[string][32]byte{"public": public[state], "bench-book": bench[state]} {
			if told := difference(sums(t, filepath.Join(root, name)), map[string]map[string][32]byte{state: want}); told != "" {
				t.Fatalf("kill %d after %s: the next build: %s: %s", i, after, name, told)
			}
		}
		nothingLeft(t, root)
	}
	sweptInTime(t, root, build)
	t.Logf("%d kills; %d times the new site stood already", kills, news)
	if kills == 0 {
		t.Error("no build was killed")
	}
}

// nothingLeft fails if a build left more than its folders. A Hugo that outlived
// its run may still write below work, which the run after that clears.
func nothingLeft(t *testing.T, root string) {
	t.Helper()
	for dir, allowed := range map[string][]string{
		root:                             {".sandarac", "ada.md", "bench-book", "client.md", "may", "public", "studio.md"},
		filepath.Join(root, ".sandarac"): {"cache", "lock", "lock.holder", "secret", "work"},
	} {
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if !slices.Contains(allowed, e.Name()) && !strings.HasPrefix(e.Name(), ".lock.holder") {
				t.Errorf("left behind: %s", filepath.Join(dir, e.Name()))
			}
		}
	}
}

// sweptInTime: drafts that killed runs left are removed by a build that has
// something to do, once they are old enough to be nobody's.
func sweptInTime(t *testing.T, root string, build []string) {
	t.Helper()
	put(t, root, "client.md", "---\nclient: quill\nname: Dov Marsh\n---\n")
	put(t, root, "may/.p1.md4803221837755640271", "half a rec")
	put(t, root, ".sandarac/.lock.holder5835721806897127531", "")
	drafts, _ := filepath.Glob(filepath.Join(root, ".sandarac", ".lock.holder*"))
	drafts = append(drafts, filepath.Join(root, "may", ".p1.md4803221837755640271"))
	old := time.Now().Add(-2 * time.Hour)
	for _, d := range drafts {
		if err := os.Chtimes(d, old, old); err != nil {
			t.Fatal(err)
		}
	}
	if cmd, out := command(build...); cmd.Run() != nil {
		t.Fatalf("the build fails:\n%s", out)
	}
	for _, d := range drafts {
		if _, err := os.Stat(d); err == nil {
			t.Errorf("left behind: %s", d)
		}
	}
}

// TestLogKilled kills log while it writes a record for each of many scans: every
// record is whole or not there, and the next run writes the rest.
func TestLogKilled(t *testing.T) {
	const scans = 40
	fresh := func() string {
		root := t.TempDir()
		killState(t, root, "A")
		for i := range scans {
			put(t, root, fmt.Sprintf("june/s%02d.jpg", i), string(drawScan(325, 425, 100, 90+i)))
		}
		return root
	}
	root := fresh()
	log := []string{"log", filepath.Join(root, "june"), "--archive", root, "--made", "2026-06-03", "--seconds", "9", "--judged", "right", "--yes", "--today", killDay}
	clear := func() {
		records, _ := filepath.Glob(filepath.Join(root, "june", "*.md"))
		for _, r := range records {
			if err := os.Remove(r); err != nil {
				t.Fatal(err)
			}
		}
	}
	start := time.Now()
	if cmd, out := command(log...); cmd.Run() != nil {
		t.Fatalf("log fails:\n%s", out)
	}
	whole := time.Since(start)
	want := sums(t, filepath.Join(root, "june"))
	if len(want) != 2*scans {
		t.Fatalf("%d files, want %d", len(want), 2*scans)
	}
	random := rand.New(rand.NewPCG(19, 1851))
	between := 0
	for i := range numberFrom(t, killsEnv, killsUsual) {
		clear()
		after := time.Duration(random.Int64N(int64(whole) * 11 / 10))
		killAfter(t, after, true, log...)
		got := sums(t, filepath.Join(root, "june"))
		for name, sum := range got {
			if want[name] != sum && !strings.HasPrefix(filepath.Base(name), ".") {
				body, _ := os.ReadFile(filepath.Join(root, "june", name))
				t.Fatalf("kill %d after %s: %s is torn or not as it was to be:\n%s", i, after, name, body)
			}
		}
		if n := len(got) - scans; n > 0 && n < scans {
			between++
		}
		if cmd, out := command(log...); cmd.Run() != nil && !strings.Contains(out.String(), "has its record already") {
			t.Fatalf("kill %d after %s: the next log fails:\n%s", i, after, out)
		}
		records(t, root, scans)
	}
	t.Logf("%d kills fell between two records", between)
}

// records checks that there are n records below june, all sound, each with an id
// of its own.
func records(t *testing.T, root string, n int) {
	t.Helper()
	files, _ := filepath.Glob(filepath.Join(root, "june", "*.md"))
	if len(files) != n {
		t.Fatalf("%d records, want %d", len(files), n)
	}
	out, errOut, _ := sandarac(t, "check", "--json", "--archive", root, "--today", killDay)
	var told struct {
		Plates   int
		Findings []struct{ Severity, File, Message string }
	}
	if err := json.Unmarshal([]byte(out), &told); err != nil {
		t.Fatalf("%v\n%s", err, errOut)
	}
	if told.Plates != n+5 {
		t.Errorf("%d plates, want %d", told.Plates, n+5)
	}
	for _, f := range told.Findings {
		if f.Severity == "error" {
			t.Errorf("%s: %s", f.File, f.Message)
		}
	}
}

// TestTwoBuildsAtOnce: the second says who is at work, waits, and both end well.
func TestTwoBuildsAtOnce(t *testing.T) {
	root := t.TempDir()
	killState(t, root, "A")
	build := []string{"build", "--archive", root, "--today", killDay}
	first, firstOut := command(build...)
	if err := first.Start(); err != nil {
		t.Fatal(err)
	}
	waitFor(t, filepath.Join(root, ".sandarac", "work"))
	second, secondOut := command(build...)
	if err := second.Run(); err != nil {
		t.Errorf("the second build fails: %v\n%s", err, secondOut)
	}
	if err := first.Wait(); err != nil {
		t.Errorf("the first build fails: %v\n%s", err, firstOut)
	}
	if told := fmt.Sprintf(`another run is at work on this archive ("build", process %d`, first.Process.Pid); !strings.Contains(secondOut.String(), told) {
		t.Errorf("the second build does not say that it waits (%s):\n%s", told, secondOut)
	}
	if !strings.Contains(secondOut.String(), "nothing changed") {
		t.Errorf("the second build changed something:\n%s", secondOut)
	}
}

func waitFor(t *testing.T, path string) {
	t.Helper()
	for deadline := time.Now().Add(30 * time.Second); time.Now().Before(deadline); time.Sleep(5 * time.Millisecond) {
		if _, err := os.Stat(path); err == nil {
			return
		}
	}
	t.Fatalf("%s never came", path)
}

// TestStaleLock: what a run that died left in the lock's files stops nobody.
func TestStaleLock(t *testing.T) {
	root := t.TempDir()
	killState(t, root, "A")
	build := []string{"build", "--archive", root, "--today", killDay}
	killAfter(t, 300*time.Millisecond, true, build...)
	files, _ := filepath.Glob(filepath.Join(root, ".sandarac", "lock*"))
	if len(files) == 0 {
		t.Fatal("no lock: the kill came too early to test anything")
	}
	for _, f := range files {
		if err := os.WriteFile(f, []byte(`{"pid": 1, "host": "elsewhere", "doing": "build"`), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if cmd, out := command(build...); cmd.Run() != nil || strings.Contains(out.String(), "another run") {
		t.Errorf("a stale lock stops the build:\n%s", out)
	}
}
