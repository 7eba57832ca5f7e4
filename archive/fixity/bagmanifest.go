package fixity

import (
	"maps"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"

	"golang.org/x/text/unicode/norm"
)

var manifestFile = regexp.MustCompile(`^(tag)?manifest-([a-z0-9]+)\.txt$`)

func (v *bagReader) readManifests() {
	for _, name := range slices.Sorted(maps.Keys(v.files)) {
		m := manifestFile.FindStringSubmatch(name)
		if m == nil {
			continue
		}
		into := v.payload
		if m[1] != "" {
			into = v.tags
		}
		if algorithms[m[2]] == nil {
			v.warn(name, "checksums of the kind %s cannot be checked here", m[2])
		}
		into[m[2]] = v.readManifest(name, m[1] != "", m[2])
	}
	if len(v.payload) == 0 {
		v.fault("", "there is no manifest of the payload")
	}
}

// readManifest reads one manifest: checksums by path.
func (v *bagReader) readManifest(name string, ofTags bool, algorithm string) map[string]string {
	sums := map[string]string{}
	text, ok := v.tag(name)
	if !ok {
		return sums
	}
	for i, line := range lines(text) {
		if line == "" {
			continue
		}
		sum, written, ok := splitLine(line)
		if !ok {
			v.fault(name, "line %d is %.60q; accepted is a checksum and a path", i+1, line)
			continue
		}
		file, ok := v.place(name, i+1, written, ofTags)
		if !ok {
			continue
		}
		if _, twice := sums[file]; twice {
			if v.bag.Version == "1.0" || !strings.EqualFold(sums[file], sum) {
				v.fault(name, "line %d lists %s for the second time", i+1, file)
			} else {
				v.warn(name, "line %d lists %s for the second time", i+1, file)
			}
			continue
		}
		sums[file] = strings.ToLower(sum)
		if algorithms[algorithm] != nil {
			if v.toHash[file] == nil {
				v.toHash[file] = map[string]string{}
			}
			v.toHash[file][algorithm] = strings.ToLower(sum)
		}
	}
	return sums
}

// place turns a written path into the file it means, refusing those that leave
// the bag or that this manifest may not list.
func (v *bagReader) place(manifest string, line int, written string, ofTags bool) (string, bool) {
	file := decodePath(written)
	if strings.HasPrefix(file, "./") {
		v.warn(manifest, "line %d begins with ./", line)
		file = strings.TrimPrefix(file, "./")
	}
	if leaves(file) {
		v.fault(manifest, "line %d has the path %q, which is not inside the bag", line, written)
		return "", false
	}
	inData := strings.HasPrefix(file, "data/")
	switch {
	case !ofTags && !inData:
		v.fault(manifest, "line %d lists %s, which is no payload", line, file)
		return "", false
	case ofTags && (inData || strings.HasPrefix(path.Base(file), "tagmanifest-") && path.Dir(file) == "."):
		v.fault(manifest, "line %d lists %s, which is no tag file that it may list", line, file)
		return "", false
	}
	return v.onDisk(manifest, line, file), true
}

// leaves says whether a path leads out of the bag on any system.
func leaves(file string) bool {
	if file == "" || strings.HasPrefix(file, "/") || strings.HasPrefix(file, "~") || strings.HasPrefix(file, `\`) || len(file) > 1 && file[1] == ':' {
		return true
	}
	for part := range strings.FieldsFuncSeq(file, func(r rune) bool { return r == '/' || r == '\\' }) {
		if part == ".." {
			return true
		}
	}
	return path.Clean(file) != file || !filepath.IsLocal(filepath.FromSlash(file))
}

// onDisk finds the file although a system spelt its accents in another way.
func (v *bagReader) onDisk(manifest string, line int, file string) string {
	if _, there := v.files[file]; there {
		return file
	}
	if v.composed == nil {
		v.composed = map[string]string{}
		for name := range v.files {
			v.composed[norm.NFC.String(name)] = name
		}
	}
	name, there := v.composed[norm.NFC.String(file)]
	if !there {
		return file
	}
	v.warn(manifest, "line %d spells the accents of %s otherwise than its name does", line, file)
	return name
}
