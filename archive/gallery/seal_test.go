package gallery

import (
	"context"
	"encoding/json"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"sandarac/archive/consent"
	"sandarac/archive/picture"
	"sandarac/archive/record"
	"sandarac/archive/seal"
)

// fakePage stands for the page that Hugo rendered, where a test needs no browser.
func fakePage(t testing.TB) string {
	t.Helper()
	out := t.TempDir()
	if err := write(out, pageFolder+"/index.html", []byte("<!doctype html><title>A private gallery</title>")); err != nil {
		t.Fatal(err)
	}
	return out
}

func sealInto(t testing.TB, out, earlier string, sets []picture.Set, galleries ...consent.Gallery) Sealed {
	t.Helper()
	done, err := Seal(context.Background(), out, earlier, galleries, sets, testSecret(t))
	if err != nil {
		t.Fatal(err)
	}
	return done
}

func TestSameContentSameBytes(t *testing.T) {
	g, locked := testGallery("ines", 2), testGallery("locked", 1)
	locked.PassphraseRequired = true
	sets := testSets(t, Jobs([]consent.Gallery{g, locked}, picture.Rights{}), 600)
	one, two, third := fakePage(t), fakePage(t), fakePage(t)
	sealInto(t, one, "", sets, g, locked)
	sealInto(t, two, "", sets, g, locked)
	if !maps.Equal(tree(t, one), tree(t, two)) {
		t.Error("sealed twice, different bytes")
	}
	kept := sealInto(t, third, one, sets, g, locked)
	if !maps.Equal(tree(t, one), tree(t, third)) {
		t.Error("sealed over an earlier site, different bytes")
	}
	if kept.Kept != kept.Files-3 { // two lists, and the list behind the passphrase
		t.Errorf("kept %d of %d files", kept.Kept, kept.Files)
	}
}

func TestChangedContentGetsANewName(t *testing.T) {
	g := testGallery("ines", 1)
	one, two := fakePage(t), fakePage(t)
	sealInto(t, one, "", testSets(t, Jobs([]consent.Gallery{g}, picture.Rights{}), 600), g)
	done := sealInto(t, two, one, testSets(t, Jobs([]consent.Gallery{g}, picture.Rights{}), 640), g)
	before, after := tree(t, one), tree(t, two)
	for name := range after {
		if strings.HasSuffix(name, ".bin") && !strings.HasSuffix(name, listName) && before[name] != "" && before[name] != after[name] {
			t.Errorf("%s has new content under its old name", name)
		}
	}
	if done.Kept != 1 { // the picture at 480 pixels is drawn the same
		t.Errorf("kept %d files, want the one that is the same", done.Kept)
	}
}

// TestDamagedEarlierSite: whatever lies in the earlier site, the new one is whole.
func TestDamagedEarlierSite(t *testing.T) {
	g := testGallery("ines", 1)
	sets := testSets(t, Jobs([]consent.Gallery{g}, picture.Rights{}), 600)
	good := fakePage(t)
	sealInto(t, good, "", sets, g)
	keys, _ := keysOf(t, g)
	folder := filepath.Join(Folder, keys.Name())
	picture := pictureFiles(t, good, g)[0]
	for name, spoil := range map[string]func(dir string) error{
		"no list":           func(dir string) error { return os.Remove(filepath.Join(dir, listName)) },
		"a list of nothing": func(dir string) error { return os.WriteFile(filepath.Join(dir, listName), nil, 0o644) },
		"a picture cut":     func(dir string) error { return os.Truncate(filepath.Join(dir, picture), 100) },
		"a picture gone":    func(dir string) error { return os.Remove(filepath.Join(dir, picture)) },
		"a picture that is a link": func(dir string) error {
			if err := os.Rename(filepath.Join(dir, picture), filepath.Join(dir, "x")); err != nil {
				return err
			}
			return os.Symlink("x", filepath.Join(dir, picture))
		},
	} {
		t.Run(name, func(t *testing.T) {
			earlier, out := fakePage(t), fakePage(t)
			sealInto(t, earlier, "", sets, g)
			if err := spoil(filepath.Join(earlier, folder)); err != nil {
				t.Fatal(err)
			}
			sealInto(t, out, earlier, sets, g)
			if !maps.Equal(tree(t, good), tree(t, out)) {
				t.Error("the new site differs from a good one")
			}
		})
	}
}

