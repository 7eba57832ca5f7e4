package bench

import (
	"fmt"
	"os"
	"testing"
)

// The kill test starts this test binary again with a job.
const killEnv = "BENCH_TEST_ROOT"

func TestMain(m *testing.M) {
	if root := os.Getenv(killEnv); root != "" {
		if err := sendForEver(root); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
	code := m.Run()
	if browser.stop != nil {
		browser.stop()
	}
	os.Exit(code)
}
