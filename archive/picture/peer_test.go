//go:build unix

package picture

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"syscall"
	"testing"
	"time"
)

// BenchmarkAgainstPeer makes 2400, 1200 and 400 pixels of several scans, once by
// a Maker and once by the peer: libvips, its start shared among all scans (one
// vipsthumbnail -s 2400 of all, then one each for 1200 and 400 from those). It
// reports the processor time of both for a scan and the median of the ratios;
// -benchtime 5x makes it a median of five. PICTURE_BENCH_SCANS says how many
// scans (40 for figures to be quoted); PICTURE_BENCH_KEEP is a folder where the
// scans stay, since they take long to draw.
func BenchmarkAgainstPeer(b *testing.B) {
	if _, err := exec.LookPath("vipsthumbnail"); err != nil {
		b.Skip("vipsthumbnail (libvips-tools) is not installed")
	}
	for name, draw := range map[string]func(*testing.B) string{
		"JPEG24Warm":           func(b *testing.B) string { return plateJPEG(b, 6000, 4000, false) },
		"JPEG24Grey":           func(b *testing.B) string { return plateJPEG(b, 6000, 4000, true) },
		"JPEG80Warm":           func(b *testing.B) string { return plateJPEG(b, 10960, 7300, false) },
		"TIFF48":               func(b *testing.B) string { return plateTIFF(b, false, false) },
		"TIFF48Deflate":        func(b *testing.B) string { return plateTIFF(b, true, false) },
		"TIFF48DeflatePredict": func(b *testing.B) string { return plateTIFF(b, true, true) },
	} {
		b.Run(name, func(b *testing.B) {
			scans := peerScans(b, kept(b, name, draw))
			var ratios []float64
			var own, peer time.Duration
			for b.Loop() {
				a, p := ownTime(b, scans), peerTime(b, scans)
				own, peer = own+a, peer+p
				ratios = append(ratios, float64(a)/float64(p))
			}
			slices.Sort(ratios)
			each := float64(b.N * len(scans))
			b.ReportMetric(ratios[len(ratios)/2], "ratio")
			b.ReportMetric(float64(own.Milliseconds())/each, "own-cpu-ms/scan")
			b.ReportMetric(float64(peer.Milliseconds())/each, "peer-cpu-ms/scan")
		})
	}
}

// kept draws a scan, or takes one that was drawn before.
func kept(b *testing.B, name string, draw func(*testing.B) string) string {
	dir := os.Getenv("PICTURE_BENCH_KEEP")
	if dir == "" {
		return draw(b)
	}
	if found, _ := filepath.Glob(filepath.Join(dir, name+".*")); len(found) > 0 {
		return found[0]
	}
	path := draw(b)
	to := filepath.Join(dir, name+filepath.Ext(path))
	data, err := os.ReadFile(path)
	if err == nil {
		err = os.WriteFile(to, data, 0o644)
	}
	if err != nil {
		b.Fatal(err)
	}
	return to
}

// peerScans are links to one scan under several names.
func peerScans(b *testing.B, scan string) (paths []string) {
	n := 4
	if s := os.Getenv("PICTURE_BENCH_SCANS"); s != "" {
		n, _ = strconv.Atoi(s)
	}
	dir := b.TempDir()
	for i := range max(1, n) {
		path := filepath.Join(dir, fmt.Sprintf("s%03d%s", i, filepath.Ext(scan)))
		if err := os.Symlink(scan, path); err != nil {
			b.Fatal(err)
		}
		paths = append(paths, path)
	}
	return paths
}

// ownTime uses a Maker for each scan, since one would know them all after the
// first.
func ownTime(b *testing.B, scans []string) time.Duration {
	start := cpuTime()
	for _, scan := range scans {
		m, err := New(b.TempDir(), Options{})
		if err != nil {
			b.Fatal(err)
		}
		scan, err := filepath.EvalSymlinks(scan)
		if err != nil {
			b.Fatal(err)
		}
		job := Job{scan, []Output{{Width: 2400, Rights: rights}, {Width: 1200, Rights: rights}, {Width: 400, Rights: rights}}}
		if _, faults, err := m.Make(context.Background(), []Job{job}, nil); err != nil || len(faults) > 0 {
			b.Fatal(err, faults)
		}
	}
	return cpuTime() - start
}

func peerTime(b *testing.B, scans []string) time.Duration {
	dir := b.TempDir()
	start := childrenTime(b)
	from := scans
	for _, width := range []string{"2400", "1200", "400"} {
		args := append([]string{"-s", width, "-o", filepath.Join(dir, "%s-"+width+".jpg[Q=82,optimize_coding,strip]")}, from...)
		if out, err := exec.Command("vipsthumbnail", args...).CombinedOutput(); err != nil {
			b.Fatalf("vipsthumbnail: %v\n%s", err, out)
		}
		if width == "2400" {
			from, _ = filepath.Glob(filepath.Join(dir, "*-2400.jpg"))
		}
	}
	if len(from) != len(scans) {
		b.Fatalf("the peer made %d of %d", len(from), len(scans))
	}
	return childrenTime(b) - start
}

// childrenTime is the processor time of programs that were run and have ended.
func childrenTime(b *testing.B) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_CHILDREN, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}
