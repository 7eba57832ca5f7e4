package record

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"golang.org/x/sync/errgroup"

	"sandarac/archive/finding"
)

// fileMost bounds a record file, notes included, in bytes.
const fileMost = 4 << 20

// The first keys that name a kind of record.
var recordKinds = []string{"studio", "batch", "client", "sitter", "plate", "page"}

// Root is the folder at or above dir that holds a studio record.
func Root(dir string) (string, error) {
	dir, err := filepath.Abs(dir)
	if err != nil {
		return "", err
	}
	for at := dir; ; at = filepath.Dir(at) {
		if holdsStudio(at) {
			return at, nil
		}
		if at == filepath.Dir(at) {
			return "", fmt.Errorf("no studio record in %s or any folder above it: name the archive with --archive, or start one with init", dir)
		}
	}
}

func holdsStudio(dir string) bool {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return false
	}
	for _, e := range entries {
		if !e.Type().IsRegular() || !isRecordName(e.Name()) {
			continue
		}
		data, err := readBounded(filepath.Join(dir, e.Name()))
		if err != nil {
			continue
		}
		if b, err := splitBlock(data); err == nil && firstKey(b.root) == "studio" {
			return true
		}
	}
	return false
}

// Read reads every record below root. The findings hold each fault of notation
// and type; what records say of each other is the check package's to judge.
// The error is the machine's (an unreadable folder, a cancelled context).
func Read(ctx context.Context, root string) (*Archive, []finding.Finding, error) {
	root, err := filepath.Abs(root)
	if err != nil {
		return nil, nil, err
	}
	in, err := walk(ctx, root)
	if err != nil {
		return nil, nil, fmt.Errorf("reading the archive: %w", err)
	}
	files, err := parseAll(ctx, root, in.records)
	if err != nil {
		return nil, nil, err
	}
	a := &Archive{Root: root, Batches: map[string]*Batch{}, Clients: map[string]*Client{}, Sitters: map[string]*Sitter{}, Pages: map[string]*Page{}, plates: map[string]*Plate{}}
	r := &reader{archive: a, images: in.images, claimed: map[string]bool{}, findings: in.findings}
	r.readStudio(files)
	for i := range files {
		r.read(&files[i])
	}
	slices.SortStableFunc(a.Plates, byMadeThenID)
	r.orphans()
	finding.Sort(r.findings)
	return a, r.findings, nil
}

// parsed is one record file, split and parsed, or the reason why not.
type parsed struct {
	rel   string
	block block
	err   error
}

// parseAll reads the files on all cores; order is kept.
func parseAll(ctx context.Context, root string, rels []string) ([]parsed, error) {
	out := make([]parsed, len(rels))
	g, ctx := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	const chunk = 64
	for from := 0; from < len(rels); from += chunk {
		to := min(from+chunk, len(rels))
		g.Go(func() error {
			for i := from; i < to; i++ {
				if ctx.Err() != nil {
					return ctx.Err()
				}
				out[i].rel = rels[i]
				data, err := readBounded(filepath.Join(root, filepath.FromSlash(rels[i])))
				if err != nil {
					out[i].err = err
					continue
				}
				out[i].block, out[i].err = splitBlock(data)
			}
			return nil
		})
	}
	return out, g.Wait()
}

// errTooLong says that a record file is larger than fileMost.
var errTooLong = errors.New("the file is too large to be a record")

func readBounded(name string) ([]byte, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, fileMost+1))
	if err == nil && len(data) > fileMost {
		return nil, errTooLong
	}
	return data, err
}

func firstKey(v value) string {
	if v.kind != table || len(v.entries) == 0 {
		return ""
	}
	return v.entries[0].key
}

// reader gathers the records of one archive.
type reader struct {
	archive  *Archive
	zone     *time.Location
	images   map[string]bool
	claimed  map[string]bool
	findings []finding.Finding
}

// readStudio comes first: other records' times are in its zone.
func (r *reader) readStudio(files []parsed) {
	r.zone = time.UTC
	for i := range files {
		f := &files[i]
		if f.err != nil || firstKey(f.block.root) != "studio" {
			continue
		}
		d, src := r.open(f)
		s := decodeStudio(d)
		d.leave()
		if r.archive.Studio != nil {
			d.fault(src.Line("studio"), "duplicate-id", "a second studio record; the first is "+r.archive.Studio.File, "keep one studio record in an archive")
			r.archive.Studio.Broken = true
			continue
		}
		s.Source = *src
		r.archive.Studio, r.zone = s, s.Zone
	}
	if r.archive.Studio == nil {
		r.archive.Studio = newStudio()
		r.archive.Studio.Broken = true
		r.findings = append(r.findings, finding.Finding{Severity: finding.Error, Code: "no-studio",
			Message: "the archive has no readable studio record", Remedy: "write one, such as studio.md, whose first key is studio; init writes an example"})
	}
}

