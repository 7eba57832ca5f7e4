package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"time"

	"golang.org/x/term"

	"sandarac/archive/bench"
	"sandarac/archive/calendar"
	"sandarac/archive/daybook"
	"sandarac/archive/record"
	"sandarac/archive/swap"
)

type logCommand struct {
	Scans []string `arg:"" optional:"" help:"Folders of scans, or scans, inside the archive: one plate for each that has no record. None: one plate without a scan." type:"path"`

	plateFlags
	Set         []string `help:"Any key of a plate, also your own: x_shelf=12." placeholder:"KEY=VALUE" sep:"none"`
	SameSitting bool     `help:"The same people and client as on the plate before."`
	Folder      string   `help:"Where to put a record without a scan. Default: where your plates of that day are." placeholder:"DIR"`
	Amend       string   `help:"Write what is said into the records of plates that are there: how they were judged, when they were varnished." placeholder:"ID,ID"`
	From        string   `help:"Read a spreadsheet, saved as CSV text, instead of scans. FILE.csv.map.yaml beside it says what its columns are; it is proposed if it is not there." placeholder:"FILE.csv" type:"path"`
	Write       bool     `help:"With --from: write the records that were shown."`
	Export      string   `help:"Write all plates as a spreadsheet that --from reads back; - is standard output." placeholder:"FILE.csv" type:"path"`
	Calendar    string   `help:"Write a calendar (iCalendar) for the studio: when plates have cured, when galleries and consents end." placeholder:"FILE.ics" type:"path"`
	Yes         bool     `short:"y" help:"Do not ask; write."`
	DryRun      bool     `short:"n" help:"Show what would be written, and write nothing."`
}

// plateFlags are the keys of a plate, each under its short name.
type plateFlags struct {
	Plate         string `group:"Keys of the plate:" help:"Its id; default: the next one of the studio's pattern (plate_ids)." placeholder:"ID"`
	Made          string `group:"Keys of the plate:" help:"When it was exposed: 2026-05-03T10:20, 2026-05-03, now or today. Default: the scan's day." placeholder:"…"`
	Purpose       string `group:"Keys of the plate:" help:"portrait, test, still-life, landscape, workshop, copy." placeholder:"…"`
	Title         string `group:"Keys of the plate:" help:"Its title." placeholder:"…"`
	Alt           string `group:"Keys of the plate:" help:"What the picture shows, in a sentence." placeholder:"…"`
	Tags          string `group:"Keys of the plate:" help:"Tags, with commas between." placeholder:"…"`
	Featured      string `group:"Keys of the plate:" help:"true puts it first in the portfolio." placeholder:"true"`
	ScanNames     string `group:"Keys of the plate:" name:"scans" help:"Its scans, if not those with the record's name." placeholder:"NAMES"`
	Support       string `group:"Keys of the plate:" help:"tin, aluminium, glass, glass-negative." placeholder:"…"`
	Format        string `group:"Keys of the plate:" help:"Its size by name; default: by the scan's size and resolution." placeholder:"…"`
	SizeMM        string `group:"Keys of the plate:" name:"size-mm" help:"Its size if it has no name: 120x160." placeholder:"…"`
	Collodion     string `group:"Keys of the plate:" help:"Batch of collodion." placeholder:"BATCH"`
	Bath          string `group:"Keys of the plate:" help:"Silver bath." placeholder:"BATCH"`
	Developer     string `group:"Keys of the plate:" help:"Batch of developer." placeholder:"BATCH"`
	Fixer         string `group:"Keys of the plate:" help:"Batch of fixer." placeholder:"BATCH"`
	Varnish       string `group:"Keys of the plate:" help:"Batch of varnish." placeholder:"BATCH"`
	Lens          string `group:"Keys of the plate:" help:"Lens, as the studio record names it." placeholder:"…"`
	Camera        string `group:"Keys of the plate:" help:"Camera." placeholder:"…"`
	Seconds       string `group:"Keys of the plate:" help:"Exposure in seconds." placeholder:"…"`
	Stop          string `group:"Keys of the plate:" help:"f-number." placeholder:"…"`
	Magnification string `group:"Keys of the plate:" help:"Size on the plate over size of the subject." placeholder:"…"`
	ExtensionMM   string `group:"Keys of the plate:" name:"extension-mm" help:"Lens to plate in mm, instead of magnification." placeholder:"…"`
	Light         string `group:"Keys of the plate:" help:"The light, in your own words, always the same ones." placeholder:"…"`
	EV100         string `group:"Keys of the plate:" name:"ev100" help:"Incident light, EV at ISO 100." placeholder:"…"`
	Lux           string `group:"Keys of the plate:" help:"Incident light in lux." placeholder:"…"`
	LightNote     string `group:"Keys of the plate:" help:"More about the light." placeholder:"…"`
	AirC          string `group:"Keys of the plate:" name:"air-c" help:"Air in °C." placeholder:"…"`
	Humidity      string `group:"Keys of the plate:" help:"Humidity in %." placeholder:"…"`
	Developed     string `group:"Keys of the plate:" help:"Development in seconds." placeholder:"…"`
	DeveloperC    string `group:"Keys of the plate:" name:"developer-c" help:"Developer in °C." placeholder:"…"`
	Varnished     string `group:"Keys of the plate:" help:"When it was varnished; now will do." placeholder:"…"`
	Judged        string `group:"Keys of the plate:" help:"under, right, over." placeholder:"…"`
	Outcome       string `group:"Keys of the plate:" help:"keeper, remake, scrapped." placeholder:"…"`
	Flaws         string `group:"Keys of the plate:" help:"Flaws in the trade's terms, with commas between." placeholder:"…"`
	Sitters       string `group:"Keys of the plate:" help:"Who is in it: ids of sitter records with commas between, or nobody." placeholder:"…"`
	Client        string `group:"Keys of the plate:" help:"Whose it is: a client's id." placeholder:"…"`
	Notes         string `group:"Keys of the plate:" help:"Notes, never public." placeholder:"…"`
}

