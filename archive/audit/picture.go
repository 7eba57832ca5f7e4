package audit

import (
	"bytes"
	"crypto/sha256"
	"path"
	"slices"
	"strings"
	"sync"

	"sandarac/archive/audit/imagefile"
	"sandarac/archive/audit/markup"
	"sandarac/archive/audit/unwrap"
)

// pictureFile reads a picture of the tree, unless its content is known: then only
// what it says in words is searched again, since what is forbidden may have
// changed. (Its coded pixels are not: a name or a key that is new cannot have
// been in bytes that are old.)
func (a *auditor) pictureFile(name string, data []byte, sum [32]byte, stamp string) {
	if a.knownPicture(name, sum) {
		a.cache.keepStamp(stamp, sum)
		return
	}
	r := a.reading(name, data)
	if format := imagefile.Format(data); !strings.EqualFold(format, endingFormat(name)) {
		r.add(hit{code: codeKind, thing: -1, message: "this is not the kind of picture that its name says"})
		if format == "" {
			r.blob(data, place{})
			a.report(name, r)
			return
		}
	}
	words := a.picture(r, name, "", data, sum)
	r.secrets(data, place{})
	for _, b := range unwrap.Strings(data) {
		r.names(b.Bytes, place{})
	}
	a.report(name, r)
	if len(r.hits) == 0 {
		a.cache.keepPicture(sum, words)
		a.cache.keepStamp(stamp, sum)
	}
}

func endingFormat(name string) string {
	ext := strings.ToLower(path.Ext(name))
	if ext == ".jpg" {
		return "jpeg"
	}
	return strings.TrimPrefix(ext, ".")
}

// picture judges how a picture is built, searches what it says, and hands its
// pixels on. It gives the words the picture carries.
func (a *auditor) picture(r *reading, name, form string, data []byte, sum [32]byte) []byte {
	report := imagefile.Inspect(data)
	for _, fault := range report.Faults {
		r.add(hit{code: codeMeta, thing: -1, form: form, message: "the picture carries what it must not: " + fault})
	}
	words := slices.Concat(report.Text...)
	for _, right := range report.Rights {
		words = append(words, "\n"+right.Name+"\x00"+right.Value...)
	}
	r.metadata(words, place{form: form}.inside("in its metadata"))
	if err := a.pictures.add(name, form, data, sum); err != nil {
		r.add(hit{code: codeKind, thing: -1, form: form, message: "the picture cannot be decoded: " + err.Error()})
	}
	return words
}

// metadata searches what a picture says: its text segments, and after them its
// properties, each in a line of its own with a NUL behind the name.
func (r *reading) metadata(words []byte, p place) {
	r.plain(words, p)
	for _, b := range append(unwrap.UTF16(words), unwrap.Runs(words)...) {
		r.plain(b.Bytes, p.inside(b.Form))
	}
	for _, passage := range unwrap.Escapes(words) {
		r.plain(passage.Text, p.inside("escaped"))
	}
	for line := range bytes.Lines(words) {
		if name, value, ok := bytes.Cut(bytes.TrimSpace(line), []byte{0}); ok {
			r.field(markup.Field{Name: string(name), Value: string(value)}, p)
		}
	}
}

// names searches for names and addresses alone.
func (r *reading) names(text []byte, p place) {
	r.words.Cut(text)
	r.people.Find(&r.words, func(ids []int, _, _ int) {
		for _, id := range ids {
			r.found(id, p, 0)
		}
	})
}

// blobKey is the hash of what a picture says in words; many say the same.
type blobKey = [sha256.Size]byte

type blobHits struct {
	once sync.Once
	hits []hit
}

// knownPicture deals with a picture that was found sound before: false if it was
// not, or if what it says is forbidden by now.
func (a *auditor) knownPicture(name string, sum [32]byte) bool {
	words, known := a.cache.picture(sum)
	if !known {
		return false
	}
	key := sha256.Sum256(words)
	a.mu.Lock()
	b := a.blobs[key]
	if b == nil {
		b = &blobHits{}
		a.blobs[key] = b
	}
	a.mu.Unlock()
	b.once.Do(func() {
		r := a.reading(name, nil)
		r.metadata(words, place{})
		b.hits = r.hits
	})
	if len(b.hits) > 0 {
		return false
	}
	a.cache.keepPicture(sum, words)
	a.pictures.again(name, sum)
	return true
}
