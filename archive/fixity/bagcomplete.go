package fixity

import (
	"cmp"
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"hash"
	"maps"
	"runtime"
	"slices"
	"strings"

	"golang.org/x/sync/errgroup"
)

// readFetch reports what a bag wants to be fetched. That is never done here.
func (v *bagReader) readFetch() {
	if _, there := v.files["fetch.txt"]; !there {
		return
	}
	text, ok := v.tag("fetch.txt")
	if !ok {
		return
	}
	for i, line := range lines(text) {
		column := strings.Fields(line)
		if len(column) < 3 {
			v.fault("fetch.txt", "line %d is %.60q; accepted is an address, a length and a path", i+1, line)
			continue
		}
		written := strings.TrimSpace(line[strings.Index(line, column[1])+len(column[1]):])
		file := decodePath(written)
		if leaves(file) || !strings.HasPrefix(file, "data/") {
			v.fault("fetch.txt", "line %d has the path %q, which is not in the payload", i+1, written)
			continue
		}
		if _, there := v.files[file]; !there {
			v.fault(file, "the file is not in the bag but is to be fetched from %.100q; that is not done here", column[0])
		}
	}
}

// complete checks that what is listed is there, and that what is there is listed.
func (v *bagReader) complete() {
	for _, set := range []map[string]map[string]string{v.payload, v.tags} {
		for _, algorithm := range slices.Sorted(maps.Keys(set)) {
			for _, file := range slices.Sorted(maps.Keys(set[algorithm])) {
				if _, there := v.files[file]; !there {
					v.fault(file, "the file is listed in a manifest of %s but not in the bag", algorithm)
				}
			}
		}
	}
	for _, file := range slices.Sorted(maps.Keys(v.files)) {
		if !strings.HasPrefix(file, "data/") {
			continue
		}
		listed := 0
		for _, sums := range v.payload {
			if _, ok := sums[file]; ok {
				listed++
			}
		}
		// 1.0: in every manifest; 0.97: in one of them.
		if listed == 0 || v.bag.Version == "1.0" && listed < len(v.payload) {
			v.fault(file, "the file is in the bag but not in every manifest it must be in")
		}
	}
	for _, algorithm := range slices.Sorted(maps.Keys(v.tags)) {
		for payload := range v.payload {
			name := "manifest-" + payload + ".txt"
			if _, ok := v.tags[algorithm][name]; !ok {
				v.fault("tagmanifest-"+algorithm+".txt", "it does not list %s", name)
			}
		}
	}
}

// hashAll takes each file's sums, several files at a time.
func (v *bagReader) hashAll(ctx context.Context) error {
	var names []string
	total := int64(0)
	for name := range v.toHash {
		if size, there := v.files[name]; there {
			names = append(names, name)
			total += size
		}
	}
	slices.Sort(names)
	wrong := make([]string, len(names))
	tell := v.progress.counter(total)
	group, inner := errgroup.WithContext(ctx)
	group.SetLimit(runtime.GOMAXPROCS(0))
	for i, name := range names {
		if inner.Err() != nil {
			break
		}
		group.Go(func() error {
			message, err := v.hashOne(inner, name, tell)
			wrong[i] = message
			return err
		})
	}
	if err := cmp.Or(group.Wait(), ctx.Err()); err != nil {
		return err
	}
	for i, message := range wrong {
		if message != "" {
			v.fault(names[i], "%s", message)
		}
	}
	return nil
}

// hashOne reads a file once for all its checksums.
func (v *bagReader) hashOne(ctx context.Context, name string, tell func(int64)) (string, error) {
	hashes := map[string]hash.Hash{}
	for algorithm := range v.toHash[name] {
		hashes[algorithm] = algorithms[algorithm]()
	}
	_, err := readInto(ctx, v.root, name, manyHashes(hashes), tell)
	if errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return "", err
	}
	if err != nil {
		return "the file cannot be read: " + err.Error(), nil
	}
	for _, algorithm := range slices.Sorted(maps.Keys(hashes)) {
		if got := hex.EncodeToString(hashes[algorithm].Sum(nil)); got != v.toHash[name][algorithm] {
			return fmt.Sprintf("the file is not what was put into the bag: its %s differs", algorithm), nil
		}
	}
	return "", nil
}

type manyHashes map[string]hash.Hash

func (m manyHashes) Write(p []byte) (int, error) {
	for _, h := range m {
		h.Write(p)
	}
	return len(p), nil
}