// Help is shown below the flags.
func (logCommand) Help() string {
	return `Writes a record beside each scan that has none. What you do not say is carried over from the plate before it: within a day all settings, from an earlier day support, size, lens, camera and batches. Who is in a plate and whose it is are carried over only with --same-sitting. The scan tells the day (ask yourself whether it was scanned the day it was made) and the size.

--from reads a spreadsheet that was kept for years. The first run proposes what its columns are and shows what each row becomes; --write writes. What can be meant in two ways (3/5/2026, 1,250) is asked. What names nothing in the archive is kept as an own key (x_…), and people are written by name, without consent.

--amend writes what is known later into a record that is there, and leaves everything else of it as it is: --amend 2026-05-03-01 --varnished now --judged right --outcome keeper.

On a terminal each plate is shown before it is written, and you type what is different: 9s f4 right keeper title="Bell founder".

Nothing is overwritten but the value of a key that --amend names.`
}

func (c *logCommand) Run(e *environment) error {
	root, err := e.root()
	if err != nil {
		return err
	}
	l := &logging{logCommand: c, env: e, root: root}
	if err := l.open(); err != nil {
		return err
	}
	things := 0
	for _, asked := range []bool{c.Amend != "", c.From != "", c.Export != "", c.Calendar != "", len(c.Scans) > 0} {
		if asked {
			things++
		}
	}
	switch {
	case things > 1:
		return usagef("--amend, --from, --export, --calendar and scans are different things to do: name one")
	case c.Write && c.From == "":
		return usagef("--write belongs to --from; without it, records are written unless --dry-run is said")
	case c.Amend != "":
		return l.amend()
	case c.From != "":
		return l.table()
	case c.Export != "":
		if err := notInSite(c.Export); err != nil {
			return err
		}
		return l.export()
	case c.Calendar != "":
		if err := notInSite(c.Calendar); err != nil {
			return err
		}
		return l.calendar()
	}
	return l.plates()
}

