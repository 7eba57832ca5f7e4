package scan

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"time"

	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/icc"
	"sandarac/archive/scan/jpeg"
	"sandarac/archive/scan/limit"
	"sandarac/archive/scan/png"
	"sandarac/archive/scan/raster"
	"sandarac/archive/scan/tiff"
)

const (
	acceptedFiles = "JPEG, PNG or TIFF files"
	mendFormat    = "save the scan as TIFF, PNG or JPEG in RGB or grey, 8 or 16 bits"
)

// Master is an open scan. It is not safe for concurrent use.
type Master struct {
	path    string
	file    *os.File
	stat    fs.FileInfo
	head    raster.Header
	pixels  decoder
	profile *icc.Profile
	assumed string // what an untagged file is taken to be
}

// decoder is a format's header that can give its pixels.
type decoder interface {
	Decode(ctx context.Context, r io.ReaderAt, size int64, sink raster.Sink) error
}

// Is reports whether a file name looks like a scan's.
func Is(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".jpg", ".jpeg", ".png", ".tif", ".tiff":
		return true
	}
	return false
}

// Open opens a regular file and reads its header. The error is a *Fault.
func Open(path string, lim limit.Limits) (*Master, error) {
	m := &Master{path: path}
	if err := m.open(); err != nil {
		return nil, fault.In(err, path)
	}
	if err := m.readHeader(lim); err != nil {
		m.file.Close()
		return nil, fault.In(err, path)
	}
	return m, nil
}

func (m *Master) open() error {
	seen, err := os.Lstat(m.path)
	if err != nil {
		return unreadable(err)
	}
	if !seen.Mode().IsRegular() {
		return notAFile(seen.Mode())
	}
	if m.file, err = openFile(m.path); err != nil {
		return unreadable(err)
	}
	if m.stat, err = m.file.Stat(); err != nil || !os.SameFile(seen, m.stat) {
		m.file.Close()
		return &Fault{Kind: fault.Changed, Found: "the file was replaced while it was opened", Mend: "run again when no other program writes to it"}
	}
	return nil
}

func unreadable(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return &Fault{Kind: fault.Missing, Found: "there is no such file", Mend: "put the scan back, or name the right file under scans", Err: fs.ErrNotExist}
	}
	return &Fault{Kind: fault.Unreadable, Found: "the file cannot be opened", Mend: "check its permissions and the disk", Err: err}
}

func notAFile(mode fs.FileMode) error {
	what := "a device, pipe or socket"
	switch {
	case mode&fs.ModeSymlink != 0:
		what = "a symbolic link"
	case mode.IsDir():
		what = "a folder"
	}
	return &Fault{Kind: fault.NotAFile, Found: "this is " + what, Accepted: "ordinary files", Mend: "put the scan itself in the archive"}
}

func (m *Master) readHeader(lim limit.Limits) (err error) {
	defer fault.Recover("reading the header", &err)
	size := m.stat.Size()
	if size == 0 {
		return fault.Damagedf("the file is empty")
	}
	var magic [4]byte
	if _, err := m.file.ReadAt(magic[:], 0); err != nil && err != io.EOF {
		return unreadable(err)
	}
	switch {
	case magic[0] == 0xFF && magic[1] == 0xD8:
		h, err := jpeg.ReadHeader(m.file, size, lim)
		if err != nil {
			return err
		}
		m.head, m.pixels = h.Header, h
	case string(magic[:]) == "\x89PNG":
		h, err := png.ReadHeader(m.file, size, lim)
		if err != nil {
			return err
		}
		m.head, m.pixels = h.Header, h
	case string(magic[:2]) == "II" || string(magic[:2]) == "MM":
		h, err := tiff.ReadHeader(m.file, size, lim)
		if err != nil {
			return err
		}
		m.head, m.pixels = h.Header, h
	default:
		return &Fault{Kind: fault.Unsupported, Found: fmt.Sprintf("the file starts with %q, which is no known kind of scan", magic[:]), Accepted: acceptedFiles, Mend: mendFormat}
	}
	return m.readProfile()
}

func (m *Master) readProfile() error {
	switch {
	case m.head.CMYK && m.head.ICC != nil:
		return &Fault{Kind: fault.Profile, Found: "the picture is CMYK with a printing profile", Accepted: "RGB or grey with a profile, or plain CMYK without one", Mend: "convert the scan to sRGB or Adobe RGB in the editing program"}
	case m.head.ICC != nil:
		p, err := icc.Parse(m.head.ICC)
		if err != nil {
			return err
		}
		if p.Grey && m.head.Channels != 1 {
			return &Fault{Kind: fault.Profile, Found: "a colour picture with a grey profile", Accepted: "a profile that fits the picture", Mend: "assign the right profile in the editing program"}
		}
		if m.profile = p; p.Description == "" {
			p.Description = "unnamed"
		}
	case m.head.EXIF.AdobeRGB():
		m.profile, m.assumed = icc.AdobeRGB(), "Adobe RGB (1998), by EXIF"
	case m.head.EXIF.ColorSpace == 1:
		m.assumed = "sRGB, by EXIF"
	}
	return nil
}

// Info gives the header for readers.
func (m *Master) Info() Info {
	h := &m.head
	info := Info{
		Format: h.Format, Width: h.Width, Height: h.Height, Orientation: m.Orientation(),
		Channels: h.Channels, Bits: h.Bits, PPIX: h.PPIX, PPIY: h.PPIY,
		Profile: m.assumed, Taken: h.EXIF.Taken, SizeBytes: m.stat.Size(),
	}
	if m.assumed == "" && m.profile != nil {
		info.Profile = m.profile.Description
	}
	if info.Orientation >= 5 {
		info.Width, info.Height = info.Height, info.Width
		info.PPIX, info.PPIY = info.PPIY, info.PPIX
	}
	return info
}

// Orientation is the EXIF orientation, 1 if none is said.
func (m *Master) Orientation() int { return max(1, m.head.EXIF.Orientation) }

// Profile is the colour profile to convert from; nil means sRGB, or for grey
// the sRGB curve.
func (m *Master) Profile() *icc.Profile { return m.profile }

// Weight is an estimate of the bytes that Decode holds at its peak.
func (m *Master) Weight() int64 { return m.head.Weight }

// Stamp is the size and time of change when the file was opened.
func (m *Master) Stamp() (size int64, changed time.Time) { return m.stat.Size(), m.stat.ModTime() }

// Decode gives all pixels to sink.
func (m *Master) Decode(ctx context.Context, sink raster.Sink) error {
	return fault.In(m.pixels.Decode(ctx, m.file, m.stat.Size(), sink), m.path)
}

// Settled is a Changed fault if the file is no longer as it was opened.
func (m *Master) Settled() error {
	now, err := os.Lstat(m.path)
	if err == nil && os.SameFile(now, m.stat) && now.Size() == m.stat.Size() && now.ModTime().Equal(m.stat.ModTime()) {
		return nil
	}
	return fault.In(&Fault{Kind: fault.Changed, Found: "the file was changed while it was read", Mend: "run again when no other program writes to it"}, m.path)
}

// Close closes the file.
func (m *Master) Close() error { return m.file.Close() }
