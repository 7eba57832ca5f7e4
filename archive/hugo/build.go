package hugo

import (
	"bufio"
	"bytes"
	"context"
	_ "embed"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// hugo.mod and hugo.sum are the go.mod and go.sum of a module that only wants
// Hugo: `go mod init sandarac-hugo; go get -tool github.com/gohugoio/hugo@v0.163.3`.
// They are the pinned version and its checksums. They cannot be called go.mod
// here, since a nested module is not embedded.
var (
	//go:embed hugo.mod
	pinnedModule []byte
	//go:embed hugo.sum
	pinnedSums []byte
)

const pinnedPackage = "github.com/gohugoio/hugo"

// sayEvery is the time between two lines of progress.
var sayEvery = 15 * time.Second

// build makes the pinned Hugo and moves it to place.
func build(ctx context.Context, goTool string, o Options, place string) error {
	sweep(o.Cache)
	dir, err := os.MkdirTemp(o.Cache, draftPrefix)
	if err != nil {
		return fmt.Errorf("building Hugo: %w", err)
	}
	defer os.RemoveAll(dir)
	for name, text := range map[string][]byte{"go.mod": pinnedModule, "go.sum": pinnedSums} {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o644); err != nil {
			return fmt.Errorf("building Hugo: %w", err)
		}
	}
	o.Say(fmt.Sprintf("Building Hugo %s with the Go toolchain, once. This fetches its sources and takes some minutes; it is kept in %s", Floor, o.Cache))
	began := time.Now()
	if err := compile(ctx, goTool, dir, o.Say); err != nil {
		return err
	}
	if err := os.Rename(filepath.Join(dir, "hugo"+exe()), place); err != nil {
		return fmt.Errorf("building Hugo: %w", err)
	}
	o.Say(fmt.Sprintf("Hugo %s is built (%s)", Floor, time.Since(began).Round(time.Second)))
	return nil
}

// compile runs the Go toolchain in dir. Its environment stays as it is (proxy,
// cache, certificates), less what would change what is built.
func compile(ctx context.Context, goTool, dir string, say func(string)) error {
	cmd := exec.CommandContext(ctx, goTool, "build", "-v", "-mod=readonly", "-trimpath", "-o", "hugo"+exe(), pinnedPackage)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "GOFLAGS=", "GOWORK=off", "GO111MODULE=on", "CGO_ENABLED=0", "GOOS=", "GOARCH=")
	cmd.WaitDelay = 10 * time.Second
	var last tail
	progress := &compileProgress{say: say, next: time.Now().Add(sayEvery)}
	cmd.Stderr = io.MultiWriter(&last, progress)
	err := cmd.Run()
	if ctx.Err() != nil {
		return fmt.Errorf("building Hugo: %w", ctx.Err())
	}
	if err != nil {
		return fmt.Errorf("building Hugo %s with %s: %w\n%s\nThe sources come from the Go module proxy: is there a network? "+
			"A ready-made Hugo from https://gohugo.io/installation/ also does", Floor, goTool, err, bytes.TrimSpace(last.bytes()))
	}
	return nil
}

// compileProgress counts what `go build -v` names and tells it now and then.
type compileProgress struct {
	say               func(string)
	next              time.Time
	fetched, compiled int
	unfinished        []byte
}

func (p *compileProgress) Write(text []byte) (int, error) {
	p.unfinished = append(p.unfinished, text...)
	for {
		line, rest, whole := bytes.Cut(p.unfinished, []byte("\n"))
		if !whole {
			break
		}
		p.unfinished = rest
		if bytes.HasPrefix(line, []byte("go: downloading")) {
			p.fetched++
		} else {
			p.compiled++
		}
	}
	if now := time.Now(); now.After(p.next) {
		p.next = now.Add(sayEvery)
		p.say(fmt.Sprintf("Building Hugo: %d modules fetched, %d packages compiled", p.fetched, p.compiled))
	}
	return len(text), nil
}

// tail keeps the end of what was written to it, from a line's beginning.
type tail struct{ kept []byte }

const tailSize = 64 << 10

func (t *tail) Write(text []byte) (int, error) {
	t.kept = append(t.kept, text...)
	if len(t.kept) > 2*tailSize {
		t.kept = append([]byte(nil), t.kept[len(t.kept)-tailSize:]...)
	}
	return len(text), nil
}

// bytes gives the last few lines that say something went wrong.
func (t *tail) bytes() []byte {
	var lines []string
	for scanner := bufio.NewScanner(bytes.NewReader(t.kept)); scanner.Scan(); {
		// Package and module names alone are progress.
		if line := scanner.Text(); strings.ContainsRune(line, ' ') && !strings.HasPrefix(line, "go: downloading") {
			lines = append(lines, line)
		}
	}
	return []byte(strings.Join(lines[max(0, len(lines)-8):], "\n"))
}

const draftPrefix = "hugo-build-"

// sweep removes what killed builds left, once it is a day old.
func sweep(cache string) error {
	entries, err := os.ReadDir(cache)
	for _, entry := range entries {
		if !strings.HasPrefix(entry.Name(), draftPrefix) {
			continue
		}
		if info, infoErr := entry.Info(); infoErr == nil && time.Since(info.ModTime()) > 24*time.Hour {
			err = errors.Join(err, os.RemoveAll(filepath.Join(cache, entry.Name())))
		}
	}
	return err
}
