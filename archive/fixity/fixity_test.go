package fixity

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"sandarac/archive/finding"
)

// studio is an archive of a few files with its manifest's folder.
type studio struct {
	t     testing.TB
	root  string
	files []File
}

func newStudio(t testing.TB, files map[string]string) *studio {
	t.Helper()
	s := &studio{t: t, root: t.TempDir()}
	for name, text := range files {
		s.write(name, text)
	}
	s.list()
	return s
}

func (s *studio) path(name string) string { return filepath.Join(s.root, filepath.FromSlash(name)) }

func (s *studio) write(name, text string) {
	s.t.Helper()
	if err := os.MkdirAll(filepath.Dir(s.path(name)), 0o755); err != nil {
		s.t.Fatal(err)
	}
	if err := os.WriteFile(s.path(name), []byte(text), 0o644); err != nil {
		s.t.Fatal(err)
	}
}

// list takes what is on disk for the archive's files, as its records would.
func (s *studio) list() {
	s.files = nil
	filepath.WalkDir(s.root, func(path string, entry os.DirEntry, err error) error {
		if entry.IsDir() && entry.Name() == ".sandarac" {
			return filepath.SkipDir
		}
		if !entry.IsDir() {
			name, _ := filepath.Rel(s.root, path)
			kind := Master
			if strings.HasSuffix(name, ".md") {
				kind = Sidecar
			}
			s.files = append(s.files, File{filepath.ToSlash(name), kind})
		}
		return nil
	})
}

func (s *studio) open() (*Manifest, []finding.Finding) {
	s.t.Helper()
	m, found, err := Open(s.path(".sandarac/fixity"))
	if err != nil {
		s.t.Fatal(err)
	}
	return m, found
}

func (s *studio) record(opt RecordOptions) (Report, []finding.Finding) {
	s.t.Helper()
	m, _ := s.open()
	s.list()
	r, found, err := m.Record(context.Background(), s.root, s.files, opt)
	if err != nil {
		s.t.Fatal(err)
	}
	return r, found
}

func (s *studio) verify(percent float64) (Report, []finding.Finding) {
	s.t.Helper()
	m, _ := s.open()
	s.list()
	r, found, err := m.Verify(context.Background(), s.root, s.files, VerifyOptions{Percent: percent})
	if err != nil {
		s.t.Fatal(err)
	}
	return r, found
}

// rot changes a byte without changing size or time, as a failing disk does.
func (s *studio) rot(name string) {
	s.t.Helper()
	info, err := os.Stat(s.path(name))
	if err != nil {
		s.t.Fatal(err)
	}
	text, _ := os.ReadFile(s.path(name))
	text[len(text)/2] ^= 4
	os.WriteFile(s.path(name), text, 0o644)
	os.Chtimes(s.path(name), info.ModTime(), info.ModTime())
}

// touch gives a file another time.
func (s *studio) touch(name string) {
	when := time.Now().Add(-time.Duration(len(name)) * time.Hour)
	os.Chtimes(s.path(name), when, when)
}

func codes(found []finding.Finding) string {
	var out []string
	for _, f := range found {
		out = append(out, fmt.Sprintf("%s %s", f.File, f.Code))
	}
	return strings.Join(out, ", ")
}

var season = map[string]string{
	"2026/one.tif": "master one", "2026/one.md": "record one", "2026/two.tif": "master two, longer", "2026/two.md": "record two", "studio.md": "studio",
}

func TestRecordAndVerify(t *testing.T) {
	s := newStudio(t, season)
	if r, found := s.record(RecordOptions{}); r.Added != 5 || len(found) > 0 {
		t.Errorf("first: %+v %s", r, codes(found))
	}
	if r, found := s.record(RecordOptions{}); r.Added != 0 || r.Same != 5 || r.Read != 0 || len(found) > 0 {
		t.Errorf("again: %+v %s", r, codes(found))
	}
	if r, found := s.verify(0); r.Same != 5 || r.Read != 0 || len(found) > 0 {
		t.Errorf("quick: %+v %s", r, codes(found))
	}
	if r, found := s.verify(100); r.Same != 5 || r.Read != 5 || r.Bytes == 0 || len(found) > 0 {
		t.Errorf("full: %+v %s", r, codes(found))
	}
	s.write("2026/three.tif", "master three")
	if r, found := s.verify(0); r.Added != 1 || codes(found) != "2026/three.tif fixity-new" {
		t.Errorf("new: %+v %s", r, codes(found))
	}
	if r, found := s.record(RecordOptions{}); r.Added != 1 || r.Read != 1 || len(found) > 0 {
		t.Errorf("recorded: %+v %s", r, codes(found))
	}
}

