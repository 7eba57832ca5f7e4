package bench

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"image"
	"image/jpeg"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"sandarac/archive/bench/journal"
	"sandarac/archive/check"
	"sandarac/archive/finding"
	"sandarac/archive/record"
)

var shootDay = time.Date(2026, 5, 20, 11, 0, 0, 0, time.UTC)

func at() time.Time { return shootDay }

// rooms lays out a small archive and gives its folder.
func rooms(t testing.TB) string {
	t.Helper()
	files := map[string]string{
		"studio.md":     "---\nstudio: Test Rooms\nurl: https://plates.example/\ntime_zone: Europe/Dublin\npoison_centre: \"555 0100 (invented)\"\nlenses:\n  - {id: petzval, focal_mm: 210, widest_stop: 3.8}\n---\n",
		"sitters/a.md":  "---\nsitter: ada-quill\nname: Ada Quill\nconsent: {portfolio: true, given: 2026-05-01}\n---\n",
		"clients/q.md":  "---\nclient: quill\nname: The Quill family\n---\n",
		"2026-05/p1.md": "---\nplate: 2026-05-20-01\nmade: 2026-05-20T09:00\nsupport: tin\nformat: half\nlens: petzval\nbatches: {collodion: collodion-1, bath: bath-1, developer: developer-1, fixer: fixer-1}\nexposure: {seconds: 8, stop: 4}\nlight: {kind: north skylight, ev100: 9.5}\nsitters: []\n---\n",
	}
	for _, kind := range record.BatchKinds {
		files["batches/"+kind+".md"] = "---\nbatch: " + kind + "-1\nkind: " + kind + "\nmixed: 2026-04-20\n---\n"
	}
	root := t.TempDir()
	for name, content := range files {
		put(t, root, name, content)
	}
	return root
}

