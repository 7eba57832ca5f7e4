package fixity

import (
	"context"
	"crypto/md5"
	"crypto/sha256"
	"crypto/sha512"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"sandarac/archive/finding"
)

var tuesday = time.Date(2026, 6, 16, 0, 0, 0, 0, time.UTC)

// export makes a bag of all of a studio's files.
func (s *studio) export(t testing.TB) string {
	t.Helper()
	m, _ := s.open()
	s.list()
	place := filepath.Join(t.TempDir(), "bag")
	opt := ExportOptions{Today: tuesday, Info: []Label{{"Source-Organization", "Barge Studio"}, {"External-Description", "One season,\n all of it"}}}
	if err := m.Export(context.Background(), s.root, s.files, place, opt); err != nil {
		t.Fatal(err)
	}
	return place
}

func verifyBag(t testing.TB, dir string) (Bag, []finding.Finding) {
	t.Helper()
	bag, found, err := VerifyBag(context.Background(), dir, nil)
	if err != nil {
		t.Fatal(err)
	}
	return bag, found
}

// valid says whether a bag has no error; what is only odd does not count.
func valid(found []finding.Finding) bool { return finding.Count(found, finding.Error) == 0 }

func TestExport(t *testing.T) {
	files := map[string]string{"100%done.tif": "a", "50%25.tif": "b", "deep/er/né.tif": "c", "empty.md": ""}
	for name, text := range season {
		files[name] = text
	}
	s := newStudio(t, files)
	s.record(RecordOptions{})
	place := s.export(t)
	bag, found := verifyBag(t, place)
	if len(found) > 0 {
		t.Errorf("not valid: %v", found)
	}
	if bag.Version != "1.0" || bag.Files != len(files) || len(bag.Info) != 4 {
		t.Errorf("got %+v", bag)
	}
	for name, want := range map[string]string{
		"bagit.txt":    "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n",
		"bag-info.txt": fmt.Sprintf("Source-Organization: Barge Studio\nExternal-Description: One season, all of it\nBagging-Date: 2026-06-16\nPayload-Oxum: %d.%d\n", bag.Bytes, bag.Files),
	} {
		if got, _ := os.ReadFile(filepath.Join(place, name)); string(got) != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	manifest, _ := os.ReadFile(filepath.Join(place, "manifest-sha512.txt"))
	for _, want := range []string{"  data/100%25done.tif\n", "  data/50%2525.tif\n", "  data/deep/er/né.tif\n"} {
		if !strings.Contains(string(manifest), want) {
			t.Errorf("%q is not in the manifest:\n%s", want, manifest)
		}
	}
	for name, text := range files {
		if got, _ := os.ReadFile(filepath.Join(place, "data", name)); string(got) != text {
			t.Errorf("%s: %q", name, got)
		}
	}
}

func TestExportRefuses(t *testing.T) {
	ctx := context.Background()
	for what, c := range map[string]struct {
		files map[string]string
		do    func(s *studio)
		want  string
	}{
		"damage":           {season, func(s *studio) { s.record(RecordOptions{}); s.rot("2026/one.tif") }, "not what was recorded"},
		"a line break":     {map[string]string{"a\nb.tif": "x"}, func(*studio) {}, "line breaks"},
		"one name twice":   {map[string]string{"a.tif": "x", "A.tif": "y"}, func(*studio) {}, "same name"},
		"accents, twice":   {map[string]string{"é.tif": "x", "e\u0301.tif": "y"}, func(*studio) {}, "same name"},
		"nothing":          {nil, func(*studio) {}, "nothing to put"},
		"a path out":       {season, func(s *studio) { s.files = append(s.files, File{"../x", Master}) }, "inside the archive"},
		"a file not there": {season, func(s *studio) { s.files = append(s.files, File{"nowhere.tif", Master}) }, "not there"},
		"a link": {season, func(s *studio) {
			os.Symlink("/etc/passwd", s.path("x.tif"))
			s.files = append(s.files, File{"x.tif", Master})
		}, "plain file"},
	} {
		s := newStudio(t, c.files)
		c.do(s)
		m, _ := s.open()
		parent := t.TempDir()
		err := m.Export(ctx, s.root, s.files, filepath.Join(parent, "bag"), ExportOptions{})
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", what, err, c.want)
		}
		if left, _ := os.ReadDir(parent); len(left) > 0 {
			t.Errorf("%s: left behind: %v", what, left)
		}
	}
	s := newStudio(t, season)
	m, _ := s.open()
	place := t.TempDir()
	if err := m.Export(ctx, s.root, s.files, place, ExportOptions{}); !errors.Is(err, os.ErrExist) {
		t.Errorf("over a folder: %v", err)
	}
	if err := m.Export(ctx, s.root, s.files, filepath.Join(place, "x"), ExportOptions{Info: []Label{{"A: B", "c"}}}); err == nil {
		t.Error("a label with a colon is taken")
	}
	cancelled, cancel := context.WithCancel(ctx)
	cancel()
	if err := m.Export(cancelled, s.root, s.files, filepath.Join(place, "y"), ExportOptions{}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// An edited sidecar is handed on as it is now.
func TestExportEditedSidecar(t *testing.T) {
	s := newStudio(t, season)
	s.record(RecordOptions{})
	s.write("2026/one.md", "record one, edited")
	if _, found := verifyBag(t, s.export(t)); len(found) > 0 {
		t.Errorf("got %v", found)
	}
}

// sha512sum of GNU coreutils checks the bags made here, and a bag whose manifest it
// wrote is valid here.
func TestSha512sum(t *testing.T) {
	s := newStudio(t, season)
	place := s.export(t)
	for _, manifest := range []string{"manifest-sha512.txt", "tagmanifest-sha512.txt"} {
		cmd := exec.Command(tool(t, "sha512sum"), "--strict", "-c", manifest)
		cmd.Dir = place
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%s: %v\n%s", manifest, err, out)
		}
	}
	for _, flag := range []string{"--text", "--binary"} {
		os.Remove(filepath.Join(place, "tagmanifest-sha512.txt"))
		cmd := exec.Command("sh", "-c", `find data -type f -exec sha512sum `+flag+` {} +`)
		cmd.Dir = place
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		os.WriteFile(filepath.Join(place, "manifest-sha512.txt"), out, 0o644)
		if _, found := verifyBag(t, place); len(found) > 0 {
			t.Errorf("%s: %v", flag, found)
		}
	}
}

// bagitFS is an outside program that writes bags: npm bagit-fs, of the draft that
// became RFC 8493.
const bagitFS = "bagit-fs@1.1.1"

func TestReadsBagitFS(t *testing.T) {
	npm, node := tool(t, "npm"), tool(t, "node")
	dir := t.TempDir()
	if cache, err := os.UserCacheDir(); err == nil {
		dir = filepath.Join(cache, "sandarac-tests", strings.ReplaceAll(bagitFS, "@", "-"))
	}
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "bagit-fs")); err != nil {
		if err := os.MkdirAll(dir, 0o755); err != nil {
			t.Fatal(err)
		}
		install := exec.Command(npm, "install", "--prefix", dir, "--no-audit", "--no-fund", "--ignore-scripts", bagitFS)
		install.Dir = dir
		if out, err := install.CombinedOutput(); err != nil {
			t.Fatalf("npm install: %v\n%s", err, out)
		}
	}
	place := filepath.Join(t.TempDir(), "bag")
	const script = `
const bag = require('bagit-fs')(process.argv[1], 'sha256', {'Contact-Name': 'A. Fuller'})
const put = (name, text, then) => { const w = bag.createWriteStream(name); w.on('end', then).on('data', () => {}); w.end(text) }
setTimeout(() => put('/one.tif', 'master one', () => put('/two.tif', 'master two', () => bag.finalize(() => {}))), 200)`
	cmd := exec.Command(node, "-e", script, place)
	cmd.Env = append(os.Environ(), "NODE_PATH="+filepath.Join(dir, "node_modules"))
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	bag, found := verifyBag(t, place)
	if !valid(found) || bag.Files != 2 {
		text, _ := os.ReadFile(filepath.Join(place, "bagit.txt"))
		t.Errorf("%+v %v\n%q", bag, found, text)
	}
	os.WriteFile(filepath.Join(place, "data", "one.tif"), []byte("master 1"), 0o644)
	if _, found := verifyBag(t, place); valid(found) {
		t.Error("a changed payload is valid")
	}
}