// Each thing that can happen to a file is told apart from the others.
func TestWhatHappened(t *testing.T) {
	for what, c := range map[string]struct {
		do       func(s *studio)
		quick    string // what a quick check finds
		full     string
		severity finding.Severity
	}{
		"a master was written": {func(s *studio) { s.write("2026/one.tif", "master 1!!") }, "2026/one.tif fixity-changed", "2026/one.tif fixity-changed", finding.Error},
		"a master grew":        {func(s *studio) { s.write("2026/one.tif", "master one and more") }, "2026/one.tif fixity-changed", "2026/one.tif fixity-changed", finding.Error},
		"a master rotted":      {func(s *studio) { s.rot("2026/one.tif") }, "", "2026/one.tif fixity-damaged", finding.Error},
		"a record rotted":      {func(s *studio) { s.rot("2026/one.md") }, "", "2026/one.md fixity-damaged", finding.Error},
		"a record was edited":  {func(s *studio) { s.write("2026/one.md", "record one, judged") }, "2026/one.md fixity-edited", "2026/one.md fixity-edited", finding.Remark},
		"a master was touched": {func(s *studio) { s.touch("2026/one.tif") }, "", "", ""},
		"a master is gone":     {func(s *studio) { os.Remove(s.path("2026/one.tif")) }, "2026/one.tif fixity-missing", "2026/one.tif fixity-missing", finding.Error},
		"a record is gone":     {func(s *studio) { os.Remove(s.path("2026/one.md")) }, "2026/one.md fixity-missing", "2026/one.md fixity-missing", finding.Error},
		"renamed":              {func(s *studio) { os.Rename(s.path("2026/one.tif"), s.path("2026/uno.tif")) }, "2026/uno.tif fixity-moved", "2026/uno.tif fixity-moved", finding.Remark},
		"moved": {func(s *studio) {
			os.MkdirAll(s.path("old"), 0o755)
			os.Rename(s.path("2026/one.tif"), s.path("old/one.tif"))
		},
			"old/one.tif fixity-moved", "old/one.tif fixity-moved", finding.Remark},
		"copied": {func(s *studio) { s.write("2026/copy.tif", season["2026/one.tif"]) }, "2026/copy.tif fixity-new", "2026/copy.tif fixity-new", finding.Remark},
		"moved and rotted": {func(s *studio) {
			os.Rename(s.path("2026/one.tif"), s.path("2026/uno.tif"))
			s.rot("2026/uno.tif")
		}, "2026/one.tif fixity-missing, 2026/uno.tif fixity-new", "2026/one.tif fixity-missing, 2026/uno.tif fixity-new", finding.Error},
		"a link in its place": {func(s *studio) {
			os.Rename(s.path("2026/one.tif"), s.path("2026/x.dat"))
			os.Symlink("x.dat", s.path("2026/one.tif"))
		}, "2026/one.tif fixity-unreadable, 2026/x.dat fixity-new", "2026/one.tif fixity-unreadable, 2026/x.dat fixity-new", finding.Error},
		"a folder in its place": {func(s *studio) { os.Remove(s.path("2026/one.tif")); os.Mkdir(s.path("2026/one.tif"), 0o755) }, "2026/one.tif fixity-unreadable", "2026/one.tif fixity-unreadable", finding.Error},
	} {
		s := newStudio(t, season)
		s.record(RecordOptions{})
		c.do(s)
		_, quick := s.verify(0)
		_, full := s.verify(100)
		if codes(quick) != c.quick || codes(full) != c.full {
			t.Errorf("%s: quick %q, full %q; want %q and %q", what, codes(quick), codes(full), c.quick, c.full)
		}
		if len(full) > 0 && (full[0].Severity != c.severity || full[0].Remedy == "") {
			t.Errorf("%s: %+v", what, full[0])
		}
	}
}

