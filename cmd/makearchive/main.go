// Makearchive writes an archive of as many plates as asked for, to see how the
// program behaves when an archive is large:
//
//	go run ./cmd/makearchive -plates 10000 -seed 1 DIR
//
// Everything in it is invented by a seeded generator; the same seed gives the
// same files. Most scans are small (a quarter plate at 100 pixels an inch),
// every -every-th is -large pixels wide. The exposures follow a model that is
// written into truth.json beside the records, so that what the analysis finds
// can be held against what is true.
package main

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"time"
)

func main() {
	o := options{}
	flag.IntVar(&o.plates, "plates", 1000, "how many plates")
	flag.Uint64Var(&o.seed, "seed", 1, "seed of everything that is drawn")
	flag.IntVar(&o.large, "large", 4000, "width in pixels of the large scans")
	flag.IntVar(&o.every, "every", 500, "one scan in so many is large; 0 for none")
	flag.IntVar(&o.width, "width", 325, "width in pixels of the other scans")
	flag.Parse()
	if flag.NArg() != 1 || o.plates < 1 || o.width < 16 || o.large < 16 {
		fmt.Fprintln(os.Stderr, "usage: makearchive [-plates N] [-seed S] [-large PIXELS] [-every N] [-width PIXELS] DIR")
		flag.PrintDefaults()
		os.Exit(2)
	}
	o.dir = flag.Arg(0)
	if err := run(o); err != nil {
		fmt.Fprintln(os.Stderr, "makearchive:", err)
		os.Exit(1)
	}
}

type options struct {
	dir                 string
	plates              int
	seed                uint64
	width, large, every int
}

func run(o options) error {
	if entries, err := os.ReadDir(o.dir); err == nil && len(entries) > 0 {
		return fmt.Errorf("%s is not empty: name a new folder", o.dir)
	} else if err != nil && !errors.Is(err, os.ErrNotExist) {
		return err
	}
	start := time.Now()
	s := newSeason(o)
	if err := s.write(); err != nil {
		return err
	}
	fmt.Printf("wrote %d plates, %d batches, %d clients and %d sitters to %s in %s\n",
		len(s.plates), len(s.batches), len(s.clients), len(s.sitters), o.dir, time.Since(start).Round(time.Second/10))
	return nil
}
