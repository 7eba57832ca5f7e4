package sample

import (
	"bytes"
	"os"
	"os/exec"
	"strings"
	"testing"
)

// Tool runs an independent program and returns what it prints. Where the
// program is not installed the test is skipped, but never when CI is set.
func Tool(t testing.TB, name string, args ...string) []byte {
	t.Helper()
	return ToolIn(t, nil, name, args...)
}

// ToolIn is Tool with bytes on the standard input.
func ToolIn(t testing.TB, stdin []byte, name string, args ...string) []byte {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		if os.Getenv("CI") != "" {
			t.Fatalf("%s is needed: %v", name, err)
		}
		t.Skipf("%s is not installed", name)
	}
	cmd := exec.Command(path, args...)
	cmd.Stdin = bytes.NewReader(stdin)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, errs.String())
	}
	return out.Bytes()
}

// Write writes a file into the test's own folder and returns its path.
func Write(t testing.TB, name string, data []byte) string {
	t.Helper()
	path := t.TempDir() + "/" + name
	if err := os.WriteFile(path, data, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}