// Recording never takes a change for right, unless it is told to.
func TestRecordKeepsWhatWas(t *testing.T) {
	s := newStudio(t, season)
	s.record(RecordOptions{})
	s.write("2026/one.tif", "another picture")
	s.write("2026/one.md", "record one, edited")
	os.Remove(s.path("2026/two.tif"))
	for range 2 {
		r, found := s.record(RecordOptions{})
		if codes(found) != "2026/one.tif fixity-changed, 2026/two.tif fixity-missing" || r.Changed != 1 || r.Missing != 1 {
			t.Errorf("%+v %s", r, codes(found))
		}
	}
	if r, found := s.record(RecordOptions{Replace: []string{"2026/one.tif"}, Forget: []string{"2026/two.tif"}}); r.Replaced != 1 || len(found) > 0 {
		t.Errorf("named: %+v %s", r, codes(found))
	}
	if _, found := s.verify(100); len(found) > 0 {
		t.Errorf("after: %s", codes(found))
	}
	m, _ := s.open()
	for _, opt := range []RecordOptions{{Replace: []string{"2026/nowhere.tif"}}, {Forget: []string{"2026/nowhere.tif"}}} {
		if _, _, err := m.Record(context.Background(), s.root, s.files, opt); err == nil || !strings.Contains(err.Error(), "nowhere.tif") {
			t.Errorf("%+v: %v", opt, err)
		}
	}
}

// A file that is no longer listed is watched as long as it is there.
func TestUnlisted(t *testing.T) {
	s := newStudio(t, season)
	s.record(RecordOptions{})
	m, _ := s.open()
	if r, found, err := m.Verify(context.Background(), s.root, nil, VerifyOptions{Percent: 100}); err != nil || len(found) > 0 || r.Same != 5 {
		t.Errorf("%+v %s %v", r, codes(found), err)
	}
	s.rot("2026/two.tif")
	if _, found, err := m.Verify(context.Background(), s.root, nil, VerifyOptions{Percent: 100}); err != nil || codes(found) != "2026/two.tif fixity-damaged" {
		t.Errorf("%s %v", codes(found), err)
	}
}

// In rounds, each file's turn comes.
func TestRounds(t *testing.T) {
	files := map[string]string{}
	for i := range 10 {
		files[fmt.Sprintf("%d.tif", i)] = fmt.Sprint("master ", i)
	}
	s := newStudio(t, files)
	s.record(RecordOptions{})
	s.rot("7.tif")
	// Checks are told apart by the second; make each one older than the next.
	m, _ := s.open()
	for path, e := range m.entries {
		e.Checked = time.Now().Add(-time.Duration(path[0]) * time.Hour)
		m.entries[path] = e
	}
	if err := m.save(); err != nil {
		t.Fatal(err)
	}
	read := 0
	for round := range 3 {
		r, found := s.verify(34)
		read += r.Read
		if (codes(found) == "7.tif fixity-damaged") != (round >= 0 && read >= 3) && round > 0 {
			t.Errorf("round %d: %s", round, codes(found))
		}
	}
	if m, _ := s.open(); read < 10 || time.Since(m.entries["0.tif"].Checked) > time.Hour {
		t.Errorf("%d reads in three rounds of a third; 0.tif was last read %v", read, m.entries["0.tif"].Checked)
	}
}

func TestOddNames(t *testing.T) {
	s := newStudio(t, map[string]string{"100%done.tif": "a", "50%25.tif": "b", "with space  two.tif": "c", "*star.tif": "d", "né.tif": "e", "ne\u0301.tif": "f", "tab\there.md": "g", "%0A.tif": "h"})
	if r, found := s.record(RecordOptions{}); r.Added != 8 || len(found) > 0 {
		t.Fatalf("%+v %s", r, codes(found))
	}
	if r, found := s.verify(100); r.Same != 8 || len(found) > 0 {
		t.Errorf("%+v %s", r, codes(found))
	}
}

// sha256sum of GNU coreutils reads the manifest.
func TestSha256sumReadsManifest(t *testing.T) {
	s := newStudio(t, season)
	s.record(RecordOptions{})
	run := func() (string, error) {
		cmd := exec.Command(tool(t, "sha256sum"), "--strict", "-c", ".sandarac/fixity/"+manifestName)
		cmd.Dir = s.root
		out, err := cmd.CombinedOutput()
		return string(out), err
	}
	if out, err := run(); err != nil || strings.Count(out, ": OK") != 5 {
		t.Errorf("%v\n%s", err, out)
	}
	s.rot("2026/one.tif")
	if out, err := run(); err == nil || !strings.Contains(out, "one.tif: FAILED") {
		t.Errorf("after damage: %v\n%s", err, out)
	}
}

