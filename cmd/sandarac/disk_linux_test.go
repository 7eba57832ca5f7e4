package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
)

// The tests build on a small disk of memory, mounted in a name space of a process
// of its own: this test binary under another name.
const onDisk = "sandarac-on-disk"

func init() {
	programs[onDisk] = func() {
		if err := tryOnDisk(os.Args[1], os.Args[2], os.Args[3], os.Args[4]); err != nil {
			fmt.Println(err)
			os.Exit(1)
		}
		os.Exit(0)
	}
}

var errNoMount = errors.New("cannot mount here")

// tryOnDisk mounts a disk at root, puts a built archive and then newer records
// on it, and builds when so many KB are left, or ("ro") none may be written.
func tryOnDisk(root, built, newer, left string) error {
	if err := syscall.Mount("", "/", "", syscall.MS_REC|syscall.MS_PRIVATE, ""); err != nil {
		return fmt.Errorf("%w: %w", errNoMount, err)
	}
	if err := syscall.Mount("tmpfs", root, "tmpfs", 0, "size=48m"); err != nil {
		return fmt.Errorf("%w: %w", errNoMount, err)
	}
	for _, from := range []string{built, newer} {
		if err := overlay(root, from); err != nil {
			return err
		}
	}
	before, err := stand(root)
	if err != nil {
		return err
	}
	if left == "ro" {
		if err := syscall.Mount("", root, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, "size=48m"); err != nil {
			return err
		}
		return readOnly(root, before)
	}
	what, number, ok := strings.Cut(left, " ")
	if !ok {
		what, number = "build", left
	}
	kb, err := strconv.Atoi(number)
	if err != nil {
		return err
	}
	switch what {
	case "log":
		return logOnFullDisk(root, int64(kb)<<10)
	case "publish":
		return publishToFullDisk(root, before, int64(kb)<<10)
	}
	return fullDisk(root, before, int64(kb)<<10)
}

