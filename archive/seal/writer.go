package seal

import (
	"errors"
	"fmt"
	"io"
)

// A Writer seals what is written to it as one RFC 8188 message. It holds one
// record at a time, whatever the length of the message. Close must be called.
type Writer struct {
	dst       io.Writer
	cipher    *recordCipher
	layout    Layout
	size      int
	records   int64
	record    int64  // number of the record being filled
	buf       []byte // content of that record, room for delimiter, zeros and tag
	have, due int    // bytes of content in buf, and how many belong there
	padding   int
	written   int64
	err       error
}

// NewWriter writes the header to dst and gives a Writer for exactly
// layout.Length bytes of content. The same ikm and salt must never be used for
// two different messages: see Gallery.Seal, which derives the salt.
func NewWriter(dst io.Writer, ikm []byte, header Header, layout Layout) (*Writer, error) {
	if err := errors.Join(header.check(), layout.check()); err != nil {
		return nil, err
	}
	c, err := newRecordCipher(ikm, header.Salt[:])
	if err != nil {
		return nil, err
	}
	if _, err := dst.Write(header.bytes()); err != nil {
		return nil, fmt.Errorf("writing the header: %w", err)
	}
	w := &Writer{dst: dst, cipher: c, layout: layout, size: header.RecordSize,
		records: layout.records(header.RecordSize), buf: make([]byte, header.RecordSize)}
	w.due, w.padding = layout.record(0, w.size)
	return w, nil
}

// Write takes content. More than was announced is an error.
func (w *Writer) Write(p []byte) (int, error) {
	if w.err != nil {
		return 0, w.err
	}
	if w.written+int64(len(p)) > w.layout.Length {
		w.err = fmt.Errorf("sealing: content is longer than the %d bytes announced", w.layout.Length)
		return 0, w.err
	}
	done := 0
	for done < len(p) {
		if w.have == w.due {
			if w.err = w.flush(); w.err != nil {
				return done, w.err
			}
			continue
		}
		n := copy(w.buf[w.have:w.due], p[done:])
		w.have += n
		w.written += int64(n)
		done += n
	}
	return done, nil
}

// flush seals the record in buf and makes the next one ready.
func (w *Writer) flush() error {
	end := byte(delimiter)
	if w.record == w.records-1 {
		end = lastRecord
	}
	plain := w.buf[:w.have+1+w.padding]
	plain[w.have] = end
	clear(plain[w.have+1:])
	sealed := w.cipher.aead.Seal(plain[:0], w.cipher.nonce(), plain, nil)
	if _, err := w.dst.Write(sealed); err != nil {
		return fmt.Errorf("writing record %d: %w", w.record, err)
	}
	w.record++
	w.have = 0
	if w.record < w.records {
		w.due, w.padding = w.layout.record(w.record, w.size)
	}
	return nil
}

// Close seals what is left. Less content than was announced is an error, and
// then the message has no last record and cannot be opened.
func (w *Writer) Close() error {
	if w.err != nil {
		return w.err
	}
	if w.written < w.layout.Length {
		w.err = fmt.Errorf("sealing: content ended after %d of the %d bytes announced", w.written, w.layout.Length)
		return w.err
	}
	for w.record < w.records {
		if w.err = w.flush(); w.err != nil {
			return w.err
		}
	}
	w.err = errors.New("sealing: the message is closed")
	return nil
}
