package picture

import (
	"context"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"testing"

	"sandarac/archive/scan/sample"
)

// BenchmarkUnchanged is a second run over 10,000 masters of three widths each.
func BenchmarkUnchanged(b *testing.B) {
	const n = 10_000
	dir, cache := b.TempDir(), b.TempDir()
	var jobs []Job
	for i := range n {
		path := filepath.Join(dir, strconv.Itoa(i)+".jpg")
		if err := os.WriteFile(path, sample.JPEG(b, sample.GreyScene(8+i%100, 8+i/100), 60), 0o644); err != nil {
			b.Fatal(err)
		}
		jobs = append(jobs, Job{path, []Output{{Width: 5, Rights: rights, Edition: "public"}, {Width: 4, Rights: rights, Edition: "public"}, {Width: 3, Rights: rights, Edition: "public"}}})
	}
	run(b, cache, jobs)
	b.ReportAllocs()
	for b.Loop() {
		m, err := New(cache, Options{})
		if err != nil {
			b.Fatal(err)
		}
		if _, _, err := m.Make(context.Background(), jobs, nil); err != nil || m.Decoded() != 0 {
			b.Fatal(err, m.Decoded())
		}
	}
}

// Memory is bounded by the largest few scans, not by their number. Were what is
// made of a scan kept, 3 MiB each, eighty would hold ten times as much as eight;
// what the garbage collector happens to find may differ.
func TestMemoryDoesNotGrow(t *testing.T) {
	coded := sample.JPEG(t, sample.Scene(1500, 1000), 90)
	dir := t.TempDir()
	held := func(n int) uint64 {
		var jobs []Job
		for i := range n {
			path := filepath.Join(dir, strconv.Itoa(n)+"-"+strconv.Itoa(i)+".jpg")
			// A byte behind the end of the picture makes each another master.
			if err := os.WriteFile(path, append(coded, byte(n), byte(i)), 0o644); err != nil {
				t.Fatal(err)
			}
			jobs = append(jobs, Job{path, []Output{{Width: 1200}, {Width: 400}}})
		}
		var most uint64
		m, err := New(t.TempDir(), Options{Memory: 32 << 20})
		if err != nil {
			t.Fatal(err)
		}
		_, faults, err := m.Make(context.Background(), jobs, func(int, int) {
			runtime.GC()
			var s runtime.MemStats
			runtime.ReadMemStats(&s)
			most = max(most, s.HeapAlloc)
		})
		if err != nil || len(faults) > 0 {
			t.Fatal(err, faults)
		}
		return most
	}
	few, many := held(8), held(80)
	if many > 2*few {
		t.Errorf("80 scans hold %d KiB, 8 hold %d KiB", many>>10, few>>10)
	}
}
