package swap

import (
	"bufio"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
)

func TestLock(t *testing.T) {
	path := filepath.Join(t.TempDir(), ".sandarac", "lock")
	lock, err := Acquire(path, "build")
	if err != nil {
		t.Fatal(err)
	}
	_, err = Acquire(path, "log")
	var held *HeldError
	if !errors.As(err, &held) || held.Holder.PID != os.Getpid() || held.Holder.Doing != "build" || time.Since(held.Holder.Since) > time.Minute {
		t.Fatalf("second: %v", err)
	}
	if !strings.Contains(err.Error(), `"build"`) {
		t.Errorf("who holds it is not said: %v", err)
	}
	if err := lock.Release(); err != nil {
		t.Fatal(err)
	}
	if lock, err = Acquire(path, "log"); err != nil {
		t.Fatal(err)
	}
	lock.Release()
}

// hold starts another process that holds the lock.
func hold(t *testing.T, path string) (pid int, kill func()) {
	t.Helper()
	cmd := child(t, nil, "hold", path)
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	kill = sync.OnceFunc(func() { cmd.Process.Kill(); cmd.Wait() })
	t.Cleanup(kill)
	if line, _ := bufio.NewReader(out).ReadString('\n'); line != "held\n" {
		t.Fatalf("the other process said %q", line)
	}
	return cmd.Process.Pid, kill
}

// The lock of a process that was killed is free, though its note still lies there.
func TestStaleLock(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	pid, kill := hold(t, path)
	_, err := Acquire(path, "build")
	var held *HeldError
	if !errors.As(err, &held) || held.Holder.PID != pid {
		t.Fatalf("while held: %v", err)
	}
	kill()
	if !exists(path + ".holder") {
		t.Error("the note should still be there: the test would prove nothing")
	}
	lock, err := Acquire(path, "build")
	if err != nil {
		t.Fatalf("after the kill: %v", err)
	}
	lock.Release()
}

func TestAcquireWait(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	pid, kill := hold(t, path)
	ctx, cancel := context.WithTimeout(context.Background(), 250*time.Millisecond)
	defer cancel()
	_, err := AcquireWait(ctx, path, "build", func(Holder) {})
	var held *HeldError
	if !errors.Is(err, context.DeadlineExceeded) || !errors.As(err, &held) {
		t.Fatalf("waited in vain: %v", err)
	}
	lock, err := AcquireWait(context.Background(), path, "build", func(h Holder) {
		if h.PID != pid {
			t.Errorf("waiting for %v, want %d", h, pid)
		}
		go kill()
	})
	if err != nil {
		t.Fatal(err)
	}
	lock.Release()
}

func TestLockWithBrokenNote(t *testing.T) {
	path := filepath.Join(t.TempDir(), "lock")
	lock, err := Acquire(path, "build")
	if err != nil {
		t.Fatal(err)
	}
	defer lock.Release()
	for _, note := range []string{"", "{", `{"pid": "x"}`} {
		os.WriteFile(path+".holder", []byte(note), 0o644)
		_, err := Acquire(path, "log")
		if err == nil || !strings.Contains(err.Error(), "another process") {
			t.Errorf("note %q: %v", note, err)
		}
	}
}
