package picture

import (
	"context"
	"errors"
	"image/jpeg"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"sync"
	"testing"
	"time"

	"sandarac/archive/scan"
	"sandarac/archive/scan/fault"
	"sandarac/archive/scan/likeness"
	"sandarac/archive/scan/sample"
)

// archive writes n masters of different content and returns their jobs.
func archive(t testing.TB, n int) []Job {
	t.Helper()
	dir := t.TempDir()
	var jobs []Job
	for i := range n {
		path := filepath.Join(dir, "m"+strconv.Itoa(i)+".jpg")
		if err := os.WriteFile(path, sample.JPEG(t, sample.Scene(120+i, 80), 90), 0o644); err != nil {
			t.Fatal(err)
		}
		jobs = append(jobs, Job{path, []Output{{Width: 100, Rights: rights, Edition: "public"}, {Width: 50, Rights: rights, Edition: "public"}}})
	}
	return jobs
}

// run makes jobs in a cache folder with a new Maker, as a new process would.
func run(t testing.TB, cache string, jobs []Job) (*Maker, map[string]Set) {
	t.Helper()
	m, err := New(cache, Options{})
	if err != nil {
		t.Fatal(err)
	}
	sets, faults, err := m.Make(context.Background(), jobs, nil)
	if err != nil || len(faults) > 0 {
		t.Fatal(err, faults)
	}
	return m, sets
}

func same(a, b map[string]Set) bool {
	if len(a) != len(b) {
		return false
	}
	for path, s := range a {
		for i, f := range s.Files {
			if b[path].Files[i] != f {
				return false
			}
		}
		if s.Tone != b[path].Tone || s.Hash != b[path].Hash || s.Info != b[path].Info {
			return false
		}
	}
	return true
}

func TestSecondRunDecodesNothing(t *testing.T) {
	cache, jobs := filepath.Join(t.TempDir(), "cache"), archive(t, 3)
	first, a := run(t, cache, jobs)
	if first.Decoded() != 3 {
		t.Errorf("first run decoded %d", first.Decoded())
	}
	// The masters' bytes are changed behind their size and time: were they
	// hashed, it would show.
	for _, j := range jobs {
		info, err := os.Stat(j.Master)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(j.Master, make([]byte, info.Size()), 0o644); err != nil {
			t.Fatal(err)
		}
		if err := os.Chtimes(j.Master, info.ModTime(), info.ModTime()); err != nil {
			t.Fatal(err)
		}
	}
	second, b := run(t, cache, jobs)
	if second.Decoded() != 0 || !same(a, b) {
		t.Errorf("second run decoded %d; same results: %v", second.Decoded(), same(a, b))
	}
}

func TestMovedOrTouchedMasterIsNotDecoded(t *testing.T) {
	cache, jobs := filepath.Join(t.TempDir(), "cache"), archive(t, 1)
	_, a := run(t, cache, jobs)
	old := jobs[0].Master
	jobs[0].Master += "-moved.jpg"
	if err := os.Rename(old, jobs[0].Master); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(jobs[0].Master, time.Now(), time.Now().Add(time.Hour)); err != nil {
		t.Fatal(err)
	}
	m, b := run(t, cache, jobs)
	if m.Decoded() != 0 || b[jobs[0].Master].Files[0] != a[old].Files[0] || b[jobs[0].Master].Hash != a[old].Hash {
		t.Errorf("decoded %d, %+v", m.Decoded(), b)
	}
}

func TestChangedMasterIsMadeAgain(t *testing.T) {
	cache, jobs := filepath.Join(t.TempDir(), "cache"), archive(t, 2)
	_, a := run(t, cache, jobs)
	if err := os.WriteFile(jobs[1].Master, sample.JPEG(t, sample.GreyScene(200, 90), 90), 0o644); err != nil {
		t.Fatal(err)
	}
	m, b := run(t, cache, jobs)
	if m.Decoded() != 1 || b[jobs[0].Master].Files[0] != a[jobs[0].Master].Files[0] || !b[jobs[1].Master].Files[0].Grey {
		t.Errorf("decoded %d, %+v", m.Decoded(), b)
	}
}

func TestChangedRightsAreMadeAgain(t *testing.T) {
	cache, jobs := filepath.Join(t.TempDir(), "cache"), archive(t, 1)
	_, a := run(t, cache, jobs)
	jobs[0].Outputs[0].Rights.Credit = "another"
	m, b := run(t, cache, jobs)
	if m.Decoded() != 1 || a[jobs[0].Master].Files[0].Path == b[jobs[0].Master].Files[0].Path || a[jobs[0].Master].Files[1] != b[jobs[0].Master].Files[1] {
		t.Errorf("decoded %d", m.Decoded())
	}
}