func TestNothingReadableIsWritten(t *testing.T) {
	g, locked := testGallery("ines", 3), testGallery("locked", 2)
	locked.PassphraseRequired = true
	galleries := []consent.Gallery{g, locked}
	sets := testSets(t, Jobs(galleries, picture.Rights{}), 600)
	out := fakePage(t)
	sealInto(t, out, "", sets, galleries...)
	links, err := Links(galleries, testSecret(t), "https://amberbarge.example/")
	if err != nil {
		t.Fatal(err)
	}
	secrets := []string{"Ines", "Okafor", "Wexcombe", "ask@", "ines-a", "locked-a", "locked", links[1].Passphrase, "\xff\xd8\xff", "JFIF", "balance"}
	for _, l := range links {
		secrets = append(secrets, strings.Split(l.URL, "#")[1], l.Client)
	}
	for name, body := range tree(t, out) {
		for _, s := range secrets {
			if strings.Contains(name, s) || strings.Contains(body, s) && len(s) > 3 {
				t.Errorf("%s holds %q", name, s)
			}
		}
		if strings.HasSuffix(name, ".bin") {
			// Header, then whole records; the plaintext hidden to 16 KiB.
			records := (int64(len(body)) - 21 + seal.RecordSize - 1) / seal.RecordSize
			if padded := int64(len(body)) - 21 - 17*records; padded%(16<<10) != 0 {
				t.Errorf("%s shows a length of %d bytes", name, padded)
			}
		}
	}
	for _, g := range galleries {
		keys, _ := keysOf(t, g)
		if got := tree(t, filepath.Join(out, Folder, keys.Name()))["index.html"]; got != "<!doctype html><title>A private gallery</title>" {
			t.Errorf("the page of %s is %q", g.ClientID, got)
		}
	}
	if _, err := os.Stat(filepath.Join(out, filepath.FromSlash(pageFolder))); err == nil {
		t.Error("the page for all galleries is left over")
	}
}

// TestOuterListOfALockedGallery: what the link alone opens tells nothing.
func TestOuterListOfALockedGallery(t *testing.T) {
	g := testGallery("ines", 2)
	g.PassphraseRequired = true
	out := fakePage(t)
	sealInto(t, out, "", testSets(t, Jobs([]consent.Gallery{g}, picture.Rights{}), 500), g)
	open, locked := keysOf(t, g)
	var outer list
	body := openFile(t, out, open, listName)
	if err := json.Unmarshal(body, &outer); err != nil {
		t.Fatal(err)
	}
	if outer.Locked == nil || outer.Locked.Rounds < 600_000 || outer.Locked.KDF != "PBKDF2-HMAC-SHA-256" || len(outer.Files) != 1 || len(outer.Plates) != 0 || outer.Title != "" || outer.Studio != (studio{}) {
		t.Errorf("the outer list says %s", body)
	}
	for name := range tree(t, filepath.Join(out, Folder, open.Name())) {
		if !strings.HasSuffix(name, ".bin") || name == listName {
			continue
		}
		f, err := os.Open(filepath.Join(out, Folder, open.Name(), name))
		if err != nil {
			t.Fatal(err)
		}
		if _, err := open.Open(f, name, 1<<30); err == nil {
			t.Errorf("%s opens without the passphrase", name)
		}
		if err := f.Close(); err != nil {
			t.Fatal(err)
		}
		openFile(t, out, locked, name)
	}
}

// TestListNamesEveryOtherFile: with length and SHA-256, of what lies there.
func TestListNamesEveryOtherFile(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		g := testGallery(rapid.StringMatching(`[a-z]{1,8}`).Draw(r, "client"), rapid.IntRange(1, 3).Draw(r, "plates"))
		g.Generation = rapid.IntRange(1, 3).Draw(r, "generation")
		g.PassphraseRequired = rapid.IntRange(0, 9).Draw(r, "passphrase") == 9
		g.Downloads = rapid.SampledFrom([]string{"full", "web"}).Draw(r, "downloads")
		out := fakePage(t)
		sealInto(t, out, "", testSets(t, Jobs([]consent.Gallery{g}, picture.Rights{}), rapid.SampledFrom([]int{300, 480, 700, 1000}).Draw(r, "pixels")), g)
		l := openList(t, out, g)
		open, locked := keysOf(t, g)
		there := tree(t, filepath.Join(out, Folder, open.Name()))
		delete(there, "index.html")
		delete(there, listName)
		for _, f := range l.Files {
			if int64(len(there[f.Name])) != f.Length || sha256Hex(there[f.Name]) != f.SHA256 {
				r.Fatalf("%s: %d bytes there, the list says %d", f.Name, len(there[f.Name]), f.Length)
			}
			delete(there, f.Name)
		}
		if g.PassphraseRequired && len(there) == 1 {
			clear(there) // the inner list, which the outer list names
		}
		if len(there) > 0 {
			r.Fatalf("the list does not name %v", slices.Collect(maps.Keys(there)))
		}
		for _, p := range l.Plates {
			for _, v := range p.Views {
				last := v.Pictures[len(v.Pictures)-1]
				if v.Download.File != last.File || !slices.IsSortedFunc(v.Pictures, func(a, b sized) int { return a.Width - b.Width }) {
					r.Fatalf("plate %s: pictures %v, to save %v", p.ID, v.Pictures, v.Download)
				}
				if body := openFile(t, out, locked, last.File); body[0] != 0xff || body[1] != 0xd8 {
					r.Fatalf("%s is no JPEG", last.File)
				}
				if g.Downloads == "web" && last.Width > widths[len(widths)-1] {
					r.Fatalf("a client who may have the web size gets %d pixels", last.Width)
				}
			}
		}
	})
}

