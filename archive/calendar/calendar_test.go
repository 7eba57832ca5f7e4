package calendar

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"
)

var made = time.Date(2026, 5, 3, 12, 0, 0, 0, time.UTC)

func TestFile(t *testing.T) {
	dublin, err := time.LoadLocation("Europe/Dublin")
	if err != nil {
		t.Fatal(err)
	}
	got, err := File("Test Rooms", made, []Event{
		{UID: "cure-1@x.example", At: time.Date(2026, 5, 4, 18, 0, 0, 0, dublin), Length: 15 * time.Minute, Summary: "Plate 1 may be touched; gently, by the edges", Description: "a\\b\nc"},
		{UID: "end-q@x.example", At: time.Date(2026, 12, 31, 0, 0, 0, 0, dublin), AllDay: true, Summary: "Gallery ends", Alarm: 60 * 24 * time.Hour},
	})
	if err != nil {
		t.Fatal(err)
	}
	want := strings.ReplaceAll(`BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//Sandarac//Studio//EN
CALSCALE:GREGORIAN
METHOD:PUBLISH
X-WR-CALNAME:Test Rooms
BEGIN:VEVENT
UID:cure-1@x.example
DTSTAMP:20260503T120000Z
DTSTART:20260504T170000Z
DURATION:PT15M
SUMMARY:Plate 1 may be touched\; gently\, by the edges
DESCRIPTION:a\\b\nc
TRANSP:TRANSPARENT
END:VEVENT
BEGIN:VEVENT
UID:end-q@x.example
DTSTAMP:20260503T120000Z
DTSTART;VALUE=DATE:20261231
DTEND;VALUE=DATE:20270101
SUMMARY:Gallery ends
TRANSP:TRANSPARENT
BEGIN:VALARM
ACTION:DISPLAY
DESCRIPTION:Gallery ends
TRIGGER:-P60D
END:VALARM
END:VEVENT
END:VCALENDAR
`, "\n", "\r\n")
	if string(got) != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if _, err := File("x", made, []Event{{Summary: "no uid"}}); err == nil {
		t.Error("an event without a UID")
	}
}

// The examples of durations are those of RFC 5545, section 3.3.6: fifteen days,
// five hours and twenty seconds; seven weeks.
func TestDuration(t *testing.T) {
	for want, d := range map[string]time.Duration{"P15DT5H20S": 15*24*time.Hour + 5*time.Hour + 20*time.Second, "P49D": 7 * 7 * 24 * time.Hour, "PT1H30M": 90 * time.Minute, "PT0S": 0, "PT1M": time.Minute} {
		if got := duration(d); got != want {
			t.Errorf("%v: %s, want %s", d, got, want)
		}
	}
}

