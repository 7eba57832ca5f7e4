package hugo

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The test binary plays `hugo` and `go` when it is called by those names. What it
// does then stands in files beside it, since the environment is emptied.
func TestMain(m *testing.M) {
	self, _ := os.Executable()
	beside := func(name string) string {
		text, _ := os.ReadFile(filepath.Join(filepath.Dir(self), name))
		return string(text)
	}
	switch strings.TrimSuffix(filepath.Base(self), exe()) {
	case "hugo", "hugo-" + Floor.String():
		if len(os.Args) != 2 || os.Args[1] != "version" || os.Getenv("HUGO_TITLE") != "" {
			os.Exit(3)
		}
		fmt.Print(beside("says"))
		os.Exit(0)
	case "go":
		os.Exit(fakeGo(beside))
	}
	os.Exit(m.Run())
}

// fakeGo checks that it is asked to build what is pinned, and "builds" a copy of
// itself that says it is of the version wanted.
func fakeGo(beside func(string) string) int {
	if why := beside("fails"); why != "" {
		fmt.Fprintln(os.Stderr, "go: downloading example.org/a v1.0.0\nexample.org/a")
		fmt.Fprintln(os.Stderr, why)
		return 1
	}
	line := strings.Join(os.Args[1:], " ")
	mod, _ := os.ReadFile("go.mod")
	sum, _ := os.ReadFile("go.sum")
	if line != "build -v -mod=readonly -trimpath -o hugo"+exe()+" github.com/gohugoio/hugo" ||
		os.Getenv("GOFLAGS") != "" || os.Getenv("GOWORK") != "off" || len(mod) < 1000 || len(sum) < 10000 {
		fmt.Fprintln(os.Stderr, "asked wrongly: "+line)
		return 1
	}
	fmt.Fprintln(os.Stderr, "go: downloading example.org/a v1.0.0")
	for i := range 100 {
		fmt.Fprintf(os.Stderr, "example.org/a/%d\n", i)
	}
	self, _ := os.Executable()
	if err := os.Link(self, "hugo"+exe()); err != nil {
		fmt.Fprintln(os.Stderr, err)
		return 1
	}
	built := beside("built")
	if built == "" {
		built = "hugo v" + Floor.String()
	}
	// The program asks for what it says beside itself, in the cache folder.
	if err := os.WriteFile(filepath.Join("..", "says"), []byte(built), 0o644); err != nil {
		return 1
	}
	log, _ := os.OpenFile(filepath.Join("..", "builds"), os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o644)
	fmt.Fprintln(log, "one")
	log.Close()
	return 0
}

// place puts this test binary into dir under a name.
func place(t *testing.T, dir, name string) {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	program, err := os.ReadFile(self)
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, name+exe()), program, 0o755)
	}
	if err != nil {
		t.Fatal(err)
	}
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

func TestParseVersion(t *testing.T) {
	for line, want := range map[string]Version{
		"hugo v0.163.3 linux/amd64 BuildDate=unknown":                              {0, 163, 3},
		"hugo v0.146.0-5d1b9d3+extended+withdeploy darwin/arm64 BuildDate=2025-04": {0, 146, 0},
		"hugo v0.164.0-DEV-abc linux/amd64 BuildDate=unknown":                      {0, 164, 0},
		"Hugo Static Site Generator v0.68.3/extended linux/amd64 BuildDate: 2020":  {0, 68, 3},
		"hugo v1.0": {1, 0, 0},
		"hugo v0.111.3+extended linux/amd64 BuildDate=2023-03-16T08:41:31Z VendorInfo=debian:0.111.3-1": {0, 111, 3},
	} {
		if got, err := ParseVersion(line); err != nil || got != want {
			t.Errorf("%q: %v, %v", line, got, err)
		}
	}
	for _, line := range []string{"", "hugo", "go version go1.26.8 linux/amd64", "hugo v99999999999999999999.1.1"} {
		if got, err := ParseVersion(line); err == nil {
			t.Errorf("%q: %v, want an error", line, got)
		}
	}
}

func TestLess(t *testing.T) {
	order := []Version{{0, 111, 3}, {0, 163, 2}, {0, 163, 3}, {0, 164, 0}, {1, 0, 0}}
	for i, a := range order {
		for j, b := range order {
			if a.Less(b) != (i < j) {
				t.Errorf("%v < %v: %v", a, b, a.Less(b))
			}
		}
	}
}

