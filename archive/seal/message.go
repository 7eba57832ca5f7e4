package seal

import (
	"crypto/aes"
	"crypto/cipher"
	"crypto/hkdf"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
)

// Sizes in bytes fixed by RFC 8188, section 2.
const (
	saltSize   = 16
	fixedSize  = saltSize + 4 + 1 // salt, record size, length of the key id
	keySize    = 16
	nonceSize  = 12
	tagSize    = 16
	overhead   = tagSize + 1 // tag and delimiter of one record
	minRecord  = 18
	maxKeyID   = 255
	delimiter  = 0x01 // of every record but the last
	lastRecord = 0x02
)

// RecordSize is the record size of every sealed file, and the largest that a
// Reader accepts: a size read from a message decides an allocation.
const RecordSize = 65536

// Errors that a Reader gives; match them with errors.Is.
var (
	// ErrAltered says that a record does not authenticate: the key is wrong or
	// the bytes were changed. AES-GCM cannot tell the two apart.
	ErrAltered = errors.New("wrong key or altered bytes")
	// ErrCut says that the message ends before its last record.
	ErrCut = errors.New("message is cut short")
	// ErrTrailing says that bytes follow the last record.
	ErrTrailing = errors.New("bytes follow the last record")
	// ErrFormat says that header or padding break RFC 8188.
	ErrFormat = errors.New("not an aes128gcm message")
)

// Header is what precedes the records of a message in the clear.
type Header struct {
	Salt       [saltSize]byte
	RecordSize int    // bytes of one sealed record, 18 to 65536
	KeyID      []byte // at most 255 bytes; empty in sealed galleries
}

func (h Header) check() error {
	if h.RecordSize < minRecord || h.RecordSize > RecordSize {
		return fmt.Errorf("%w: record size %d, accepted are %d to %d", ErrFormat, h.RecordSize, minRecord, RecordSize)
	}
	if len(h.KeyID) > maxKeyID {
		return fmt.Errorf("%w: key id of %d bytes, accepted are at most %d", ErrFormat, len(h.KeyID), maxKeyID)
	}
	return nil
}

func (h Header) bytes() []byte {
	b := append([]byte(nil), h.Salt[:]...)
	b = binary.BigEndian.AppendUint32(b, uint32(h.RecordSize))
	b = append(b, byte(len(h.KeyID)))
	return append(b, h.KeyID...)
}

// recordCipher seals and opens records under one key, counting them.
type recordCipher struct {
	aead  cipher.AEAD
	base  [nonceSize]byte
	count uint64
}

// newRecordCipher derives content encryption key and nonce base of RFC 8188,
// sections 2.2 and 2.3, from the input keying material.
func newRecordCipher(ikm []byte, salt []byte) (*recordCipher, error) {
	if len(ikm) == 0 {
		return nil, errors.New("sealing: the input keying material is empty")
	}
	prk, err := hkdf.Extract(sha256.New, ikm, salt)
	if err != nil {
		return nil, fmt.Errorf("deriving the record key: %w", err)
	}
	cek, err := hkdf.Expand(sha256.New, prk, "Content-Encoding: aes128gcm\x00", keySize)
	if err != nil {
		return nil, fmt.Errorf("deriving the record key: %w", err)
	}
	base, err := hkdf.Expand(sha256.New, prk, "Content-Encoding: nonce\x00", nonceSize)
	if err != nil {
		return nil, fmt.Errorf("deriving the nonce: %w", err)
	}
	block, err := aes.NewCipher(cek)
	if err != nil {
		return nil, fmt.Errorf("preparing AES: %w", err)
	}
	aead, err := cipher.NewGCM(block)
	if err != nil {
		return nil, fmt.Errorf("preparing AES-GCM: %w", err)
	}
	c := &recordCipher{aead: aead}
	copy(c.base[:], base)
	return c, nil
}

// nonce gives the nonce of the next record: base XOR the record's number as a
// 96-bit big-endian integer.
func (c *recordCipher) nonce() []byte {
	n := c.base
	low := binary.BigEndian.Uint64(n[nonceSize-8:])
	binary.BigEndian.PutUint64(n[nonceSize-8:], low^c.count)
	c.count++
	return n[:]
}
