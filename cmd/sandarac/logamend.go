package main

import (
	"errors"
	"strings"

	"sandarac/archive/daybook"
	"sandarac/archive/swap"
)

// amendTries is how often a record that is being edited meanwhile is read anew.
const amendTries = 5

// amend writes what is known later into records that are there.
func (l *logging) amend() error {
	order, err := l.order()
	if err != nil {
		return err
	}
	if l.SameSitting || l.Folder != "" || len(order.Changes) == 0 {
		return usagef("--amend needs what is to be written, such as --judged right or --varnished now, and nothing of a new plate's (--same-sitting, --folder)")
	}
	var later daybook.Later
	for _, c := range order.Changes {
		if c.Key == "notes" {
			later.Notes = c.Text
			continue
		}
		later.Changes = append(later.Changes, daybook.LaterChange{Key: c.Key, Text: c.Text})
	}
	ids, err := daybook.ParseList(l.Amend)
	if err != nil || len(ids) == 0 {
		return usagef("--amend %s; accepted: ids of plates with commas between", l.Amend)
	}
	lock, err := daybook.Lock(l.env.ctx, l.root, "log", l.waiting)
	if err != nil {
		return err
	}
	defer lock.Release()
	if err := l.open(); err != nil { // as it is under the lock
		return err
	}
	for _, id := range ids {
		if err := l.amendOne(id, later); err != nil {
			return err
		}
	}
	return l.sumAmended()
}

// amendOne amends one record; an editor that saves it meanwhile makes it be read
// anew.
func (l *logging) amendOne(id string, later daybook.Later) error {
	s := l.env.say
	for try := 1; ; try++ {
		a, errs := l.book.Amend(id, later)
		if len(errs) > 0 {
			l.left++
			for _, err := range errs {
				s.note("%s: not changed: %s", id, s.wrap(err.Error(), len(id)+15, 2))
			}
			return nil
		}
		if !l.DryRun {
			err := l.book.Apply(a)
			if errors.Is(err, swap.ErrChanged) && try < amendTries {
				continue
			}
			if err != nil {
				return err
			}
		}
		l.showAmended(a)
		return nil
	}
}

func (l *logging) showAmended(a *daybook.Amendment) {
	s := l.env.say
	s.print("%s  %s", a.ID, a.File)
	if len(a.Changed) == 0 {
		s.print("  its record says so already")
		return
	}
	l.wrote++
	var out []string
	for i, path := range a.Changed {
		if path == "notes" {
			out = append(out, "a note")
			continue
		}
		k, _ := daybook.KeyOf(path)
		said := k.Flag + "=" + a.Is[i]
		if a.Was[i] != "" {
			said += " (was " + a.Was[i] + ")"
		}
		out = append(out, said)
	}
	s.print("  %s", s.wrap(strings.Join(out, ", "), 2, 2))
}

func (l *logging) sumAmended() error {
	switch {
	case l.DryRun:
		l.env.say.print("%s would be changed; nothing was", plural(l.wrote, "record"))
	case l.wrote > 0 || l.left == 0:
		l.env.say.print("%s changed", plural(l.wrote, "record"))
	}
	if l.left > 0 {
		l.env.say.note("%s not changed", plural(l.left, "plate"))
		return errFaults
	}
	return nil
}