// Unfolded and unescaped by the rules of RFC 5545, every text is what went in,
// and no line is longer than 75 octets.
func TestTextComesBack(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		text := rapid.StringOf(rapid.OneOf(rapid.RuneFrom([]rune(`a\;,:"nN`)), rapid.Just('\n'), rapid.Just('é'), rapid.Just('漢'), rapid.Rune())).Draw(rt, "text")
		out, err := File("x", made, []Event{{UID: "u", At: made, Summary: text}})
		if err != nil {
			rt.Fatal(err)
		}
		for line := range strings.SplitSeq(strings.TrimSuffix(string(out), "\r\n"), "\r\n") {
			if len(line) > 75 || !utf8.ValidString(line) || strings.ContainsAny(line, "\r\n") {
				rt.Fatalf("a line of %d octets: %q", len(line), line)
			}
		}
		_, rest, _ := strings.Cut(strings.ReplaceAll(string(out), "\r\n ", ""), "SUMMARY:")
		line, _, _ := strings.Cut(rest, "\r\n")
		got := strings.NewReplacer(`\\`, `\`, `\;`, ";", `\,`, ",", `\n`, "\n").Replace(line)
		want := strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(strings.ToValidUTF8(text, "�"))
		want = strings.Map(func(c rune) rune {
			if c < ' ' && c != '\n' && c != '\t' || c == 0x7f {
				return -1
			}
			return c
		}, want)
		if got != want {
			rt.Fatalf("%q became %q", want, got)
		}
	})
}

// icalJS is the independent reader: the iCalendar parser of the Mozilla project.
const icalJS = "ical.js@2.2.1"

// TestAnIndependentReader reads a calendar with ical.js, which knows RFC 5545.
func TestAnIndependentReader(t *testing.T) {
	dir := npmPackage(t, icalJS)
	long := strings.Repeat("Grüße; 漢字, \\ and “quotes”\n", 12)
	file, err := File("Stüdio", made, []Event{
		{UID: "cure-1@x.example", At: time.Date(2026, 10, 25, 1, 30, 0, 0, time.UTC), Length: 90 * time.Minute, Summary: "Plate; 1", Description: long},
		{UID: "end@x.example", At: time.Date(2026, 12, 31, 0, 0, 0, 0, time.UTC), AllDay: true, Summary: "Gallery ends", Alarm: 24 * time.Hour},
	})
	if err != nil {
		t.Fatal(err)
	}
	at := filepath.Join(t.TempDir(), "a.ics")
	if err := os.WriteFile(at, file, 0o644); err != nil {
		t.Fatal(err)
	}
	script := `import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
const loaded = createRequire(process.argv[1] + '/')('ical.js'); const ICAL = loaded.default ?? loaded;
ICAL.design.strict = true;
const comp = new ICAL.Component(ICAL.parse(readFileSync(process.argv[2], 'utf8')));
const events = comp.getAllSubcomponents('vevent').map((c) => { const e = new ICAL.Event(c, {strictExceptions: true}); return {
  uid: e.uid, summary: e.summary, description: e.description ?? '', start: e.startDate.toJSDate().toISOString(), end: e.endDate.toJSDate().toISOString(), allDay: e.startDate.isDate,
  day: e.startDate.toString(), stamp: c.getFirstPropertyValue('dtstamp').toJSDate().toISOString(), alarm: c.getFirstSubcomponent('valarm')?.getFirstPropertyValue('trigger').toSeconds() ?? 0 }; });
console.log(JSON.stringify({ version: comp.getFirstPropertyValue('version'), prodid: comp.getFirstPropertyValue('prodid'), events }));`
	cmd := exec.Command("node", "--input-type=module", "-e", script, "--", dir, at)
	var errOut bytes.Buffer
	cmd.Stderr = &errOut
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%v\n%s", err, errOut.String())
	}
	var got struct {
		Version, ProdID string
		Events          []struct {
			UID, Summary, Description, Start, End, Day, Stamp string
			AllDay                                            bool
			Alarm                                             float64
		}
	}
	if err := json.Unmarshal(out, &got); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	if got.Version != "2.0" || got.ProdID == "" || len(got.Events) != 2 {
		t.Fatalf("%s", out)
	}
	first, second := got.Events[0], got.Events[1]
	if first.UID != "cure-1@x.example" || first.Summary != "Plate; 1" || first.Description != long || first.Start != "2026-10-25T01:30:00.000Z" || first.End != "2026-10-25T03:00:00.000Z" || first.AllDay || first.Stamp != "2026-05-03T12:00:00.000Z" {
		t.Errorf("%+v", first)
	}
	if !second.AllDay || second.Day != "2026-12-31" || second.Alarm != -86400 {
		t.Errorf("%+v", second)
	}
}

// npmPackage installs a package once into the user's cache and gives the folder
// that holds its node_modules.
func npmPackage(t *testing.T, nameAtVersion string) string {
	t.Helper()
	npm, err := exec.LookPath("npm")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("npm is not installed")
		}
		t.Skip("npm is not installed")
	}
	cache, err := os.UserCacheDir()
	if err != nil {
		cache = t.TempDir()
	}
	dir := filepath.Join(cache, "sandarac-tests", strings.ReplaceAll(nameAtVersion, "@", "-"))
	name, _, _ := strings.Cut(nameAtVersion, "@")
	if _, err := os.Stat(filepath.Join(dir, "node_modules", name)); err == nil {
		return dir
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	install := exec.Command(npm, "install", "--prefix", dir, "--no-audit", "--no-fund", "--ignore-scripts", nameAtVersion)
	install.Dir = dir
	if out, err := install.CombinedOutput(); err != nil {
		t.Fatalf("npm install: %v\n%s", err, out)
	}
	return dir
}
