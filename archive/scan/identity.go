package scan

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"io"

	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/raster"
)

const (
	// wholeLimit is the largest file of which every byte is hashed. Beyond it,
	// hashing an uncompressed scan takes a quarter of the time of making its
	// derivatives.
	wholeLimit = 64 << 20
	// ends and page are what is hashed of larger files: both ends, and a page
	// in every block between.
	ends  = 1 << 20
	block = 1 << 20
	page  = 4 << 10
)

// Identity tells masters apart, wherever they lie and whatever they are called.
// Up to 64 MiB it is the SHA-256 of the content. For larger files it is that of
// the size, the time of change, the first and last MiB and 4 KiB of each MiB
// between: moving such a file does not change it, touching does. It serves a
// cache; whether a master is unharmed is for fixity to say.
func (m *Master) Identity(ctx context.Context) (id [32]byte, err error) {
	h, size := sha256.New(), m.stat.Size()
	feed := func(from, length int64) error {
		_, err := io.Copy(h, raster.Reader(ctx, io.NewSectionReader(m.file, from, length)))
		return err
	}
	if size <= wholeLimit {
		err = feed(0, size)
	} else {
		h.Write([]byte("sampled\x00"))
		binary.Write(h, binary.LittleEndian, []int64{size, m.stat.ModTime().UnixNano()})
		err = feed(0, ends)
		for at := int64(ends); at < size-ends && err == nil; at += block {
			err = feed(at, page)
		}
		if err == nil {
			err = feed(size-ends, ends)
		}
	}
	return [32]byte(h.Sum(nil)), fault.In(err, m.path)
}
