package daybook

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path"
	"slices"
	"strings"

	"sandarac/archive/record"
)

// firstFolder is where plates without a scan are put in an archive that has none.
const firstFolder = "plates"

// Folder is where the studio would put a plate of a day: where its last plate
// up to that day stands, with the parts of the path that are dates (2026,
// 2026-05, 2026-05-03, 2026/05) turned to the day.
func (b *Book) Folder(day record.Date) string {
	var last *record.Plate
	for _, p := range b.Archive.Plates {
		if p.Broken || last != nil && p.MadeOn().After(day) && !last.MadeOn().After(day) {
			continue
		}
		last = p
	}
	if last == nil {
		return firstFolder
	}
	return redate(path.Dir(last.File), day)
}

// redate turns the dated parts of a folder's path to a day.
func redate(dir string, day record.Date) string {
	parts := strings.Split(dir, "/")
	before := ""
	for i, part := range parts {
		was := before
		before = ""
		switch shape(part) {
		case "0000":
			parts[i], before = fmt.Sprintf("%04d", day.Year), "year"
		case "0000-00":
			parts[i] = fmt.Sprintf("%04d-%02d", day.Year, day.Month)
		case "0000-00-00":
			parts[i] = day.String()
		case "00":
			switch was {
			case "year":
				parts[i], before = fmt.Sprintf("%02d", day.Month), "month"
			case "month":
				parts[i] = fmt.Sprintf("%02d", day.Day)
			}
		}
	}
	return strings.Join(parts, "/")
}

// shape is a text with every digit as 0.
func shape(s string) string {
	return strings.Map(func(c rune) rune {
		if c >= '0' && c <= '9' {
			return '0'
		}
		return c
	}, s)
}

// CheckFolder refuses folders that records are not read from: outside the
// archive, hidden, or written by a build.
func CheckFolder(rel string) error {
	bad := refuse("folder", rel, "a folder of the archive, named from its top with /, such as plates/2026")
	if rel == "" || len(rel) > 400 || path.IsAbs(rel) || strings.ContainsAny(rel, "\\:\x00*?\"<>|\n\r\t") || path.Clean(rel) != rel {
		return bad
	}
	parts := strings.Split(rel, "/")
	for i, part := range parts {
		if part == "." && len(parts) == 1 {
			return nil
		}
		if strings.HasPrefix(part, ".") || strings.TrimSpace(part) != part || strings.HasSuffix(part, ".") || deviceName(part) || len(part) > nameMost {
			return bad
		}
		if _, err := cleanText("folder", part); err != nil {
			return bad
		}
		if i == 0 && (generated(part) || part == PrivateFolder) {
			return refuse("folder", rel, "a folder that no build writes to, and not "+PrivateFolder)
		}
	}
	return nil
}

// CheckFile refuses names of record files that are not read as such, or that a
// disk would not take.
func CheckFile(rel string) error {
	name := path.Base(rel)
	ext := strings.ToLower(path.Ext(name))
	if ext != ".md" && ext != ".markdown" || FileName(stem(name)) != stem(name) || strings.HasPrefix(name, ".") {
		return refuse("file", rel, "a file of the archive whose name ends in .md, such as 2026/plate-1.md")
	}
	if err := CheckFolder(rel); err != nil {
		return err
	}
	return CheckFolder(path.Dir(rel))
}

// generated names the folders that record does not read: a build writes them.
func generated(top string) bool {
	for _, name := range []string{"public", "bench-book"} {
		if top == name || strings.HasPrefix(top, name+".") {
			return true
		}
	}
	return false
}

// nameMost is the longest file name given out, in bytes; disks take 255, and a
// draft's name and an ending come on top.
const nameMost = 180

// FileName is the name, without ending, of the sidecar of a plate that has no
// scan: its id, unless a disk would not take that as a name.
func FileName(id string) string {
	name := strings.TrimRight(id, ". ")
	if deviceName(name) || name == "" {
		name = "plate-" + name
	}
	if len(name) <= nameMost {
		return name
	}
	sum := sha256.Sum256([]byte(id))
	return strings.ToValidUTF8(name[:nameMost-13], "") + "-" + hex.EncodeToString(sum[:6])
}

// deviceName reports whether Windows reserves a name.
func deviceName(name string) bool {
	base, _, _ := strings.Cut(strings.ToLower(name), ".")
	if slices.Contains([]string{"con", "prn", "aux", "nul"}, base) {
		return true
	}
	return len(base) == 4 && (strings.HasPrefix(base, "com") || strings.HasPrefix(base, "lpt")) && base[3] >= '0' && base[3] <= '9'
}
