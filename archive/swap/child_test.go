package swap

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"
)

// The tests kill real processes: this test binary, started again with a job.
const (
	jobEnv    = "SWAP_TEST_JOB"    // which job, with its arguments, tab-separated
	momentEnv = "SWAP_TEST_MOMENT" // at which moment to die, counted from 1
	twiceEnv  = "SWAP_TEST_TWICE"  // take the way of systems that cannot exchange names
)

func TestMain(m *testing.M) {
	job := os.Getenv(jobEnv)
	if job == "" {
		os.Exit(m.Run())
	}
	if n, _ := strconv.Atoi(os.Getenv(momentEnv)); n > 0 {
		moment = func(string) {
			if n--; n == 0 {
				die()
			}
		}
	}
	if os.Getenv(twiceEnv) != "" {
		exchangeNames = func(_, _ string) error { return errUnsupported }
	}
	args := strings.Split(job, "\t")
	if err := jobs[args[0]](args[1:]); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(0)
}

// die ends this process as a power cut would: nothing deferred, nothing flushed.
func die() {
	self, _ := os.FindProcess(os.Getpid())
	self.Kill()
	time.Sleep(time.Hour)
}

var jobs = map[string]func(args []string) error{
	"replace": func(args []string) error { return replaceTree(args[0], args[1]) },
	"replace-on": func(args []string) error {
		from, _ := strconv.Atoi(args[1])
		fmt.Println(0) // a sign of life
		for n := from; ; n++ {
			if err := replaceTree(args[0], strconv.Itoa(n)); err != nil {
				return err
			}
			fmt.Println(n)
		}
	},
	"recover": func(args []string) error { return Recover(args[0]) },
	"write":   func(args []string) error { return WriteFile(args[0], content(args[1]), 0o644) },
	"create":  func(args []string) error { return CreateNew(args[0], content(args[1]), 0o644) },
	"change":  func(args []string) error { return ReplaceIf(args[0], content("1"), content(args[1])) },
	"write-on": func(args []string) error {
		fmt.Println(0)
		for n := 1; ; n++ {
			if err := WriteFile(args[0], content(strconv.Itoa(n)), 0o644); err != nil {
				return err
			}
			fmt.Println(n)
		}
	},
	"create-on": func(args []string) error {
		fmt.Println(0)
		for n := 1; ; n++ {
			if err := CreateNew(filepath.Join(args[0], fmt.Sprintf("%06d.md", n)), content(strconv.Itoa(n)), 0o644); err != nil {
				return err
			}
			fmt.Println(n)
		}
	},
	"hold": func(args []string) error {
		lock, err := Acquire(args[0], "build")
		if err != nil {
			return err
		}
		fmt.Println("held")
		time.Sleep(time.Hour)
		return lock.Release()
	},
}

// content is what the file of a generation holds: long enough that a torn write
// would show, each line telling the generation.
func content(generation string) []byte {
	return bytes.Repeat([]byte("generation "+generation+"\n"), 700)
}

const treeFiles = 12

// replaceTree puts a tree of the given generation at place.
func replaceTree(place, generation string) error {
	t, err := Begin(place)
	if err != nil {
		return err
	}
	for i := range treeFiles {
		name := filepath.Join(t.Dir(), fmt.Sprintf("p%d", i%3), fmt.Sprintf("%d.html", i))
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			return err
		}
		if err := os.WriteFile(name, content(generation), 0o644); err != nil {
			return err
		}
		moment("file written")
	}
	_, err = t.Commit(context.Background())
	return err
}

// treeGeneration reads which generation stands at place; an error if it is not
// whole.
func treeGeneration(place string) (string, error) {
	first, err := os.ReadFile(filepath.Join(place, "p0", "0.html"))
	if err != nil {
		return "", err
	}
	line, _, _ := strings.Cut(string(first), "\n")
	generation := strings.TrimPrefix(line, "generation ")
	n := 0
	err = files(place, func(name string, _ os.FileInfo) {
		if name == Mark {
			return
		}
		n++
		if got, _ := os.ReadFile(filepath.Join(place, name)); !bytes.Equal(got, content(generation)) {
			n = -1 << 20
		}
	})
	if err == nil && n != treeFiles {
		err = fmt.Errorf("%s: a mixture: %d whole files of generation %s", place, n, generation)
	}
	return generation, err
}

// child starts the test binary with a job.
func child(t testing.TB, env []string, job ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Env = append(os.Environ(), append(env, jobEnv+"="+strings.Join(job, "\t"))...)
	return cmd
}

// runChild runs a job to its end or its death and says whether it was killed.
func runChild(t testing.TB, env []string, job ...string) (killed bool) {
	t.Helper()
	cmd := child(t, env, job...)
	out, err := cmd.CombinedOutput()
	if err == nil {
		return false
	}
	if cmd.ProcessState.ExitCode() == -1 || cmd.ProcessState.ExitCode() == 1 && len(out) == 0 {
		return true // a signal, or TerminateProcess
	}
	t.Fatalf("%v: %v\n%s", job, err, out)
	return false
}
