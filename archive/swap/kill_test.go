package swap

import (
	"bufio"
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"testing"
	"time"
)

// noSiblings fails if anything but what is named stands in dir.
func noSiblings(t *testing.T, dir string, allowed ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, entry := range entries {
		ok := false
		for _, name := range allowed {
			ok = ok || entry.Name() == name
		}
		if !ok {
			t.Errorf("left behind: %s", entry.Name())
		}
	}
}

// A replacement is killed at every one of its moments, and the recovery after it
// at every one of its own; both on systems that exchange names and on others.
func TestTreeKilledAtEachMoment(t *testing.T) {
	for _, twice := range []bool{false, true} {
		t.Run(fmt.Sprintf("twice=%v", twice), func(t *testing.T) {
			t.Parallel()
			var env []string
			if twice {
				env = []string{twiceEnv + "=1"}
			}
			kills := 0
			for first := 0; first < 2; first++ { // first: nothing stood there before
				for at := 1; ; at++ {
					n, killed := killOnce(t, env, first == 0, twice, at)
					kills += n
					if !killed {
						break
					}
				}
			}
			t.Logf("%d kills", kills)
			if kills < 60 {
				t.Errorf("only %d kills: the moments are not reached", kills)
			}
		})
	}
}

// killOnce kills one replacement at its moment at, then each recovery; it says
// how many processes died and whether the replacement did.
func killOnce(t *testing.T, env []string, first, twice bool, at int) (kills int, killed bool) {
	t.Helper()
	dir := t.TempDir()
	place := filepath.Join(dir, "public")
	if !first {
		runChild(t, env, "replace", place, "1")
	}
	killed = runChild(t, append(env, momentEnv+"="+strconv.Itoa(at)), "replace", place, "2")
	if killed {
		kills++
	}
	generation, err := treeGeneration(place)
	if err != nil && !(os.IsNotExist(err) && (first || twice)) {
		t.Fatalf("moment %d, before recovery: %v", at, err)
	}
	for r := 1; r <= 3; r++ {
		if runChild(t, append(env, momentEnv+"="+strconv.Itoa(r)), "recover", place) {
			kills++
		}
	}
	if err := Recover(place); err != nil {
		t.Fatal(err)
	}
	after, err := treeGeneration(place)
	switch {
	case first && os.IsNotExist(err) && !exists(place):
	case err != nil:
		t.Fatalf("moment %d, after recovery: %v", at, err)
	case generation != "" && after != generation:
		t.Fatalf("moment %d: visitors saw %s, recovery left %s", at, generation, after)
	case !killed && after != "2":
		t.Fatalf("not killed, but generation %s", after)
	}
	noSiblings(t, dir, "public")
	return kills, killed
}

// killLater starts a job that runs for ever and kills it after the time given,
// counted from its first sign of life; it returns the last number it printed.
func killLater(t *testing.T, env []string, after time.Duration, job ...string) int {
	t.Helper()
	cmd, lines := runOn(t, env, job...)
	<-lines
	time.Sleep(after)
	return stop(cmd, lines)
}

// pace is how long such a job takes for a step here and now.
func pace(t *testing.T, env []string, job ...string) time.Duration {
	t.Helper()
	const steps = 4
	cmd, lines := runOn(t, env, job...)
	<-lines
	began := time.Now()
	for range steps {
		<-lines
	}
	took := time.Since(began) / steps
	stop(cmd, lines)
	return took
}

// runOn starts a job; lines are the numbers it prints.
func runOn(t *testing.T, env []string, job ...string) (*exec.Cmd, <-chan int) {
	t.Helper()
	cmd := child(t, env, job...)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	lines := make(chan int, 1<<16)
	go func() {
		defer close(lines)
		for in := bufio.NewScanner(out); in.Scan(); {
			if n, err := strconv.Atoi(in.Text()); err == nil {
				lines <- n
			}
		}
	}()
	return cmd, lines
}

// stop kills a job and gives the last number it printed.
func stop(cmd *exec.Cmd, lines <-chan int) (last int) {
	_ = cmd.Process.Kill()
	for n := range lines {
		last = n
	}
	_ = cmd.Wait() // it was killed
	return last
}

