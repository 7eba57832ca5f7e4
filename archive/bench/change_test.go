package bench

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"sandarac/archive/bench/journal"
)

func changeEntry(n int, plate string, values, was map[string]string) []byte {
	data, err := json.Marshal(ChangeEntry{ID: entryID(n), Plate: plate, Values: values, Was: was})
	if err != nil {
		panic(err)
	}
	return data
}

const morning = "2026-05-20-01"

func fileOf(t *testing.T, root string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(root, "2026-05", "p1.md"))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// A plate logged in the morning is varnished and judged in the evening; the
// record is changed in place, once, however often the device sends.
func TestChangesGoIntoTheRecordOnce(t *testing.T) {
	root := rooms(t)
	put(t, root, "2026-05/p1.md", strings.Replace(fileOf(t, root), "support: tin\n", "support: tin   # japanned\n", 1))
	l := book(t, root)
	sent := changeEntry(1, morning, map[string]string{"judged": "right", "outcome": "keeper", "varnished": "2026-05-20T18:30:00+01:00", "batches.varnish": "varnish-1", "flaws": "comets; fog"}, nil)
	a, err := l.Change(context.Background(), sent)
	if err != nil || a.Result != morning || a.File != "2026-05/p1.md" || a.Again {
		t.Fatalf("%+v, %v", a, err)
	}
	got := fileOf(t, root)
	for _, want := range []string{"support: tin   # japanned\n", "judged: right\n", "outcome: keeper\n", "varnished: 2026-05-20T18:30\n", "varnish: varnish-1}", "flaws: [comets, fog]\n"} {
		if !strings.Contains(got, want) {
			t.Errorf("no %q in\n%s", want, got)
		}
	}
	sound(t, root)
	s, err := l.State(context.Background())
	if err != nil || len(s.Plates) != 1 || s.Plates[0].Values["judged"] != "right" || s.Plates[0].Values["flaws"] != "comets; fog" {
		t.Errorf("%+v, %v", s.Plates, err)
	}
	// By hand, back to how it was: what is sent once more does not change it again.
	put(t, root, "2026-05/p1.md", strings.Replace(got, "judged: right\n", "", 1))
	for _, l := range []*Logbook{l, book(t, root)} {
		if a, err := l.Change(context.Background(), sent); err != nil || !a.Again {
			t.Errorf("%+v, %v", a, err)
		}
	}
	if strings.Contains(fileOf(t, root), "judged") {
		t.Error("sent once more, it was changed once more")
	}
}

// An edit by hand stands; what does not contradict it goes beside it, and what
// does is refused whole, with both values.
func TestChangesLeaveEditsByHandAlone(t *testing.T) {
	root := rooms(t)
	l := book(t, root)
	if _, err := l.State(context.Background()); err != nil { // the archive as the device saw it
		t.Fatal(err)
	}
	edited := strings.Replace(fileOf(t, root), "sitters: []\n", "judged: under  # by daylight\nsitters: []\ntitle: Mine\n", 1)
	put(t, root, "2026-05/p1.md", edited)
	_, err := l.Change(context.Background(), changeEntry(1, morning, map[string]string{"judged": "right", "outcome": "keeper"}, nil))
	var refused *Refused
	if !errors.As(err, &refused) || !strings.Contains(err.Error(), "judged is “under”; accepted: nothing, as it was when you looked") {
		t.Fatalf("%v", err)
	}
	if fileOf(t, root) != edited {
		t.Errorf("changed all the same: %s", fileOf(t, root))
	}
	if open, err := l.journal.Unfinished(); err != nil || len(open) != 0 {
		t.Errorf("%v, %v", open, err)
	}
	// Asked again with what is there now, or for another key, it is written.
	for n, values := range []map[string]string{{"judged": "right"}, {"outcome": "keeper"}} {
		if _, err := l.Change(context.Background(), changeEntry(2+n, morning, values, map[string]string{"judged": "under"})); err != nil {
			t.Fatal(err)
		}
	}
	got := fileOf(t, root)
	if !strings.Contains(got, "judged: right  # by daylight\n") || !strings.Contains(got, "title: Mine\n") || !strings.Contains(got, "outcome: keeper\n") {
		t.Errorf("%s", got)
	}
}

