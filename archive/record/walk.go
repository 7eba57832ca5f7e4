package record

import (
	"context"
	"errors"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"unicode/utf8"

	"sandarac/archive/finding"
)

// inventory is what a walk of the folder found.
type inventory struct {
	records  []string
	images   map[string]bool
	texts    []string
	findings []finding.Finding
}

func walk(ctx context.Context, root string) (*inventory, error) {
	in := &inventory{images: map[string]bool{}}
	folded := map[string]string{}
	err := filepath.WalkDir(root, func(p string, e fs.DirEntry, err error) error {
		rel := slashRel(root, p)
		if ctx.Err() != nil {
			return ctx.Err()
		}
		if err != nil {
			if p == root {
				return err
			}
			in.note(finding.Error, "unreadable", rel, "this cannot be read: "+plainError(err), "check the folder's permissions")
			if e != nil && e.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		if p == root {
			return nil
		}
		if strings.HasPrefix(e.Name(), ".") {
			if e.IsDir() {
				return fs.SkipDir
			}
			return nil
		}
		return in.visit(rel, e, folded)
	})
	in.besideImages()
	return in, err
}

func (in *inventory) visit(rel string, e fs.DirEntry, folded map[string]string) error {
	name := e.Name()
	if !utf8.ValidString(name) || strings.ContainsFunc(name, Unseen) {
		in.note(finding.Error, "bad-file-name", clip(rel), "this name holds characters that do not show, or that steer a terminal", "rename it")
		if e.IsDir() {
			return fs.SkipDir
		}
		return nil
	}
	interesting := isRecordName(name) || IsImage(name)
	switch {
	case e.Type()&fs.ModeSymlink != 0:
		in.note(finding.Warning, "symbolic-link", rel, "this is a symbolic link, and links are not followed", "put the file itself into the archive")
		return nil
	case e.IsDir():
		if isGenerated(rel) {
			return fs.SkipDir
		}
		return nil
	case !e.Type().IsRegular():
		if interesting {
			in.note(finding.Error, "not-a-file", rel, "this is a device, pipe or socket, not a file", "remove it from the archive")
		}
		return nil
	case !interesting:
		in.passedBy(rel)
		return nil
	}
	if other, twice := folded[strings.ToLower(rel)]; twice {
		in.note(finding.Warning, "case-collision", rel, "its name differs from "+other+" only in capital letters: on some machines they are one file", "rename one of the two")
	}
	folded[strings.ToLower(rel)] = rel
	if isRecordName(name) {
		in.records = append(in.records, rel)
	} else {
		in.images[rel] = true
	}
	return nil
}

// unread are endings of pictures that are no masters here, and of texts that may
// be records under another ending than theirs.
var (
	unreadImages = []string{".heic", ".heif", ".dng", ".nef", ".cr2", ".cr3", ".arw", ".raf", ".rw2", ".orf", ".webp", ".avif", ".psd", ".bmp", ".jp2", ".jxl", ".gif"}
	unreadTexts  = []string{".txt", ".yaml", ".yml", ".toml", ".json", ".mdown", ".mkd"}
)

// passedBy tells of a file that looks as if it was meant to be read. Its content
// is not looked at.
func (in *inventory) passedBy(rel string) {
	ext := strings.ToLower(path.Ext(rel))
	switch {
	case slices.Contains(unreadImages, ext):
		in.note(finding.Remark, "image-not-read", rel, "pictures that end in "+ext+" are not read", "export it as TIFF, PNG or JPEG, and keep this one beside it if you like")
	case slices.Contains(unreadTexts, ext):
		in.texts = append(in.texts, rel)
	}
}

// besideImages tells of texts with the name of an image that has no record: they
// were most likely meant to be one.
func (in *inventory) besideImages() {
	records, images := map[string]bool{}, map[string]bool{}
	for _, rel := range in.records {
		records[stem(rel)] = true
	}
	for rel := range in.images {
		images[stem(rel)] = true
	}
	for _, rel := range in.texts {
		if at := stem(rel); images[at] && !records[at] {
			in.note(finding.Warning, "record-not-read", rel, "a scan lies beside this file, and only files that end in .md are read as records", "rename it to "+path.Base(at)+".md, with the keys between two lines of --- (YAML) or +++ (TOML), or as they are (JSON)")
		}
	}
}

// isGenerated names the folders that a build writes at the top of an archive by
// default, and what is left of them after a crash; they hold no records.
func isGenerated(rel string) bool {
	for _, name := range []string{"public", "bench-book"} {
		if rel == name || strings.HasPrefix(rel, name+".") {
			return true
		}
	}
	return false
}

func (in *inventory) note(s finding.Severity, code, file, message, remedy string) {
	in.findings = append(in.findings, finding.Finding{Severity: s, Code: code, File: file, Message: message, Remedy: remedy})
}

func isRecordName(name string) bool {
	ext := strings.ToLower(path.Ext(name))
	return ext == ".md" || ext == ".markdown"
}

func slashRel(root, p string) string {
	rel, err := filepath.Rel(root, p)
	if err != nil {
		return filepath.ToSlash(p)
	}
	return filepath.ToSlash(rel)
}

// plainError is an error without the path of the machine in it.
func plainError(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err.Error()
	}
	return err.Error()
}
