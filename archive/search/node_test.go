package search

import (
	"bufio"
	"encoding/json"
	"io"
	"os"
	"os/exec"
	"testing"
)

// needNode fails or skips without Node: in CI everything must run.
func needNode(t testing.TB) string {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		if os.Getenv("CI") == "true" {
			t.Fatal("node is not installed; the search script cannot be tested")
		}
		t.Skip("node is not installed")
	}
	return node
}

// script is a running Node process that answers with the site's own engine.
type script struct {
	in  io.WriteCloser
	out *bufio.Reader
}

func startScript(t testing.TB) *script {
	t.Helper()
	cmd := exec.Command(needNode(t), "testdata/answer.mjs")
	cmd.Stderr = os.Stderr
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		in.Close()
		if err := cmd.Wait(); err != nil {
			t.Errorf("node: %v", err)
		}
	})
	return &script{in, bufio.NewReaderSize(out, 1<<20)}
}

// fataler is what *testing.T and *rapid.T have in common here.
type fataler interface{ Fatal(args ...any) }

func (s *script) ask(t fataler, question, reply any) {
	line, err := json.Marshal(question)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.in.Write(append(line, '\n')); err != nil {
		t.Fatal(err)
	}
	line, err = s.out.ReadBytes('\n')
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(line, reply); err != nil {
		t.Fatal(err)
	}
}

func (s *script) answers(t fataler, dir string, queries []query) []answer {
	var all []answer
	s.ask(t, map[string]any{"dir": dir, "queries": queries}, &all)
	if len(all) != len(queries) {
		t.Fatal("as many answers as queries were expected")
	}
	for i, a := range all {
		if a.Error != "" {
			t.Fatal(queries[i], a.Error)
		}
	}
	return all
}

func TestScriptWithDamagedIndex(t *testing.T) {
	node := needNode(t)
	cmd := exec.Command(node, "--test", "testdata/damage.test.mjs")
	cmd.Env = append(os.Environ(), "INDEX="+write(t, made(200), Options{}))
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
}