func put(t testing.TB, root, name, content string) {
	t.Helper()
	at := filepath.Join(root, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(at), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(at, []byte(content), 0o644); err != nil {
		t.Fatal(err)
	}
}

// sound reads an archive and fails the test for every error that reading and
// check find.
func sound(t testing.TB, root string) *record.Archive {
	t.Helper()
	a, fs, err := record.Read(context.Background(), root)
	if err != nil {
		t.Fatal(err)
	}
	more, err := check.Run(context.Background(), a, check.Options{Today: record.DateOf(shootDay)})
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range append(fs, more...) {
		if f.Severity == finding.Error {
			t.Errorf("%s", f)
		}
	}
	return a
}

func book(t testing.TB, root string) *Logbook {
	t.Helper()
	l, err := OpenLogbook(context.Background(), root, at)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// plateEntry is an entry with a mark in it, by which its record is known.
func plateEntry(id, mark string, values map[string]string) []byte {
	all := map[string]string{"made": "2026-05-20T10:00:00+01:00", "support": "tin", "outcome": "keeper", "exposure.seconds": "8.5", "light.note": mark}
	for k, v := range values {
		all[k] = v
	}
	data, err := json.Marshal(PlateEntry{ID: id, Values: all, Nobody: true})
	if err != nil {
		panic(err)
	}
	return data
}

func entryID(n int) string { return fmt.Sprintf("entry%015d", n) }

func photo() []byte {
	var b bytes.Buffer
	if err := jpeg.Encode(&b, image.NewGray(image.Rect(0, 0, 60, 80)), nil); err != nil {
		panic(err)
	}
	return b.Bytes()
}

func TestEntriesBecomeRecordsOnce(t *testing.T) {
	root := rooms(t)
	l := book(t, root)
	ctx := context.Background()
	first, err := l.Plate(ctx, plateEntry(entryID(1), "one", nil))
	if err != nil {
		t.Fatal(err)
	}
	if first.Result != "2026-05-20-02" || first.File != "2026-05/2026-05-20-02.md" || first.Again {
		t.Errorf("%+v", first)
	}
	again, err := l.Plate(ctx, plateEntry(entryID(1), "one", nil))
	if err != nil || !again.Again || again.Result != first.Result {
		t.Errorf("sent once more: %+v %v", again, err)
	}
	// The same after a restart, and after the record was moved and edited by hand.
	text, err := os.ReadFile(filepath.Join(root, first.File))
	if err != nil {
		t.Fatal(err)
	}
	put(t, root, "2026-05/renamed.md", strings.Replace(string(text), "keeper", "remake", 1))
	if err := os.Remove(filepath.Join(root, first.File)); err != nil {
		t.Fatal(err)
	}
	l = book(t, root)
	if again, err = l.Plate(ctx, plateEntry(entryID(1), "one", nil)); err != nil || !again.Again {
		t.Errorf("sent after it was moved: %+v %v", again, err)
	}
	if _, err := l.Plate(ctx, plateEntry(entryID(1), "two", nil)); !errors.Is(err, errConflict) {
		t.Errorf("another entry under the same id: %v", err)
	}
	// A picture finds its plate where it is now.
	pic, err := l.Picture(ctx, entryID(2), entryID(1), photo())
	if err != nil || pic.File != "2026-05/renamed.jpeg" {
		t.Errorf("%+v %v", pic, err)
	}
	if _, err := l.Picture(ctx, entryID(2), entryID(1), photo()); err != nil {
		t.Errorf("the picture once more: %v", err)
	}
	a := sound(t, root)
	if p, _ := a.Plate("2026-05-20-02"); len(a.Plates) != 2 || p.Outcome != "remake" || p.Face() != "2026-05/renamed.jpeg" || p.Exposure.Seconds != 8.5 || p.Made.Format(time.RFC3339) != "2026-05-20T10:00:00+01:00" {
		t.Errorf("%d plates, %+v", len(a.Plates), p)
	}
	// A scan that comes later is the plate's face; the picture stays.
	put(t, root, "2026-05/renamed.jpg", string(photo()))
	if p, _ := sound(t, root).Plate("2026-05-20-02"); !slices.Equal(p.Scans, []string{"2026-05/renamed.jpg", "2026-05/renamed.jpeg"}) {
		t.Errorf("scans %v", p.Scans)
	}
}

func TestWhatIsRefusedWritesNothing(t *testing.T) {
	root := rooms(t)
	l := book(t, root)
	ctx := context.Background()
	before := tree(t, root)
	long := strings.Repeat("x", 300<<10)
	for name, tc := range map[string]struct {
		sent []byte
		says string
	}{
		"not JSON":       {[]byte("plate: x"), "not an entry"},
		"an array":       {[]byte("[]"), "not an entry"},
		"two":            {append(plateEntry(entryID(1), "", nil), '{', '}'), "something follows"},
		"unknown keys":   {[]byte(`{"id":"` + entryID(1) + `","path":"../x"}`), "not an entry"},
		"no id":          {plateEntry("", "", nil), "16 to 40"},
		"a path as id":   {plateEntry("../../../../../../x", "", nil), "16 to 40"},
		"no time":        {plateEntry(entryID(1), "", map[string]string{"made": ""}), "made is “nothing”"},
		"to come":        {plateEntry(entryID(1), "", map[string]string{"made": "2026-06-20"}), "a day that has come"},
		"unknown lens":   {plateEntry(entryID(1), "", map[string]string{"lens": "=cmd"}), "lenses of the studio record: petzval"},
		"unknown batch":  {plateEntry(entryID(1), "", map[string]string{"batches.bath": "collodion-1"}), "bath batches: bath-1"},
		"an id":          {plateEntry(entryID(1), "", map[string]string{"plate": "mine"}), "the archive gives it"},
		"scans":          {plateEntry(entryID(1), "", map[string]string{"scans": "../../x.jpg"}), "the archive gives it"},
		"unknown key":    {plateEntry(entryID(1), "", map[string]string{"outcom": "keeper"}), "a key of the plate record"},
		"wrong word":     {plateEntry(entryID(1), "", map[string]string{"outcome": "great"}), "keeper, remake, scrapped"},
		"two at once":    {plateEntry(entryID(1), "", map[string]string{"outcome": "great", "exposure.seconds": "-1"}), "a number above 0"},
		"control":        {plateEntry(entryID(1), "", map[string]string{"title": "a\x1bb"}), "invisible character"},
		"a huge title":   {plateEntry(entryID(1), "", map[string]string{"title": long}), "at most 16 KB"},
		"huge notes":     {[]byte(`{"id":"` + entryID(1) + `","values":{"made":"2026-05-20"},"notes":"` + long + `"}`), "at most 256 KB"},
		"unknown sitter": {[]byte(`{"id":"` + entryID(1) + `","values":{"made":"2026-05-20"},"people":[{"id":"eve"}]}`), "sitters: ada-quill"},
		"and nobody":     {[]byte(`{"id":"` + entryID(1) + `","values":{"made":"2026-05-20"},"nobody":true,"people":[{"id":"ada-quill"}]}`), "or nobody"},
		"an empty name":  {[]byte(`{"id":"` + entryID(1) + `","values":{"made":"2026-05-20"},"people":[{"name":" "}]}`), "nothing is said"},
	} {
		if a, err := l.Plate(ctx, tc.sent); err == nil || !strings.Contains(err.Error(), tc.says) {
			t.Errorf("%s: %+v, %v, want %q", name, a, err, tc.says)
		}
	}
	for name, tc := range map[string]struct{ sent, says string }{
		"no signature": {`{"id":"` + entryID(3) + `","at":"2026-05-20T10:00:00Z","name":"Eve","portfolio":true,"signature":{}}`, "a signature"},
		"no time":      {`{"id":"` + entryID(3) + `","at":"noon","name":"Eve","signature":{}}`, "a time such as"},
		"bad end":      {`{"id":"` + entryID(3) + `","at":"2026-05-20T10:00:00Z","name":"Eve","until":"for ever","signature":{}}`, "a day such as"},
		"no guardian":  {`{"id":"` + entryID(3) + `","at":"2026-05-20T10:00:00Z","name":"Eve","minor":true,"signature":{"typed":"Eve"}}`, "guardian"},
		"wrong type":   {`{"id":"` + entryID(3) + `","at":"2026-05-20T10:00:00Z","name":"Eve","portfolio":"yes","signature":{}}`, "not an entry"},
		"svg":          {`{"id":"` + entryID(3) + `","at":"2026-05-20T10:00:00Z","name":"Eve","signature":{"svg":"<script>"}}`, "not an entry"},
	} {
		if a, err := l.Consent(ctx, []byte(tc.sent)); err == nil || !strings.Contains(err.Error(), tc.says) {
			t.Errorf("consent, %s: %+v, %v, want %q", name, a, err, tc.says)
		}
	}
	if _, err := l.Picture(ctx, entryID(5), entryID(9), photo()); err == nil || !strings.Contains(err.Error(), "a plate that the form sent before") {
		t.Errorf("a picture of nothing: %v", err)
	}
	after := tree(t, root)
	for name := range after {
		if before[name] != after[name] {
			t.Errorf("%s was written", name)
		}
	}
	// What was refused may be mended and sent under its id.
	if _, err := l.Plate(ctx, plateEntry(entryID(1), "", nil)); err != nil {
		t.Error(err)
	}
	for _, data := range [][]byte{nil, []byte("GIF89a"), photo()[:100], append([]byte("\xFF\xD8\xFF"), long...)} {
		if _, err := l.Picture(ctx, entryID(6), entryID(1), data); err == nil || !strings.Contains(err.Error(), "a JPEG of at most 12 MB") {
			t.Errorf("a picture of %d bytes: %v", len(data), err)
		}
	}
	if len(sound(t, root).Plates) != 2 {
		t.Error("not two plates")
	}
}

// tree is every file of an archive but the tool's own.
func tree(t testing.TB, root string) map[string]string {
	t.Helper()
	out := map[string]string{}
	err := filepath.WalkDir(root, func(p string, d os.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() {
			if d.Name() == ".sandarac" {
				return filepath.SkipDir
			}
			return nil
		}
		data, err := os.ReadFile(p)
		out[p] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestConsentAndPlateInAnyOrder(t *testing.T) {
	root := rooms(t)
	l := book(t, root)
	ctx := context.Background()
	send := func(id, name, more string) (Answer, error) {
		return l.Consent(ctx, []byte(`{"id":"`+id+`","at":"2026-05-20T10:00:00+01:00","name":"`+name+`","portfolio":true,"show_name":true`+more+`,"signature":{"typed":"x"}}`))
	}
	eve, err := send(entryID(1), "Eve Marsh", "")
	if err != nil || eve.Result != "eve-marsh" || eve.File != "sitters/eve-marsh.md" {
		t.Fatalf("%+v %v", eve, err)
	}
	if again, err := send(entryID(1), "Eve Marsh", ""); err != nil || !again.Again || again.Result != "eve-marsh" {
		t.Errorf("%+v %v", again, err)
	}
	plate := `{"id":"` + entryID(2) + `","values":{"made":"2026-05-20T10:05:00+01:00","outcome":"keeper"},"people":[{"entry":"` + entryID(1) + `","name":"Eve Marsh"},{"entry":"` + entryID(7) + `","name":"Bo Tarn"},{"id":"ada-quill"}]}`
	answer, err := l.Plate(ctx, []byte(plate))
	if err != nil || len(answer.Remarks) != 1 || !strings.Contains(answer.Remarks[0], "no consent of Bo Tarn has arrived") {
		t.Fatalf("%+v %v", answer, err)
	}
	a := sound(t, root)
	p, _ := a.Plate(answer.Result)
	if len(p.Sitters) != 3 || p.Sitters[0].Ref != "eve-marsh" || p.Sitters[1].Inline == nil || p.Sitters[1].Inline.Consent != (record.Consent{}) || p.Sitters[2].Ref != "ada-quill" {
		t.Errorf("%+v", p.Sitters)
	}
	if s := a.Sitters["eve-marsh"]; !s.Consent.Portfolio || !s.Consent.Name || s.Consent.Promotion || s.Consent.Given.String() != "2026-05-20" {
		t.Errorf("%+v", s)
	}
}

// A thousand entries from eight devices at once, a tenth of them sent twice at
// the same moment: none lost, none doubled, each valid, beside a photographer who
// writes records by hand into the same folder.
func TestAThousandEntriesAtOnce(t *testing.T) {
	root := rooms(t)
	l := book(t, root)
	const devices, each = 8, 125
	var hand sync.WaitGroup
	hand.Add(1)
	byHand := 0
	go func() {
		defer hand.Done()
		for n := 40; n < 1000; n += 37 { // ahead of the entries, which come to these names later
			time.Sleep(2 * time.Millisecond)
			name := filepath.Join(root, "2026-05", fmt.Sprintf("2026-05-20-%02d.md", n))
			f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o644)
			if err != nil {
				continue
			}
			fmt.Fprintf(f, "---\nplate: hand-%d\nmade: 2026-05-20\nsitters: []\n---\n", n)
			f.Close()
			byHand++
		}
	}()
	results := make([]map[string]string, devices)
	var wg sync.WaitGroup
	for d := range devices {
		results[d] = map[string]string{}
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range each {
				id := entryID(d*1000 + i)
				sent := plateEntry(id, id, nil)
				answer, err := l.Plate(context.Background(), sent)
				if err != nil {
					t.Error(err)
					return
				}
				results[d][id] = answer.Result
			}
		}()
	}
	for range 100 { // and some once more, from elsewhere
		wg.Add(1)
		go func() {
			defer wg.Done()
			id := entryID(3 * 1000)
			if _, err := l.Plate(context.Background(), plateEntry(id, id, nil)); err != nil {
				t.Error(err)
			}
		}()
	}
	wg.Wait()
	hand.Wait()
	a := sound(t, root)
	if want := 1 + devices*each + byHand; len(a.Plates) != want || byHand == 0 {
		t.Fatalf("%d plates, want %d (%d by hand)", len(a.Plates), want, byHand)
	}
	marks := map[string]string{}
	for _, p := range a.Plates {
		if p.Light.Note != "" {
			marks[p.Light.Note] = p.ID
		}
	}
	for _, r := range results {
		for id, plate := range r {
			if marks[id] != plate {
				t.Fatalf("entry %s was answered with %s and is in %s", id, plate, marks[id])
			}
		}
	}
	if len(marks) != devices*each {
		t.Errorf("%d entries, want %d", len(marks), devices*each)
	}
}

// Two runs of the command on one archive give out no id twice.
func TestTwoServersAtOnce(t *testing.T) {
	root := rooms(t)
	var wg sync.WaitGroup
	for d := range 2 {
		l := book(t, root)
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := range 15 {
				id := entryID(d*100 + i)
				if _, err := l.Plate(context.Background(), plateEntry(id, id, nil)); err != nil {
					t.Error(err)
				}
			}
		}()
	}
	wg.Wait()
	if a := sound(t, root); len(a.Plates) != 31 {
		t.Errorf("%d plates", len(a.Plates))
	}
}

// What a killed run had begun is finished by the next; a record that was made and
// edited by hand since is left as it is, and a file that is somebody else's makes
// the entry go to another place.
func TestRecoveryTouchesNothing(t *testing.T) {
	for name, tc := range map[string]struct {
		there string // what stands where the record was to be made; "" nothing
		kept  bool
		want  string
	}{
		"nothing made":            {"", false, "2026-05-20-02"},
		"made and edited by hand": {"---\nplate: 2026-05-20-02\nmade: 2026-05-20T10:00\noutcome: remake\nsitters: []\n---\nby hand\n", true, "2026-05-20-02"},
		"another's record":        {"---\nplate: mine\nmade: 2026-05-20\nsitters: []\n---\n", true, "2026-05-20-03"},
		"the id taken by hand":    {"---\nplate: 2026-05-20-02\nmade: 2026-05-20T17:45\nsitters: []\n---\n", true, "2026-05-20-03"},
		"a note":                  {"a note of mine\n", true, "2026-05-20-03"},
	} {
		t.Run(name, func(t *testing.T) {
			root := rooms(t)
			l := book(t, root)
			sent := plateEntry(entryID(1), "one", nil)
			e := journal.Entry{ID: entryID(1), Kind: "plate", Sum: sumOfEntry("plate", sent, nil), Sent: sent, When: at()}
			if _, err := l.plan(context.Background(), &e, nil); err != nil {
				t.Fatal(err)
			}
			file := e.Files[0].Path // here the run is killed
			if tc.there != "" {
				put(t, root, file, tc.there)
			}
			l = book(t, root)
			answer, err := l.Plate(context.Background(), sent)
			if err != nil || !answer.Again || answer.Result != tc.want {
				t.Fatalf("%+v %v, want %s", answer, err, tc.want)
			}
			if tc.kept {
				if got, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(file))); err != nil || string(got) != tc.there {
					t.Errorf("%v: it now holds\n%s", err, got)
				}
			}
			a := sound(t, root)
			if p, ok := a.Plate(tc.want); !ok || tc.want == "2026-05-20-03" && p.Light.Note != "one" {
				t.Errorf("%+v", p)
			}
		})
	}
}