// notInSite refuses a file with everybody's names in the folder of a built site:
// it would be uploaded with it, and the next build would take it away.
func notInSite(file string) error {
	if file == "-" {
		return nil
	}
	for dir := filepath.Dir(file); ; dir = filepath.Dir(dir) {
		if _, err := os.Stat(filepath.Join(dir, swap.Mark)); err == nil {
			return usagef("%s lies in a built site, which is replaced at every build and may be public: name a file elsewhere", file)
		}
		if dir == filepath.Dir(dir) {
			return nil
		}
	}
}

// calendar writes what the studio's calendar program reads.
func (l *logging) calendar() error {
	a := l.book.Archive
	events := bench.Events(a, l.now)
	file, err := calendar.File(a.Studio.Name, time.Now(), events)
	if err != nil {
		return err
	}
	if err := swap.WriteFile(l.Calendar, file, 0o600); err != nil {
		return err
	}
	l.env.say.print("wrote %s: %s; it names clients and sitters, so keep it to yourself", l.Calendar, plural(len(events), "event"))
	return nil
}

// logging is one run of the command.
type logging struct {
	*logCommand
	env  *environment
	root string
	book *daybook.Book
	in   *bufio.Reader // of the terminal; nil where nobody can be asked
	now  time.Time

	wrote, left int
}

// open reads the archive.
func (l *logging) open() error {
	a, _, err := record.Read(l.env.ctx, l.root)
	if err != nil {
		return err
	}
	today, err := l.env.day(a.Studio.Zone)
	if err != nil {
		return err
	}
	l.now = time.Now().In(a.Studio.Zone)
	if l.env.today != "" {
		l.now = today.Start(a.Studio.Zone).Add(12 * time.Hour)
	}
	l.book, err = daybook.Open(a, today)
	return err
}

// plates logs a plate for each scan, or one without.
func (l *logging) plates() error {
	order, err := l.order()
	if err != nil {
		return err
	}
	if f, ok := stdinTerminal(); ok && !l.Yes && !l.DryRun {
		l.in = bufio.NewReader(f)
	}
	found, err := l.scans()
	if err != nil {
		return err
	}
	if l.in == nil {
		lock, err := daybook.Lock(l.env.ctx, l.root, "log", l.waiting)
		if err != nil {
			return err
		}
		defer lock.Release()
		if err := l.open(); err != nil { // as it is under the lock
			return err
		}
	}
	for i := range found {
		if err := l.plate(found[i], order); err != nil {
			if errors.Is(err, errEnough) {
				break
			}
			return err
		}
	}
	return l.sum()
}

func (l *logging) waiting(h swap.Holder) {
	l.env.say.note("plates are being written (%s); waiting", h)
}

func (l *logging) sum() error {
	switch {
	case l.DryRun:
		l.env.say.print("%s would be written; nothing was", plural(l.wrote, "record"))
	case l.wrote > 0 || l.left == 0:
		l.env.say.print("%s written", plural(l.wrote, "record"))
	}
	if l.left > 0 {
		l.env.say.note("%s not written", plural(l.left, "plate"))
		return errFaults
	}
	return nil
}

// order is what the flags say.
func (l *logging) order() (daybook.Order, error) {
	o := daybook.Order{Sitting: l.SameSitting, Folder: l.Folder}
	if l.Folder != "" {
		rel, err := l.inside(l.Folder)
		if err == nil {
			err = daybook.CheckFolder(rel)
		}
		if err != nil {
			return o, usagef("--folder: %v", err)
		}
		o.Folder = rel
	}
	v := reflect.ValueOf(l.plateFlags)
	for i := range v.NumField() {
		text := v.Field(i).String()
		if text == "" {
			continue
		}
		o.Changes = append(o.Changes, daybook.Change{Key: flagName(v.Type().Field(i)), Text: l.moment(text)})
	}
	for _, pair := range l.Set {
		key, text, ok := strings.Cut(pair, "=")
		if !ok {
			return o, usagef("--set %s; accepted: key=value", pair)
		}
		o.Changes = append(o.Changes, daybook.Change{Key: key, Text: text})
	}
	entry := l.book.Entry()
	for _, c := range o.Changes {
		if err := entry.Set(c.Key, c.Text); err != nil {
			return o, usagef("%v", err)
		}
	}
	return o, nil
}

