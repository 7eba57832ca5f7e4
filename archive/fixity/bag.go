package fixity

import (
	"context"
	"crypto/md5"  // older bags have
	"crypto/sha1" // nothing better
	"crypto/sha256"
	"crypto/sha512"
	"fmt"
	"hash"
	"io/fs"
	"os"
	"regexp"
	"strconv"
	"strings"

	"sandarac/archive/finding"
)

// Bag is what a bag says of itself.
type Bag struct {
	Version string
	Info    []Label
	Files   int   // of the payload
	Bytes   int64 // of the payload
}

// algorithms are those whose manifests can be checked.
var algorithms = map[string]func() hash.Hash{
	"md5": md5.New, "sha1": sha1.New, "sha224": sha256.New224, "sha256": sha256.New, "sha384": sha512.New384, "sha512": sha512.New,
}

// VerifyBag checks that the folder at dir is a complete and valid bag (RFC 8493,
// section 3), of version 1.0 or 0.97. It is valid if no finding is an error. The
// files of findings are relative to the bag. Nothing outside the bag is read, and
// nothing is fetched.
func VerifyBag(ctx context.Context, dir string, progress Progress) (Bag, []finding.Finding, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return Bag{}, nil, err
	}
	defer root.Close()
	v := &bagReader{root: root, progress: progress, files: map[string]int64{}, payload: map[string]map[string]string{}, tags: map[string]map[string]string{}, toHash: map[string]map[string]string{}}
	if err := v.walk(); err != nil {
		return v.bag, nil, err
	}
	if v.declare() {
		v.readInfo()
		v.readManifests()
		v.readFetch()
		v.complete()
		if err := v.hashAll(ctx); err != nil {
			return v.bag, nil, err
		}
	}
	finding.Sort(v.found)
	return v.bag, v.found, nil
}

type bagReader struct {
	root     *os.Root
	progress Progress
	bag      Bag
	found    []finding.Finding
	decode   func([]byte) (string, error)
	files    map[string]int64             // everything in the bag, with its size
	payload  map[string]map[string]string // algorithm → path → checksum
	tags     map[string]map[string]string
	toHash   map[string]map[string]string // path → algorithm → checksum
	composed map[string]string            // names in NFC → names; made when first wanted
}

func (v *bagReader) fault(file, format string, a ...any) {
	v.found = append(v.found, finding.Finding{Severity: finding.Error, Code: "bag-invalid", File: file, Message: fmt.Sprintf(format, a...),
		Remedy: "ask for the bag again from whoever made it"})
}

func (v *bagReader) warn(file, format string, a ...any) {
	v.found = append(v.found, finding.Finding{Severity: finding.Warning, Code: "bag-odd", File: file, Message: fmt.Sprintf(format, a...),
		Remedy: "nothing to mend; other programs may refuse the bag for it"})
}

// walk lists every file. Links and devices do not belong in a bag.
func (v *bagReader) walk() error {
	return fs.WalkDir(v.root.FS(), ".", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		if !entry.Type().IsRegular() {
			v.fault(name, "this is a link or a device, not a file")
			return nil
		}
		info, err := entry.Info()
		if err != nil {
			return err
		}
		v.files[name] = info.Size()
		if strings.HasPrefix(name, "data/") {
			v.bag.Files++
			v.bag.Bytes += info.Size()
		}
		return nil
	})
}

// tagSize is the largest tag file that is read: a manifest of a million files.
const tagSize = 256 << 20

func (v *bagReader) text(name string) ([]byte, bool) {
	if v.files[name] > tagSize {
		v.fault(name, "it is too large to be read")
		return nil, false
	}
	text, err := v.root.ReadFile(name)
	if err != nil {
		v.fault(name, "it cannot be read: %v", err)
		return nil, false
	}
	return text, true
}

// declare reads bagit.txt; without it nothing else can be.
func (v *bagReader) declare() bool {
	if _, there := v.files["bagit.txt"]; !there {
		v.fault("bagit.txt", "there is no bagit.txt: this is not a bag")
		return false
	}
	text, ok := v.text("bagit.txt")
	if !ok {
		return false
	}
	version, decode, err := parseDeclaration(text)
	v.bag.Version, v.decode = version, decode
	if err != nil {
		v.fault("bagit.txt", "%v", err)
		return false
	}
	if info, err := v.root.Stat("data"); err != nil || !info.IsDir() {
		v.fault("data", "there is no folder data/")
	}
	return true
}

// tag reads a tag file in the bag's encoding.
func (v *bagReader) tag(name string) (string, bool) {
	raw, ok := v.text(name)
	if !ok {
		return "", false
	}
	text, err := v.decode(raw)
	if err != nil {
		v.fault(name, "%v", err)
		return "", false
	}
	return text, true
}

var oxum = regexp.MustCompile(`^(\d+)\.(\d+)$`)

func (v *bagReader) readInfo() {
	if _, there := v.files["bag-info.txt"]; !there {
		return
	}
	text, ok := v.tag("bag-info.txt")
	if !ok {
		return
	}
	info, err := parseInfo(text)
	if err != nil {
		v.fault("bag-info.txt", "%v", err)
	}
	v.bag.Info = info
	seen := false
	for _, l := range info {
		if !strings.EqualFold(l.Name, "Payload-Oxum") {
			continue
		}
		m := oxum.FindStringSubmatch(l.Value)
		if m == nil || seen {
			v.fault("bag-info.txt", "Payload-Oxum is %q; accepted is one, octets and files with a dot between", l.Value)
			continue
		}
		seen = true
		octets, _ := strconv.ParseInt(m[1], 10, 64)
		count, _ := strconv.Atoi(m[2])
		if octets != v.bag.Bytes || count != v.bag.Files {
			v.fault("bag-info.txt", "it tells of %s octets in %s files; there are %d in %d", m[1], m[2], v.bag.Bytes, v.bag.Files)
		}
	}
}
