package swap

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

func init() {
	jobs["disk"] = func(args []string) error {
		if err := mountDisk(args[0], args[1]); err != nil {
			return err
		}
		return failsCleanly(args[0], args[2])
	}
	jobs["limit"] = func(args []string) error {
		// Past the limit a write fails with EFBIG, once its signal is ignored.
		signal.Ignore(syscall.SIGXFSZ)
		limit := syscall.Rlimit{Cur: 4096, Max: 4096}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			return err
		}
		return failsCleanly(args[0], args[1])
	}
	jobs["denied"] = func(args []string) error { return failsCleanly(args[0], args[1]) }
}

// mountDisk mounts a small memory disk over dir, in this process's own name
// space, with the old content of dir in it; "ro" makes it read-only afterwards.
func mountDisk(dir, kind string) error {
	if err := syscall.Mount("", "/", "", syscall.MS_REC|syscall.MS_PRIVATE, ""); err != nil {
		return fmt.Errorf("%w: %w", errNoMount, err)
	}
	size := "size=256k"
	if kind == "full" {
		size = "size=64k"
	}
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, size); err != nil {
		return fmt.Errorf("%w: %w", errNoMount, err)
	}
	if err := seedDisk(dir); err != nil {
		return err
	}
	if kind == "ro" {
		return syscall.Mount("", dir, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, size)
	}
	return nil
}

var errNoMount = errors.New("cannot mount here")

// seedDisk writes the old state: a file and a small tree.
func seedDisk(dir string) error {
	if err := os.WriteFile(filepath.Join(dir, "plate.md"), []byte("old"), 0o644); err != nil {
		return err
	}
	tree, err := Begin(filepath.Join(dir, "public"))
	if err != nil {
		return err
	}
	if err := os.WriteFile(filepath.Join(tree.Dir(), "index.html"), []byte("old"), 0o644); err != nil {
		return err
	}
	_, err = tree.Commit(context.Background())
	return err
}

// failsCleanly tries everything that writes, wants each to fail with words that
// contain want, and the old state to stand.
func failsCleanly(dir, want string) error {
	big := bytes.Repeat([]byte("x"), 200<<10)
	old := filepath.Join(dir, "plate.md")
	for name, err := range map[string]error{
		"WriteFile":     WriteFile(old, big, 0o644),
		"WriteFile new": WriteFile(filepath.Join(dir, "new.md"), big, 0o644),
		"CreateNew":     CreateNew(filepath.Join(dir, "newer.md"), big, 0o644),
		"Tree":          bigTree(filepath.Join(dir, "public"), big),
	} {
		var told *Error
		if !errors.As(err, &told) || !strings.Contains(told.Why, want) || told.Mend == "" {
			return fmt.Errorf("%s: %v, want %q", name, err, want)
		}
	}
	for _, path := range []string{old, filepath.Join(dir, "public", "index.html")} {
		if got, err := os.ReadFile(path); string(got) != "old" {
			return fmt.Errorf("%s: %.20q, %v", path, got, err)
		}
	}
	entries, err := os.ReadDir(dir)
	if err == nil && len(entries) != 2 {
		err = fmt.Errorf("left behind: %v", entries)
	}
	return err
}

// bigTree replaces place by a tree with one big file.
func bigTree(place string, big []byte) error {
	tree, err := Begin(place)
	if err != nil {
		return err
	}
	if err = WriteFile(filepath.Join(tree.Dir(), "index.html"), big, 0o644); err == nil {
		_, err = tree.Commit(context.Background())
	}
	if err != nil {
		return errors.Join(err, tree.Discard())
	}
	return nil
}

// alone starts a job in name spaces of its own, in which it may mount.
func alone(t *testing.T, flags uintptr, job ...string) *exec.Cmd {
	cmd := child(t, nil, job...)
	cmd.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWNS | flags}
	if flags&syscall.CLONE_NEWUSER != 0 {
		cmd.SysProcAttr.UidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}}
		cmd.SysProcAttr.GidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}}
	}
	return cmd
}

// onDisk runs the checks on a small disk of the given kind; false if this
// machine lets nobody mount one.
func onDisk(t *testing.T, kind, want string) bool {
	t.Helper()
	for _, flags := range []uintptr{0, syscall.CLONE_NEWUSER} {
		out, err := alone(t, flags, "disk", t.TempDir(), kind, want).CombinedOutput()
		if err == nil {
			return true
		}
		if len(out) == 0 || bytes.Contains(out, []byte(errNoMount.Error())) {
			continue // no leave to make the name space, or to mount in it
		}
		t.Fatalf("%v\n%s", err, out)
	}
	return false
}

func TestDiskFull(t *testing.T) {
	if !onDisk(t, "full", "the disk is full") {
		t.Log("no mount here; only the limit on file size is tried")
	}
	dir := t.TempDir()
	if err := seedDisk(dir); err != nil {
		t.Fatal(err)
	}
	if out, err := child(t, nil, "limit", dir, "larger than this disk").CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
}

func TestReadOnly(t *testing.T) {
	if !onDisk(t, "ro", "the disk is read-only") {
		t.Log("no mount here; only a folder without rights is tried")
	}
	dir := t.TempDir()
	if err := seedDisk(dir); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	defer os.Chmod(dir, 0o755)
	cmd := child(t, nil, "denied", dir, "you may not write here")
	if os.Getuid() == 0 {
		asNobody(t, cmd, dir)
	}
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
}

// asNobody makes cmd run without root's right to write anywhere: from a copy of
// this program that others may read, in a folder they may enter.
func asNobody(t *testing.T, cmd *exec.Cmd, dir string) {
	t.Helper()
	open, err := os.MkdirTemp("", "swap-test")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(open) })
	program, err := os.ReadFile(cmd.Path)
	if err != nil {
		t.Fatal(err)
	}
	copied := filepath.Join(open, "program")
	if err := os.WriteFile(copied, program, 0o755); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{open, copied, filepath.Dir(dir)} {
		if err := os.Chmod(path, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	cmd.Path, cmd.Args = copied, []string{copied}
	cmd.Dir = open
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
}
