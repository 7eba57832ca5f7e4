// Command paintplates draws the scans of the demo archive: for every plate record it renders the scene of that name
// and makes a wet plate of it, with the support, size, judgement and flaws that the record gives.
//
//	go run ./cmd/paintplates [-archive plates/archive] [-out DIR] [-only 26-002,26-011] [-quality 1]
//
// The same records give the same files. Nothing of anyone else's is drawn on.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"golang.org/x/sync/errgroup"

	"sandarac/archive/record"
)

func main() {
	archive := flag.String("archive", "plates/archive", "the archive whose records are drawn")
	out := flag.String("out", "", "folder for the pictures (default: beside the records)")
	only := flag.String("only", "", "plate ids, separated by commas (default: all)")
	quality := flag.Float64("quality", 1, "share of the full number of rendered pixels and rays, 0.1–1")
	workers := flag.Int("workers", runtime.NumCPU(), "plates drawn at the same time")
	flag.Parse()
	if *out == "" {
		*out = *archive
	}
	if err := run(*archive, *out, *only, *quality, *workers); err != nil {
		fmt.Fprintln(os.Stderr, "paintplates:", err)
		os.Exit(1)
	}
}

func run(archive, out, only string, quality float64, workers int) error {
	a, _, err := record.Read(context.Background(), archive)
	if err != nil {
		return err
	}
	wanted := map[string]bool{}
	for id := range strings.SplitSeq(only, ",") {
		if id != "" {
			wanted[id] = true
		}
	}
	var g errgroup.Group
	g.SetLimit(workers)
	for _, p := range a.Plates {
		j, ok := jobFor(p)
		if !ok || len(wanted) > 0 && !wanted[p.ID] {
			continue
		}
		g.Go(func() error {
			start := time.Now()
			b, err := j.draw(quality)
			if err != nil {
				return fmt.Errorf("plate %s: %w", p.ID, err)
			}
			name := filepath.Join(out, filepath.FromSlash(j.file))
			if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
				return err
			}
			fmt.Printf("%s  %4d KB  %s\n", j.file, len(b)/1000, time.Since(start).Round(time.Second))
			return os.WriteFile(name, b, 0o644)
		})
	}
	return g.Wait()
}