// Whatever happens to the cache costs time only.
func TestDamagedCache(t *testing.T) {
	cache, jobs := filepath.Join(t.TempDir(), "cache"), archive(t, 1)
	_, a := run(t, cache, jobs)
	f := a[jobs[0].Master].Files[1]
	for name, harm := range map[string]func() error{
		"file removed":    func() error { return os.Remove(f.Path) },
		"file cut":        func() error { return os.Truncate(f.Path, 100) },
		"index removed":   func() error { return os.Remove(filepath.Join(cache, indexName)) },
		"index cut":       func() error { return os.Truncate(filepath.Join(cache, indexName), 60) },
		"index scrambled": func() error { return os.WriteFile(filepath.Join(cache, indexName), []byte("???"), 0o600) },
		"all removed":     func() error { return os.RemoveAll(cache) },
	} {
		if err := harm(); err != nil {
			t.Fatal(err)
		}
		m, b := run(t, cache, jobs)
		if m.Decoded() != 1 || !same(a, b) {
			t.Errorf("%s: decoded %d, same results: %v", name, m.Decoded(), same(a, b))
		}
	}
}

// Editions of one picture share no bytes and no coded picture, black ones
// included, and stay alike to the eye.
func TestEditionsDiffer(t *testing.T) {
	black := sample.GreyScene(64, 64)
	clear(black.Pix)
	for _, master := range []string{pngFile(t, sample.Scene(160, 120)), pngFile(t, black)} {
		set := makeOne(t, master, Output{Width: 64}, Output{Width: 64, Edition: "public"}, Output{Width: 64, Edition: "gallery:a"}, Output{Width: 64, Edition: "gallery:b"})
		seen := map[[32]byte]bool{}
		for _, f := range set.Files {
			seen[f.SHA256] = true
			hash, err := likeness.Of(open(t, f))
			if err != nil || likeness.Distance(hash, set.Hash) > likeness.Same {
				t.Errorf("edition %q is %d bits away: %v", f.Output.Edition, likeness.Distance(hash, set.Hash), err)
			}
		}
		if len(seen) != 4 {
			t.Errorf("%d different files of 4", len(seen))
		}
	}
	w := newWorking(64, 64, true)
	for i := range w.luma.pix {
		w.luma.pix[i] = uint16(i * 16)
	}
	a, b := w.eightBitGrey(newGrain("a")), w.eightBitGrey(newGrain("b"))
	mean, largest := greyDifference(a, b)
	if mean == 0 || largest > 1 {
		t.Errorf("editions of a slope differ by %v on average, %d at most", mean, largest)
	}
}