// notes tells of notes with bytes that are no text: they are read with a sign in
// their place. The text of a page is judged with the page.
func (r *reader) notes(f *parsed) {
	if at := strings.IndexRune(f.block.body, utf8.RuneError); at >= 0 && firstKey(f.block.root) != "page" {
		r.findings = append(r.findings, finding.Finding{Severity: finding.Warning, Code: "bad-notes", File: f.rel, Line: f.block.bodyLine + strings.Count(f.block.body[:at], "\n"),
			Message: "the notes hold bytes that are no UTF-8 text", Remedy: "save the file as UTF-8 and type the letter again"})
	}
}

func (r *reader) open(f *parsed) (*decoder, *Source) {
	src := &Source{File: f.rel, Body: f.block.body, BodyLine: f.block.bodyLine, lines: map[string]int{"": f.block.root.line}}
	return &decoder{src: src, zone: r.zone, table: f.block.root, faults: &r.findings}, src
}

func (r *reader) read(f *parsed) {
	if f.err != nil {
		r.unreadable(f)
		return
	}
	r.notes(f)
	switch first := firstKey(f.block.root); first {
	case "studio":
	case "batch":
		enter(r, f, first, r.archive.Batches, nil, decodeBatch, func(b *Batch) (*Source, string) { return &b.Source, b.ID })
	case "client":
		enter(r, f, first, r.archive.Clients, &r.archive.StrayClients, decodeClient, func(c *Client) (*Source, string) { return &c.Source, c.ID })
	case "sitter":
		enter(r, f, first, r.archive.Sitters, &r.archive.StraySitters, decodeSitter, func(s *Sitter) (*Source, string) { return &s.Source, s.ID })
	case "plate":
		r.readPlate(f)
	case "page":
		r.readPage(f)
	default:
		line := f.block.root.line
		remedy := "accepted first keys: " + strings.Join(recordKinds, ", ")
		if kind := f.block.root.kindBelow(); kind != "" {
			remedy = "put " + kind + ": first: the first key says what the record is"
		} else if near := nearest(first, recordKinds); near != "" {
			remedy = "did you mean “" + near + "”? " + remedy
		}
		r.claim(stem(f.rel))
		r.archive.Unreadable = append(r.archive.Unreadable, f.rel)
		r.findings = append(r.findings, finding.Finding{Severity: finding.Error, Code: "unknown-record", File: f.rel, Line: line,
			Message: fmt.Sprintf("the first key is “%s”, which names no kind of record", clip(first)), Remedy: remedy})
	}
}

// enter decodes a record and puts it under its id, or among the strays. of gives
// a record's source and id.
func enter[R any](r *reader, f *parsed, kind string, into map[string]*R, strays *[]*R, decode func(*decoder) *R, of func(*R) (*Source, string)) {
	d, src := r.open(f)
	record := decode(d)
	d.leave()
	at, id := of(record)
	other, twice := into[id]
	kept := r.keep(d, kind, id, twice, func() string {
		first, _ := of(other)
		first.Broken = true
		return first.File
	})
	*at = *src
	switch {
	case kept:
		into[id] = record
	case strays != nil:
		*strays = append(*strays, record)
	}
}

// keep says whether a record goes into the archive: it needs an id, and an id
// of its own. Of two with one id the first read stands for it, and both are
// broken.
func (r *reader) keep(d *decoder, kind, id string, twice bool, spoil func() string) bool {
	if id == "" {
		if !d.src.Broken {
			d.fault(d.src.Line(kind), "missing-key", "the "+kind+" has no id", "write an id after "+kind+":")
		}
		r.archive.Unreadable = append(r.archive.Unreadable, d.src.File)
		return false
	}
	if twice {
		d.fault(d.src.Line(kind), "duplicate-id", fmt.Sprintf("%s “%s” stands in %s already", kind, id, spoil()), "give one of the two another id")
		return false
	}
	return true
}

func (r *reader) readPlate(f *parsed) {
	d, src := r.open(f)
	p := decodePlate(d)
	d.leave()
	p.Scans = r.scans(d, p, f.rel)
	p.Source = *src
	other, twice := r.archive.plates[p.ID]
	if r.keep(d, "plate", p.ID, twice, func() string { other.Broken = true; return other.File }) {
		r.archive.plates[p.ID] = p
	}
	if p.ID != "" {
		// A second plate of one id is listed too, broken, so that its other
		// faults are told in the same run.
		p.Broken = d.src.Broken
		r.archive.Plates = append(r.archive.Plates, p)
		return
	}
	for _, s := range p.Sitters {
		if s.Inline != nil {
			s.Inline.Broken = true
			r.archive.StraySitters = append(r.archive.StraySitters, s.Inline)
		}
	}
}

