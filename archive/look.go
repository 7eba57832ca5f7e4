// Package archive runs the packages below it in order, and reads like the list
// of what the tool does: read, check, analyse, pictures, pages, Hugo, seal,
// audit, swap. It decides nothing itself: what may be seen is consent's, what is
// wrong is check's, and what is found in a finished tree is audit's.
package archive

import (
	"context"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"sandarac/archive/check"
	"sandarac/archive/finding"
	"sandarac/archive/record"
	"sandarac/archive/seal"
	"sandarac/archive/swap"
)

// Reporter is told how work goes.
type Reporter interface {
	// Note says one line.
	Note(line string)
	// Step says how many of a step's parts are done.
	Step(what string, done, total int)
}

// Day gives the day to act on in the studio's zone.
type Day func(zone *time.Location) (record.Date, error)

// LookOptions say which archive to look at, and how deep.
type LookOptions struct {
	Root   string
	Today  Day
	Deep   bool
	Report Reporter
}

// Looked is an archive that was read and checked. Plates with errors are marked
// as broken; Findings are in the order in which a person mends them.
type Looked struct {
	Archive  *record.Archive
	Today    record.Date
	Findings []finding.Finding
}

// Look reads and checks an archive. The error is the machine's; the archive's
// own faults are findings.
func Look(ctx context.Context, opt LookOptions) (*Looked, error) {
	if err := ownPlaces(opt.Root); err != nil {
		return nil, err
	}
	a, findings, err := record.Read(ctx, opt.Root)
	if err != nil {
		return nil, err
	}
	today, err := opt.Today(a.Studio.Zone)
	if err != nil {
		return nil, err
	}
	more, err := check.Run(ctx, a, check.Options{Today: today, Deep: opt.Deep, Progress: func(done, total int) {
		opt.Report.Step("scans", done, total)
	}})
	if err != nil {
		return nil, err
	}
	findings = append(findings, more...)
	if exposed, err := seal.SecretExposed(secretPath(opt.Root)); err == nil && exposed {
		findings = append(findings, finding.Finding{Severity: finding.Warning, Code: "secret-exposed", File: ".sandarac/secret",
			Message: "other users of this machine can read the archive's secret, from which every gallery's link follows", Remedy: "chmod 600 .sandarac/secret"})
	}
	finding.Sort(findings)
	return &Looked{Archive: a, Today: today, Findings: findings}, nil
}

// ownPlaces refuses an archive in which the tool's own folder, or what lies in it,
// is a link: it is written to and cleared, and an archive that somebody else made
// could have it lie anywhere.
func ownPlaces(root string) error {
	for _, name := range []string{"", "work", "cache", "cache/pictures", "cache/audit", "cache/last-build", "cache/rendered-portfolio", "cache/rendered-bench-book", "secret", "lock", "bench", "fixity"} {
		at := filepath.Join(toolDir(root), filepath.FromSlash(name))
		if info, err := os.Lstat(at); err == nil && info.Mode()&fs.ModeSymlink != 0 {
			return &swap.Error{Path: at, Why: "it is a symbolic link, and what the tool keeps for itself must lie in the archive", Mend: "remove the link; the tool makes what it needs", Err: swap.ErrSymlink}
		}
	}
	return nil
}