func TestFind(t *testing.T) {
	for _, c := range []struct {
		name      string
		onPath    string // what the hugo on PATH says; empty: there is none
		named     string // what the hugo SANDARAC_HUGO names says
		kept      string // what the one in the cache says
		toolchain bool
		goFails   string
		built     string
		want      string // the folder it comes from
		wantErr   string
	}{
		{name: "on PATH", onPath: "hugo v0.163.3", want: "path"},
		{name: "on PATH, newer", onPath: "hugo v0.170.0+extended", want: "path"},
		{name: "named wins", onPath: "hugo v0.163.3", named: "hugo v0.163.4", want: "named"},
		{name: "named, old", onPath: "hugo v0.163.3", named: "hugo v0.111.3", wantErr: "0.163.3 or newer is needed"},
		{name: "named, no Hugo", named: "gcc 12", wantErr: "not a Hugo version"},
		{name: "old on PATH, kept one", onPath: "hugo v0.111.3", kept: "hugo v0.163.3", want: "cache"},
		{name: "none, kept one", kept: "hugo v0.163.3", want: "cache"},
		{name: "none, built", toolchain: true, want: "cache"},
		{name: "old on PATH, built", onPath: "hugo v0.163.2", toolchain: true, want: "cache"},
		{name: "kept one broken, built", kept: "gibberish", toolchain: true, want: "cache"},
		{name: "none, no Go", wantErr: "go.dev/dl"},
		{name: "old, no Go", onPath: "hugo v0.111.3", wantErr: "version 0.111.3"},
		{name: "build fails", toolchain: true, goFails: "go: no such host proxy.golang.org", wantErr: "no such host"},
		{name: "built wrongly", toolchain: true, built: "hugo v0.1.0", wantErr: "just built"},
	} {
		t.Run(c.name, func(t *testing.T) {
			onPath, named, cache := t.TempDir(), t.TempDir(), t.TempDir()
			t.Setenv("PATH", onPath)
			t.Setenv("HUGO_TITLE", "must not reach Hugo")
			t.Setenv(Env, "")
			if c.onPath != "" {
				place(t, onPath, "hugo")
				write(t, filepath.Join(onPath, "says"), c.onPath)
			}
			if c.named != "" {
				place(t, named, "hugo")
				write(t, filepath.Join(named, "says"), c.named)
				t.Setenv(Env, filepath.Join(named, "hugo"+exe()))
			}
			if c.kept != "" {
				place(t, cache, "hugo-"+Floor.String())
				write(t, filepath.Join(cache, "says"), c.kept)
			}
			if c.toolchain {
				place(t, onPath, "go")
				write(t, filepath.Join(onPath, "fails"), c.goFails)
				write(t, filepath.Join(onPath, "built"), c.built)
			}
			b, err := Find(context.Background(), Options{Cache: cache})
			if c.wantErr != "" {
				if err == nil || !strings.Contains(err.Error(), c.wantErr) {
					t.Errorf("got %v, want %q", err, c.wantErr)
				}
				return
			}
			from := map[string]string{onPath: "path", named: "named", cache: "cache"}[filepath.Dir(b.Path)]
			if err != nil || from != c.want || b.Version.Less(Floor) {
				t.Errorf("got %+v from %s, %v", b, from, err)
			}
			left, _ := filepath.Glob(filepath.Join(cache, draftPrefix+"*"))
			if len(left) > 0 {
				t.Errorf("left behind: %v", left)
			}
		})
	}
}

func TestFindNone(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	t.Setenv(Env, "")
	if _, err := Find(context.Background(), Options{Cache: t.TempDir()}); !errors.Is(err, ErrNone) {
		t.Errorf("got %v", err)
	}
}

// It is built once, says so, and a process that had to wait does not build again.
func TestBuildOnceAndSayIt(t *testing.T) {
	tools, cache := t.TempDir(), t.TempDir()
	t.Setenv("PATH", tools)
	t.Setenv(Env, "")
	place(t, tools, "go")
	usual := sayEvery
	sayEvery = -1
	defer func() { sayEvery = usual }()
	var said []string
	locks := 0
	o := Options{Cache: cache, Say: func(line string) { said = append(said, line) }, Lock: func(_ context.Context, path string) (func(), error) {
		if filepath.Dir(path) != cache {
			t.Errorf("lock at %s", path)
		}
		locks++
		return func() { locks-- }, nil
	}}
	for range 2 {
		if _, err := Find(context.Background(), o); err != nil {
			t.Fatal(err)
		}
	}
	all := strings.Join(said, "\n")
	for _, want := range []string{"once", "minutes", "1 modules fetched, 100 packages compiled", "is built"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is not said in:\n%s", want, all)
		}
	}
	builds, _ := os.ReadFile(filepath.Join(cache, "builds"))
	if string(builds) != "one\n" || locks != 0 {
		t.Errorf("built %d times, %d locks kept", strings.Count(string(builds), "\n"), locks)
	}
	os.Remove(filepath.Join(cache, "hugo-"+Floor.String()+exe()))
	o.Lock = func(context.Context, string) (func(), error) {
		place(t, cache, "hugo-"+Floor.String()) // the other process has finished
		return func() {}, nil
	}
	if _, err := Find(context.Background(), o); err != nil {
		t.Fatal(err)
	}
	if builds, _ = os.ReadFile(filepath.Join(cache, "builds")); string(builds) != "one\n" {
		t.Error("built again although another process had built it")
	}
}

// The pinned sources really are those of the floor version.
func TestPinned(t *testing.T) {
	want := pinnedPackage + " v" + Floor.String()
	if !strings.Contains(string(pinnedModule), want) {
		t.Errorf("hugo.mod does not ask for %s", want)
	}
	if !strings.Contains(string(pinnedSums), want+" h1:") {
		t.Errorf("hugo.sum has no sum for %s", want)
	}
}