func TestGenerationsDoNotMeet(t *testing.T) {
	g := testGallery("ines", 1)
	sets := testSets(t, Jobs([]consent.Gallery{g}, picture.Rights{}), 500)
	one := fakePage(t)
	sealInto(t, one, "", sets, g)
	later := g
	later.Generation = 2
	two := fakePage(t)
	laterSets := testSets(t, Jobs([]consent.Gallery{later}, picture.Rights{}), 500)
	done := sealInto(t, two, one, laterSets, later)
	for name := range tree(t, two) {
		if _, ok := tree(t, one)[name]; ok && name != "index.html" {
			t.Errorf("%s is in both generations", name)
		}
	}
	if done.Kept > 0 {
		t.Error("a file of the older generation was kept")
	}
	if first, second := Jobs([]consent.Gallery{g}, picture.Rights{}), Jobs([]consent.Gallery{later}, picture.Rights{}); first[0].Outputs[0].Edition == second[0].Outputs[0].Edition {
		t.Error("two generations share their pictures")
	}
}

func TestWhatIsLeftOut(t *testing.T) {
	g, ended, empty := testGallery("ines", 2), testGallery("ended", 1), testGallery("empty", 1)
	ended.State, ended.Plates = "ended", nil
	empty.State, empty.Plates = "empty", nil
	lost := testGallery("lost", 1)
	all := []consent.Gallery{g, ended, empty, lost}
	sets := testSets(t, Jobs(all, picture.Rights{}), 500)
	sets = slices.DeleteFunc(sets, func(s picture.Set) bool { return strings.Contains(s.Master, "lost") })
	sets[1].Files = sets[1].Files[:2] // the full scan of the second plate is missing
	out := fakePage(t)
	done := sealInto(t, out, "", sets, all...)
	if !slices.Equal(done.Left, []string{"ines-b", "lost-a"}) || done.Galleries != 1 {
		t.Errorf("left %v, %d galleries", done.Left, done.Galleries)
	}
	if l := openList(t, out, g); len(l.Plates) != 1 || l.Plates[0].ID != "ines-a" {
		t.Errorf("listed: %v", l.Plates)
	}
	entries, err := os.ReadDir(filepath.Join(out, Folder))
	if err != nil || len(entries) != 1 {
		t.Errorf("%d folders, %v", len(entries), err)
	}
	none := fakePage(t)
	if done := sealInto(t, none, "", nil, ended); done.Galleries != 0 {
		t.Errorf("an ended gallery was built: %+v", done)
	}
	if len(tree(t, none)) != 0 {
		t.Errorf("left over: %v", tree(t, none))
	}
}

