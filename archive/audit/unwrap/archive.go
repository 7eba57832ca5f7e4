package unwrap

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"compress/zlib"
	"encoding/binary"
	"errors"
	"io"
	"sync"
)

// ErrLimit says that something unpacks to more than the limit.
var ErrLimit = errors.New("it unpacks to more than may be read")

// Member is one thing that was packed.
type Member struct {
	Name  string // as the packer wrote it, with any comment; may be empty
	Bytes []byte
	Form  string // in words
}

// Packed says what packing data begins with: "gzip", "zlib", "zip" or "".
func Packed(data []byte) string {
	switch {
	case bytes.HasPrefix(data, []byte("\x1f\x8b\x08")):
		return "gzip"
	case bytes.HasPrefix(data, []byte("PK\x03\x04")), bytes.HasPrefix(data, []byte("PK\x05\x06")):
		return "zip"
	case len(data) > 6 && data[0]&0x0f == 8 && data[0]>>4 <= 7 && binary.BigEndian.Uint16(data)%31 == 0 && data[1]&0x20 == 0:
		return "zlib"
	}
	return ""
}

// Unpack gives the members of what Packed names, up to limit bytes in all. An
// error says that not all of it can be read; what could be is given with it.
func Unpack(data []byte, limit int64) ([]Member, error) {
	switch Packed(data) {
	case "gzip":
		return gunzip(data, limit)
	case "zip":
		return unzip(data, limit)
	case "zlib":
		r, err := zlib.NewReader(bytes.NewReader(data))
		if err != nil {
			return nil, err
		}
		out, err := bounded(r, &limit)
		return []Member{{"", out, "in zlib"}}, err
	}
	return nil, errors.New("not packed")
}

// gunzip reads all members of a gzip file (RFC 1952) and refuses anything else
// behind them.
func gunzip(data []byte, limit int64) ([]Member, error) {
	var out []Member
	source := bytes.NewReader(data)
	r, err := gzip.NewReader(source)
	for err == nil {
		r.Multistream(false)
		var text []byte
		text, err = bounded(r, &limit)
		out = append(out, Member{r.Name + " " + r.Comment + " " + string(r.Extra), text, "in gzip"})
		if err == nil {
			err = r.Reset(source)
		}
	}
	if errors.Is(err, io.EOF) {
		err = nil
	}
	return out, err
}

func unzip(data []byte, limit int64) ([]Member, error) {
	r, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, err
	}
	out := []Member{{Name: r.Comment, Form: "as the comment of a ZIP"}}
	for _, file := range r.File {
		content, openErr := file.Open()
		if openErr != nil {
			err = errors.Join(err, openErr)
			continue
		}
		text, readErr := bounded(content, &limit)
		err = errors.Join(err, readErr, content.Close())
		out = append(out, Member{file.Name + " " + file.Comment + " " + string(file.Extra), text, "in a ZIP"})
	}
	return out, err
}

// bounded reads r to its end, taking what it reads from limit.
func bounded(r io.Reader, limit *int64) ([]byte, error) {
	out, err := io.ReadAll(io.LimitReader(r, *limit+1))
	if int64(len(out)) > *limit {
		out, err = out[:*limit], ErrLimit
	}
	*limit -= int64(len(out))
	return out, err
}

// inflaters are used again: most of what is tried ends at once, and their window
// costs more than that.
var inflaters = sync.Pool{New: func() any { return flate.NewReader(nil) }}

// Inflate gives what data holds as raw deflate (RFC 1951), or nil: only if it is
// one whole stream of at least 16 bytes.
func Inflate(data []byte, limit int64) []byte {
	source := bytes.NewReader(data)
	z := inflaters.Get().(io.Reader)
	defer inflaters.Put(z)
	if err := z.(flate.Resetter).Reset(source, nil); err != nil {
		return nil
	}
	out, err := bounded(z, &limit)
	if err != nil || source.Len() > 0 || len(out) < 16 {
		return nil
	}
	return out
}
