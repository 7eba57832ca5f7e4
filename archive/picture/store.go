package picture

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"sandarac/archive/swap"
)

// codeVersion is raised whenever the bytes made from the same master change.
const codeVersion = 1

// key names a derivative by everything its bytes depend on.
type key [16]byte

// keyOf covers the Go release (its JPEG code changes between releases), the
// code's own version, the master's identity, the true size and the output.
func keyOf(master [32]byte, width, height int, o Output) (k key) {
	var room [512]byte
	b := binary.AppendUvarint(append(room[:0], "sandarac derivative\x00"...), codeVersion)
	b = appendString(b, runtime.Version())
	b = append(b, master[:]...)
	for _, n := range []int{width, height, o.quality()} {
		b = binary.AppendUvarint(b, uint64(n))
	}
	for _, s := range []string{o.Rights.Creator, o.Rights.Credit, o.Rights.Copyright, o.Rights.LicenceURL, o.Edition} {
		b = appendString(b, s)
	}
	if o.AVIF {
		b = append(b, "avif"...)
	}
	sum := sha256.Sum256(b)
	copy(k[:], sum[:])
	return k
}

// store is the cache folder: files by key in 256 folders, and the index.
type store struct{ dir string }

const (
	indexName = "index"
	// draftPrefix marks files in the making, and draftAge is how old one is
	// that a killed run left behind.
	draftPrefix = ".draft-"
	draftAge    = time.Hour
	jpegSuffix  = ".jpg"
	avifSuffix  = ".avif"
)

func openStore(dir string) (*store, index, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, nil, err
	}
	s := &store{dir}
	b, err := os.ReadFile(s.indexPath())
	if errors.Is(err, fs.ErrNotExist) {
		return s, index{}, nil
	}
	if err != nil {
		return nil, nil, err
	}
	x, err := decodeIndex(b)
	if err != nil {
		return s, index{}, nil // only time is lost
	}
	return s, x, nil
}

func (s *store) indexPath() string { return filepath.Join(s.dir, indexName) }

func (s *store) path(f made) string {
	var name [2 * len(f.key)]byte
	hex.Encode(name[:], f.key[:])
	suffix := jpegSuffix
	if f.avif {
		suffix = avifSuffix
	}
	const sep = string(filepath.Separator)
	return s.dir + sep + string(name[:2]) + sep + string(name[:]) + suffix
}

// has reports whether a derivative is there with its full length.
func (s *store) has(f made) bool {
	info, err := os.Lstat(s.path(f))
	return err == nil && info.Mode().IsRegular() && info.Size() == f.bytes
}

// put writes a derivative whole or not at all. It does not wait for the disk:
// what a power failure cuts short has the wrong length and is made again.
func (s *store) put(f made, data []byte) error {
	path := s.path(f)
	dir := filepath.Dir(path)
	draft, err := os.CreateTemp(dir, draftPrefix+"*")
	if errors.Is(err, fs.ErrNotExist) {
		if err := os.MkdirAll(dir, 0o700); err != nil {
			return err
		}
		draft, err = os.CreateTemp(dir, draftPrefix+"*")
	}
	if err != nil {
		return err
	}
	_, err = draft.Write(data)
	if err = errors.Join(err, draft.Close()); err == nil {
		err = swap.Rename(draft.Name(), path)
	}
	if err != nil {
		os.Remove(draft.Name())
	}
	return err
}

func (s *store) save(x index) error { return swap.WriteFile(s.indexPath(), x.encode(), 0o600) }

// sweep removes every derivative whose key is not wanted, and drafts of killed
// runs. It counts files and bytes.
func (s *store) sweep(wanted map[key]bool) (files int, bytes int64, err error) {
	shards, err := os.ReadDir(s.dir)
	if err != nil {
		return 0, 0, err
	}
	for _, shard := range shards {
		if !shard.IsDir() || len(shard.Name()) != 2 {
			continue
		}
		dir := filepath.Join(s.dir, shard.Name())
		entries, err := os.ReadDir(dir)
		if err != nil {
			return files, bytes, err
		}
		for _, e := range entries {
			if info, err := e.Info(); err == nil && strings.HasPrefix(e.Name(), draftPrefix) && time.Since(info.ModTime()) > draftAge {
				os.Remove(filepath.Join(dir, e.Name()))
				continue
			}
			var k key
			name, ok := strings.CutSuffix(e.Name(), jpegSuffix)
			if !ok {
				name, ok = strings.CutSuffix(e.Name(), avifSuffix)
			}
			if n, err := hex.Decode(k[:], []byte(name)); !ok || len(name) != 2*len(k) || n != len(k) || err != nil || wanted[k] {
				continue
			}
			if info, err := e.Info(); err == nil {
				bytes += info.Size()
			}
			if err := os.Remove(filepath.Join(dir, e.Name())); err != nil {
				return files, bytes, err
			}
			files++
		}
	}
	return files, bytes, nil
}
