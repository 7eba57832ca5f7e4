package audit

import (
	"bytes"
	"crypto/sha256"
	"encoding/gob"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"sync"

	"sandarac/archive/audit/likeness"
)

// cacheVersion changes with everything that decides what is found.
const cacheVersion = "2"

type sum = [sha256.Size]byte

// kept is what is remembered between two audits. Only what the last one used is
// kept, so that it does not grow.
type kept struct {
	Version string
	// Digest is of what was forbidden: Texts hold only with the same. Nothing but
	// secrets can be seen in sealed files, so these depend on Secrets alone.
	Digest, Secrets string

	Texts  map[sum]bool    // clean texts by content and ending
	Sealed map[string]bool // stamps of sound sealed files

	Pictures map[sum]sum    // sound pictures → what they say in words
	Words    map[sum][]byte // those words
	Stamps   map[string]sum // of pictures and references

	// Cleared are the pictures that were made from none of References; where one
	// of those came near, with the shown reference that is the likelier origin.
	Cleared    map[sum]sum
	References map[sum]bool
}

func newKept(digest, secrets string) *kept {
	return &kept{Version: cacheVersion, Digest: digest, Secrets: secrets, Texts: map[sum]bool{}, Sealed: map[string]bool{}, Pictures: map[sum]sum{}, Words: map[sum][]byte{},
		Stamps: map[string]sum{}, Cleared: map[sum]sum{}, References: map[sum]bool{}}
}

// cache remembers what was found clean, by content. A cache that cannot be read is
// taken for empty: it costs time only.
type cache struct {
	dir string

	mu       sync.Mutex
	old, now *kept
	sketches func() map[sum][]byte // of the last audit, read when first wanted
	made     map[sum]*likeness.Sketch
	used     map[sum]bool
}

const (
	indexFile    = "clean"
	sketchesFile = "sketches"
)

func openCache(dir, digest, secrets string) *cache {
	c := &cache{dir: dir, old: newKept(digest, secrets), now: newKept(digest, secrets), made: map[sum]*likeness.Sketch{}, used: map[sum]bool{}}
	c.sketches = sync.OnceValue(func() map[sum][]byte {
		m := map[sum][]byte{}
		if dir == "" || load(filepath.Join(dir, sketchesFile), &m) != nil {
			return map[sum][]byte{}
		}
		return m
	})
	var k kept
	if dir == "" || load(filepath.Join(dir, indexFile), &k) != nil || k.Version != cacheVersion {
		return c
	}
	if k.Digest != digest {
		k.Texts = nil
	}
	if k.Secrets != secrets {
		k.Sealed = nil
	}
	c.old = &k
	return c
}

// textKey is the key of a text: how it is read depends on its ending, too.
func textKey(ending string, content sum) sum {
	return sha256.Sum256(append(content[:], ending...))
}

func (c *cache) cleanText(key sum) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !c.old.Texts[key] {
		return false
	}
	c.now.Texts[key] = true
	return true
}

func (c *cache) keepText(key sum) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now.Texts[key] = true
}

func (c *cache) cleanSealed(stamp string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if stamp == "" || !c.old.Sealed[stamp] {
		return false
	}
	c.now.Sealed[stamp] = true
	return true
}

func (c *cache) keepSealed(stamp string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if stamp != "" {
		c.now.Sealed[stamp] = true
	}
}

// pictureByStamp gives the content hash of a picture that did not change on disk.
func (c *cache) pictureByStamp(stamp string) (sum, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	s, ok := c.old.Stamps[stamp]
	if ok {
		c.now.Stamps[stamp] = s
	}
	return s, ok
}

func (c *cache) keepStamp(stamp string, s sum) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if stamp != "" {
		c.now.Stamps[stamp] = s
	}
}

// picture gives the words of a picture that was sound.
func (c *cache) picture(s sum) ([]byte, bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, k := range []*kept{c.now, c.old} {
		if key, ok := k.Pictures[s]; ok {
			return k.Words[key], true
		}
	}
	return nil, false
}

func (c *cache) keepPicture(s sum, words []byte) {
	key := sha256.Sum256(words)
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now.Pictures[s] = key
	c.now.Words[key] = words
	c.used[s] = true
}

// sketch gives the sketch of a picture or a reference, or nil.
func (c *cache) sketch(s sum) *likeness.Sketch {
	c.mu.Lock()
	made := c.made[s]
	c.mu.Unlock()
	if made != nil {
		return made
	}
	kept := likeness.FromBytes(c.sketches()[s])
	if kept != nil {
		c.keepSketch(s, kept)
	}
	return kept
}

// use keeps a sketch on disk although it was not wanted.
func (c *cache) use(s sum) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.used[s] = true
}

func (c *cache) keepSketch(s sum, sketch *likeness.Sketch) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.made[s] = sketch
	c.used[s] = true
}

// cleared says whether a picture was held against all old references and made
// from none, and by which shown reference: that must still be shown.
func (c *cache) cleared(s sum, shown map[sum]bool) (by sum, ok bool) {
	by, ok = c.old.Cleared[s]
	if ok && by != (sum{}) && !shown[by] {
		return sum{}, false
	}
	return by, ok
}

func (c *cache) clearedReference(s sum) bool { return c.old.References[s] }

// clear notes that a picture was made from none of the hidden references, by
// witness of a shown one if one of them came near.
func (c *cache) clear(s, by sum) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now.Cleared[s] = by
}

func (c *cache) clearReference(s sum) {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.now.References[s] = true
}

// save writes both files, each whole or not at all.
func (c *cache) save() error {
	if c.dir == "" {
		return nil
	}
	if err := os.MkdirAll(c.dir, 0o755); err != nil {
		return err
	}
	if err := store(filepath.Join(c.dir, indexFile), c.now); err != nil {
		return err
	}
	if len(c.made) == 0 {
		return nil // no sketch was wanted: those on disk are still the right ones
	}
	all := map[sum][]byte{}
	for s := range c.used {
		if made := c.made[s]; made != nil {
			all[s] = made.Keep()
		} else if old := c.sketches()[s]; old != nil {
			all[s] = old
		}
	}
	return store(filepath.Join(c.dir, sketchesFile), all)
}

var errCache = errors.New("damaged")

// load reads a file that store wrote; anything else is an error.
func load(path string, into any) error {
	data, err := os.ReadFile(path)
	if err != nil {
		return err
	}
	if len(data) < sha256.Size {
		return errCache
	}
	body := data[sha256.Size:]
	if s := sha256.Sum256(body); !bytes.Equal(s[:], data[:sha256.Size]) {
		return errCache
	}
	return gob.NewDecoder(bytes.NewReader(body)).Decode(into)
}

// store writes v behind its own checksum.
func store(path string, v any) error {
	var body bytes.Buffer
	if err := gob.NewEncoder(&body).Encode(v); err != nil {
		return err
	}
	s := sha256.Sum256(body.Bytes())
	draft, err := os.CreateTemp(filepath.Dir(path), "."+filepath.Base(path)+"-*")
	if err != nil {
		return err
	}
	_, err = draft.Write(append(s[:], body.Bytes()...))
	err = errors.Join(err, draft.Close())
	if err == nil {
		err = os.Rename(draft.Name(), path)
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		os.Remove(draft.Name())
	}
	return err
}