func tool(t testing.TB, name string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatalf("%s is not installed", name)
		}
		t.Skipf("%s is not installed", name)
	}
	return path
}

// The manifest has a sum of its own, and the one before takes its place.
func TestDamagedManifest(t *testing.T) {
	s := newStudio(t, season)
	s.record(RecordOptions{})
	s.write("2026/three.tif", "three")
	s.record(RecordOptions{})
	manifest := s.path(".sandarac/fixity/" + manifestName)
	sound, _ := os.ReadFile(manifest)
	for what, damage := range map[string]func(){
		"a flipped byte": func() { text := bytes.Clone(sound); text[3] ^= 1; os.WriteFile(manifest, text, 0o644) },
		"cut off":        func() { os.WriteFile(manifest, sound[:len(sound)/2], 0o644) },
		"a line more":    func() { os.WriteFile(manifest, append(bytes.Clone(sound), sound[:80]...), 0o644) },
		"empty":          func() { os.WriteFile(manifest, nil, 0o644) },
		"gone":           func() { os.Remove(manifest) },
	} {
		damage()
		m, found := s.open()
		if m.Len() != 5 || len(found) != 1 || found[0].Code != "fixity-manifest-damaged" {
			t.Errorf("%s: %d entries, %s", what, m.Len(), codes(found))
		}
	}
	os.WriteFile(s.path(".sandarac/fixity/"+previousName), []byte("x"), 0o644)
	if _, _, err := Open(s.path(".sandarac/fixity")); !errors.Is(err, ErrDamaged) {
		t.Errorf("both damaged: %v", err)
	}
	os.WriteFile(manifest, sound, 0o644)
	if m, found := s.open(); m.Len() != 6 || len(found) > 0 {
		t.Errorf("put back: %d entries, %s", m.Len(), codes(found))
	}
}

// Killed between any two writes, the next start finds the manifest of before or of
// after.
func TestKilledBetweenWrites(t *testing.T) {
	s := newStudio(t, season)
	s.record(RecordOptions{})
	dir := s.path(".sandarac/fixity")
	snapshot := func() map[string][]byte {
		out := map[string][]byte{}
		for _, name := range []string{manifestName, previousName, sumName, factsName} {
			if text, err := os.ReadFile(filepath.Join(dir, name)); err == nil {
				out[name] = text
			}
		}
		return out
	}
	for range 3 {
		before := snapshot()
		s.write(fmt.Sprintf("2026/%d.tif", time.Now().UnixNano()), "more")
		s.record(RecordOptions{})
		after := snapshot()
		// The order in which save writes.
		order := []string{sumName, previousName, manifestName, factsName}
		for written := range len(order) + 1 {
			for i, name := range order {
				text, ok := before[name]
				if i < written {
					text, ok = after[name]
				}
				os.Remove(filepath.Join(dir, name))
				if ok {
					os.WriteFile(filepath.Join(dir, name), text, 0o644)
				}
			}
			m, found := s.open()
			old := strings.Count(string(before[manifestName]), "\n")
			if len(found) > 0 || m.Len() != old && m.Len() != old+1 {
				t.Errorf("after %d writes: %d entries, %s", written, m.Len(), codes(found))
			}
		}
	}
}

