package audit

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path"
	"strings"

	"sandarac/archive/audit/imagefile"
	"sandarac/archive/audit/markup"
	"sandarac/archive/audit/sealed"
	"sandarac/archive/audit/shard"
	"sandarac/archive/audit/unwrap"
	"sandarac/archive/finding"
)

// Sizes in bytes past which a file is not read but refused.
const (
	largestText    = 32 << 20
	largestPicture = 128 << 20
)

// reader is how a kind of file is read.
type reader func(a *auditor, r *reading, name string)

// known are the kinds of files a site may hold, by ending.
var known = map[string]reader{
	".html": asMarkup, ".htm": asMarkup, ".xml": asMarkup, ".svg": asMarkup, ".atom": asMarkup, ".rss": asMarkup, ".xhtml": asMarkup,
	".json": asJSON, ".webmanifest": asJSON, ".jsonld": asJSON,
	".js": asPlain, ".mjs": asPlain, ".css": asPlain, ".txt": asPlain, ".ics": asPlain,
	".bin": asIndex, ".gz": asPacked, ".zip": asPacked,
}

// named are files that have no ending: what hosts read, and our own mark.
var named = map[string]bool{"_headers": true, "_redirects": true, ".nojekyll": true, ".sandarac-tree": true, "CNAME": true, ".htaccess": true}

// sealedPlace says whether a file lies in the folder of a gallery, and whether it
// is the gallery's page.
func sealedPlace(name string) (inside, page bool) {
	rest, below := strings.CutPrefix(name, "g/")
	folder, file, deep := strings.Cut(rest, "/")
	return below && deep && folder != "", file == "index.html"
}

// file reads one file of the tree.
func (a *auditor) file(ctx context.Context, name string) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	a.name(name)
	inside, page := sealedPlace(name)
	if inside && !page {
		return a.sealed(name)
	}
	ending := strings.ToLower(path.Ext(name))
	read := known[ending]
	if named[path.Base(name)] {
		read = asPlain
	}
	isPicture := imageEndings[ending]
	f, info, err := a.open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	limit := int64(largestText)
	if isPicture {
		limit = largestPicture
	}
	if info.Size() > limit {
		a.sink.add(finding.Finding{Code: codeKind, File: name, Message: fmt.Sprintf("it is too large to be read: %d MB, of at most %d", info.Size()>>20, limit>>20),
			Remedy: "a published file should not be this large; see what makes it so"})
		return nil
	}
	stamp := stampOf(info)
	if isPicture {
		// A picture that is the same file as before is not even read.
		if sum, known := a.cache.pictureByStamp(stamp); known && a.knownPicture(name, sum) {
			return nil
		}
	}
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err != nil {
		return err
	}
	sum := sha256.Sum256(data)
	if inside {
		a.mu.Lock()
		a.pages[hex.EncodeToString(sum[:])] = name
		a.mu.Unlock()
	}
	switch {
	case isPicture:
		a.pictureFile(name, data, sum, stamp)
	case read == nil:
		a.unknown(name, data)
	default:
		a.textFile(name, data, sum, read)
	}
	return nil
}

var imageEndings = map[string]bool{".jpg": true, ".jpeg": true, ".png": true, ".webp": true, ".avif": true}

// textFile reads a text, or an archive of texts, unless it is known to be clean.
func (a *auditor) textFile(name string, data []byte, sum [32]byte, read reader) {
	key := textKey(path.Ext(name), sum)
	if a.cache.cleanText(key) {
		return
	}
	a.searched.Add(1)
	r := a.reading(name, data)
	read(a, r, name)
	a.report(name, r)
	// Pictures in it are compared with what is hidden every time.
	if len(r.hits) == 0 && !r.hasPicture {
		a.cache.keepText(key)
	}
}

func (a *auditor) reading(name string, data []byte) *reading {
	r := &reading{searcher: a.search, data: data}
	met := map[[32]byte]bool{}
	r.picture = func(data []byte, form string) {
		r.hasPicture = true
		if sum := sha256.Sum256(data); !met[sum] {
			met[sum] = true
			a.picture(r, name, form, data, sum)
		}
	}
	return r
}

func (a *auditor) report(name string, r *reading) {
	for _, h := range r.hits {
		a.sink.hit(name, h)
	}
}

// name searches the path of a file, in the words of a path and as an address.
func (a *auditor) name(full string) {
	name := full
	if inside, _ := sealedPlace(name); inside {
		// The folder of a gallery is not secret; that a page names it would be.
		_, name, _ = strings.Cut(strings.TrimPrefix(name, "g/"), "/")
	}
	r := &reading{searcher: a.search, picture: func([]byte, string) {}}
	p := place{form: "in the file's own name"}
	r.plain([]byte(name), p)
	r.address(name, p)
	a.report(full, r)
}

