package exif

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"runtime"
	"strings"
	"testing"
	"time"

	"github.com/rwcarlsen/goexif/exif"

	"sandarac/archive/scan/sample"
)

// libraryEnv names the file that the library is given in a process of its own.
const libraryEnv = "EXIF_TEST_LIBRARY"

var libraryFiles = map[string]func() []byte{"four gib": sample.FourGiB, "loop": sample.Loop}

// TestLibraryChild is that process: it says what the library did.
func TestLibraryChild(t *testing.T) {
	file, ok := libraryFiles[os.Getenv(libraryEnv)]
	if !ok {
		return // a test run like any other
	}
	ended := make(chan struct{})
	var before, now runtime.MemStats
	runtime.ReadMemStats(&before)
	go func() {
		defer close(ended)
		defer func() { _ = recover() }()
		_, _ = exif.Decode(bytes.NewReader(file()))
	}()
	for {
		select {
		case <-ended:
			runtime.ReadMemStats(&now)
			fmt.Printf("ended, %d MiB allocated\n", (now.TotalAlloc-before.TotalAlloc)>>20)
			os.Exit(0)
		case <-time.After(time.Millisecond):
			if runtime.ReadMemStats(&now); now.HeapAlloc > 256<<20 {
				fmt.Printf("grows, %d MiB held\n", now.HeapAlloc>>20)
				os.Exit(0)
			}
		}
	}
}

// The faults of goexif for which there is a fence, shown by the files that the
// fence is tested with: 90 bytes ask for 4 GiB, 44 bytes are read for ever. When
// one is mended this fails, and its part of the fence can go.
func TestLibraryFaults(t *testing.T) {
	for file := range libraryFiles {
		t.Run(file, func(t *testing.T) {
			cmd := exec.Command(os.Args[0], "-test.run=^TestLibraryChild$", "-test.timeout=2m")
			cmd.Env = append(os.Environ(), libraryEnv+"="+file)
			out, err := cmd.CombinedOutput()
			told := string(out)
			asked := 0
			if at := strings.Index(told, "ended, "); at >= 0 {
				_, _ = fmt.Sscanf(told[at:], "ended, %d MiB", &asked)
			}
			// A machine that cannot give 4 GiB ends the process instead.
			if !strings.Contains(told, "grows, ") && asked < 4<<10 && !strings.Contains(told, "out of memory") && !strings.Contains(told, "cannot allocate") {
				t.Errorf("the library does no harm any more: %v\n%.600s", err, told)
			}
			data := libraryFiles[file]()
			if _, err := Read(bytes.NewReader(data), int64(len(data))); err == nil {
				t.Error("the fence lets it through")
			}
		})
	}
}
