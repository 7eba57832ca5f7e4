package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"

	"sandarac/archive/finding"
	"sandarac/archive/swap"
)

// say is the only way the command speaks. What was asked for goes to standard
// output; everything about how it goes to standard error, so that output can be
// piped. Manners: lower case, no full stop after a label, no exclamation, the
// file first, what to do last.
type say struct {
	out, err io.Writer
	width    int
	terminal bool

	mu  sync.Mutex
	bar *progressbar.ProgressBar
}

func newSay(out, err io.Writer) *say {
	s := &say{out: out, err: err, width: 80}
	if f, ok := err.(*os.File); ok && term.IsTerminal(int(f.Fd())) {
		s.terminal = true
	}
	if f, ok := out.(*os.File); ok {
		if w, _, e := term.GetSize(int(f.Fd())); e == nil && w >= 40 {
			s.width = min(w, 100)
		}
	}
	return s
}

// print writes a line of what was asked for.
func (s *say) print(format string, args ...any) { fmt.Fprintf(s.out, format+"\n", args...) }

// note writes a line about the work.
func (s *say) note(format string, args ...any) {
	s.clear()
	fmt.Fprintf(s.err, format+"\n", args...)
}

// fail writes why the command ends.
func (s *say) fail(err error) {
	s.clear()
	fmt.Fprintf(s.err, "sandarac: %v\n", err)
	var h *hint
	if errors.As(err, &h) {
		fmt.Fprintf(s.err, "  %s\n", h.remedy)
	}
	var r interface{ Remedy() string }
	if errors.As(err, &r) && r.Remedy() != "" {
		fmt.Fprintf(s.err, "  %s\n", r.Remedy())
	}
	var told *swap.Error
	if why, mend := swap.Reason(err); why != "" && !errors.As(err, &told) {
		fmt.Fprintf(s.err, "  %s: %s\n", why, mend)
	}
}

// json writes a value for other programs.
func (s *say) json(v any) error {
	e := json.NewEncoder(s.out)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}

// findings lists faults for mending, worst first within a file, and ends with a
// count. Remarks are counted and listed only when asked for.
func (s *say) findings(w io.Writer, fs []finding.Finding, remarks bool) {
	s.clear()
	for _, f := range fs {
		if f.Severity == finding.Remark && !remarks {
			continue
		}
		head := string(f.Severity)
		if where := f.Where(); where != "" {
			head = where + ": " + head
		}
		fmt.Fprintf(w, "%s: %s\n", head, s.wrap(f.Message, len(head)+2, 4))
		if f.Remedy != "" {
			fmt.Fprintf(w, "    %s\n", s.wrap(f.Remedy, 4, 4))
		}
	}
	fmt.Fprintln(w, tally(fs, remarks))
}

func tally(fs []finding.Finding, remarks bool) string {
	if len(fs) == 0 {
		return "nothing to mend"
	}
	var parts []string
	for _, s := range []finding.Severity{finding.Error, finding.Warning, finding.Remark} {
		if n := finding.Count(fs, s); n > 0 {
			parts = append(parts, plural(n, string(s)))
		}
	}
	line := strings.Join(parts, ", ")
	if !remarks && finding.Count(fs, finding.Remark) > 0 {
		line += " (check --remarks lists the remarks)"
	}
	return line
}

// plural is "1 plate", "3 plates".
func plural(n int, what string) string {
	switch {
	case n == 1:
		return "1 " + what
	case strings.HasSuffix(what, "y"):
		return fmt.Sprintf("%d %sies", n, strings.TrimSuffix(what, "y"))
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// wrap breaks text at the terminal's width; the first line begins at column
// from, the others are indented.
func (s *say) wrap(text string, from, indent int) string {
	var b strings.Builder
	at := from
	for i, word := range strings.Fields(text) {
		n := len([]rune(word))
		switch {
		case i > 0 && at+1+n > s.width:
			b.WriteString("\n" + strings.Repeat(" ", indent))
			at = indent
		case i > 0:
			b.WriteByte(' ')
			at++
		}
		b.WriteString(word)
		at += n
	}
	return b.String()
}

// Step shows how far long work is: a bar on a terminal, nothing elsewhere (the
// step's closing note is enough there).
func (s *say) Step(what string, done, total int) {
	if !s.terminal || total == 0 {
		return
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bar == nil || s.bar.GetMax() != total {
		s.bar = progressbar.NewOptions(total, progressbar.OptionSetWriter(s.err), progressbar.OptionSetDescription(what),
			progressbar.OptionSetWidth(30), progressbar.OptionShowCount(), progressbar.OptionThrottle(100*time.Millisecond), progressbar.OptionClearOnFinish())
	}
	_ = s.bar.Set(done)
	if done >= total {
		s.bar = nil
	}
}

// Note is note for the packages that report their progress.
func (s *say) Note(line string) { s.note("%s", line) }

func (s *say) clear() {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.bar != nil {
		_ = s.bar.Clear()
		s.bar = nil
	}
}