func TestCancelled(t *testing.T) {
	s := newStudio(t, season)
	m, _ := s.open()
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, _, err := m.Record(ctx, s.root, s.files, RecordOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	if m, _ := s.open(); m.Len() != 0 {
		t.Error("a cancelled run recorded something")
	}
}

func TestProgress(t *testing.T) {
	s := newStudio(t, map[string]string{"a.tif": strings.Repeat("x", 3*pieceSize+5), "b.tif": "y"})
	m, _ := s.open()
	last, total := int64(0), int64(0)
	if _, _, err := m.Record(context.Background(), s.root, s.files, RecordOptions{Progress: func(done, all int64) { last, total = max(last, done), all }}); err != nil {
		t.Fatal(err)
	}
	if last != total || total != 3*pieceSize+6 {
		t.Errorf("%d of %d", last, total)
	}
}

// Whatever happens to the files, no change of a master's bytes is ever missed by a
// full check, and nothing else is called damage.
func TestVerifyAgainstModel(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		dir, err := os.MkdirTemp(t.TempDir(), "")
		if err != nil {
			rt.Fatal(err)
		}
		s := &studio{t: t, root: dir}
		names := []string{"a.tif", "b.tif", "c/d.tif", "e.md", "f%25.md"}
		recorded := map[string]string{} // what the manifest should hold
		for range rapid.IntRange(1, 12).Draw(rt, "steps") {
			name := rapid.SampledFrom(names).Draw(rt, "name")
			switch rapid.SampledFrom([]string{"write", "remove", "touch", "record", "replace"}).Draw(rt, "do") {
			case "write":
				s.write(name, rapid.SampledFrom([]string{"1", "22", "333"}).Draw(rt, "text")+name)
				s.touch(name + rapid.StringN(0, 20, 20).Draw(rt, "when"))
				when := time.Unix(int64(rapid.IntRange(1, 1<<30).Draw(rt, "time")), 0)
				os.Chtimes(s.path(name), when, when)
			case "remove":
				os.Remove(s.path(name))
			case "touch":
				s.touch(name)
			case "record":
				s.record(RecordOptions{})
				s.model(recorded, "")
			case "replace":
				if _, err := os.Stat(s.path(name)); err == nil {
					s.record(RecordOptions{Replace: []string{name}})
					s.model(recorded, name)
				}
			}
		}
		_, found := s.verify(100)
		var got []string
		for _, f := range found {
			if f.Severity == finding.Error {
				got = append(got, f.Code+" "+f.File)
			}
		}
		var want []string
		for name, text := range recorded {
			now, err := os.ReadFile(s.path(name))
			switch {
			case err != nil:
				want = append(want, "fixity-missing "+name)
			case string(now) != text && strings.HasSuffix(name, ".tif"):
				want = append(want, "fixity-changed "+name)
			}
		}
		slices.Sort(got)
		slices.Sort(want)
		if !slices.Equal(got, want) {
			rt.Fatalf("got %q, want %q", got, want)
		}
	})
}

// model does to recorded what Record should do. Texts hold their names, so that
// nothing counts as moved.
func (s *studio) model(recorded map[string]string, replace string) {
	for _, f := range s.files {
		text, err := os.ReadFile(s.path(f.Path))
		if err != nil {
			continue
		}
		if _, known := recorded[f.Path]; !known || f.Kind == Sidecar || f.Path == replace {
			recorded[f.Path] = string(text)
		}
	}
}

func FuzzManifest(f *testing.F) {
	f.Add("e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855  a%25b.tif\n", "e3b0c44298fc1c14\t0\t2026-01-01T00:00:00Z\t2026-01-01T00:00:00Z\ta%25b.tif\n")
	dir := f.TempDir()
	f.Fuzz(func(t *testing.T, manifest, facts string) {
		m := &Manifest{dir: dir, entries: map[string]Entry{}}
		if m.parse(manifest) != nil {
			return
		}
		os.WriteFile(filepath.Join(dir, factsName), []byte(facts), 0o644)
		if err := m.readFacts(); err != nil {
			t.Fatal(err)
		}
		again := &Manifest{dir: dir, entries: map[string]Entry{}}
		if err := again.parse(string(m.text())); err != nil {
			t.Fatalf("what is written cannot be read: %v", err)
		}
		if len(again.entries) != len(m.entries) {
			t.Fatalf("%d entries, read back %d", len(m.entries), len(again.entries))
		}
	})
}

func BenchmarkVerify(b *testing.B) {
	files := map[string]string{}
	for i := range 24 {
		files[fmt.Sprintf("%02d.tif", i)] = strings.Repeat(fmt.Sprint("master ", i), 700_000)
	}
	s := newStudio(b, files)
	s.record(RecordOptions{})
	m, _ := s.open()
	r, _, _ := m.Verify(context.Background(), s.root, s.files, VerifyOptions{Percent: 100})
	b.SetBytes(r.Bytes)
	for b.Loop() {
		if _, found, err := m.Verify(context.Background(), s.root, s.files, VerifyOptions{Percent: 100}); err != nil || len(found) > 0 {
			b.Fatal(found, err)
		}
	}
}
