package shard_test

import (
	"bytes"
	"compress/gzip"
	"fmt"
	"io"
	"slices"
	"strings"
	"testing"

	"sandarac/archive/audit/shard"
	"sandarac/archive/search"
)

// index builds a real index, with several shards of each kind, and unpacks it.
func index(t testing.TB) map[string][]byte {
	t.Helper()
	var docs []search.Doc
	for i := range 300 { // places in a facet above 127 take two bytes
		docs = append(docs, search.Doc{
			URL: fmt.Sprintf("plates/p%d/", i), Title: fmt.Sprintf("Plate %d", i),
			Fields: []search.Field{{Text: fmt.Sprintf("lock-keeper number%d zoë O’Hara", i), Weight: 8}},
			Facets: map[string][]string{"light": {fmt.Sprintf("window %d", i%5)}, "tag": {"barge", fmt.Sprintf("t%d", i)}},
		})
	}
	built, err := search.Build(docs, search.Options{ShardBytes: 300, CardsPerShard: 7})
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for name, body := range built.Files {
		if !strings.HasSuffix(name, ".bin") {
			continue
		}
		r, err := gzip.NewReader(bytes.NewReader(body))
		if err != nil {
			t.Fatal(err)
		}
		if out[name], err = io.ReadAll(r); err != nil {
			t.Fatal(err)
		}
	}
	return out
}

// Every word that can be searched for is seen, in its file, and every file is
// read to its last byte.
func TestReadsTheIndex(t *testing.T) {
	seen := map[byte][]string{}
	for name, body := range index(t) {
		if !shard.Is(body) {
			if body[0] != '[' {
				t.Errorf("%s is neither a file of the index nor JSON: %.20q", name, body)
			}
			continue
		}
		words, err := shard.Words(body)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		}
		seen[body[0]] = append(seen[body[0]], words...)
	}
	for kind, want := range map[byte][]string{
		'T': {"lock", "keeper", "lockkeeper", "number7", "number59", "zoe", "hara", "ohara"},
		'E': {"lock", "keeper", "hara"},
		'F': {"window 4", "barge", "t59"},
	} {
		for _, w := range want {
			if !slices.Contains(seen[kind], w) {
				t.Errorf("%c: %q is not among %d words", kind, w, len(seen[kind]))
			}
		}
	}
}

// A file with anything added, cut off or of another kind is refused.
func TestRefuses(t *testing.T) {
	for name, body := range index(t) {
		if !shard.Is(body) {
			continue
		}
		if _, err := shard.Words(append(slices.Clone(body), 'x')); err == nil {
			t.Errorf("%s with a byte more is taken", name)
		}
		for cut := range 3 {
			if _, err := shard.Words(body[:len(body)-1-cut]); err == nil {
				t.Errorf("%s cut by %d is taken", name, cut+1)
			}
		}
	}
	for _, body := range []string{"", "T", "X", "hello", "T\x01\x05\x01a\x00", "T\x01\x00\x01\xff\x00", "F\x00\x00\x09"} {
		if _, err := shard.Words([]byte(body)); err == nil {
			t.Errorf("%q is taken", body)
		}
	}
}

func FuzzWords(f *testing.F) {
	for _, body := range index(f) {
		f.Add(body)
	}
	f.Add([]byte("T\xff\xff\xff\xff\x03\x00\x00\x00"))
	f.Fuzz(func(t *testing.T, body []byte) {
		words, _ := shard.Words(body)
		if len(words) > len(body) {
			t.Fatalf("%d words from %d bytes", len(words), len(body))
		}
	})
}
