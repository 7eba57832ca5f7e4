// Command screens takes pictures of every kind of page of both sites and of a
// gallery, for review: at the widths of a phone and of a desk, light and dark,
// and as sheets of paper where a page is made to be printed.
//
//	go run ./cmd/screens [-archive DIR] [-today DATE] [-only WORD] OUT
//
// Without -archive the demo archive is written to a folder of its own and
// built. The pictures are named after site, kind, width and scheme.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io/fs"
	"os"
	"os/signal"
	"path/filepath"
	"time"

	"sandarac/archive"
	"sandarac/archive/record"
	"sandarac/cmd/screens/kind"
	"sandarac/plates"
)

func main() {
	dir := flag.String("archive", "", "an archive that is built already (default: the demo, built now)")
	today := flag.String("today", "2026-11-25", "the day the demo is built for")
	only := flag.String("only", "", "take only pages whose site and kind hold this word")
	flag.Parse()
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	if err := run(ctx, *dir, *today, *only, flag.Arg(0)); err != nil {
		fmt.Fprintln(os.Stderr, "screens:", err)
		os.Exit(1)
	}
}

func run(ctx context.Context, dir, today, only, out string) error {
	if out == "" {
		return errors.New("no folder for the pictures; say: go run ./cmd/screens OUT")
	}
	day, err := record.ParseDate(today)
	if err != nil {
		return fmt.Errorf("-today: %w", err)
	}
	on := func(*time.Location) (record.Date, error) { return day, nil }
	if dir == "" {
		if dir, err = os.MkdirTemp("", "sandarac-screens-*"); err != nil {
			return err
		}
		defer os.RemoveAll(dir)
		if err := buildDemo(ctx, dir, on); err != nil {
			return fmt.Errorf("building the demo: %w", err)
		}
	}
	links, err := archive.Galleries(ctx, archive.LookOptions{Root: dir, Today: on, Report: quiet{}})
	if err != nil {
		return err
	}
	public, bench := filepath.Join(dir, "public"), filepath.Join(dir, "bench-book")
	pages, err := kind.List(public, bench, links)
	if err != nil {
		return err
	}
	return shoot(ctx, pages, map[kind.Site]string{kind.Portfolio: public, kind.BenchBook: bench}, only, out)
}

func buildDemo(ctx context.Context, dir string, on archive.Day) error {
	demo, err := fs.Sub(plates.FS, "archive")
	if err != nil {
		return err
	}
	if err := os.CopyFS(dir, demo); err != nil {
		return err
	}
	built, err := archive.Build(ctx, archive.BuildOptions{
		Root: dir, Out: filepath.Join(dir, "public"), Bench: filepath.Join(dir, "bench-book"), Today: on, Report: quiet{},
	})
	if err == nil && built.Kept {
		err = errors.New(built.Why)
	}
	return err
}

// quiet is a reporter that says nothing.
type quiet struct{}

func (quiet) Note(string)           {}
func (quiet) Step(string, int, int) {}
