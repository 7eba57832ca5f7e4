package hugo

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"time"
)

// Site is one run of Hugo.
type Site struct {
	Source      string // the folder with content, layouts, static, i18n …
	Config      string // the settings file, from [Config]
	Destination string // a fresh folder; nothing is removed from it
	Cache       string // Hugo's own cache folder
	MemoryGB    int    // bound of its caches; 0 for a quarter of the memory
	// Only, if not nil, are the ordinary pages to render, as globs of their paths
	// ("/plates/amber", "/learned/*"); the front page, lists and the like always
	// are. All pages are read all the same, so that lists are whole.
	Only []string
}

// segment is the name under which Hugo is told what to render.
const segment = "wanted"

// segments is the part of the settings that says what Only says.
func segments(only []string) ([]byte, error) {
	includes := []map[string]string{{"kind": "{home,section,taxonomy,term,404,sitemap,robotstxt,rss}"}}
	for _, path := range only {
		includes = append(includes, map[string]string{"path": path})
	}
	return json.Marshal(map[string]any{"segments": map[string]any{segment: map[string]any{"includes": includes}}})
}

// Fault is one thing Hugo complained of.
type Fault struct {
	// File, Line and Column are where Hugo saw it: a template or a content
	// file, relative to the source folder where it lies in it. Line 0: unknown.
	File         string
	Line, Column int
	Page         string // the content file being rendered, if it names one
	Message      string
}

func (f Fault) String() string {
	var b strings.Builder
	if f.File != "" {
		b.WriteString(f.File)
		if f.Line > 0 {
			fmt.Fprintf(&b, ":%d:%d", f.Line, f.Column)
		}
		b.WriteString(": ")
	}
	b.WriteString(f.Message)
	if f.Page != "" && f.Page != f.File {
		fmt.Fprintf(&b, " (rendering %s)", f.Page)
	}
	return b.String()
}

// BuildError says that Hugo failed, with everything it said.
type BuildError struct {
	Faults []Fault
	Output string // all that Hugo printed, cut to its last 64 KiB
	Err    error
}

func (e *BuildError) Error() string {
	if len(e.Faults) == 0 {
		return fmt.Sprintf("Hugo failed (%v) and said: %s", e.Err, strings.TrimSpace(e.Output))
	}
	lines := make([]string, len(e.Faults))
	for i, f := range e.Faults {
		lines[i] = f.String()
	}
	return "Hugo could not make the pages: " + strings.Join(lines, "\n")
}

func (e *BuildError) Unwrap() error { return e.Err }

// Run makes the pages of one site. Anything Hugo warns of is an error too. Whether
// every page came out is for [Missing] to say.
func Run(ctx context.Context, b Binary, s Site) error {
	for _, path := range []*string{&s.Source, &s.Config, &s.Destination, &s.Cache} {
		abs, err := filepath.Abs(*path)
		if err != nil {
			return fmt.Errorf("running Hugo: %w", err)
		}
		*path = abs
	}
	// Never --quiet: it fails without a word.
	args := []string{"build", "--source", s.Source, "--destination", s.Destination, "--cacheDir", s.Cache,
		"--noBuildLock", "--printPathWarnings", "--printI18nWarnings", "--panicOnWarning"}
	if s.Only != nil {
		text, err := segments(s.Only)
		if err != nil {
			return fmt.Errorf("running Hugo: %w", err)
		}
		more := filepath.Join(s.Source, "segments.json")
		if err := os.WriteFile(more, text, 0o644); err != nil {
			return fmt.Errorf("running Hugo: %w", err)
		}
		s.Config += "," + more // Hugo's way to give two files
		args = append(args, "--renderSegments", segment)
	}
	cmd := exec.CommandContext(ctx, b.Path, append(args, "--config", s.Config)...)
	cmd.Dir = s.Source
	cmd.Env = bareEnvironment()
	if s.MemoryGB > 0 {
		cmd.Env = append(cmd.Env, "HUGO_MEMORYLIMIT="+strconv.Itoa(s.MemoryGB))
	}
	cmd.WaitDelay = 10 * time.Second
	var out tail
	cmd.Stdout, cmd.Stderr = &out, &out
	err := cmd.Run()
	if ctx.Err() != nil {
		return fmt.Errorf("running Hugo: %w", ctx.Err())
	}
	if err != nil {
		return &BuildError{Faults: faults(out.kept, s.Source), Output: string(out.kept), Err: err}
	}
	return nil
}

var (
	colour   = regexp.MustCompile("\x1b\\[[0-9;]*m")
	position = regexp.MustCompile(`"([^"\n]+?):(\d+):(\d+)"`)
	rendered = regexp.MustCompile(`render of "([^"\n]+)" failed`)
)

// faults reads Hugo's ERROR lines, with what follows until the next such line.
func faults(out []byte, source string) []Fault {
	var found []Fault
	for _, line := range bytes.Split(colour.ReplaceAll(out, nil), []byte("\n")) {
		text, isError := strings.CutPrefix(strings.TrimSpace(string(line)), "ERROR ")
		if !isError {
			continue
		}
		f := Fault{Message: text}
		if m := rendered.FindStringSubmatch(text); m != nil {
			f.Page = within(source, m[1])
		}
		if m := position.FindStringSubmatchIndex(text); m != nil {
			f.File = within(source, text[m[2]:m[3]])
			f.Line, _ = strconv.Atoi(text[m[4]:m[5]])
			f.Column, _ = strconv.Atoi(text[m[6]:m[7]])
			f.Message = strings.TrimLeft(text[m[1]:], ": ")
		}
		found = append(found, f)
	}
	return found
}

// within makes a path relative to the source folder if it lies in it.
func within(source, path string) string {
	if rel, err := filepath.Rel(source, filepath.FromSlash(path)); err == nil && filepath.IsLocal(rel) {
		return filepath.ToSlash(rel)
	}
	return path
}

// Missing gives those of the pages that are not in the destination after a run:
// Hugo drops a page without a word when two share an address. Pages are relative
// paths of the files, with slashes ("plates/amber/index.html").
func Missing(destination string, pages []string) ([]string, error) {
	var missing []string
	for _, page := range pages {
		info, err := os.Stat(filepath.Join(destination, filepath.FromSlash(page)))
		switch {
		case errors.Is(err, fs.ErrNotExist), err == nil && !info.Mode().IsRegular():
			missing = append(missing, page)
		case err != nil:
			return missing, fmt.Errorf("counting the pages Hugo made: %w", err)
		}
	}
	return missing, nil
}