func sum(h hash.Hash, text string) string {
	h.Write([]byte(text))
	return hex.EncodeToString(h.Sum(nil))
}

// handmade is a bag of version 1.0 written by hand from RFC 8493; changes are files
// to replace, an empty name removes.
func handmade(t testing.TB, changes map[string]string) string {
	t.Helper()
	one, two := sum(sha512.New(), "one"), sum(sha512.New(), "two")
	files := map[string]string{
		"bagit.txt": "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n", "data/one.txt": "one", "data/sub/two.txt": "two",
		"manifest-sha512.txt": one + " data/one.txt\n" + two + "  data/sub/two.txt\n", "bag-info.txt": "Payload-Oxum: 6.2\n",
	}
	for name, text := range changes {
		if files[name] = text; text == "-" {
			delete(files, name)
		}
	}
	dir := t.TempDir()
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		os.MkdirAll(filepath.Dir(path), 0o755)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// What RFC 8493 says is a valid bag, and what is not; section by section.
func TestConformance(t *testing.T) {
	one, two := sum(sha512.New(), "one"), sum(sha512.New(), "two")
	both := one + "  data/one.txt\n" + two + "  data/sub/two.txt\n"
	tags := func(names ...string) string {
		texts := map[string]string{"bagit.txt": declaration, "bag-info.txt": "Payload-Oxum: 6.2\n", "manifest-sha512.txt": both, "extra/notes.txt": "notes"}
		out := ""
		for _, n := range names {
			out += sum(sha512.New(), texts[n]) + "  " + n + "\n"
		}
		return out
	}
	old := func(more map[string]string) map[string]string {
		m := map[string]string{"bagit.txt": "BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-8\n"}
		for k, v := range more {
			m[k] = v
		}
		return m
	}
	type changes = map[string]string
	for what, c := range map[string]struct {
		changes changes
		valid   bool
		odd     bool // with a warning
	}{
		"as it should be":                 {nil, true, false},
		"no bagit.txt (2.1.1)":            {changes{"bagit.txt": "-"}, false, false},
		"a byte-order mark (2.1.1)":       {changes{"bagit.txt": "\ufeff" + declaration}, false, false},
		"three lines (2.1.1)":             {changes{"bagit.txt": declaration + "X: y\n"}, false, false},
		"one line (2.1.1)":                {changes{"bagit.txt": "BagIt-Version: 1.0\n"}, false, false},
		"space before a colon (2.1.1)":    {changes{"bagit.txt": "BagIt-Version : 1.0\nTag-File-Character-Encoding: UTF-8\n"}, false, false},
		"two spaces (2.1.1)":              {changes{"bagit.txt": "BagIt-Version:  1.0\nTag-File-Character-Encoding: UTF-8\n"}, false, false},
		"no space (2.1.1)":                {changes{"bagit.txt": "BagIt-Version:1.0\nTag-File-Character-Encoding: UTF-8\n"}, false, false},
		"lines the other way (2.1.1)":     {changes{"bagit.txt": "Tag-File-Character-Encoding: UTF-8\nBagIt-Version: 1.0\n"}, false, false},
		"CR and LF (2.1.1)":               {changes{"bagit.txt": "BagIt-Version: 1.0\r\nTag-File-Character-Encoding: UTF-8\r\n"}, true, false},
		"CR alone (2.1.1)":                {changes{"bagit.txt": "BagIt-Version: 1.0\rTag-File-Character-Encoding: UTF-8\r"}, true, false},
		"an unknown version":              {changes{"bagit.txt": "BagIt-Version: 7.0\nTag-File-Character-Encoding: UTF-8\n"}, false, false},
		"an unknown encoding":             {changes{"bagit.txt": "BagIt-Version: 1.0\nTag-File-Character-Encoding: EBCDIC\n"}, false, false},
		"no payload folder (2.1.2)":       {changes{"data/one.txt": "-", "data/sub/two.txt": "-", "manifest-sha512.txt": "", "bag-info.txt": "-"}, false, false},
		"no manifest (2.1.3)":             {changes{"manifest-sha512.txt": "-"}, false, false},
		"capital checksum (2.4)":          {changes{"manifest-sha512.txt": strings.ToUpper(one) + "  data/one.txt\n" + two + "\t data/sub/two.txt\n"}, true, false},
		"no newline at the end":           {changes{"manifest-sha512.txt": strings.TrimSuffix(both, "\n")}, true, false},
		"CR and LF in a manifest (2.1.3)": {changes{"manifest-sha512.txt": strings.ReplaceAll(both, "\n", "\r\n")}, true, false},
		"a wrong checksum":                {changes{"manifest-sha512.txt": two + "  data/one.txt\n" + two + "  data/sub/two.txt\n"}, false, false},
		"a checksum too short":            {changes{"manifest-sha512.txt": one[:100] + "  data/one.txt\n" + two + "  data/sub/two.txt\n"}, false, false},
		"a line without a path":           {changes{"manifest-sha512.txt": both + one + "\n"}, false, false},
		"a file not listed (3)":           {changes{"data/three.txt": "three", "bag-info.txt": "-"}, false, false},
		"a file not there (3)":            {changes{"data/sub/two.txt": "-", "bag-info.txt": "-"}, false, false},
		"listed twice (2.1.3)":            {changes{"manifest-sha512.txt": both + one + "  data/one.txt\n"}, false, false},
		"a tag file in a manifest":        {changes{"manifest-sha512.txt": both + sum(sha512.New(), "x") + "  extra.txt\n", "extra.txt": "x"}, false, false},
		"out by dots (5.1.1)":             {changes{"manifest-sha512.txt": both + one + "  data/../../one.txt\n"}, false, false},
		"out by a root (5.1.1)":           {changes{"manifest-sha512.txt": both + one + "  /etc/passwd\n"}, false, false},
		"out by a home (5.1.1)":           {changes{"manifest-sha512.txt": both + one + "  ~/one.txt\n"}, false, false},
		"out by a drive (5.1.1)":          {changes{"manifest-sha512.txt": both + one + "  C:\\one.txt\n"}, false, false},
		"out by backslashes (5.1.1)":      {changes{"manifest-sha512.txt": both + one + "  data\\..\\..\\one.txt\n"}, false, false},
		"with a dot in front":             {changes{"manifest-sha512.txt": one + "  ./data/one.txt\n" + two + "  data/sub/two.txt\n"}, true, true},
		"percent signs (2.1.3)": {changes{"data/100%done.txt": "x", "data/50%25.txt": "y", "bag-info.txt": "-",
			"manifest-sha512.txt": both + sum(sha512.New(), "x") + "  data/100%25done.txt\n" + sum(sha512.New(), "y") + "  data/50%2525.txt\n"}, true, false},
		"a bare percent sign":             {changes{"data/100%done.txt": "x", "bag-info.txt": "-", "manifest-sha512.txt": both + sum(sha512.New(), "x") + "  data/100%done.txt\n"}, true, false},
		"a line break in a name (2.1.3)":  {changes{"data/a\nb.txt": "x", "bag-info.txt": "-", "manifest-sha512.txt": both + sum(sha512.New(), "x") + "  data/a%0Ab.txt\n"}, true, false},
		"lower-case code (2.1.3)":         {changes{"data/a\rb.txt": "x", "bag-info.txt": "-", "manifest-sha512.txt": both + sum(sha512.New(), "x") + "  data/a%0db.txt\n"}, true, false},
		"accents spelt otherwise (5.2.1)": {changes{"data/e\u0301.txt": "x", "bag-info.txt": "-", "manifest-sha512.txt": both + sum(sha512.New(), "x") + "  data/é.txt\n"}, true, true},
		"two manifests (2.1.3)":           {changes{"manifest-sha256.txt": sum(sha256.New(), "one") + " data/one.txt\n" + sum(sha256.New(), "two") + " data/sub/two.txt\n"}, true, false},
		"the second is incomplete":        {changes{"manifest-sha256.txt": sum(sha256.New(), "one") + " data/one.txt\n"}, false, false},
		"the second is wrong":             {changes{"manifest-md5.txt": sum(md5.New(), "one") + " data/one.txt\n" + sum(md5.New(), "one") + " data/sub/two.txt\n"}, false, false},
		"an unknown kind of sum (2.4)":    {changes{"manifest-blake9.txt": "aa data/one.txt\nbb data/sub/two.txt\n"}, true, true},
		"a tag manifest (2.2.1)":          {changes{"tagmanifest-sha512.txt": tags("bagit.txt", "bag-info.txt", "manifest-sha512.txt"), "manifest-sha512.txt": both}, true, false},
		"with a folder of tags (2.2.4)":   {changes{"tagmanifest-sha512.txt": tags("bagit.txt", "manifest-sha512.txt", "extra/notes.txt"), "manifest-sha512.txt": both, "extra/notes.txt": "notes"}, true, false},
		"without the manifest (2.2.1)":    {changes{"tagmanifest-sha512.txt": tags("bagit.txt"), "manifest-sha512.txt": both}, false, false},
		"of a payload file (2.2.1)":       {changes{"tagmanifest-sha512.txt": tags("manifest-sha512.txt") + one + "  data/one.txt\n", "manifest-sha512.txt": both}, false, false},
		"of itself (2.2.1)":               {changes{"tagmanifest-sha512.txt": tags("manifest-sha512.txt") + one + "  tagmanifest-sha512.txt\n", "manifest-sha512.txt": both}, false, false},
		"a changed tag file (3)":          {changes{"tagmanifest-sha512.txt": tags("bag-info.txt", "manifest-sha512.txt"), "manifest-sha512.txt": both, "bag-info.txt": "Payload-Oxum: 6.2\nX: y\n"}, false, false},
		"no bag-info (2.2.2)":             {changes{"bag-info.txt": "-"}, true, false},
		"labels twice and lines (2.2.2)":  {changes{"bag-info.txt": "Contact-Name: A\nContact-Name: B\nExternal-Description: long\n  and longer\n\tand done\n"}, true, false},
		"a line without a colon (2.2.2)":  {changes{"bag-info.txt": "hello\n"}, false, false},
		"goes on with nothing (2.2.2)":    {changes{"bag-info.txt": "  hello\n"}, false, false},
		"another Oxum (2.2.2)":            {changes{"bag-info.txt": "Payload-Oxum: 7.2\n"}, false, false},
		"no Oxum at all (2.2.2)":          {changes{"bag-info.txt": "Payload-Oxum: many\n"}, false, false},
		"Oxum twice (2.2.2)":              {changes{"bag-info.txt": "Payload-Oxum: 6.2\nPayload-Oxum: 6.2\n"}, false, false},
		"fetched already (2.2.3)":         {changes{"fetch.txt": "http://x.example/one 3 data/one.txt\n"}, true, false},
		"to be fetched (2.2.3)":           {changes{"fetch.txt": "http://x.example/two - data/sub/two.txt\n", "data/sub/two.txt": "-", "bag-info.txt": "-"}, false, false},
		"fetched to elsewhere (5.1.1)":    {changes{"fetch.txt": "http://x.example/two - ../two.txt\n"}, false, false},
		"a broken fetch line (2.2.3)":     {changes{"fetch.txt": "http://x.example/two\n"}, false, false},
		"not UTF-8":                       {changes{"bag-info.txt": "Contact-Name: \xff\n"}, false, false},
		"in ISO-8859-1":                   {changes{"bagit.txt": "BagIt-Version: 1.0\nTag-File-Character-Encoding: ISO-8859-1\n", "bag-info.txt": "Contact-Name: Zo\xeb\n"}, true, false},
		"0.97 in UTF-16":                  {old(changes{"bagit.txt": "BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-16\n", "bag-info.txt": "-", "manifest-sha512.txt": "\xfe\xff" + wide(both)}), true, false},
		"0.97":                            {old(nil), true, false},
		"0.97, in one of two manifests":   {old(changes{"manifest-md5.txt": sum(md5.New(), "one") + "  data/one.txt\n"}), true, false},
		"0.97, listed twice":              {old(changes{"manifest-sha512.txt": both + one + "  data/one.txt\n"}), true, true},
		"0.97, listed twice, differently": {old(changes{"manifest-sha512.txt": both + two + "  data/one.txt\n"}), false, false},
	} {
		_, found := verifyBag(t, handmade(t, c.changes))
		if valid(found) != c.valid {
			t.Errorf("%s: valid should be %v: %v", what, c.valid, found)
		}
		if c.valid && (len(found) > 0) != c.odd {
			t.Errorf("%s: a warning should be %v: %v", what, c.odd, found)
		}
	}
}

// wide writes ASCII as UTF-16, big-endian.
func wide(text string) string {
	var b strings.Builder
	for i := range len(text) {
		b.WriteString("\x00" + text[i:i+1])
	}
	return b.String()
}

// Links do not belong in a bag and are not followed.
func TestBagWithLinks(t *testing.T) {
	outside := t.TempDir()
	os.WriteFile(filepath.Join(outside, "one.txt"), []byte("one"), 0o644)
	dir := handmade(t, map[string]string{"data/one.txt": "-"})
	if err := os.Symlink(filepath.Join(outside, "one.txt"), filepath.Join(dir, "data", "one.txt")); err != nil {
		t.Fatal(err)
	}
	if _, found := verifyBag(t, dir); valid(found) {
		t.Error("a link to a file outside is valid")
	}
	dir = handmade(t, map[string]string{"manifest-sha512.txt": sum(sha512.New(), "one") + "  data/out/one.txt\n", "bag-info.txt": "-", "data/one.txt": "-", "data/sub/two.txt": "-", "data/keep": "-", "x": "y"})
	os.MkdirAll(filepath.Join(dir, "data"), 0o755)
	if err := os.Symlink(outside, filepath.Join(dir, "data", "out")); err != nil {
		t.Fatal(err)
	}
	if _, found := verifyBag(t, dir); valid(found) {
		t.Error("a link to a folder outside is valid")
	}
}

// Any change of any byte or name in a bag is seen.
func TestBagSeesEveryChange(t *testing.T) {
	s := newStudio(t, map[string]string{"a.tif": "master a", "b/c%.tif": "master c", "d.md": "record"})
	source := s.export(t)
	rapid.Check(t, func(rt *rapid.T) {
		dir, err := os.MkdirTemp(t.TempDir(), "")
		if err != nil {
			rt.Fatal(err)
		}
		if err := os.CopyFS(filepath.Join(dir, "bag"), os.DirFS(source)); err != nil {
			rt.Fatal(err)
		}
		dir = filepath.Join(dir, "bag")
		name := rapid.SampledFrom([]string{"data/a.tif", "data/b/c%.tif", "data/d.md", "bag-info.txt", "bagit.txt", "manifest-sha512.txt"}).Draw(rt, "name")
		path := filepath.Join(dir, filepath.FromSlash(name))
		text, err := os.ReadFile(path)
		if err != nil {
			rt.Fatal(err)
		}
		switch rapid.SampledFrom([]string{"flip", "cut", "add", "remove", "rename", "extra"}).Draw(rt, "do") {
		case "flip":
			text[rapid.IntRange(0, len(text)-1).Draw(rt, "at")] ^= byte(rapid.IntRange(1, 255).Draw(rt, "bits"))
			os.WriteFile(path, text, 0o644)
		case "cut":
			os.WriteFile(path, text[:rapid.IntRange(0, len(text)-1).Draw(rt, "length")], 0o644)
		case "add":
			os.WriteFile(path, append(text, rapid.SliceOfN(rapid.Byte(), 1, 5).Draw(rt, "more")...), 0o644)
		case "remove":
			os.Remove(path)
		case "rename":
			os.Rename(path, path+"x")
		case "extra":
			os.WriteFile(filepath.Join(dir, "data", "extra"), text, 0o644)
		}
		if _, found := verifyBag(t, dir); valid(found) {
			rt.Fatalf("%s: nothing is seen", name)
		}
	})
}

func FuzzBag(f *testing.F) {
	f.Add(declaration, "Payload-Oxum: 3.1\n", sum(sha512.New(), "one")+"  data/one.txt\n", "http://x.example/ - data/two.txt\n")
	dir := f.TempDir()
	os.MkdirAll(filepath.Join(dir, "data"), 0o755)
	os.WriteFile(filepath.Join(dir, "data", "one.txt"), []byte("one"), 0o644)
	f.Fuzz(func(t *testing.T, bagit, info, manifest, fetch string) {
		for name, text := range map[string]string{"bagit.txt": bagit, "bag-info.txt": info, "manifest-sha512.txt": manifest, "tagmanifest-sha512.txt": manifest, "fetch.txt": fetch} {
			os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644)
		}
		bag, found, err := VerifyBag(context.Background(), dir, nil)
		if err != nil {
			t.Fatal(err)
		}
		if valid(found) && (bag.Files != 1 || bag.Version == "") {
			t.Fatalf("valid: %+v", bag)
		}
	})
}
