package search

import (
	"bytes"
	"cmp"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
)

// DirectoryName is the file a reader opens first.
const DirectoryName = "directory.json"

const version = 1

// Options bound the parts. The zero value is what the sites use.
type Options struct {
	ShardBytes    int // bytes of a term file before compression; default 8192
	CardsPerShard int // cards in a card file; default 6: the cards of an answer are seldom neighbours, but every file costs time to write
	CardGroup     int // card files that share a hash; default 16, doubled until there are at most 80 hashes
}

func (o Options) withDefaults(documents int) Options {
	o.ShardBytes = cmp.Or(o.ShardBytes, 8192)
	o.CardsPerShard = cmp.Or(o.CardsPerShard, 6)
	if o.CardGroup == 0 {
		o.CardGroup = 16
		for documents > 80*o.CardGroup*o.CardsPerShard {
			o.CardGroup *= 2
		}
	}
	return o
}

// Index is a finished index: the bytes of each file by its name.
type Index struct {
	Files map[string][]byte
}

// WriteTo writes the files into a folder, made if need be. It removes nothing:
// give it a fresh folder.
func (x Index) WriteTo(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("writing search index: %w", err)
	}
	for name, body := range x.Files {
		if err := os.WriteFile(filepath.Join(dir, name), body, 0o644); err != nil {
			return fmt.Errorf("writing search index: %w", err)
		}
	}
	return nil
}

type directory struct {
	Version   int               `json:"version"`
	Documents int               `json:"documents"`
	Terms     [][2]string       `json:"terms"`
	Endings   [][2]string       `json:"endings"`
	Facets    map[string]string `json:"facets"`
	Cards     cardDirectory     `json:"cards"`
}

type cardDirectory struct {
	Shard  int      `json:"shard"`
	Group  int      `json:"group"`
	Data   []string `json:"data"`
	Hashes string   `json:"hashes"`
}

// Build indexes the documents. It fails with an *InputError at the first
// document it must refuse; the documents are not changed.
func Build(docs []Doc, opt Options) (Index, error) {
	if opt.ShardBytes < 0 || opt.CardsPerShard < 0 || opt.CardGroup < 0 {
		return Index{}, fmt.Errorf("search index: options %+v; accepted are sizes from 1, or 0 for the default", opt)
	}
	opt = opt.withDefaults(len(docs))
	ordered, err := inOrder(docs)
	if err != nil {
		return Index{}, err
	}
	v := vocabulary{}
	for i, d := range ordered {
		v.add(uint32(i), d.Fields)
	}
	p := packer{files: map[string][]byte{}}
	dir := directory{Version: version, Documents: len(ordered), Facets: map[string]string{}}
	dir.Terms = p.textShards("t", termShards(v, opt.ShardBytes))
	dir.Endings = p.textShards("e", endingShards(v, opt.ShardBytes))
	columns, err := facetColumns(ordered)
	if err != nil {
		return Index{}, err
	}
	for name, column := range columns {
		hash := contentHash(column)
		dir.Facets[name] = hash
		p.put("f-"+name+"-"+hash, column)
	}
	keys := dataKeys(ordered)
	cards, err := cardShards(ordered, keys, opt.CardsPerShard)
	if err != nil {
		return Index{}, err
	}
	dir.Cards = cardDirectory{opt.CardsPerShard, opt.CardGroup, keys, p.cardShards(cards, opt.CardGroup)}
	if p.err != nil {
		return Index{}, fmt.Errorf("search index: compressing: %w", p.err)
	}
	return Index{p.files}, p.directory(dir)
}

// inOrder checks the documents and gives them by ascending number: the last in
// result order first.
func inOrder(docs []Doc) ([]*Doc, error) {
	ordered := make([]*Doc, len(docs))
	seen := make(map[string]bool, len(docs))
	for i := range docs {
		d := &docs[i]
		if err := d.validate(i); err != nil {
			return nil, err
		}
		if seen[d.URL] {
			return nil, &InputError{d.URL, "another document has the same URL; each needs its own"}
		}
		seen[d.URL] = true
		ordered[i] = d
	}
	slices.SortFunc(ordered, func(a, b *Doc) int {
		return cmp.Or(cmp.Compare(a.Sort, b.Sort), cmp.Compare(b.URL, a.URL))
	})
	return ordered, nil
}

// packer compresses and names files. The first failure is kept in err.
type packer struct {
	files map[string][]byte
	zip   *gzip.Writer
	err   error
}

func (p *packer) put(name string, body []byte) {
	var b bytes.Buffer
	if p.zip == nil {
		p.zip, p.err = gzip.NewWriterLevel(&b, gzip.DefaultCompression)
		if p.err != nil {
			return
		}
	} else {
		p.zip.Reset(&b)
	}
	if _, err := p.zip.Write(body); err != nil {
		p.err = err
	}
	if err := p.zip.Close(); err != nil {
		p.err = err
	}
	p.files[name+".bin"] = b.Bytes()
}

func (p *packer) textShards(letter string, shards []shard) [][2]string {
	list := make([][2]string, len(shards))
	for i, s := range shards {
		hash := contentHash(s.body)
		list[i] = [2]string{s.first, hash}
		p.put(fmt.Sprintf("%s%d-%s", letter, i, hash), s.body)
	}
	return list
}

func (p *packer) cardShards(shards [][]byte, group int) (hashes string) {
	i := 0
	for part := range slices.Chunk(shards, group) {
		hash := contentHash(part...)
		hashes += hash
		for _, body := range part {
			p.put(fmt.Sprintf("c%d-%s", i, hash), body)
			i++
		}
	}
	return hashes
}

func (p *packer) directory(dir directory) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(dir); err != nil {
		return fmt.Errorf("search index: writing the directory: %w", err)
	}
	p.files[DirectoryName] = bytes.TrimSpace(b.Bytes())
	return nil
}

// contentHash is eight hex digits of SHA-256. It keeps an old cached file from
// being taken for a new one of the same place; it is no protection.
func contentHash(parts ...[]byte) string {
	h := sha256.New()
	for _, part := range parts {
		h.Write(part)
	}
	return hex.EncodeToString(h.Sum(nil)[:4])
}