// One bad master is a fault; the others are made.
func TestFaultsStandApart(t *testing.T) {
	jobs := archive(t, 2)
	bad := sample.Write(t, "bad.tif", sample.FourGiB())
	cut := sample.Write(t, "cut.jpg", sample.JPEG(t, sample.Scene(300, 200), 90)[:4000])
	missing := filepath.Join(t.TempDir(), "missing.png")
	for _, path := range []string{bad, cut, missing} {
		jobs = append(jobs, Job{path, jobs[0].Outputs})
	}
	m, err := New(t.TempDir(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	calls, last := 0, 0
	sets, faults, err := m.Make(context.Background(), jobs, func(done, total int) {
		calls++
		if last = done; total != 5 {
			t.Errorf("total %d", total)
		}
	})
	if err != nil || len(sets) != 2 || len(faults) != 3 || calls != 5 || last != 5 {
		t.Fatalf("%d sets, faults %v, %v, %d calls to %d", len(sets), faults, err, calls, last)
	}
	for path, kind := range map[string]fault.Kind{bad: fault.Damaged, cut: fault.Damaged, missing: fault.Missing} {
		var f *scan.Fault
		if !errors.As(faults[path], &f) || f.Kind != kind || f.File != path {
			t.Errorf("%s: %v", filepath.Base(path), faults[path])
		}
	}
}

func TestCancelled(t *testing.T) {
	m, err := New(t.TempDir(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, faults, err := m.Make(ctx, archive(t, 3), nil); !errors.Is(err, context.Canceled) || len(faults) > 0 {
		t.Errorf("%v, %v", err, faults)
	}
}

// A master over its time is a fault, not the end of the run.
func TestTimeLimit(t *testing.T) {
	m, err := New(t.TempDir(), Options{Time: time.Nanosecond})
	if err != nil {
		t.Fatal(err)
	}
	jobs := archive(t, 1)
	_, faults, err := m.Make(context.Background(), jobs, nil)
	var f *scan.Fault
	if err != nil || !errors.As(faults[jobs[0].Master], &f) || f.Kind != fault.Stopped {
		t.Errorf("%v, %v", err, faults)
	}
}

// Little memory means one after the other, not never.
func TestTightMemory(t *testing.T) {
	m, err := New(t.TempDir(), Options{Memory: 1, Workers: 4})
	if err != nil {
		t.Fatal(err)
	}
	if sets, faults, err := m.Make(context.Background(), archive(t, 5), nil); err != nil || len(sets) != 5 {
		t.Errorf("%d sets, %v, %v", len(sets), faults, err)
	}
}

// Jobs of one master are joined; masters of one content may meet in the cache.
func TestSameMasterTwice(t *testing.T) {
	jobs := archive(t, 1)
	copied := sample.Write(t, "copy.jpg", mustRead(t, jobs[0].Master))
	jobs = append(jobs, Job{jobs[0].Master, []Output{{Width: 30}}}, Job{copied, jobs[0].Outputs})
	m, sets := run(t, t.TempDir(), jobs)
	if len(sets) != 2 || len(sets[jobs[0].Master].Files) != 3 || sets[jobs[0].Master].Files[2].Width != 30 || m.Decoded() > 2 {
		t.Errorf("%+v", sets)
	}
	if sets[copied].Files[0].SHA256 != sets[jobs[0].Master].Files[0].SHA256 {
		t.Error("the same content gave different files")
	}
}

func mustRead(t testing.TB, path string) []byte {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func TestPrune(t *testing.T) {
	cache, jobs := filepath.Join(t.TempDir(), "cache"), archive(t, 3)
	m, sets := run(t, cache, jobs)
	gone := sets[jobs[2].Master]
	delete(sets, jobs[2].Master)
	files, bytes, err := m.Prune(sets)
	if err != nil || files != 2 || bytes != gone.Files[0].Bytes+gone.Files[1].Bytes {
		t.Errorf("pruned %d files, %d bytes, %v", files, bytes, err)
	}
	again, _ := run(t, cache, jobs[:2])
	if again.Decoded() != 0 {
		t.Errorf("what was kept was made again: %d", again.Decoded())
	}
	if again, _ = run(t, cache, jobs); again.Decoded() != 1 {
		t.Errorf("what was pruned was not made again: %d", again.Decoded())
	}
}

func TestFilesAreAsDescribed(t *testing.T) {
	_, sets := run(t, t.TempDir(), archive(t, 1))
	for _, s := range sets {
		for _, f := range s.Files {
			file, err := os.Open(f.Path)
			if err != nil {
				t.Fatal(err)
			}
			c, err := jpeg.DecodeConfig(file)
			info, _ := file.Stat()
			file.Close()
			if err != nil || c.Width != f.Width || c.Height != f.Height || info.Size() != f.Bytes {
				t.Errorf("%+v: %+v, %v", f, c, err)
			}
		}
	}
}

func TestIndexRoundTrip(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	x := index{}
	for i := range 50 {
		k := &known{size: r.Int64(), mtime: -r.Int64(), tone: r.Float64(), hash: r.Uint64(), files: map[key]made{}}
		k.info = scan.Info{Format: "TIFF", Width: i, Height: 3, Orientation: 6, Channels: 3, Bits: 16, PPIX: 600.5, Profile: "é", SizeBytes: 9}
		if i%2 == 0 {
			k.info.Taken = time.Unix(int64(i)*1e6, 0).UTC()
		}
		for range i % 5 {
			f := made{width: i, height: 7, bytes: 1 << 40, grey: i%2 == 0}
			f.key[0], f.sum[3] = byte(r.Uint32()), 9
			k.files[f.key] = f
		}
		x["/a/"+strconv.Itoa(i)] = k
	}
	y, err := decodeIndex(x.encode())
	if err != nil || len(y) != len(x) {
		t.Fatal(err)
	}
	for path, k := range x {
		got := y[path]
		if got.size != k.size || got.mtime != k.mtime || got.info != k.info || got.tone != k.tone || got.hash != k.hash || len(got.files) != len(k.files) {
			t.Errorf("%s: %+v, want %+v", path, got, k)
		}
		for id, f := range k.files {
			if got.files[id] != f {
				t.Errorf("%s: %+v, want %+v", path, got.files[id], f)
			}
		}
	}
}

func FuzzIndex(f *testing.F) {
	f.Add(index{"a": {files: map[key]made{{1}: {key: key{1}}}}}.encode())
	f.Add([]byte(indexMagic))
	f.Fuzz(func(t *testing.T, data []byte) {
		if x, err := decodeIndex(data); err == nil && len(x) > len(data) {
			t.Error("more entries than bytes")
		}
		// Past the checksum too.
		if len(data) > 4 {
			decodeIndex(sealIndex(data[:len(data)-4]))
		}
	})
}

// Progress is never called twice at once.
func TestProgressIsSerial(t *testing.T) {
	m, err := New(t.TempDir(), Options{Workers: 4})
	if err != nil {
		t.Fatal(err)
	}
	var mu sync.Mutex
	m.Make(context.Background(), archive(t, 8), func(int, int) {
		if !mu.TryLock() {
			t.Error("called twice at once")
			return
		}
		time.Sleep(time.Millisecond)
		mu.Unlock()
	})
}

// A picture depends on its master and its own width, not on what else is asked
// for: alone or in company it has the same bytes.
func TestCompanyDoesNotMatter(t *testing.T) {
	coded := sample.JPEG(t, sample.Scene(2600, 100), 90)
	master := sample.Write(t, "m.jpg", coded)
	widths := []int{0, 2400, 2000, 1200, 900, 400, 100}
	var all []Output
	for _, w := range widths {
		all = append(all, Output{Width: w})
	}
	together := makeOne(t, master, all...)
	for i, o := range all {
		if alone := makeOne(t, master, o); alone.Files[0].SHA256 != together.Files[i].SHA256 || alone.Tone != together.Tone || alone.Hash != together.Hash {
			t.Errorf("width %d differs when it is made alone", o.Width)
		}
	}
}
