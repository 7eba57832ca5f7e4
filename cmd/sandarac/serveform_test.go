package main

import (
	"bufio"
	"context"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// serve and demo offer the bench form on this machine and end when they are told
// to. A demo that is there is served as it is.
func TestServeAndDemoOfferTheForm(t *testing.T) {
	for name, args := range map[string]func(root string) []string{
		"serve": func(root string) []string { return []string{"serve", "--archive", root, "--no-build", "--port", "0"} },
		"demo":  func(root string) []string { return []string{"demo", "--port", "0", root} },
	} {
		t.Run(name, func(t *testing.T) {
			root := t.TempDir()
			if err := os.WriteFile(filepath.Join(root, "studio.md"), []byte("---\nstudio: Reed Street Rooms\nurl: https://plates.example/\n---\n"), 0o644); err != nil {
				t.Fatal(err)
			}
			offersTheForm(t, args(root))
		})
	}
}

func offersTheForm(t *testing.T, args []string) {
	t.Helper()
	ctx, stop := context.WithTimeout(t.Context(), time.Minute)
	defer stop()
	out, in := io.Pipe()
	code := make(chan int, 1)
	go func() {
		code <- run(ctx, args, in, io.Discard)
		in.Close()
	}()
	for lines := bufio.NewScanner(out); lines.Scan(); {
		url, ok := strings.CutPrefix(lines.Text(), "bench form  ")
		if !ok {
			continue
		}
		go io.Copy(io.Discard, out)
		res, err := http.Get(url)
		if err != nil {
			t.Fatal(err)
		}
		page, err := io.ReadAll(res.Body)
		res.Body.Close()
		if err != nil || res.StatusCode != http.StatusOK || !strings.Contains(string(page), "Bench form") {
			t.Errorf("%d %v %.200s", res.StatusCode, err, page)
		}
		stop()
		if c := <-code; c != exitDone {
			t.Errorf("exit code %d", c)
		}
		return
	}
	t.Fatalf("no form was offered; exit code %d", <-code)
}