// overlay copies files over what is there.
func overlay(root, from string) error {
	return fs.WalkDir(os.DirFS(from), ".", func(name string, d fs.DirEntry, err error) error {
		at := filepath.Join(root, filepath.FromSlash(name))
		if err != nil || d.IsDir() {
			return errors.Join(err, os.MkdirAll(at, 0o755))
		}
		body, err := fs.ReadFile(os.DirFS(from), name)
		if err != nil {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		return os.WriteFile(at, body, info.Mode().Perm())
	})
}

// stand reads what stands in the two sites.
func stand(root string) (map[string]string, error) {
	out := map[string]string{}
	for _, site := range []string{"public", "bench-book"} {
		err := fs.WalkDir(os.DirFS(filepath.Join(root, site)), ".", func(name string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() {
				return err
			}
			body, err := fs.ReadFile(os.DirFS(filepath.Join(root, site)), name)
			out[site+"/"+name] = string(body)
			return err
		})
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

func same(a, b map[string]string) bool {
	if len(a) != len(b) {
		return false
	}
	for name, body := range a {
		if b[name] != body {
			return false
		}
	}
	return true
}

func runHere(args ...string) (string, int) {
	var out bytes.Buffer
	code := run(context.Background(), args, &out, &out)
	return out.String(), code
}

func fullDisk(root string, before map[string]string, left int64) error {
	filler := filepath.Join(root, ".filler")
	if err := fill(filler, root, left); err != nil {
		return err
	}
	build := []string{"build", "--archive", root, "--today", killDay}
	told, code := runHere(build...)
	after, err := stand(root)
	if err != nil {
		return err
	}
	switch {
	case code == exitDone && same(before, after):
		return fmt.Errorf("it ended well and the old site stands:\n%s", told)
	case code != exitDone && !same(before, after):
		return fmt.Errorf("it failed and the old site does not stand:\n%s", told)
	case code != exitDone && !strings.Contains(told, "the disk is full"):
		return fmt.Errorf("it does not say that the disk is full:\n%s", told)
	}
	fmt.Printf("exit code %d\n", code)
	if err := os.Remove(filler); err != nil {
		return err
	}
	if told, code := runHere(build...); code != exitDone {
		return fmt.Errorf("with room again it fails:\n%s", told)
	}
	entries, err := os.ReadDir(root)
	for _, e := range entries {
		if strings.Contains(e.Name(), "sandarac-") {
			return fmt.Errorf("left behind: %s", e.Name())
		}
	}
	return err
}

// logOnFullDisk: a record is whole or not there, and the rest is written once
// there is room.
func logOnFullDisk(root string, left int64) error {
	const scans = 12
	june := filepath.Join(root, "june")
	if err := os.Mkdir(june, 0o755); err != nil {
		return err
	}
	for i := range scans {
		if err := os.WriteFile(filepath.Join(june, fmt.Sprintf("s%02d.jpg", i)), drawScan(325, 425, 100, 90+i), 0o644); err != nil {
			return err
		}
	}
	filler := filepath.Join(root, ".filler")
	if err := fill(filler, root, left); err != nil {
		return err
	}
	log := []string{"log", june, "--archive", root, "--made", "2026-06-03", "--seconds", "9", "--judged", "right", "--yes", "--today", killDay}
	told, code := runHere(log...)
	if (code == exitDone) == strings.Contains(told, "the disk is full") {
		return fmt.Errorf("exit code %d:\n%s", code, told)
	}
	fmt.Printf("exit code %d\n", code)
	if err := os.Remove(filler); err != nil {
		return err
	}
	if told, code := runHere("check", "--archive", root, "--today", killDay); code != exitDone {
		return fmt.Errorf("a record is torn:\n%s", told)
	}
	if told, code := runHere(log...); code != exitDone && !strings.Contains(told, "has its record already") {
		return fmt.Errorf("with room again it fails:\n%s", told)
	}
	if records, err := filepath.Glob(filepath.Join(june, "*.md")); err != nil || len(records) != scans {
		return fmt.Errorf("%d records, want %d", len(records), scans)
	}
	return nil
}

// publishToFullDisk: what is in the folder is whole, and the rest comes once
// there is room.
func publishToFullDisk(root string, site map[string]string, left int64) error {
	www, filler := filepath.Join(root, "www"), filepath.Join(root, ".filler")
	if err := fill(filler, root, left); err != nil {
		return err
	}
	publish := []string{"publish", www, "--archive", root, "--today", killDay}
	told, code := runHere(publish...)
	if (code == exitDone) == strings.Contains(told, "the disk is full") {
		return fmt.Errorf("exit code %d:\n%s", code, told)
	}
	fmt.Printf("exit code %d\n", code)
	err := fs.WalkDir(os.DirFS(www), ".", func(name string, d fs.DirEntry, err error) error {
		if name == "." && errors.Is(err, fs.ErrNotExist) {
			return nil // it came to nothing at all
		}
		if err != nil || d.IsDir() {
			return err
		}
		if body, err := fs.ReadFile(os.DirFS(www), name); err != nil || string(body) != site["public/"+name] {
			return fmt.Errorf("%s is torn (%d bytes of %d): %w", name, len(body), len(site["public/"+name]), err)
		}
		return nil
	})
	if err := errors.Join(err, os.Remove(filler)); err != nil {
		return err
	}
	if told, code := runHere(publish...); code != exitDone {
		return fmt.Errorf("with room again it fails:\n%s", told)
	}
	after, err := stand(root)
	for name, body := range after {
		if rest, ok := strings.CutPrefix(name, "public/"); ok {
			if got, err := os.ReadFile(filepath.Join(www, rest)); err != nil || string(got) != body {
				return fmt.Errorf("%s is not what was published: %w", rest, err)
			}
		}
	}
	return err
}

// fill writes a file until no more than left bytes are free.
func fill(file, root string, left int64) error {
	var disk syscall.Statfs_t
	if err := syscall.Statfs(root, &disk); err != nil {
		return err
	}
	f, err := os.Create(file)
	if err != nil {
		return err
	}
	_, err = io.CopyN(f, zeros{}, max(0, int64(disk.Bavail)*disk.Bsize-left))
	return errors.Join(err, f.Close())
}

type zeros struct{}

func (zeros) Read(p []byte) (int, error) {
	clear(p)
	return len(p), nil
}

// readOnly: what only reads works, what writes says why it cannot.
func readOnly(root string, before map[string]string) error {
	for _, command := range []string{"check", "galleries", "analyse"} {
		if told, code := runHere(command, "--archive", root, "--today", killDay); code != exitDone {
			return fmt.Errorf("%s: exit code %d:\n%s", command, code, told)
		}
	}
	// A backup is compared with its checksums where it stands.
	if told, code := runHere("fixity", "verify", "--archive", root); code != exitDone || !strings.Contains(strings.Join(strings.Fields(told), " "), "could not be noted: the disk is read-only") || !strings.Contains(told, " 0 changed, 0 missing") {
		return fmt.Errorf("fixity verify: exit code %d:\n%s", code, told)
	}
	told, code := runHere("build", "--archive", root, "--today", killDay)
	if code != exitFaults || !strings.Contains(told, "the disk is read-only") {
		return fmt.Errorf("build: exit code %d:\n%s", code, told)
	}
	after, err := stand(root)
	if err == nil && !same(before, after) {
		err = errors.New("the old site does not stand")
	}
	return err
}

// archives makes a built archive in state A, and the records of state B.
func archives(t *testing.T) (built, newer string) {
	t.Helper()
	built, newer = t.TempDir(), t.TempDir()
	killState(t, built, "A")
	if out, errOut, code := sandarac(t, "build", "--archive", built, "--today", killDay); code != exitDone {
		t.Fatalf("exit code %d\n%s\n%s", code, out, errOut)
	}
	if out, errOut, code := sandarac(t, "fixity", "record", "--archive", built); code != exitDone {
		t.Fatalf("fixity record: exit code %d\n%s\n%s", code, out, errOut)
	}
	killState(t, newer, "B")
	return built, newer
}

// disk runs the program above in name spaces in which it may mount; false if this
// machine lets nobody.
func disk(t *testing.T, args ...string) (told string, could bool) {
	t.Helper()
	for _, flags := range []uintptr{0, syscall.CLONE_NEWUSER} {
		cmd := exec.Command(onDisk, append([]string{t.TempDir()}, args...)...)
		cmd.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWNS | flags}
		if flags != 0 {
			cmd.SysProcAttr.UidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getuid(), Size: 1}}
			cmd.SysProcAttr.GidMappings = []syscall.SysProcIDMap{{ContainerID: 0, HostID: os.Getgid(), Size: 1}}
		}
		out, err := cmd.CombinedOutput()
		if err == nil {
			return string(out), true
		}
		if len(out) == 0 || bytes.Contains(out, []byte(errNoMount.Error())) {
			continue
		}
		t.Fatalf("%v: %v\n%s", args, err, out)
	}
	return "", false
}

