package main

import (
	"context"
	"image"
	"image/color"
	"image/jpeg"
	"io/fs"
	"os"
	"os/signal"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
)

// programs are what this test binary also is, under other names on PATH.
var programs = map[string]func(){
	"sandarac": func() {
		ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
		defer stop()
		os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
	},
}

func TestMain(m *testing.M) { testscript.Main(m, programs) }

// TestScripts runs the stories of testdata/scripts: the real command, on
// archives that each story lays out.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "../../testdata/scripts",
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		UpdateScripts:       os.Getenv("UPDATE_SCRIPTS") != "",
		Setup: func(env *testscript.Env) error {
			// Hugo is looked for on PATH and in the user's cache, as it is for a user.
			cache, err := os.UserCacheDir()
			if err != nil {
				return err
			}
			env.Setenv("XDG_CACHE_HOME", cache)
			env.Setenv("GOCACHE", os.Getenv("GOCACHE"))
			return nil
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"scan":      scanCommand,
			"truncate":  truncateCommand,
			"append":    appendCommand,
			"nowhere":   nowhereCommand,
			"somewhere": somewhereCommand,
		},
	})
}

// scanCommand writes a JPEG that stands for a scan: scan FILE WIDTH HEIGHT PPI
// SEED. Pictures of different seeds look different.
func scanCommand(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 5 {
		ts.Fatalf("usage: scan FILE WIDTH HEIGHT PPI SEED")
	}
	n := make([]int, 4)
	for i, a := range args[1:] {
		v, err := strconv.Atoi(a)
		ts.Check(err)
		n[i] = v
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), drawScan(n[0], n[1], n[2], n[3]), 0o644))
}

// truncateCommand cuts a file to half its length, as a full card or a broken
// copy does.
func truncateCommand(ts *testscript.TestScript, neg bool, args []string) {
	for _, a := range args {
		info, err := os.Stat(ts.MkAbs(a))
		ts.Check(err)
		ts.Check(os.Truncate(ts.MkAbs(a), info.Size()/2))
	}
}

// appendCommand adds a text to a file, which may be new: append FILE TEXT.
func appendCommand(ts *testscript.TestScript, neg bool, args []string) {
	f, err := os.OpenFile(ts.MkAbs(args[0]), os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o644)
	ts.Check(err)
	_, err = f.WriteString(args[1])
	ts.Check(err)
	ts.Check(f.Close())
}

// drawScan is a JPEG of soft light and dark fields, with its density in a JFIF
// header.
func drawScan(width, height, ppi, seed int) []byte {
	img := image.NewGray(image.Rect(0, 0, width, height))
	for y := range height {
		for x := range width {
			u, v := 8*x/width, 8*y/height
			h := uint32(seed)*2654435761 ^ uint32(u)*40503 ^ uint32(v)*9973
			h ^= h >> 13
			h *= 2246822519
			h ^= h >> 16
			img.SetGray(x, y, color.Gray{Y: uint8(30 + h%190)})
		}
	}
	var b strings.Builder
	if err := jpeg.Encode(&b, img, &jpeg.Options{Quality: 90}); err != nil {
		panic(err)
	}
	jfif := "\xff\xe0\x00\x10JFIF\x00\x01\x02\x01" + string([]byte{byte(ppi >> 8), byte(ppi), byte(ppi >> 8), byte(ppi)}) + "\x00\x00"
	return []byte(b.String()[:2] + jfif + b.String()[2:])
}

// nowhereCommand fails when a text stands in any file of a folder: nowhere DIR
// TEXT…
func nowhereCommand(ts *testscript.TestScript, neg bool, args []string) {
	search(ts, args, false)
}

// somewhereCommand fails when a text stands in no file of a folder.
func somewhereCommand(ts *testscript.TestScript, neg bool, args []string) {
	search(ts, args, true)
}

func search(ts *testscript.TestScript, args []string, want bool) {
	if len(args) < 2 {
		ts.Fatalf("usage: nowhere|somewhere DIR TEXT…")
	}
	files := readTree(ts, ts.MkAbs(args[0]))
	if len(files) == 0 {
		ts.Fatalf("%s holds no files", args[0])
	}
	for _, text := range args[1:] {
		found := ""
		for name, content := range files {
			if strings.Contains(content, text) || strings.Contains(name, text) {
				found = name
				break
			}
		}
		if (found != "") != want {
			ts.Fatalf("%q in %s: found in %q, want found %v", text, args[0], found, want)
		}
	}
}

func readTree(ts *testscript.TestScript, dir string) map[string]string {
	out := map[string]string{}
	ts.Check(fs.WalkDir(os.DirFS(dir), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		content, err := fs.ReadFile(os.DirFS(dir), name)
		out[name] = string(content)
		return err
	}))
	return out
}
