package seal

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
)

// A Reader opens one RFC 8188 message. Read gives content only of records that
// authenticated; that the message is whole is known when it returns io.EOF.
type Reader struct {
	header Header
	src    *bufio.Reader
	cipher *recordCipher
	buf    []byte // the record as read, then its content
	rest   []byte // content not yet given out
	err    error  // what comes after rest
}

// NewReader reads the header and derives the key. It allocates at most one
// record of 64 KiB, whatever the message claims.
func NewReader(src io.Reader, ikm []byte) (*Reader, error) {
	if len(ikm) == 0 {
		return nil, errors.New("opening: the input keying material is empty")
	}
	h, err := readHeader(src)
	if err != nil {
		return nil, err
	}
	c, err := newRecordCipher(ikm, h.Salt[:])
	if err != nil {
		return nil, err
	}
	return &Reader{header: h, src: bufio.NewReaderSize(src, 4096), cipher: c, buf: make([]byte, h.RecordSize)}, nil
}

// Header is the header of the message being read.
func (r *Reader) Header() Header { return r.header }

func readHeader(src io.Reader) (Header, error) {
	var h Header
	var fixed [fixedSize]byte
	if _, err := io.ReadFull(src, fixed[:]); err != nil {
		return h, cutOr(err, "header")
	}
	copy(h.Salt[:], fixed[:saltSize])
	size := binary.BigEndian.Uint32(fixed[saltSize:])
	if size < minRecord || size > RecordSize {
		return h, fmt.Errorf("%w: record size %d, accepted are %d to %d", ErrFormat, size, minRecord, RecordSize)
	}
	h.RecordSize = int(size)
	if n := int(fixed[fixedSize-1]); n > 0 {
		h.KeyID = make([]byte, n)
		if _, err := io.ReadFull(src, h.KeyID); err != nil {
			return h, cutOr(err, "key id")
		}
	}
	return h, nil
}

// cutOr tells an early end from a failing source.
func cutOr(err error, where string) error {
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return fmt.Errorf("%w: it ends in the %s", ErrCut, where)
	}
	return fmt.Errorf("reading the %s: %w", where, err)
}

// Read implements io.Reader.
func (r *Reader) Read(p []byte) (int, error) {
	for len(r.rest) == 0 {
		if r.err != nil {
			return 0, r.err
		}
		if len(p) == 0 {
			return 0, nil
		}
		r.rest, r.err = r.next()
	}
	n := copy(p, r.rest)
	r.rest = r.rest[n:]
	return n, nil
}

// next opens one record; io.EOF comes with the content of the last one.
func (r *Reader) next() ([]byte, error) {
	number := r.cipher.count
	n, err := io.ReadFull(r.src, r.buf)
	if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
		return nil, fmt.Errorf("reading record %d: %w", number, err)
	}
	if n < overhead {
		return nil, fmt.Errorf("%w: record %d has %d bytes, the least is %d", ErrCut, number, n, overhead)
	}
	more := false
	if n == len(r.buf) {
		_, err := r.src.Peek(1)
		if err != nil && !errors.Is(err, io.EOF) {
			return nil, fmt.Errorf("reading past record %d: %w", number, err)
		}
		more = err == nil
	}
	plain, err := r.cipher.aead.Open(r.buf[:0], r.cipher.nonce(), r.buf[:n], nil)
	if err != nil {
		return nil, fmt.Errorf("opening record %d: %w", number, ErrAltered)
	}
	return unpad(plain, more, number)
}

// unpad takes zeros and delimiter off a record. more says that bytes follow it.
func unpad(plain []byte, more bool, number uint64) ([]byte, error) {
	plain = bytes.TrimRight(plain, "\x00")
	if len(plain) == 0 {
		return nil, fmt.Errorf("%w: record %d has no delimiter", ErrFormat, number)
	}
	content, end := plain[:len(plain)-1], plain[len(plain)-1]
	switch {
	case end == lastRecord && !more:
		return content, io.EOF
	case end == delimiter && more:
		return content, nil
	case end == lastRecord:
		return nil, fmt.Errorf("%w: it is record %d", ErrTrailing, number)
	case end == delimiter:
		return nil, fmt.Errorf("%w: record %d is not the last", ErrCut, number)
	}
	return nil, fmt.Errorf("%w: delimiter %#02x in record %d, accepted are 0x01 and 0x02", ErrFormat, end, number)
}

// Open reads a whole message of at most limit bytes of content.
func Open(src io.Reader, ikm []byte, limit int64) ([]byte, error) {
	r, err := NewReader(src, ikm)
	if err != nil {
		return nil, err
	}
	content, err := io.ReadAll(io.LimitReader(r, limit+1))
	if err != nil {
		return nil, err
	}
	if int64(len(content)) > limit {
		return nil, fmt.Errorf("%w: content is longer than the %d bytes allowed", ErrFormat, limit)
	}
	return content, nil
}
