package seal

import (
	"crypto/hkdf"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base32"
	"encoding/base64"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"hash"
	"io"
	"strconv"
)

// Infos of the key hierarchy. A change of any makes every link a new one.
const (
	infoName = "sandarac gallery name 1"
	infoKey  = "sandarac gallery key 1"
	infoFile = "sandarac sealed file 1"
	infoSalt = "sandarac salt 1"
	infoOwn  = "sandarac file names 1"
)

// lowerBase32 survives hosts and file systems that fold case, and never starts
// with a sign that a static host takes for its own.
var lowerBase32 = base32.NewEncoding("abcdefghijklmnopqrstuvwxyz234567").WithPadding(base32.NoPadding)

// Gallery holds the keys of one generation of one client's gallery.
type Gallery struct {
	name    string
	key     []byte // 16 bytes, the fragment
	locked  []byte // key, followed by the stretched passphrase if there is one
	saltKey []byte
	nameKey []byte
}

// NewGallery derives the keys of a client's gallery from the archive secret.
func NewGallery(s Secret, client string, generation int) (Gallery, error) {
	if client == "" || generation < 1 {
		return Gallery{}, fmt.Errorf("a gallery needs a client id and a generation of 1 or more, found %q and %d", client, generation)
	}
	of := "\x00" + client + "\x00" + strconv.Itoa(generation)
	var g Gallery
	var name []byte
	for _, d := range []struct {
		to   *[]byte
		info string
		size int
	}{{&name, infoName + of, 16}, {&g.key, infoKey + of, keySize}, {&g.saltKey, infoSalt, 32}, {&g.nameKey, infoOwn + of, 32}} {
		b, err := hkdf.Key(sha256.New, s.bytes[:], nil, d.info, d.size)
		if err != nil {
			return Gallery{}, fmt.Errorf("deriving gallery keys: %w", err)
		}
		*d.to = b
	}
	g.name = lowerBase32.EncodeToString(name)[:22] // 110 bits
	g.locked = g.key
	return g, nil
}

// Name is the gallery's folder below g/: 22 characters of a–z and 2–7. It is
// no secret, but cannot be guessed from the client's id.
func (g Gallery) Name() string { return g.name }

// Fragment is the gallery key as a link carries it: base64url, 22 characters.
func (g Gallery) Fragment() string { return base64.RawURLEncoding.EncodeToString(g.key) }

// Locked gives the gallery as it is with a passphrase: every file key then
// needs both the link's key and the passphrase.
func (g Gallery) Locked(passphrase string) (Gallery, error) {
	stretched, err := stretch(passphrase, g.name)
	if err != nil {
		return Gallery{}, err
	}
	g.locked = append(append([]byte(nil), g.key...), stretched...)
	return g, nil
}

// FileKey is the RFC 8188 input keying material, 16 bytes, of the file called
// name inside the gallery's folder. secret is the gallery key, or the gallery
// key followed by the stretched passphrase.
func FileKey(secret []byte, name string) ([]byte, error) {
	return hkdf.Key(sha256.New, secret, nil, infoFile+"\x00"+name, keySize)
}

// FileName makes the name, ending in .bin, under which content is kept in the
// gallery. The name follows role and content: content that changes gets a new
// name, so that no cache can hold a stale picture. sum is SHA-256 of the content.
func (g Gallery) FileName(role string, sum [sha256.Size]byte) string {
	mac := hmac.New(sha256.New, g.nameKey)
	macField(mac, []byte(role))
	macField(mac, sum[:])
	return lowerBase32.EncodeToString(mac.Sum(nil)[:16])[:20] + ".bin" // 100 bits
}

// Sealed tells of a file as it lies on the host.
type Sealed struct {
	Name   string
	Length int64  // bytes of the sealed file
	SHA256 string // of the sealed file, lower-case hexadecimal
}

// Seal reads src twice, to derive the salt and to seal it, and writes the file
// called name to dst. The same content under the same name gives the same bytes.
func (g Gallery) Seal(dst io.Writer, name string, src io.ReadSeeker) (Sealed, error) {
	sum := sha256.New()
	length, err := io.Copy(sum, src)
	if err != nil {
		return Sealed{}, fmt.Errorf("reading %s: %w", name, err)
	}
	if _, err := src.Seek(0, io.SeekStart); err != nil {
		return Sealed{}, fmt.Errorf("reading %s again: %w", name, err)
	}
	ikm, err := FileKey(g.locked, name)
	if err != nil {
		return Sealed{}, fmt.Errorf("deriving the key of %s: %w", name, err)
	}
	layout, header := Hidden(length), Header{RecordSize: RecordSize}
	header.Salt = g.salt(name, header, layout, sum.Sum(nil))
	out := &counter{dst: dst, sum: sha256.New()}
	w, err := NewWriter(out, ikm, header, layout)
	if err != nil {
		return Sealed{}, err
	}
	if _, err := io.Copy(w, src); err != nil {
		return Sealed{}, fmt.Errorf("sealing %s: %w", name, err)
	}
	if err := w.Close(); err != nil {
		return Sealed{}, fmt.Errorf("sealing %s: %w", name, err)
	}
	return Sealed{Name: name, Length: out.length, SHA256: hex.EncodeToString(out.sum.Sum(nil))}, nil
}

// Open opens the file called name, of at most limit bytes of content.
func (g Gallery) Open(src io.Reader, name string, limit int64) ([]byte, error) {
	ikm, err := FileKey(g.locked, name)
	if err != nil {
		return nil, fmt.Errorf("deriving the key of %s: %w", name, err)
	}
	content, err := Open(src, ikm, limit)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	return content, nil
}

// salt is a synthetic initialisation value (Rogaway and Shrimpton 2006, RFC
// 5297): a MAC, under a key of its own, over everything that changes the
// message. Equal salts then mean equal messages, and no nonce ever meets two
// different records. Each field goes in with its length, so that none can be
// read as part of another.
func (g Gallery) salt(name string, h Header, l Layout, sum []byte) (salt [saltSize]byte) {
	mac := hmac.New(sha256.New, g.saltKey)
	macField(mac, []byte(infoFile))
	macField(mac, []byte(g.name))
	macField(mac, []byte(name))
	macField(mac, g.locked)
	macField(mac, h.KeyID)
	macField(mac, binary.BigEndian.AppendUint32(nil, uint32(h.RecordSize)))
	macField(mac, binary.BigEndian.AppendUint64(nil, uint64(l.Length)))
	macField(mac, binary.BigEndian.AppendUint64(nil, uint64(l.Padded)))
	macField(mac, sum)
	copy(salt[:], mac.Sum(nil))
	return salt
}

func macField(mac hash.Hash, field []byte) {
	mac.Write(binary.BigEndian.AppendUint64(nil, uint64(len(field))))
	mac.Write(field)
}

// counter passes bytes on, counting and summing them.
type counter struct {
	dst    io.Writer
	sum    hash.Hash
	length int64
}

func (c *counter) Write(p []byte) (int, error) {
	n, err := c.dst.Write(p)
	c.sum.Write(p[:n])
	c.length += int64(n)
	return n, err
}
