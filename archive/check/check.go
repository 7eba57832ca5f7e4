package check

import (
	"context"
	"fmt"
	"strings"

	"sandarac/archive/finding"
	"sandarac/archive/recipe"
	"sandarac/archive/record"
)

// What stands for a name in the record that a new archive begins with.
const (
	exampleStudio = "Your studio's name"
	exampleName   = "Your name"
)

// Options say on which day, and how deep, to look.
type Options struct {
	Today record.Date
	// Deep decodes every scan instead of reading its header.
	Deep bool
	// Progress, when set, is told how many scans were looked at.
	Progress func(done, total int)
}

// Run judges an archive and marks plates with errors as broken. The findings do
// not hold those that reading gave already.
func Run(ctx context.Context, a *record.Archive, opt Options) ([]finding.Finding, error) {
	c := &checker{archive: a, today: opt.Today}
	c.studio()
	c.batches()
	c.clients()
	for _, p := range a.Plates {
		c.references(p)
		c.calendar(p)
		c.trade(p)
	}
	c.sharedScans()
	if err := c.scans(ctx, opt); err != nil {
		return nil, err
	}
	c.publication()
	c.pages()
	c.orphans()
	c.findings = append(c.findings, recipe.Check(a, opt.Today)...)
	finding.Sort(c.findings)
	return c.findings, nil
}

type checker struct {
	archive  *record.Archive
	today    record.Date
	findings []finding.Finding
}

func (c *checker) add(f finding.Finding) { c.findings = append(c.findings, f) }

// plate adds a finding about a plate; an error breaks the plate.
func (c *checker) plate(p *record.Plate, s finding.Severity, code, key, message, remedy string) {
	if s == finding.Error {
		p.Broken = true
	}
	c.add(finding.Finding{Severity: s, Code: code, File: p.File, Line: p.Line(key), Message: message, Remedy: remedy, Plate: p.ID})
}

func (c *checker) studio() {
	s := c.archive.Studio
	if s.File == "" {
		return // record said so already
	}
	if s.URL == "" && !s.Has("url") {
		c.add(finding.Finding{Severity: finding.Warning, Code: "url-missing", File: s.File, Line: s.Line("url"),
			Message: "the studio has no url, so feeds, links to galleries and previews cannot name the site", Remedy: "add url: the address the site will have, such as https://plates.example/"})
	}
	for _, k := range []struct{ key, text string }{{"studio", s.Name}, {"credit", s.Credit}, {"copyright", s.Copyright}} {
		if strings.Contains(k.text, exampleName) || strings.Contains(k.text, exampleStudio) {
			c.add(finding.Finding{Severity: finding.Warning, Code: "example-left", File: s.File, Line: s.Line(k.key),
				Message: k.key + " is still the example's “" + k.text + "”, and would be published so", Remedy: "write your own"})
		}
	}
	if s.Credit == "" {
		c.add(finding.Finding{Severity: finding.Remark, Code: "credit-missing", File: s.File, Line: s.Line("credit"),
			Message: "published pictures will carry no credit", Remedy: "add credit: the name to print with a picture"})
	}
}

func (c *checker) batches() {
	for _, b := range c.archive.Batches {
		if b.Mixed.After(c.today) {
			c.batch(b, finding.Warning, "batch-future", "mixed", fmt.Sprintf("batch %s is mixed on %s, a day still to come", b.ID, b.Mixed), "correct mixed:")
		}
		for i, e := range b.Log {
			key := fmt.Sprintf("log.%d", i)
			if !e.Date.IsZero() && !b.Mixed.IsZero() && e.Date.Before(b.Mixed) {
				c.batch(b, finding.Error, "log-before-mixed", key, fmt.Sprintf("a log entry of %s stands before the batch was mixed on %s", e.Date, b.Mixed), "correct the entry's date or mixed:")
			}
			if e.Date.After(c.today) {
				c.batch(b, finding.Warning, "log-future", key, fmt.Sprintf("a log entry is dated %s, a day still to come", e.Date), "correct the entry's date")
			}
		}
	}
}

func (c *checker) batch(b *record.Batch, s finding.Severity, code, key, message, remedy string) {
	if s == finding.Error {
		b.Broken = true
	}
	c.add(finding.Finding{Severity: s, Code: code, File: b.File, Line: b.Line(key), Message: message, Remedy: remedy})
}

func (c *checker) clients() {
	plates := map[string]int{}
	for _, p := range c.archive.Plates {
		plates[p.Client]++
	}
	for _, cl := range c.archive.Clients {
		if plates[cl.ID] == 0 {
			c.add(finding.Finding{Severity: finding.Remark, Code: "client-without-plates", File: cl.File, Line: cl.Line("client"),
				Message: "no plate names client " + cl.ID + ", so there is no gallery to build", Remedy: "write client: " + cl.ID + " into the client's plates"})
		}
	}
}

// sharedScans finds one image that stands for two plates: hiding one of them
// would show it all the same, so both are left out.
func (c *checker) sharedScans() {
	first := map[string]*record.Plate{}
	for _, p := range c.archive.Plates {
		for _, rel := range p.Scans {
			if other, ok := first[rel]; ok && other != p {
				message := func(q *record.Plate) string { return rel + " is also a scan of plate " + q.ID }
				c.plate(p, finding.Error, "scan-shared", "scans", message(other), "give each plate its own scan")
				c.plate(other, finding.Error, "scan-shared", "scans", message(p), "give each plate its own scan")
				continue
			}
			first[rel] = p
		}
	}
}

func (c *checker) orphans() {
	for _, rel := range c.archive.Orphans {
		c.add(finding.Finding{Severity: finding.Remark, Code: "scan-without-record", File: rel,
			Message: "no plate record stands beside this image", Remedy: "write one with the command log, or move the image out of the archive"})
	}
}
