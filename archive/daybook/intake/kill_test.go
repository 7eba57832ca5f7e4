package intake

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strings"
	"testing"
	"time"

	"sandarac/archive/daybook"
	"sandarac/archive/daybook/sheet"
	"sandarac/archive/record"
)

// The test kills real processes: this test binary, started again with a job.
const killEnv = "INTAKE_TEST_ROOT"

func TestMain(m *testing.M) {
	root := os.Getenv(killEnv)
	if root == "" {
		os.Exit(m.Run())
	}
	if err := importInto(root); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	os.Exit(0)
}

// rowsWithoutIDs is a table whose plates get their ids from the pattern.
func rowsWithoutIDs(n int) string {
	var b strings.Builder
	b.WriteString("date,seconds,notes\n")
	for i := range n {
		fmt.Fprintf(&b, "2026-05-%02d,%d,%s\n", 1+i%9, 5+i, strings.Repeat("a line of notes ", 40))
	}
	return b.String()
}

const killRows = 60

// importInto does what log --from --write does.
func importInto(root string) error {
	ctx := context.Background()
	lock, err := daybook.Lock(ctx, root, "log --from", nil)
	if err != nil {
		return err
	}
	defer lock.Release()
	a, _, err := record.Read(ctx, root)
	if err != nil {
		return err
	}
	b, err := daybook.Open(a, today)
	if err != nil {
		return err
	}
	t, err := sheet.Read([]byte(rowsWithoutIDs(killRows)), sheet.Options{})
	if err != nil {
		return err
	}
	p, err := Make(b, t, Propose(t, today), "t.csv")
	if err != nil {
		return err
	}
	_, _, err = p.Write(ctx, b, nil)
	return err
}

// An import that is killed at any moment leaves whole records only; run again, it
// brings each row in once.
func TestKilledImports(t *testing.T) {
	random := rand.New(rand.NewPCG(4, 1851))
	partial := 0
	for seed := range 25 {
		root := write(t, studio())
		for range 2 {
			cmd := exec.Command(os.Args[0])
			cmd.Env = append(os.Environ(), killEnv+"="+root)
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			time.Sleep(time.Duration(10_000+random.IntN(50_000)) * time.Microsecond)
			_ = cmd.Process.Kill() // it may have ended by itself
			_ = cmd.Wait()
			a := sound(t, root)
			if n := len(a.Plates); n > 0 && n < killRows {
				partial++
			}
			for _, p := range a.Plates {
				if p.Extra[daybook.SourceKey] == "" || p.Exposure.Seconds == 0 || !strings.HasSuffix(p.Body, "notes\n") {
					t.Fatalf("seed %d: %s is torn", seed, p.File)
				}
			}
		}
		if err := importInto(root); err != nil {
			t.Fatal(err)
		}
		a := sound(t, root)
		seen := map[float64]bool{}
		for _, p := range a.Plates {
			seen[p.Exposure.Seconds] = true
		}
		if len(a.Plates) != killRows || len(seen) != killRows {
			t.Fatalf("seed %d: %d plates of %d rows", seed, len(a.Plates), len(seen))
		}
	}
	if partial == 0 {
		t.Error("no import was ever caught in the middle")
	}
	t.Logf("%d kills caught an import in the middle", partial)
}