// TestDiskFull: wherever a build runs out of room, it says so, the old site
// stands, and with room again the next build is as if nothing had been.
func TestDiskFull(t *testing.T) {
	built, newer := archives(t)
	failed := 0
	for _, left := range []string{"0", "16", "100", "300", "700", "1400", "2500", "30000"} {
		told, could := disk(t, built, newer, left)
		if !could {
			t.Log("no mount here: a full disk cannot be tried")
			return
		}
		if strings.Contains(told, "exit code 1") {
			failed++
		} else if left != "30000" {
			t.Logf("%s KB are enough", left)
		}
	}
	if failed < 4 {
		t.Errorf("only %d builds ran out of room", failed)
	}
}

// TestLogAndPublishOnFullDisk: the two others that write at length.
func TestLogAndPublishOnFullDisk(t *testing.T) {
	built, _ := archives(t)
	for _, what := range []string{"log", "publish"} {
		failed := 0
		for _, left := range []string{"0", "24", "60", "400", "20000"} {
			told, could := disk(t, built, built, what+" "+left)
			if !could {
				t.Log("no mount here: a full disk cannot be tried")
				return
			}
			if strings.Contains(told, "exit code 1") {
				failed++
			} else if left == "0" {
				t.Errorf("%s: nothing is enough", what)
			}
		}
		if failed < 2 || failed == 5 {
			t.Errorf("%s: %d of 5 ran out of room", what, failed)
		}
	}
}

func TestReadOnlyDisk(t *testing.T) {
	built, newer := archives(t)
	if _, could := disk(t, built, newer, "ro"); !could {
		t.Log("no mount here: a read-only disk cannot be tried")
	}
}

// TestFolderWithoutRights: a folder that may not be written is told, and the old
// site stands.
func TestFolderWithoutRights(t *testing.T) {
	built, newer := archives(t)
	before, err := stand(built)
	if err != nil {
		t.Fatal(err)
	}
	if err := overlay(built, newer); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("sandarac", "build", "--archive", built, "--today", killDay)
	if os.Getuid() == 0 {
		asNobody(t, cmd, built)
	}
	lock(t, built)
	out, err := cmd.CombinedOutput()
	if cmd.ProcessState.ExitCode() != exitFaults || !strings.Contains(string(out), "may not write here") {
		t.Errorf("%v\n%s", err, out)
	}
	if after, err := stand(built); err != nil || !same(before, after) {
		t.Errorf("the old site does not stand: %v", err)
	}
}

// lock takes the right to write from an archive's folders, until the test ends.
func lock(t *testing.T, root string) {
	t.Helper()
	var dirs []string
	err := filepath.WalkDir(root, func(file string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() {
			dirs = append(dirs, file)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		for _, dir := range dirs {
			_ = os.Chmod(dir, 0o755)
		}
	})
	slices.Reverse(dirs)
	for _, dir := range dirs {
		if err := os.Chmod(dir, 0o555); err != nil {
			t.Fatal(err)
		}
	}
}

// asNobody makes cmd run without root's right to write anywhere.
func asNobody(t *testing.T, cmd *exec.Cmd, root string) {
	t.Helper()
	open, err := os.MkdirTemp("", "sandarac-test")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(open) })
	program, err := os.ReadFile(cmd.Path)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(open, "sandarac"), program, 0o755); err != nil {
		t.Fatal(err)
	}
	for dir := root; dir != filepath.Clean(os.TempDir()) && dir != "/"; dir = filepath.Dir(dir) {
		if err := os.Chmod(dir, 0o755); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chmod(open, 0o755); err != nil {
		t.Fatal(err)
	}
	cmd.Path, cmd.Dir = filepath.Join(open, "sandarac"), open
	cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: 65534, Gid: 65534}}
}
