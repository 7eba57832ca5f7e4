package publish

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"gocloud.dev/blob"
	_ "gocloud.dev/blob/azureblob" // azblob://
	_ "gocloud.dev/blob/fileblob"  // file://
	_ "gocloud.dev/blob/s3blob"    // s3://
	"gocloud.dev/gcerrors"
)

// place is where a site is published.
type place struct {
	bucket *blob.Bucket
	folder string // if it is one on this machine
	name   string // to tell of it, without what could be a secret
}

func (p *place) String() string { return p.name }

func (p *place) close() error { return p.bucket.Close() }

// object is what a place says of a file.
type object struct {
	size int64
	md5  []byte // nil if it does not say
}

// open opens an address: s3://BUCKET/PREFIX?endpoint=…&region=…,
// azblob://CONTAINER/PREFIX, or a folder. Keys come from where the provider's
// own tools take them, never from here.
func open(ctx context.Context, address string) (*place, error) {
	u, err := parse(address)
	if err != nil {
		return nil, err
	}
	p := &place{}
	if u.Scheme == "file" {
		p.folder, p.name = folderOf(u), folderOf(u)
		if err := os.MkdirAll(p.folder, 0o755); err != nil {
			return nil, err
		}
		// No sidecar files in a folder that is served, and no files of ours in a
		// folder for temporary ones, from which they could not be renamed.
		query := u.Query()
		query.Set("metadata", "skip")
		query.Set("no_tmp_dir", "true")
		u.RawQuery = query.Encode()
	} else {
		p.name = u.Scheme + "://" + u.Host + u.Path
		query := u.Query()
		// Stores other than Amazon's often do not know its newer checksums; the
		// signed SHA-256 of the content, which is sent in any case, they do.
		for _, key := range []string{"request_checksum_calculation", "response_checksum_validation"} {
			if u.Scheme == "s3" && query.Has("endpoint") && !query.Has(key) {
				query.Set(key, "when_required")
			}
		}
		if prefix := strings.Trim(u.Path, "/"); prefix != "" {
			query.Set("prefix", prefix+"/")
			u.Path = ""
		}
		u.RawQuery = query.Encode()
	}
	if p.bucket, err = blob.OpenBucket(ctx, u.String()); err != nil {
		return nil, fmt.Errorf("opening %s: %w", p.name, err)
	}
	return p, nil
}

// parse reads an address; what has no scheme is a folder.
func parse(address string) (*url.URL, error) {
	if strings.TrimSpace(address) == "" {
		return nil, errors.New("no address to publish to; accepted are s3://BUCKET/PREFIX, azblob://CONTAINER/PREFIX and a folder")
	}
	scheme, rest, ok := strings.Cut(address, "://")
	// On Windows C:\site has no scheme, though url.Parse sees one.
	if !ok {
		folder, err := filepath.Abs(address)
		if err != nil {
			return nil, err
		}
		folder = filepath.ToSlash(folder)
		if !strings.HasPrefix(folder, "/") {
			folder = "/" + folder
		}
		return &url.URL{Scheme: "file", Path: folder}, nil
	}
	switch scheme {
	case "s3", "azblob", "file":
	default:
		return nil, fmt.Errorf("cannot publish to %q; accepted are s3://BUCKET/PREFIX, azblob://CONTAINER/PREFIX and a folder", scheme+"://")
	}
	u, err := url.Parse(address)
	if err != nil || rest == "" || u.User != nil {
		return nil, fmt.Errorf("the address to publish to cannot be read; accepted are s3://BUCKET/PREFIX, azblob://CONTAINER/PREFIX and a folder")
	}
	if scheme != "file" && u.Host == "" {
		return nil, fmt.Errorf("the address %s names no bucket", scheme+"://")
	}
	return u, nil
}

func folderOf(u *url.URL) string {
	folder := u.Path
	if runtime.GOOS == "windows" {
		folder = strings.TrimPrefix(folder, "/")
	}
	return filepath.FromSlash(folder)
}

// list gives everything at the place.
func (p *place) list(ctx context.Context) (map[string]object, error) {
	out := map[string]object{}
	all := p.bucket.List(nil)
	for {
		o, err := all.Next(ctx)
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		if !o.IsDir {
			out[o.Key] = object{o.Size, o.MD5}
		}
	}
}

// sumKey is the name under which an object carries its SHA-256: large objects are
// sent in parts, and have no MD5 then.
const sumKey = "sha256"

// same says whether the place holds the bytes of f.
func (p *place) same(ctx context.Context, f *file, o object, there bool) (bool, error) {
	if !there || o.size != f.size {
		return false, nil
	}
	if p.folder != "" {
		return p.sameFile(f)
	}
	if len(o.md5) > 0 {
		return bytes.Equal(o.md5, f.md5[:]), nil
	}
	attributes, err := p.bucket.Attributes(ctx, f.name)
	if err != nil {
		return false, err
	}
	if len(attributes.MD5) > 0 {
		return bytes.Equal(attributes.MD5, f.md5[:]), nil
	}
	return attributes.Metadata[sumKey] == hex.EncodeToString(f.sha256[:]), nil
}

func (p *place) sameFile(f *file) (bool, error) {
	in, err := os.Open(filepath.Join(p.folder, filepath.FromSlash(f.name)))
	if err != nil {
		return false, err
	}
	defer in.Close()
	h := sha256.New()
	if _, err := io.Copy(h, in); err != nil {
		return false, err
	}
	return bytes.Equal(h.Sum(nil), f.sha256[:]), nil
}

// write puts a file of dir at the place, whole or not at all.
func (p *place) write(ctx context.Context, dir string, f *file) error {
	in, err := os.Open(filepath.Join(dir, filepath.FromSlash(f.name)))
	if err != nil {
		return err
	}
	defer in.Close()
	// A writer that is closed before its context ends commits what it has.
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	options := &blob.WriterOptions{ContentType: f.kind, CacheControl: f.caching, ContentMD5: f.md5[:], DisableContentTypeDetection: true}
	if p.folder == "" {
		options.Metadata = map[string]string{sumKey: hex.EncodeToString(f.sha256[:])}
	}
	w, err := p.bucket.NewWriter(ctx, f.name, options)
	if err != nil {
		return err
	}
	n, err := io.Copy(w, in)
	if err == nil && n != f.size {
		err = fmt.Errorf("%s changed while it was sent; build again", f.name)
	}
	if err != nil {
		cancel()
		w.Close()
		return err
	}
	return w.Close()
}

// remove takes a file away; one that is gone already is no error.
func (p *place) remove(ctx context.Context, name string) error {
	err := p.bucket.Delete(ctx, name)
	if gcerrors.Code(err) == gcerrors.NotFound {
		return nil
	}
	return err
}