// flagName is the short name of a key that a field of plateFlags stands for.
func flagName(f reflect.StructField) string {
	if name := f.Tag.Get("name"); name != "" {
		return name
	}
	var b strings.Builder
	for i, c := range f.Name {
		if c >= 'A' && c <= 'Z' && i > 0 {
			b.WriteByte('-')
		}
		b.WriteRune(c)
	}
	return strings.ToLower(b.String())
}

// moment turns now and today into a time.
func (l *logging) moment(text string) string {
	switch text {
	case "now":
		return daybook.FormatMoment(l.now.Truncate(time.Minute), true)
	case "today":
		return l.now.Format(time.DateOnly)
	}
	return text
}

// scans finds what is to be logged; nil stands for a plate without a scan.
func (l *logging) scans() ([]*daybook.Found, error) {
	if len(l.Scans) == 0 {
		return []*daybook.Found{nil}, nil
	}
	var below []string
	for _, at := range l.Scans {
		rel, err := l.inside(at)
		if err != nil {
			return nil, usagef("%v", err)
		}
		if _, err := os.Stat(at); err != nil {
			return nil, usagef("%s: there is no such folder or scan", at)
		}
		below = append(below, rel)
	}
	var out []*daybook.Found
	for _, f := range l.book.Scans(below) {
		out = append(out, &f)
	}
	if len(out) == 0 {
		l.env.say.note("every scan there has its record already")
	}
	return out, nil
}

// inside gives a path relative to the archive.
func (l *logging) inside(at string) (string, error) {
	full, err := filepath.Abs(at)
	if err != nil {
		return "", err
	}
	root, err := filepath.Abs(l.root)
	if err != nil {
		return "", err
	}
	rel, err := filepath.Rel(root, full)
	if err != nil || rel == ".." || strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		return "", fmt.Errorf("%s is outside the archive %s: put it inside first", at, root)
	}
	return filepath.ToSlash(rel), nil
}

// errEnough says that the photographer has had enough.
var errEnough = errors.New("enough")

// plate composes one plate, asks about it where somebody can be asked, and
// writes it.
func (l *logging) plate(f *daybook.Found, order daybook.Order) error {
	if err := l.env.ctx.Err(); err != nil {
		return err
	}
	if l.in != nil {
		return l.ask(f, order)
	}
	d, errs := l.book.Compose(f, order)
	if len(errs) > 0 {
		l.left++
		l.refused(d, f, errs)
		return nil
	}
	l.show(d)
	return l.write(d)
}

// write makes the sidecar, unless this is a dry run.
func (l *logging) write(d *daybook.Draft) error {
	l.book.Settle(d)
	if l.DryRun {
		l.wrote++
		return nil
	}
	err := l.book.Write(d)
	switch {
	case errors.Is(err, fs.ErrExist):
		l.left++
		l.env.say.note("%s: a file of that name came in between; it was left alone", d.File)
		return nil
	case err != nil:
		return err
	}
	l.wrote++
	return nil
}

func (l *logging) show(d *daybook.Draft) {
	s := l.env.say
	head := d.ID() + "  → " + d.File
	if d.Scan != "" {
		head = d.ID() + "  " + d.Scan + " → " + d.File
	}
	s.print("%s", head)
	s.print("  %s", s.wrap(d.Said(), 2, 2))
	if over := d.CarriedOver(); over != "" {
		s.print("  %s", s.wrap("from "+d.From+": "+over, 2, 2))
	}
	for _, r := range d.Remarks {
		s.note("  %s", s.wrap(r, 2, 2))
	}
}