func TestSealNeedsThePage(t *testing.T) {
	if _, err := Seal(context.Background(), t.TempDir(), "", nil, nil, testSecret(t)); err == nil || !strings.Contains(err.Error(), "not rendered") {
		t.Errorf("error %v", err)
	}
	g := testGallery("ines", 1)
	sets := testSets(t, Jobs([]consent.Gallery{g}, picture.Rights{}), 500)
	out := fakePage(t)
	if _, err := Seal(context.Background(), out, "", []consent.Gallery{g, g}, sets, testSecret(t)); err == nil || !strings.Contains(err.Error(), "share a name") {
		t.Errorf("the same client twice: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Seal(ctx, fakePage(t), "", []consent.Gallery{g}, sets, testSecret(t)); err == nil {
		t.Error("a cancelled run went on")
	}
	remove(t, sets[0].Files[0].Path)
	if _, err := Seal(context.Background(), fakePage(t), "", []consent.Gallery{g}, sets, testSecret(t)); err == nil || !strings.Contains(err.Error(), "ines-a") {
		t.Errorf("a picture gone from the cache: %v", err)
	}
}

func TestContentsOfFollowsThePlates(t *testing.T) {
	g := testGallery("ines", 4)
	sets := testSets(t, Jobs([]consent.Gallery{g}, picture.Rights{}), 500)
	out := fakePage(t)
	sealInto(t, out, "", sets, g)
	if got := openList(t, out, g).ContentsOf; got != "2026-06-14" {
		t.Errorf("contents of %s", got)
	}
	g.Plates[3].Varnished = time.Date(2026, 6, 17, 23, 30, 0, 0, time.UTC) // the 18th in the studio's zone
	out = fakePage(t)
	sealInto(t, out, "", sets, g)
	if got := openList(t, out, g).ContentsOf; got != "2026-06-18" {
		t.Errorf("contents of %s, want the day of the last varnishing", got)
	}
}

func TestLinks(t *testing.T) {
	g, ended := testGallery("ines", 2), testGallery("ended", 0)
	g.Held = 2
	ended.State, ended.Until, ended.PassphraseRequired, ended.Held = "ended", record.Date{}, true, 5 // it had plates, and says so
	links, err := Links([]consent.Gallery{g, ended}, testSecret(t), "https://amberbarge.example/plates")
	if err != nil {
		t.Fatal(err)
	}
	body, err := json.Marshal(links)
	if err != nil {
		t.Fatal(err)
	}
	keys, _ := keysOf(t, g)
	for _, want := range []string{
		`{"client":"ines","url":"https://amberbarge.example/plates/g/` + keys.Name() + `/#` + keys.Fragment() + `","generation":1,"until":"2099-09-30","state":"open","plates":2}`,
		`"until":null,"state":"ended","plates":5,"passphrase":"`,
	} {
		if !strings.Contains(string(body), want) {
			t.Errorf("links %s\nlack %s", body, want)
		}
	}
	for _, bad := range []string{"", "amberbarge.example", "ftp://amberbarge.example/", "/plates/"} {
		if _, err := Links(nil, testSecret(t), bad); err == nil {
			t.Errorf("address %q accepted", bad)
		}
	}
}

func TestSaveNames(t *testing.T) {
	for in, want := range map[string]string{
		"26-031": "26-031", "../../etc/passwd": "etc-passwd", "Ines & the lock keepers": "ines-the-lock-keepers", "": "x", "…": "x",
		"Ærø #3": "ærø-3", "a\x00b": "a-b", "CON": "con", strings.Repeat("long ", 30): strings.TrimSuffix(strings.Repeat("long-", 12), "-"),
	} {
		if got := saveName(in, "x"); got != want {
			t.Errorf("%q is saved as %q, want %q", in, got, want)
		}
	}
	rapid.Check(t, func(r *rapid.T) {
		names := saveNames{}
		seen := map[string]bool{}
		for _, s := range rapid.SliceOfN(rapid.String(), 1, 8).Draw(r, "ids") {
			name := names.take(saveName(s, "plate"))
			if seen[name] || strings.ContainsAny(name, `/\:*?"<>|. `) || !fs.ValidPath(name) {
				r.Fatalf("%q is saved as %q", s, name)
			}
			seen[name] = true
		}
	})
}

// TestStage: the page, its style and its words come into the project.
func TestStage(t *testing.T) {
	dir := t.TempDir()
	if err := Stage(context.Background(), dir, templatesDir); err != nil {
		t.Fatal(err)
	}
	files := tree(t, dir)
	for name, part := range map[string]string{"i18n/en.toml": "gallery_page_title", "i18n/de.toml": "gallery_page_title", "layouts/gallery.html": "Content-Security-Policy", "content/gallery-page.md": `"url":"/g/page/"`} {
		if !strings.Contains(files[name], part) {
			t.Errorf("%s lacks %s", name, part)
		}
	}
	style := ""
	for name, body := range files {
		if strings.HasSuffix(name, "/gallery.css") {
			style = body
		}
	}
	for _, part := range []string{"--ground:", ".plate {", ".leaf"} {
		if !strings.Contains(style, part) {
			t.Errorf("the style sheet lacks %q", part)
		}
	}
}
