package picture

import (
	"bytes"
	"encoding/base64"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf16"

	"sandarac/archive/scan/sample"
)

var rights = Rights{
	Creator:    "Ada & <Søn>",
	Credit:     "Barge Studio \"Sandarac\"",
	Copyright:  "© 2026 Barge Studio",
	LicenceURL: "https://example.org/licence?a=1&b=2",
}

// The outside check: ExifTool reads every derivative. The masters hold
// canaries wherever a scanner, a camera or an editor might leave something.
func TestOnlyRightsSurvive(t *testing.T) {
	thumb := sample.Write(t, "thumb.jpg", sample.JPEG(t, sample.GreyScene(16, 12), 50))
	canaries := []string{"-GPSLatitude=51.123456", "-GPSLatitudeRef=N", "-SerialNumber=CANARY1", "-XMP-iptcExt:PersonInImage=CANARY2",
		"-IPTC:Caption-Abstract=CANARY3", "-Comment=CANARY4", "-ThumbnailImage<=" + thumb, "-Artist=CANARY5", "-XMP:Creator=CANARY6",
		"-ImageDescription=CANARY7", "-UserComment=CANARY8", "-Software=CANARY9", "-DateTimeOriginal=2026:05:01 10:20:30"}
	for _, ext := range []string{"jpg", "tif", "png"} {
		in := filepath.Join(t.TempDir(), "in."+ext)
		sample.Tool(t, "convert", pngFile(t, sample.Scene(90, 60)), "-profile", sample.Write(t, "a.icc", sample.RGB(2, "CANARYPROFILE", sample.AdobeColumns, sample.Gamma(2.2))), in)
		master := filepath.Join(filepath.Dir(in), "CANARYNAME."+ext)
		sample.Tool(t, "exiftool", append(append([]string{"-q", "-q", "-m"}, canaries...), "-o", master, in)...)
		data, err := os.ReadFile(master)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(master, append(data, "CANARYTAIL"...), 0o644); err != nil {
			t.Fatal(err)
		}
		if found := sample.Tool(t, "exiftool", "-a", "-u", master); !bytes.Contains(found, []byte("CANARY2")) {
			t.Fatalf("%s: the canaries did not get into the master:\n%s", ext, found)
		}
		set := makeOne(t, master, Output{Width: 45, Rights: rights}, Output{Rights: rights, Edition: "public"})
		for _, f := range set.Files {
			checkRights(t, f)
			checkNoCanary(t, f.Path)
		}
	}
}

// checkRights reads a file by ExifTool: these XMP keys with these values, and
// nothing in any other group.
func checkRights(t *testing.T, f File) {
	t.Helper()
	out := sample.Tool(t, "exiftool", "-j", "-G1", "-a", "-u", "-U", "-ee", "-struct", f.Path)
	var found []map[string]any
	if err := json.Unmarshal(out, &found); err != nil {
		t.Fatal(err)
	}
	want := map[string]any{
		"XMP-dc:Creator": rights.Creator, "XMP-dc:Rights": rights.Copyright, "XMP-photoshop:Credit": rights.Credit,
		"XMP-xmpRights:Marked": true, "XMP-xmpRights:WebStatement": rights.LicenceURL,
	}
	for key, value := range found[0] {
		group, _, _ := strings.Cut(key, ":")
		switch group {
		case "SourceFile", "ExifTool", "System", "File", "Composite":
			if key == "ExifTool:Warning" {
				t.Errorf("warning: %v", value)
			}
			continue
		}
		if list, ok := value.([]any); ok && len(list) == 1 {
			value = list[0]
		}
		if w, ok := want[key]; !ok || w != value {
			t.Errorf("%s is %v", key, value)
		}
		delete(want, key)
	}
	for key := range want {
		t.Errorf("%s is missing:\n%s", key, out)
	}
	if out := sample.Tool(t, "exiftool", "-validate", "-warning", "-a", f.Path); !bytes.Contains(out, []byte(": OK")) {
		t.Errorf("ExifTool's validation: %s", out)
	}
}

func checkNoCanary(t *testing.T, path string) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	wide := make([]byte, 0, 16)
	for _, u := range utf16.Encode([]rune("CANARY")) {
		wide = append(wide, byte(u>>8), byte(u))
	}
	for _, c := range [][]byte{[]byte("CANARY"), wide[1:], []byte(base64.StdEncoding.EncodeToString([]byte("CANARY"))), []byte("51.12")} {
		if bytes.Contains(data, c) {
			t.Errorf("%q is in %s", c, path)
		}
	}
	if strings.Contains(path, "CANARY") {
		t.Errorf("the name of the master is in %s", path)
	}
}

func TestNoRightsGiven(t *testing.T) {
	set := makeOne(t, pngFile(t, sample.Scene(40, 30)), Output{})
	out := sample.Tool(t, "exiftool", "-a", "-G1", "-s", "-XMP:all", set.Files[0].Path)
	if len(bytes.TrimSpace(out)) > 0 {
		t.Errorf("found %s", out)
	}
}

func TestPacketIsCleanAndBounded(t *testing.T) {
	p, err := Rights{Creator: "a\x00b\x1b]]>\xff"}.packet("")
	if err != nil || bytes.ContainsAny(p[len(xmpHeading):], "\x00\x1b\xff") || !bytes.Contains(p, []byte("]]&gt;")) {
		t.Errorf("%q, %v", p, err)
	}
	if _, err := (Rights{Copyright: strings.Repeat("x", 70_000)}).packet(""); !errors.Is(err, ErrRights) {
		t.Errorf("a packet too long for a segment: %v", err)
	}
}
