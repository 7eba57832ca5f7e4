package check

import (
	"fmt"

	"sandarac/archive/finding"
	"sandarac/archive/record"
)

// calendar finds times that cannot follow each other, and solutions used
// outside the days they were good for.
func (c *checker) calendar(p *record.Plate) {
	made := p.MadeOn()
	if made.IsZero() {
		return
	}
	if made.After(c.today.AddDays(1)) {
		c.plate(p, finding.Error, "made-in-future", "made", fmt.Sprintf("made is %s, a day still to come (today is %s)", made, c.today), "correct made:")
	}
	if !p.Varnished.IsZero() && p.Varnished.Before(p.Made) && (p.Timed || record.DateOf(p.Varnished).Before(made)) {
		c.plate(p, finding.Error, "varnished-before-made", "varnished", fmt.Sprintf("varnished is %s, before the plate was made (%s)", p.Varnished.Format("2006-01-02 15:04"), p.Made.Format("2006-01-02 15:04")), "correct varnished: or made:")
	}
	p.Batches.Each(func(kind, id string) {
		b, ok := c.archive.Batch(kind, id)
		if !ok || b.Mixed.IsZero() {
			return
		}
		key := "batches." + kind
		used := made
		if kind == "varnish" && !p.Varnished.IsZero() {
			used = record.DateOf(p.Varnished)
		}
		switch {
		case used.Before(b.Mixed):
			c.plate(p, finding.Error, "before-mixed", key, fmt.Sprintf("the plate used %s “%s” on %s, before it was mixed on %s", kind, id, used, b.Mixed), fmt.Sprintf("correct made:, batches.%s, or mixed: in %s", kind, b.File))
		case !b.ReadyFrom.IsZero() && used.Before(b.ReadyFrom):
			c.plate(p, finding.Warning, "before-ready", key, fmt.Sprintf("the plate used %s “%s” on %s, %d days before it was to be ready (%s)", kind, id, used, b.ReadyFrom.DaysSince(used), b.ReadyFrom), "nothing to mend if it was so; unripe collodion explains slow or foggy plates")
		case !b.Retire.IsZero() && used.After(b.Retire):
			c.plate(p, finding.Warning, "after-retirement", key, fmt.Sprintf("the plate used %s “%s” on %s, %d days after it was to be retired (%s)", kind, id, used, used.DaysSince(b.Retire), b.Retire), "mix a fresh batch, or raise retire_after_days")
		}
	})
}
