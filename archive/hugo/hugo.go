// Package hugo finds or builds the Hugo program, writes its settings and runs
// it. It is the only package of the archive that starts another process.
//
// In goes a folder of content and templates that we made; out comes a folder of
// pages, or a [*BuildError] with Hugo's own file and line. Hugo gets an emptied
// environment, no network, no helpers and no right to run anything; a warning of
// its is an error of ours. It is run as a program and never imported.
package hugo

import (
	"fmt"
	"regexp"
	"strconv"
)

// Floor is the oldest version that is used. Older ones lack security fixes
// (escaping of links and images in 0.159.2, CVE-2026-35166; of code blocks'
// languages in 0.163.3) and the template layout of 0.146.
var Floor = Version{0, 163, 3}

// tested is the newest version (major and minor) these templates were run with.
var tested = Version{0, 163, 99}

// Version is a Hugo version; what is built between releases counts as the
// release to come.
type Version struct{ Major, Minor, Patch int }

var versionText = regexp.MustCompile(`(?i)hugo\b.*?v?(\d+)\.(\d+)(?:\.(\d+))?`)

// ParseVersion reads what `hugo version` prints, in any of its forms
// ("hugo v0.163.3+extended linux/amd64 …", "hugo v0.164.0-DEV-…").
func ParseVersion(line string) (Version, error) {
	m := versionText.FindStringSubmatch(line)
	if m == nil {
		return Version{}, fmt.Errorf("not a Hugo version: %.80q", line)
	}
	var v Version
	for i, part := range []*int{&v.Major, &v.Minor, &v.Patch} {
		if m[i+1] == "" {
			continue
		}
		n, err := strconv.Atoi(m[i+1])
		if err != nil {
			return Version{}, fmt.Errorf("not a Hugo version: %.80q", line)
		}
		*part = n
	}
	return v, nil
}

// Less reports whether v is older than w.
func (v Version) Less(w Version) bool {
	if v.Major != w.Major {
		return v.Major < w.Major
	}
	if v.Minor != w.Minor {
		return v.Minor < w.Minor
	}
	return v.Patch < w.Patch
}

func (v Version) String() string { return fmt.Sprintf("%d.%d.%d", v.Major, v.Minor, v.Patch) }

// Binary is a Hugo program that may be used.
type Binary struct {
	Path    string
	Version Version
}