// readPage reads a text for a page; of two for one page neither is relied on.
func (r *reader) readPage(f *parsed) {
	d, src := r.open(f)
	p := decodePage(d)
	d.leave()
	if other, twice := r.archive.Pages[p.Name]; twice {
		other.Broken = true
		d.fault(src.Line("page"), "duplicate-id", fmt.Sprintf("a text for the page “%s” stands in %s already", p.Name, other.File), "keep one of the two")
		return
	}
	p.Source = *src
	if p.Name != "" {
		r.archive.Pages[p.Name] = p
	}
}

// scans resolves a plate's scans to files of the archive: those it names, else
// the images with the sidecar's base name, best master first.
func (r *reader) scans(d *decoder, p *Plate, rel string) []string {
	named := p.Scans
	if !d.src.Has("scans") {
		return r.claim(stem(rel))
	}
	out := []string{}
	for i, name := range named {
		line := d.src.Line(fmt.Sprintf("scans.%d", i))
		at := path.Join(path.Dir(rel), filepath.ToSlash(name))
		switch {
		case path.IsAbs(name) || filepath.IsAbs(name) || strings.Contains(name, `\`) || at == ".." || strings.HasPrefix(at, "../"):
			d.fault(line, "bad-scan", fmt.Sprintf("scans names “%s”, outside the archive", clip(name)), "accepted: a file of the archive, named from the sidecar's folder, with /")
		case !r.images[at]:
			d.fault(line, "scan-missing", fmt.Sprintf("scans names “%s”, and no such image is there", clip(name)), "accepted: an image of the archive (tif, png, jpg), named from the sidecar's folder")
		default:
			r.claimed[at] = true
			out = append(out, at)
		}
	}
	return out
}

// claim takes the images with a base name.
func (r *reader) claim(stem string) []string {
	var out []string
	for _, ext := range ImageExtensions {
		for _, e := range []string{ext, strings.ToUpper(ext), strings.ToUpper(ext[:2]) + ext[2:]} {
			if rel := stem + e; r.images[rel] && !slices.Contains(out, rel) {
				r.claimed[rel] = true
				out = append(out, rel)
			}
		}
	}
	return out
}

// unreadable reports a file that is no record, or one that cannot be read. A
// Markdown file without front matter is a note unless a scan lies beside it.
func (r *reader) unreadable(f *parsed) {
	images := r.claim(stem(f.rel))
	report := func(s finding.Severity, code string, line int, message, remedy string) {
		r.findings = append(r.findings, finding.Finding{Severity: s, Code: code, File: f.rel, Line: line, Message: message, Remedy: remedy})
	}
	var se *syntaxError
	switch {
	case errors.Is(f.err, errNoBlock) && len(images) == 0:
		report(finding.Remark, "not-a-record", 1, "this file has no front matter, so it is read as a note, not as a record", "if it is a record, begin it with a line --- and the key plate:, batch:, client:, sitter:, page: or studio:")
		return
	case errors.Is(f.err, errNoBlock):
		report(finding.Error, "no-front-matter", 1, "a scan lies beside this file, and it has no front matter", "begin it with a line ---, then plate: and its other keys, then a line ---")
	case errors.As(f.err, &se):
		report(finding.Error, "bad-notation", se.line, se.message, se.remedy)
	case errors.Is(f.err, errTooLong):
		report(finding.Error, "too-large", 0, fmt.Sprintf("the file is larger than %d MB", fileMost>>20), "keep a record short; long texts belong elsewhere")
	default:
		report(finding.Error, "unreadable", 0, "this cannot be read: "+plainError(f.err), "check the file's permissions")
	}
	r.archive.Unreadable = append(r.archive.Unreadable, f.rel)
}

func (r *reader) orphans() {
	for rel := range r.images {
		if !r.claimed[rel] {
			r.archive.Orphans = append(r.archive.Orphans, rel)
		}
	}
	slices.Sort(r.archive.Orphans)
	byName := map[string]*Plate{}
	for _, p := range r.archive.Plates {
		if len(p.Scans) == 0 {
			byName[strings.ToLower(stem(p.File))] = p
		}
	}
	for _, rel := range r.archive.Orphans {
		if p, ok := byName[strings.ToLower(stem(rel))]; ok {
			r.findings = append(r.findings, finding.Finding{Severity: finding.Warning, Code: "scan-in-capitals", File: rel, Plate: p.ID,
				Message: "its name differs from that of the record " + p.File + " in capital letters only, so it is not taken for its scan", Remedy: "give both the same name"})
		}
	}
}