// The same at moments nobody chose: a child replaces the tree again and again
// and is killed at seeded times.
func TestTreeKilledAtSeededTimes(t *testing.T) {
	for _, twice := range []bool{false, true} {
		t.Run(fmt.Sprintf("twice=%v", twice), func(t *testing.T) {
			t.Parallel()
			var env []string
			if twice {
				env = []string{twiceEnv + "=1"}
			}
			random := rand.New(rand.NewPCG(7, 1853))
			dir := t.TempDir()
			place := filepath.Join(dir, "public")
			if err := replaceTree(place, "0"); err != nil {
				t.Fatal(err)
			}
			at := 0
			span := 3 * pace(t, env, "replace-on", filepath.Join(t.TempDir(), "public"), "1")
			for seed := range 110 {
				told := killLater(t, env, time.Duration(random.Int64N(int64(span))), "replace-on", place, strconv.Itoa(at+1))
				if !twice {
					if _, err := treeGeneration(place); err != nil {
						t.Fatalf("kill %d, before recovery: %v", seed, err)
					}
				}
				if err := Recover(place); err != nil {
					t.Fatal(err)
				}
				generation, err := treeGeneration(place)
				if err != nil {
					t.Fatalf("kill %d: %v", seed, err)
				}
				noSiblings(t, dir, "public")
				n, _ := strconv.Atoi(generation)
				if n < max(at, told) || n > max(at, told)+1 {
					t.Fatalf("kill %d: generation %d, after %d and told %d", seed, n, at, told)
				}
				at = n
			}
			if at == 0 {
				t.Error("no replacement ever finished: the kills came too early to test anything")
			}
		})
	}
}

func TestFileKilledAtEachMoment(t *testing.T) {
	for _, job := range []string{"write", "create", "change"} {
		t.Run(job, func(t *testing.T) {
			kills := 0
			for at := 1; ; at++ {
				path := filepath.Join(t.TempDir(), "plate.md")
				if job != "create" {
					if err := os.WriteFile(path, content("1"), 0o644); err != nil {
						t.Fatal(err)
					}
				}
				killed := runChild(t, []string{momentEnv + "=" + strconv.Itoa(at)}, job, path, "2")
				got, err := os.ReadFile(path)
				old := job != "create" && bytes.Equal(got, content("1")) || job == "create" && os.IsNotExist(err)
				if !old && !bytes.Equal(got, content("2")) {
					t.Fatalf("moment %d: neither old nor new: %d bytes, %v", at, len(got), err)
				}
				if !killed {
					if old {
						t.Fatal("it ended well, but wrote nothing")
					}
					break
				}
				kills++
			}
			if kills != 3 {
				t.Errorf("%d moments, want 3", kills)
			}
		})
	}
}

// What a writer was told is written is there, whole, whenever it is killed.
func TestFilesKilledAtSeededTimes(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 1851))
	most := 0
	span := 3 * pace(t, nil, "write-on", filepath.Join(t.TempDir(), "log.md"))
	for seed := range 100 {
		dir := t.TempDir()
		after := time.Duration(random.Int64N(int64(span)))
		if seed%2 == 0 {
			path := filepath.Join(dir, "log.md")
			told := killLater(t, nil, after, "write-on", path)
			got, err := os.ReadFile(path)
			if told == 0 && os.IsNotExist(err) {
				continue
			}
			if !bytes.Equal(got, content(strconv.Itoa(told))) && !bytes.Equal(got, content(strconv.Itoa(told+1))) {
				t.Fatalf("kill %d: told %d, found %.20q (%v)", seed, told, got, err)
			}
			most = max(most, told)
			continue
		}
		told := killLater(t, nil, after, "create-on", dir)
		for n := 1; n <= told; n++ {
			if !exists(filepath.Join(dir, fmt.Sprintf("%06d.md", n))) {
				t.Fatalf("kill %d: entry %d of %d is lost", seed, n, told)
			}
		}
		made, _ := filepath.Glob(filepath.Join(dir, "*.md"))
		if len(made) > told+1 {
			t.Fatalf("kill %d: %d files, told of %d", seed, len(made), told)
		}
		for i, path := range made {
			if got, _ := os.ReadFile(path); !bytes.Equal(got, content(strconv.Itoa(i+1))) {
				t.Fatalf("kill %d: %s is torn: %d bytes", seed, path, len(got))
			}
		}
		most = max(most, told)
	}
	if most == 0 {
		t.Error("no write ever finished: the kills came too early to test anything")
	}
}