func (l *logging) refused(d *daybook.Draft, f *daybook.Found, errs []error) {
	what := "the plate"
	if f != nil {
		what = f.Rel
	} else if d.ID() != "" {
		what = "plate " + d.ID()
	}
	for _, err := range errs {
		text := err.Error()
		if !d.Has("made") && strings.HasPrefix(text, "made is") {
			text = "the day it was made is not known: say it with --made"
		}
		l.env.say.note("%s: not written: %s", what, l.env.say.wrap(text, len(what)+15, 2))
	}
	if l.Plate != "" && l.book.Taken(l.Plate) {
		l.env.say.note("  to write into the record that is there: log --amend %s", shellWord(l.Plate))
	}
}

// stdinTerminal is the terminal somebody sits at, if there is one.
func stdinTerminal() (io.Reader, bool) {
	return os.Stdin, term.IsTerminal(int(os.Stdin.Fd()))
}

// ask shows a plate and takes differences until it is to be written. The lock is
// held, and the archive read again, only for the moment of writing.
func (l *logging) ask(f *daybook.Found, order daybook.Order) error {
	s := l.env.say
	for {
		d, errs := l.book.Compose(f, order)
		if f != nil && f.Fault != nil {
			l.left++
			l.refused(d, f, errs)
			return nil
		}
		if !d.Has("made") {
			line, err := l.question("when was it made? [" + l.moment("now") + "] ")
			if err != nil {
				return err
			}
			if line == "" {
				line = "now"
			}
			order.Changes = l.try(order.Changes, []daybook.Change{{Key: "made", Text: l.moment(line)}})
			continue
		}
		l.show(d)
		for _, err := range errs {
			s.note("  %s", s.wrap("to mend: "+err.Error(), 2, 2))
		}
		line, err := l.question("differences? [Enter writes, - leaves it out, . ends] ")
		switch {
		case err != nil:
			return err
		case line == ".":
			return errEnough
		case line == "-":
			return nil
		case line == "" && len(errs) == 0:
			return l.writeAsked(f, order)
		case line == "":
			s.note("  not yet: something is to be mended first")
			continue
		}
		more, err := daybook.Changes(line)
		if err != nil {
			s.note("  %v", err)
			continue
		}
		for i := range more {
			more[i].Text = l.moment(more[i].Text)
		}
		order.Changes = l.try(order.Changes, more)
	}
}

// try adds changes that a plate may hold, and says why not otherwise.
func (l *logging) try(changes, more []daybook.Change) []daybook.Change {
	entry := l.book.Entry()
	for _, c := range more {
		if err := entry.Set(c.Key, c.Text); err != nil {
			l.env.say.note("  %v", err)
			return changes
		}
	}
	return append(changes[:len(changes):len(changes)], more...)
}

// writeAsked composes the plate once more under the lock, since other plates may
// have been written while the photographer was typing, and writes it.
func (l *logging) writeAsked(f *daybook.Found, order daybook.Order) error {
	lock, err := daybook.Lock(l.env.ctx, l.root, "log", l.waiting)
	if err != nil {
		return err
	}
	defer lock.Release()
	if err := l.open(); err != nil {
		return err
	}
	d, errs := l.book.Compose(f, order)
	if len(errs) > 0 {
		l.left++
		l.refused(d, f, errs)
		return nil
	}
	if err := l.write(d); err != nil {
		return err
	}
	l.env.say.print("wrote %s", d.File)
	return nil
}

// question asks on the terminal; the end of input ends the run.
func (l *logging) question(text string) (string, error) {
	fmt.Fprint(l.env.say.err, text)
	type answer struct {
		line string
		err  error
	}
	got := make(chan answer, 1)
	go func() {
		line, err := l.in.ReadString('\n')
		got <- answer{line, err}
	}()
	select {
	case <-l.env.ctx.Done():
		return "", context.Cause(l.env.ctx)
	case a := <-got:
		if a.err != nil && a.line == "" {
			return "", errEnough
		}
		return strings.TrimSpace(a.line), nil
	}
}
