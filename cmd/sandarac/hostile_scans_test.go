package main

import (
	"encoding/binary"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"sandarac/archive/scan/sample"
)

// spoiltScan spoils a scan in one of three ways; sure says that what is left can
// be no whole picture.
func spoiltScan(r *rand.Rand, ext string, sound []byte, way int) (data []byte, sure bool) {
	switch way {
	case 0: // cut short
		return sound[:len(sound)*(5+r.IntN(60))/100], true
	case 1: // a header that tells of more pixels than there are
		data = slices.Clone(sound)
		big := []uint16{20_000, 50_000, 65_535}[r.IntN(3)]
		switch ext {
		case ".jpg":
			at := strings.Index(string(data), "\xff\xc0") + 5
			binary.BigEndian.PutUint16(data[at:], big)
			binary.BigEndian.PutUint16(data[at+2:], big)
		case ".png": // its sum is wrong then, too
			binary.BigEndian.PutUint32(data[16:], uint32(big)<<r.IntN(16))
		case ".tif":
			for e := int(binary.LittleEndian.Uint32(data[4:])) + 2; e+12 <= len(data); e += 12 {
				if tag := binary.LittleEndian.Uint16(data[e:]); tag == 257 { // height
					binary.LittleEndian.PutUint16(data[e+2:], 4)
					binary.LittleEndian.PutUint32(data[e+8:], uint32(big))
				}
			}
		}
		return data, true
	}
	return sample.Mutate(r, sound), false // bits and pieces
}

// TestHostileScans: of six hundred spoilt scans and records, whatever cannot be
// right is named, nothing panics or hangs, and what is published has no fault.
func TestHostileScans(t *testing.T) {
	root := t.TempDir()
	put(t, root, "studio.md", hostileStudio)
	r := rand.New(rand.NewPCG(23, 1851))
	sound := sample.Sound()
	sound["scene.jpg"] = sample.JPEG(t, sample.Scene(96, 64), 90)
	sound["grey.jpg"] = sample.JPEG(t, sample.GreyScene(96, 64), 90)
	names := slices.Sorted(maps.Keys(sound))
	must := map[string]bool{}
	for i := range 510 {
		from := names[i%len(names)]
		ext := path.Ext(from)
		data, sure := spoiltScan(r, ext, sound[from], i/len(names)%3)
		id := fmt.Sprintf("hs-%03d", i)
		put(t, root, id+".md", "---\nplate: "+id+"\nmade: 2026-05-02\noutcome: keeper\nsitters: []\ntitle: Reeds\nalt: Reeds.\n---\n")
		put(t, root, id+ext, string(data))
		if sure {
			must[id] = true
		}
	}
	for i := range 90 {
		id := fmt.Sprintf("hr-%03d", i)
		notation := []string{
			"---\nplate: " + id + "\nmade: 2026-05-02T10:20\noutcome: scrapped\nsitters: [{name: A, consent: {portfolio: true, given: 2026-01-01}}]\nexposure: {seconds: 8, stop: 4}\n---\n\nNotes.\n",
			"+++\nplate = \"" + id + "\"\nmade = 2026-05-02\noutcome = \"scrapped\"\ntags = [\"a\", \"b\"]\n[exposure]\nseconds = 8\n+++\n\nNotes.\n",
			"{\n\"plate\": \"" + id + "\",\n\"made\": \"2026-05-02\",\n\"outcome\": \"scrapped\",\n\"sitters\": []\n}\n\nNotes.\n",
		}[i%3]
		put(t, root, id+".md", string(sample.Mutate(r, []byte(notation))))
	}
	out, errOut, _ := bounded(t, "check", "--deep", "--json", "--archive", root, "--today", hostileDay)
	var told struct {
		Findings []struct{ Severity, File, Plate, Message, Remedy string }
	}
	if err := json.Unmarshal([]byte(out), &told); err != nil {
		t.Fatalf("%v\n%s", err, errOut)
	}
	faulty := map[string]bool{}
	for _, f := range told.Findings {
		if f.Severity == "error" {
			faulty[strings.TrimSuffix(path.Base(f.File), path.Ext(f.File))] = true
		}
		if f.Message == "" || f.Remedy == "" {
			t.Errorf("%+v has no words", f)
		}
	}
	plainOutput(t, "check", out)
	for id := range must {
		if !faulty[id] {
			t.Errorf("check --deep says nothing of %s", id)
		}
	}
	out, errOut, _ = bounded(t, "build", "--archive", root, "--today", hostileDay)
	if !strings.Contains(out, "built ") {
		t.Fatalf("nothing was built\n%s%s", out, errOut)
	}
	site, err := readSite(filepath.Join(root, "public"))
	if err != nil {
		t.Fatal(err)
	}
	for id := range site.shown {
		if faulty[id] {
			t.Errorf("%s has a fault and is published", id)
		}
	}
	if len(must) < 300 || len(site.shown) < 5 || len(faulty) < len(must) {
		t.Errorf("%d scans that cannot be right, %d faulty, %d published: the test shows nothing", len(must), len(faulty), len(site.shown))
	}
	t.Logf("%d cannot be right, %d faulty, %d published", len(must), len(faulty), len(site.shown))
}
