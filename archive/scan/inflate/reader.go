// Package inflate unpacks zlib streams (RFC 1950), as TIFF and PNG hold them.
// It keeps one decompressor for many short streams (a TIFF has one a strip),
// and looks at a stream's header only when it is first read, so that a damaged
// one is an error of reading like any other.
//
// Only this package imports klauspost/compress: its decompressor gives the same
// bytes as the standard library's in about three quarters of the time, and unpacking is most
// of the work of reading a packed scan. The tests hold the two against each
// other. Streams that want a preset dictionary are refused.
package inflate

import (
	"io"

	"github.com/klauspost/compress/zlib"
)

// Reader unpacks one stream at a time. The zero value is ready for Reset.
type Reader struct {
	src  io.Reader
	z    io.ReadCloser
	open bool
}

// Reset begins a new stream.
func (r *Reader) Reset(src io.Reader) { r.src, r.open = src, false }

// Read implements io.Reader. A stream that ends before it should is
// io.ErrUnexpectedEOF; the checksum is checked at the end.
func (r *Reader) Read(p []byte) (int, error) {
	if !r.open {
		if err := r.begin(); err != nil {
			return 0, err
		}
	}
	return r.z.Read(p)
}

func (r *Reader) begin() (err error) {
	if r.z == nil {
		r.z, err = zlib.NewReader(r.src)
	} else {
		err = r.z.(zlib.Resetter).Reset(r.src, nil)
	}
	if err == io.EOF {
		err = io.ErrUnexpectedEOF
	}
	r.open = err == nil
	return err
}