// unknown reports a file of a kind that no reader knows, and reads it all the
// same, to say what is in it.
func (a *auditor) unknown(name string, data []byte) {
	a.sink.add(finding.Finding{Code: codeKind, File: name, Message: "a file of this kind does not belong in a published site, and cannot be read",
		Remedy: "publish only pages, scripts, style sheets, JSON, XML, SVG, JPEG, PNG and WebP"})
	r := a.reading(name, data)
	r.blob(data, place{})
	a.report(name, r)
}

// sealed reads a file of a gallery, piece by piece.
func (a *auditor) sealed(name string) error {
	f, info, err := a.open(name)
	if err != nil {
		return err
	}
	defer f.Close()
	stamp := stampOf(info)
	if a.cache.cleanSealed(stamp) {
		return nil
	}
	r := a.reading(name, nil)
	wrong, err := sealed.Check(f, info.Size(), func(piece []byte) { r.secrets(piece, place{}) })
	if err != nil {
		return err
	}
	if wrong == "" && path.Ext(name) != ".bin" {
		wrong = "its name does not end in .bin"
	}
	a.report(name, r)
	if wrong == "" && len(r.hits) == 0 {
		a.cache.keepSealed(stamp)
		return nil
	}
	if wrong == "" {
		return nil
	}
	a.sink.add(finding.Finding{Code: codeSealed, File: name, Message: "this file of a gallery is not sealed as it must be: " + wrong,
		Remedy: "nothing but the page and sealed files may lie in a gallery's folder; build again"})
	// What is in it is worth saying, too.
	if info.Size() > largestPicture {
		return nil
	}
	data, err := os.ReadFile(f.Name())
	if err != nil {
		return err
	}
	r = a.reading(name, data)
	r.blob(data, place{})
	a.report(name, r)
	return nil
}

// readableOr reports bytes that are not plain text although the file is to be,
// and searches them as they are.
func readableOr(r *reading, read func()) {
	if readable(r.data) {
		read()
		return
	}
	r.add(hit{code: codeKind, thing: -1, message: "this is not plain UTF-8 text, though its name says so"})
	r.blob(r.data, place{})
	read()
}

func asMarkup(_ *auditor, r *reading, _ string) {
	readableOr(r, func() { r.document(markup.HTML(r.data)) })
}

func asJSON(_ *auditor, r *reading, _ string) {
	readableOr(r, func() {
		r.document(markup.JSON(r.data))
		if !json.Valid(r.data) {
			r.document(markup.Plain(r.data))
		}
	})
}

func asPlain(_ *auditor, r *reading, _ string) {
	readableOr(r, func() { r.document(markup.Plain(r.data)) })
}

// document searches a whole file: what it says, and its bytes as they are for
// secrets and encodings, since what it says leaves out the signs in between.
func (r *reading) document(t *markup.Text) {
	r.text(t, place{source: t.Source})
	asItIs := place{source: func(at int) int { return at }}
	r.secrets(r.data, asItIs)
	r.encoded(r.data, asItIs)
}

// asIndex reads a file of the search index: one gzip member that holds JSON, or
// terms or values.
func asIndex(_ *auditor, r *reading, _ string) {
	if unwrap.Packed(r.data) != "gzip" {
		r.add(hit{code: codeKind, thing: -1, message: "outside a gallery a file of this name must be a part of the search index, and this is not"})
		r.blob(r.data, place{})
		return
	}
	members, err := unwrap.Unpack(r.data, unpackLimit)
	if err != nil || len(members) != 1 {
		r.add(hit{code: codeKind, thing: -1, message: "this part of the search index cannot be unpacked"})
	}
	for _, m := range members {
		r.plain([]byte(m.Name), place{form: "in gzip", depth: 1})
		if !shard.Is(m.Bytes) {
			if !readable(m.Bytes) {
				r.add(hit{code: codeKind, thing: -1, message: "this part of the search index is of an unknown kind"})
			}
			r.blob(m.Bytes, place{form: "in the search index", depth: 1})
			continue
		}
		words, err := shard.Words(m.Bytes)
		if err != nil {
			r.add(hit{code: codeKind, thing: -1, message: "this part of the search index cannot be read: " + err.Error()})
		}
		p := place{form: "in the search index", depth: 1}
		// Each by itself: that two stand side by side is the alphabet's doing.
		for _, w := range words {
			r.plain([]byte(w), p)
			r.term(w, p)
		}
		r.secrets(m.Bytes, p)
	}
}

// asPacked reads an archive: everything in it must be text.
func asPacked(_ *auditor, r *reading, _ string) {
	members, err := unwrap.Unpack(r.data, unpackLimit)
	if err != nil {
		r.add(hit{code: codeKind, thing: -1, message: "this archive cannot be unpacked whole"})
	}
	for _, m := range members {
		if len(m.Bytes) > 0 && !readable(m.Bytes) && imagefile.Format(m.Bytes) == "" {
			r.add(hit{code: codeKind, thing: -1, message: "this archive holds something that is neither text nor a picture"})
		}
	}
	r.blob(r.data, place{})
}