// A plate that was logged here is changed by the entry it was sent as, under
// whatever name its record has by now.
func TestChangeOfAnEntry(t *testing.T) {
	root := rooms(t)
	l := book(t, root)
	change := func(n, of int) error {
		data, err := json.Marshal(ChangeEntry{ID: entryID(n), Of: entryID(of), Values: map[string]string{"judged": "over"}})
		if err != nil {
			t.Fatal(err)
		}
		_, err = l.Change(context.Background(), data)
		return err
	}
	if err := change(1, 9); err == nil || !strings.Contains(err.Error(), "that the form sent before") {
		t.Errorf("a change of a plate that never came: %v", err)
	}
	a, err := l.Plate(context.Background(), plateEntry(entryID(2), "two", nil))
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(filepath.Join(root, filepath.FromSlash(a.File)), filepath.Join(root, "moved.md")); err != nil {
		t.Fatal(err)
	}
	l.Touch()
	if err := change(3, 2); err != nil {
		t.Fatal(err)
	}
	if p, ok := sound(t, root).Plate(a.Result); !ok || p.Judged != "over" || p.File != "moved.md" {
		t.Errorf("%+v", p)
	}
}

// A server that dies between writing a record and saying so writes it no second
// time; one that dies before writes it when it starts.
func TestChangesAfterAKill(t *testing.T) {
	for _, written := range []bool{false, true} {
		for _, edited := range []bool{false, true} {
			t.Run(fmt.Sprintf("written %v, edited %v", written, edited), func(t *testing.T) {
				root := rooms(t)
				l := book(t, root)
				e := journal.Entry{ID: entryID(1), Kind: "change", Sent: changeEntry(1, morning, map[string]string{"judged": "right"}, nil)}
				e.Sum = sumOfEntry(e.Kind, e.Sent, nil)
				if _, err := l.plan(context.Background(), &e, nil); err != nil {
					t.Fatal(err)
				}
				if written {
					if _, err := l.makeFiles(e, false); err != nil {
						t.Fatal(err)
					}
				}
				if edited {
					put(t, root, "2026-05/p1.md", fileOf(t, root)+"\nBy hand.\n")
				}
				after := book(t, root) // the next run
				if got := fileOf(t, root); strings.Count(got, "judged: right") != 1 || strings.Contains(got, "By hand.") != edited {
					t.Errorf("%s", got)
				}
				if a, err := after.Change(context.Background(), e.Sent); err != nil || !a.Again {
					t.Errorf("%+v, %v", a, err)
				}
			})
		}
	}
}

// Many devices at one record, and somebody with an editor: each change is in it,
// and every save of the editor's.
func TestChangesAtOnce(t *testing.T) {
	root := rooms(t)
	l := book(t, root)
	var wg sync.WaitGroup
	for d := range 4 {
		wg.Go(func() {
			for n := range 10 {
				data, err := json.Marshal(ChangeEntry{ID: entryID(100*d + n), Plate: morning, Notes: fmt.Sprintf("Note %d of %d.", n, d)})
				if err == nil {
					_, err = l.Change(context.Background(), data)
				}
				if err != nil {
					t.Error(err)
				}
			}
		})
	}
	path := filepath.Join(root, "2026-05", "p1.md")
	for n := range 20 {
		// An editor that reads and saves by renaming, and looks whether the file it
		// read is still there: then what it saves holds all of it.
		for {
			before, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			l.changing.Lock() // people do not type within a thousandth of a second
			now, _ := os.ReadFile(path)
			if string(now) == string(before) {
				put(t, root, "2026-05/p1.md~", strings.Replace(string(now), "support: tin", fmt.Sprintf("x_edit_%d: yes\nsupport: tin", n), 1))
				if err := os.Rename(path+"~", path); err != nil {
					t.Error(err)
				}
				l.changing.Unlock()
				break
			}
			l.changing.Unlock()
		}
	}
	wg.Wait()
	got := fileOf(t, root)
	for d := range 4 {
		for n := range 10 {
			if strings.Count(got, fmt.Sprintf("Note %d of %d.\n", n, d)) != 1 {
				t.Errorf("note %d of %d is not there once", n, d)
			}
		}
	}
	for n := range 20 {
		if !strings.Contains(got, fmt.Sprintf("x_edit_%d: yes\n", n)) {
			t.Errorf("edit %d is lost", n)
		}
	}
	sound(t, root)
}

// What is still to be said of the days before is offered.
func TestOpenPlates(t *testing.T) {
	root := rooms(t)
	for name, keys := range map[string]string{
		"a-kept": "outcome: keeper", "b-not-judged": "", "c-done": "outcome: keeper\nvarnished: 2026-05-19T18:00", "d-scrapped": "outcome: scrapped", "e-test": "purpose: test",
	} {
		put(t, root, "2026-05/"+name+".md", "---\nplate: "+name+"\nmade: 2026-05-19T10:00\n"+keys+"\n---\n")
	}
	put(t, root, "2026-05/old.md", "---\nplate: old\nmade: 2026-04-10\n---\n")
	s, err := book(t, root).State(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, p := range s.Open {
		got = append(got, p.ID+" "+p.Day+" "+p.Made)
	}
	if want := "b-not-judged 2026-05-19 10:00, a-kept 2026-05-19 10:00"; strings.Join(got, ", ") != want {
		t.Errorf("%v, want %s", got, want)
	}
}
