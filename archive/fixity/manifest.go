package fixity

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"maps"

	"sandarac/archive/finding"
	"sandarac/archive/swap"
)

// Names of the files in the manifest's folder.
const (
	manifestName = "manifest-sha256.txt"
	previousName = "manifest-sha256.previous.txt"
	sumName      = "manifest-sha256.txt.sha256"
	factsName    = "facts.tsv"
)

// ErrDamaged says that neither the manifest nor its previous generation is what
// was written.
var ErrDamaged = errors.New("the manifest of checksums is damaged")

// Manifest holds the sums of an archive's files. Keep it in a folder of its own
// (for an archive, .sandarac/fixity).
type Manifest struct {
	dir     string
	entries map[string]Entry
	loaded  []byte // the text that was read, to keep as the previous generation
}

// Open reads the manifest in dir; without one it is empty. A damaged manifest is
// replaced by its previous generation, with a finding that says so; if that is
// damaged too, the error is [ErrDamaged] and nothing is changed.
func Open(dir string) (*Manifest, []finding.Finding, error) {
	m := &Manifest{dir: dir, entries: map[string]Entry{}}
	text, err := m.read(manifestName)
	if err != nil {
		return nil, nil, err
	}
	previous, err := m.read(previousName)
	if err != nil {
		return nil, nil, err
	}
	sums, err := m.read(sumName)
	if err != nil {
		return nil, nil, err
	}
	if text == nil && previous == nil && sums == nil {
		return m, nil, nil
	}
	var found []finding.Finding
	if !known(sums, text) {
		if !known(sums, previous) {
			return nil, nil, fmt.Errorf("%w: %s does not have the sum that was noted for it, and neither has the one before; put the folder back from a backup, "+
				"or, if the masters are known to be right, move it away and record anew", ErrDamaged, filepath.Join(dir, manifestName))
		}
		found = append(found, finding.Finding{Severity: finding.Warning, Code: "fixity-manifest-damaged", File: ".sandarac/fixity/" + manifestName,
			Message: "the manifest of checksums is damaged or missing; the one before it is used, which lacks what was recorded last",
			Remedy:  "check the disk, then record again"})
		text = previous
	}
	m.loaded = text
	if err := m.parse(string(text)); err != nil {
		return nil, nil, err
	}
	return m, found, m.readFacts()
}

func (m *Manifest) read(name string) ([]byte, error) {
	text, err := os.ReadFile(filepath.Join(m.dir, name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return text, err
}

// known says whether one of the noted sums is that of text.
func known(sums, text []byte) bool {
	if text == nil {
		return false
	}
	sum := sha256.Sum256(text)
	for _, line := range lines(string(sums)) {
		if noted, _, ok := splitLine(line); ok && strings.EqualFold(noted, hex.EncodeToString(sum[:])) {
			return true
		}
	}
	return false
}

func (m *Manifest) parse(text string) error {
	for i, line := range lines(text) {
		sum, path, ok := splitLine(line)
		raw, err := hex.DecodeString(sum)
		if !ok || err != nil || len(raw) != sha256.Size {
			return fmt.Errorf("%s, line %d: found %.40q, accepted is a SHA-256 in hexadecimal, two spaces and a path", filepath.Join(m.dir, manifestName), i+1, line)
		}
		m.entries[decodePath(path)] = Entry{Sum: Sum(raw)}
	}
	return nil
}

// readFacts reads sizes and times. They only save time: a line that cannot be
// read, or that belongs to another sum, is passed over.
func (m *Manifest) readFacts() error {
	text, err := m.read(factsName)
	if err != nil {
		return err
	}
	for scanner := bufio.NewScanner(bytes.NewReader(text)); scanner.Scan(); {
		column := strings.Split(scanner.Text(), "\t")
		if len(column) != 5 {
			continue
		}
		path := decodePath(column[4])
		e, ok := m.entries[path]
		if !ok || hex.EncodeToString(e.Sum[:8]) != column[0] {
			continue
		}
		size, errSize := strconv.ParseInt(column[1], 10, 64)
		modTime, errTime := time.Parse(time.RFC3339Nano, column[2])
		checked, errChecked := time.Parse(time.RFC3339, column[3])
		if errSize == nil && errTime == nil && errChecked == nil {
			e.Facts = Facts{size, modTime, checked}
			m.entries[path] = e
		}
	}
	return nil
}

// text is the manifest as it is written: by path.
func (m *Manifest) text() []byte {
	var b bytes.Buffer
	for _, path := range slices.Sorted(maps.Keys(m.entries)) {
		e := m.entries[path]
		b.WriteString(manifestLine(e.Sum[:], path))
	}
	return b.Bytes()
}

// save writes the manifest, if it changed, and the facts. Killed at any moment it
// leaves a manifest whose sum is noted: both sums are noted before either text is
// touched.
func (m *Manifest) save() error {
	if err := os.MkdirAll(m.dir, 0o755); err != nil {
		return err
	}
	text := m.text()
	if !bytes.Equal(text, m.loaded) || m.loaded == nil {
		now := sha256.Sum256(text)
		notes := manifestLine(now[:], manifestName)
		if m.loaded != nil {
			before := sha256.Sum256(m.loaded)
			notes += manifestLine(before[:], previousName)
		}
		if err := swap.WriteFile(filepath.Join(m.dir, sumName), []byte(notes), 0o644); err != nil {
			return err
		}
		if m.loaded != nil {
			if err := swap.WriteFile(filepath.Join(m.dir, previousName), m.loaded, 0o644); err != nil {
				return err
			}
		}
		if err := swap.WriteFile(filepath.Join(m.dir, manifestName), text, 0o644); err != nil {
			return err
		}
		m.loaded = text
	}
	_, err := swap.WriteChanged(filepath.Join(m.dir, factsName), m.factsText(), 0o644)
	return err
}

func (m *Manifest) factsText() []byte {
	var b bytes.Buffer
	for _, path := range slices.Sorted(maps.Keys(m.entries)) {
		e := m.entries[path]
		if e.ModTime.IsZero() {
			continue
		}
		fmt.Fprintf(&b, "%x\t%d\t%s\t%s\t%s\n", e.Sum[:8], e.Size, e.ModTime.UTC().Format(time.RFC3339Nano), e.Checked.UTC().Format(time.RFC3339), encodePath(path))
	}
	return b.Bytes()
}

// Len is the number of files recorded.
func (m *Manifest) Len() int { return len(m.entries) }

// Entry gives what is known of a file.
func (m *Manifest) Entry(path string) (Entry, bool) {
	e, ok := m.entries[path]
	return e, ok
}

// Unchecked gives the day on which the file that was read longest ago was read
// whole; zero if nothing is recorded.
func (m *Manifest) Unchecked() time.Time {
	var oldest time.Time
	for _, e := range m.entries {
		if oldest.IsZero() || e.Checked.Before(oldest) {
			oldest = e.Checked
		}
	}
	return oldest
}
