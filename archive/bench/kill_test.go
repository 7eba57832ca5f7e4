package bench

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"
)

// script is what the devices of the kill test send, in order: plates, with a
// consent, a picture and what is said of a plate later among them.
func script(l *Logbook, device, n int) error {
	ctx := context.Background()
	id := entryID(device*10_000 + n)
	switch n % 5 {
	case 1:
		_, err := l.Consent(ctx, fmt.Appendf(nil, `{"id":"%s","at":"2026-05-20T10:00:00+01:00","name":"Sitter %d of %d","portfolio":true,"signature":{"typed":"x"}}`, id, n, device))
		return err
	case 3:
		_, err := l.Picture(ctx, id, entryID(device*10_000+n-1), photo())
		return err
	case 4:
		_, err := l.Change(ctx, fmt.Appendf(nil, `{"id":"%s","of":"%s","values":{"judged":"right","flaws":"fog"},"notes":"Later: %s."}`, id, entryID(device*10_000+n-2), id))
		return err
	}
	_, err := l.Plate(ctx, plateEntry(id, id, nil))
	return err
}

// isPlate says of an entry of the script that it is a plate.
func isPlate(n int) bool { return n%5 == 0 || n%5 == 2 }

// sendForEver sends from three devices and prints what was acknowledged.
func sendForEver(root string) error {
	l, err := OpenLogbook(context.Background(), root, at)
	if err != nil {
		return err
	}
	fmt.Println("open")
	var mu sync.Mutex
	failed := make(chan error, 3)
	for d := range 3 {
		go func() {
			for n := 0; ; n++ {
				if err := script(l, d, n); err != nil {
					failed <- err
					return
				}
				mu.Lock()
				fmt.Println(d, n)
				mu.Unlock()
			}
		}()
	}
	return <-failed
}

// How often a server is killed is set by SANDARAC_KILLS, as for builds:
//
//	SANDARAC_KILLS=200 go test ./archive/bench -run Killed -timeout 0
const (
	killsEnv   = "SANDARAC_KILLS"
	killsUsual = 16
)

func kills(t *testing.T) int {
	t.Helper()
	text := os.Getenv(killsEnv)
	if text == "" {
		return killsUsual
	}
	n, err := strconv.Atoi(text)
	if err != nil {
		t.Fatalf("%s: %v", killsEnv, err)
	}
	return n
}

// A server that is killed at any moment leaves whole files, loses nothing that it
// acknowledged, and after a restart takes everything once more without doubling
// any of it.
func TestKilledServers(t *testing.T) {
	random := rand.New(rand.NewPCG(20, 1851))
	most, unfinished := 0, 0
	for seed := range (kills(t) + 1) / 2 {
		root := rooms(t)
		sent := [3]int{}
		for range 2 {
			acked := killedAfter(t, root, time.Duration(20+random.IntN(240))*time.Millisecond)
			for d, n := range acked {
				sent[d] = max(sent[d], n)
				most = max(most, n)
			}
			a := sound(t, root)
			marks := map[string]int{}
			for _, p := range a.Plates {
				marks[p.Light.Note]++
			}
			for d, n := range sent {
				for i := range n {
					if id := entryID(d*10_000 + i); isPlate(i) && marks[id] != 1 {
						t.Fatalf("seed %d: entry %s was acknowledged and stands in %d records", seed, id, marks[id])
					}
				}
			}
			open, err := os.ReadDir(root + "/.sandarac/bench/open")
			if err == nil {
				unfinished += len(open)
			}
		}
		// The devices come back and send everything from the beginning, and a little more.
		l := book(t, root)
		total := 0
		for d := range 3 {
			for n := range sent[d] + 7 {
				if err := script(l, d, n); err != nil {
					t.Fatalf("seed %d: device %d, entry %d: %v", seed, d, n, err)
				}
			}
			total += sent[d] + 7
		}
		a := sound(t, root)
		marks, pictures, changes := map[string]int{}, 0, 0
		for _, p := range a.Plates {
			marks[p.Light.Note]++
			pictures += len(p.Scans)
			said := strings.Count(p.Body, "Later: ")
			if changes += said; said > 1 || said == 1 && (p.Judged != "right" || len(p.Flaws) != 1) {
				t.Fatalf("seed %d: %s was changed %d times: judged %s, flaws %v", seed, p.ID, said, p.Judged, p.Flaws)
			}
		}
		want := 0
		for d := range 3 {
			for n := range sent[d] + 7 {
				if !isPlate(n) {
					continue
				}
				want++
				if id := entryID(d*10_000 + n); marks[id] != 1 {
					t.Fatalf("seed %d: entry %s stands in %d records", seed, id, marks[id])
				}
			}
		}
		if people := len(a.Sitters) - 1; want+people+pictures+changes != total || len(a.Orphans) > 0 {
			t.Fatalf("seed %d: %d plates, %d people, %d pictures, %d changes of %d entries; orphans %v", seed, want, people, pictures, changes, total, a.Orphans)
		}
	}
	if most == 0 || unfinished == 0 {
		t.Errorf("acknowledged at most %d, begun and not finished %d: the kills tested nothing", most, unfinished)
	}
	t.Logf("at most %d entries of a device acknowledged; %d entries were caught between journal and record", most, unfinished)
}

// killedAfter runs the devices for a while from when the log book is open, kills
// them, and gives how many entries each had acknowledged.
func killedAfter(t *testing.T, root string, after time.Duration) [3]int {
	t.Helper()
	cmd := exec.Command(os.Args[0])
	cmd.Env = append(os.Environ(), killEnv+"="+root)
	var errOut bytes.Buffer
	cmd.Stderr = &errOut
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	in := bufio.NewScanner(out)
	if in.Scan() {
		time.AfterFunc(after, func() { _ = cmd.Process.Kill() })
	}
	var acked [3]int
	for in.Scan() {
		d, n, ok := strings.Cut(in.Text(), " ")
		device, err1 := strconv.Atoi(d)
		number, err2 := strconv.Atoi(n)
		if ok && err1 == nil && err2 == nil && device < 3 {
			acked[device] = max(acked[device], number+1)
		}
	}
	_ = cmd.Wait() // it was killed
	if s := errOut.String(); s != "" {
		t.Fatal(s)
	}
	return acked
}
