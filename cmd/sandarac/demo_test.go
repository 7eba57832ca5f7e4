package main

import (
	"bytes"
	"context"
	"encoding/json"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// demoDay is the day the demo is tested on; its consents are written for the
// years around it.
const demoDay = "2026-11-25"

// demo builds the demo archive once for all tests, and gives its folder.
var demo = sync.OnceValues(func() (string, error) {
	dir, err := os.MkdirTemp("", "sandarac-demo-*")
	if err != nil {
		return "", err
	}
	var out, errOut bytes.Buffer
	if code := run(context.Background(), []string{"demo", "--once", "--today", demoDay, dir}, &out, &errOut); code != exitDone {
		return dir, &exec.Error{Name: "demo", Err: os.ErrInvalid}
	}
	return dir, nil
})

func demoDir(t *testing.T) string {
	t.Helper()
	dir, err := demo()
	if err != nil {
		out, errOut, _ := sandarac(t, "build", "--archive", dir, "--today", demoDay)
		t.Fatalf("the demo does not build: %v\n%s\n%s", err, out, errOut)
	}
	return dir
}

// sandarac runs the command in this process.
func sandarac(t *testing.T, args ...string) (out, errOut string, code int) {
	t.Helper()
	var o, e bytes.Buffer
	code = run(context.Background(), args, &o, &e)
	return o.String(), e.String(), code
}

// TestContract holds what other programs read against its schemas.
func TestContract(t *testing.T) {
	dir := demoDir(t)
	for _, tc := range []struct {
		schema string
		args   []string
	}{
		{"check", []string{"check", "--json"}},
		{"galleries", []string{"galleries", "--json"}},
		{"analyse", []string{"analyse", "--json"}},
		{"expose", []string{"expose", "--json", "--collodion", "collodion-26-2", "--light", "north skylight", "--ev", "10", "--stop", "4", "--magnification", "0.2"}},
	} {
		t.Run(tc.schema, func(t *testing.T) {
			out, errOut, code := sandarac(t, append(tc.args, "--archive", dir, "--today", demoDay)...)
			if code != exitDone {
				t.Fatalf("exit code %d: %s", code, errOut)
			}
			schema, err := jsonschema.NewCompiler().Compile("../../testdata/contract/" + tc.schema + ".schema.json")
			if err != nil {
				t.Fatal(err)
			}
			v, err := jsonschema.UnmarshalJSON(strings.NewReader(out))
			if err != nil {
				t.Fatal(err)
			}
			if err := schema.Validate(v); err != nil {
				t.Error(err)
			}
		})
	}
}

// expectedPublic are the plates that may be seen on demoDay, worked out from the
// records by a script in another language that shares no code with this one.
var expectedPublic = []string{
	"26-002", "26-004", "26-006", "26-007", "26-008", "26-009", "26-011", "26-012", "26-013",
	"26-016", "26-017", "26-018", "26-024", "26-031", "26-032", "26-034", "26-036", "26-037",
	"26-038", "26-039", "26-041", "26-043", "26-046", "26-047", "26-048", "26-049", "26-056",
}

var identifier = regexp.MustCompile(`"identifier":\s*"([^"]+)"`)

// TestDemoShowsWhatItMay compares the ids in the pages' structured data with
// the list above, and looks for the people who said no.
func TestDemoShowsWhatItMay(t *testing.T) {
	public := filepath.Join(demoDir(t), "public")
	shown := map[string]bool{}
	walkFiles(t, public, func(name string, content []byte) {
		if strings.HasSuffix(name, ".html") {
			for _, m := range identifier.FindAllSubmatch(content, -1) {
				shown[string(m[1])] = true
			}
		}
	})
	var got []string
	for id := range shown {
		got = append(got, id)
	}
	slices.Sort(got)
	if !slices.Equal(got, expectedPublic) {
		t.Errorf("shown:\n%q\nwant:\n%q", got, expectedPublic)
	}
}

// TestDemoNumbersItsPlates: a plate logged in the demo goes on in its own way.
func TestDemoNumbersItsPlates(t *testing.T) {
	out, errOut, code := sandarac(t, "log", "--dry-run", "--made", demoDay, "--archive", demoDir(t), "--today", demoDay)
	if code != exitDone || !strings.HasPrefix(out, "26-061  → 2026-11/26-061.md\n") {
		t.Errorf("exit code %d\n%s%s", code, out, errOut)
	}
}

func walkFiles(t *testing.T, dir string, f func(name string, content []byte)) {
	t.Helper()
	err := fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := fs.ReadFile(os.DirFS(dir), name)
		if err == nil {
			f(name, content)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
}

// TestDemoPicturesCarryRightsOnly reads every published picture with ExifTool
// (an independent reader): only the groups and keys of the list may be there.
func TestDemoPicturesCarryRightsOnly(t *testing.T) {
	public := filepath.Join(demoDir(t), "public")
	out, err := exec.Command("exiftool", "-j", "-G1", "-a", "-u", "-U", "-ee", "-struct", "-r", "-ext", "jpg", public).Output()
	if err != nil {
		t.Fatalf("exiftool: %v", err)
	}
	var pictures []map[string]any
	if err := json.Unmarshal(out, &pictures); err != nil {
		t.Fatal(err)
	}
	if len(pictures) == 0 {
		t.Fatal("no pictures")
	}
	allowed := []string{"XMP-x:XMPToolkit", "XMP-dc:Creator", "XMP-dc:Rights", "XMP-photoshop:Credit", "XMP-xmpRights:Marked", "XMP-xmpRights:WebStatement"}
	for _, p := range pictures {
		for key := range p {
			group, _, _ := strings.Cut(key, ":")
			if !slices.Contains([]string{"SourceFile", "ExifTool", "System", "File", "Composite", "JFIF"}, group) && !slices.Contains(allowed, key) {
				t.Errorf("%s carries %s", p["SourceFile"], key)
			}
		}
		for _, key := range allowed[1:] {
			if p[key] == nil {
				t.Errorf("%s lacks %s", p["SourceFile"], key)
			}
		}
	}
}

// TestDemoBuildsTheSameAgain: nothing changed, so nothing is decoded, and no
// file of the site is written.
func TestDemoBuildsTheSameAgain(t *testing.T) {
	out, errOut, code := sandarac(t, "build", "--archive", demoDir(t), "--today", demoDay)
	if code != exitDone || !strings.Contains(out, "nothing changed, 0 scans decoded, in ") {
		t.Errorf("exit code %d\n%s\n%s", code, out, errOut)
	}
}
