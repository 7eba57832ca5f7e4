package fixity

import (
	"fmt"
	"maps"
	"path"
	"slices"
	"time"

	"sandarac/archive/finding"
)

// run judges one record or verify.
type run struct {
	*Manifest
	report    Report
	found     []finding.Finding
	now       time.Time
	replace   []string
	recording bool
}

func (r *run) add(severity finding.Severity, code, file, message, remedy string) {
	r.found = append(r.found, finding.Finding{Severity: severity, Code: code, File: file, Message: message, Remedy: remedy})
}

// judge compares what is on disk with what is recorded.
func (r *run) judge(states []*state) {
	there := map[string]bool{}
	var fresh []*state
	for _, s := range states {
		if s.read {
			r.report.Read++
			r.report.Bytes += s.size
		}
		if s.missing {
			continue
		}
		there[s.Path] = true
		r.report.Files++
		e, known := r.entries[s.Path]
		switch {
		case s.problem != "":
			r.add(finding.Error, "fixity-unreadable", s.Path, "the file cannot be read: "+s.problem, "see whether it can be opened; if not, put it back from a backup")
		case !known:
			fresh = append(fresh, s)
		case !s.read:
			r.report.Same++
		case s.sum == e.Sum:
			r.report.Same++
			r.entries[s.Path] = Entry{s.sum, Facts{s.size, s.modTime, r.now}}
		default:
			r.changed(s, e)
		}
	}
	r.gone(there, fresh)
}

// changed judges a file with other bytes than recorded.
func (r *run) changed(s *state, e Entry) {
	renew := func() {
		if r.recording {
			r.entries[s.Path] = Entry{s.sum, Facts{s.size, s.modTime, r.now}}
		}
	}
	untouched := e.same(s.size, s.modTime)
	switch {
	case r.recording && slices.Contains(r.replace, s.Path):
		r.report.Replaced++
		renew()
	case untouched:
		r.report.Changed++
		r.add(finding.Error, "fixity-damaged", s.Path, "the bytes are not those that were recorded, though nobody wrote the file since: the disk or a copy damaged it",
			"put it back from a backup; and check the disk")
	case s.Kind == Sidecar:
		r.report.Edited++
		if !r.recording {
			r.add(finding.Remark, "fixity-edited", s.Path, "the record was edited since its checksum was taken", "nothing to mend; record again when you like")
		}
		renew()
	default:
		r.report.Changed++
		r.add(finding.Error, "fixity-changed", s.Path, fmt.Sprintf("the master is not what was recorded: it was written on %s", s.modTime.Format("2 January 2006, 15:04")),
			"put it back from a backup; if the change was meant, name the file when you record")
	}
}

// gone looks for recorded files that are no longer there among those that are
// new, and judges the rest of both.
func (r *run) gone(there map[string]bool, fresh []*state) {
	bySum := map[Sum][]*state{}
	for _, s := range fresh {
		if s.read {
			bySum[s.sum] = append(bySum[s.sum], s)
		}
	}
	moved := map[*state]bool{}
	for _, old := range slices.Sorted(maps.Keys(r.entries)) {
		if there[old] {
			continue
		}
		e := r.entries[old]
		if s := nearest(old, bySum[e.Sum], moved); s != nil {
			moved[s] = true
			r.moved(old, s)
			continue
		}
		r.report.Missing++
		r.add(finding.Error, "fixity-missing", old, "the file is recorded, but it is not there", "put it back from a backup; if it is gone on purpose, name it to be forgotten when you record")
	}
	for _, s := range fresh {
		if moved[s] {
			continue
		}
		r.report.Added++
		if r.recording && s.read {
			r.entries[s.Path] = Entry{s.sum, Facts{s.size, s.modTime, r.now}}
		} else if !r.recording {
			r.add(finding.Remark, "fixity-new", s.Path, "the file has no checksum yet", "record checksums")
		}
	}
}

// nearest gives the file that most likely was old: one of its own name, else the
// first.
func nearest(old string, among []*state, taken map[*state]bool) *state {
	var first *state
	for _, s := range among {
		if taken[s] {
			continue
		}
		if path.Base(s.Path) == path.Base(old) {
			return s
		}
		if first == nil {
			first = s
		}
	}
	return first
}

func (r *run) moved(old string, s *state) {
	r.report.Moved++
	r.add(finding.Remark, "fixity-moved", s.Path, "this is what was recorded as "+old, "nothing to mend; record, and it is known under its new name")
	if r.recording {
		delete(r.entries, old)
		r.entries[s.Path] = Entry{s.sum, Facts{s.size, s.modTime, r.now}}
	}
}
