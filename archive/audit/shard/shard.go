// Package shard reads the files of the search index (after gzip): the terms, and
// the values of facets, so that the audit sees each word that can be found. The
// format is the public one that the search package documents; this is a second
// reading of it, not that package's code. It imports none of ours.
package shard

import (
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
	"unicode/utf8"
)

// Is says whether data looks like a file of the index other than JSON.
func Is(data []byte) bool {
	return len(data) > 1 && (data[0] == 'T' || data[0] == 'E' || data[0] == 'F')
}

// Words gives the terms or values that a file of the index holds. It refuses a
// file in which anything is left over or missing: what cannot be read could
// hold what must not be there.
func Words(data []byte) ([]string, error) {
	if !Is(data) {
		return nil, errors.New("not a file of the search index")
	}
	r := &reader{rest: data[1:]}
	var words []string
	switch data[0] {
	case 'T':
		words = r.terms(true)
	case 'E':
		for _, w := range r.terms(false) {
			words = append(words, backwards(w))
		}
	case 'F':
		words = r.facet()
	}
	if r.err == nil && len(r.rest) > 0 {
		r.err = fmt.Errorf("%d bytes are left over", len(r.rest))
	}
	return words, r.err
}

// reader takes the file apart; after an error it gives nothing more.
type reader struct {
	rest []byte
	err  error
}

func (r *reader) fail(err error) {
	if r.err == nil {
		r.err = err
	}
	r.rest = nil
}

// number reads an unsigned LEB128 number up to 1<<30.
func (r *reader) number() int {
	n, size := binary.Uvarint(r.rest)
	if size <= 0 || n > 1<<30 {
		r.fail(errors.New("a number is cut off or too large"))
		return 0
	}
	r.rest = r.rest[size:]
	return int(n)
}

func (r *reader) bytes(n int) []byte {
	if n < 0 || n > len(r.rest) {
		r.fail(errors.New("it is cut off"))
		return nil
	}
	out := r.rest[:n]
	r.rest = r.rest[n:]
	return out
}

// terms reads front-coded terms, and skips their postings: numbers of documents.
func (r *reader) terms(postings bool) []string {
	count, sizes := r.number(), 0
	var out []string
	var last []byte
	for range count {
		shared := r.number()
		own := r.bytes(r.number())
		if postings {
			sizes += r.number()
		}
		if shared > len(last) {
			r.fail(errors.New("a term shares more than there is"))
		}
		if r.err != nil {
			return out
		}
		last = append(slices.Clone(last[:shared]), own...)
		if !utf8.Valid(last) {
			r.fail(errors.New("a term is not UTF-8"))
		}
		out = append(out, string(last))
	}
	r.bytes(sizes)
	return out
}

// facet reads the values, and skips which document has which.
func (r *reader) facet() []string {
	var out []string
	for range r.number() {
		value := r.bytes(r.number())
		if r.err != nil {
			return out
		}
		out = append(out, string(value))
	}
	documents, kind := r.number(), r.bytes(1)
	if r.err != nil {
		return out
	}
	switch kind[0] {
	case 1:
		r.bytes(documents)
	case 2:
		r.bytes(2 * documents)
	case 3:
		several := 0
		for _, n := range r.bytes(documents) {
			several += int(n)
		}
		for range several { // a place above 127 takes two bytes
			r.number()
		}
	default:
		r.fail(fmt.Errorf("a facet of kind %d is not known", kind[0]))
	}
	return out
}

func backwards(s string) string {
	runes := []rune(s)
	slices.Reverse(runes)
	return string(runes)
}
