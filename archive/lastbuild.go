package archive

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"sandarac/archive/finding"
	"sandarac/archive/hugo"
	"sandarac/archive/stamp"
	"sandarac/archive/swap"
)

// A build is skipped when it would give what is there already. It would if
//
//   - everything it reads is as it was: all names below the archive's folder (the
//     sidecars, the other records, the scans), whoever reads them, and the secret;
//   - what works on it is the same: this program, which holds the templates, and
//     Hugo;
//   - it is asked for the same: the same places, the same strictness, and the same
//     day in the studio's zone. All that depends on time (a consent or a gallery
//     that ends, the age of a batch) is counted in days and takes nothing else for
//     today, so a new day is always a new build;
//   - nobody touched what it wrote: every name in both trees is as the build left it.
//
// A build is a function of these, since nothing below reads the clock, the network
// or the environment otherwise, and the caches hold only what is derived from them.
// Pictures, pages and findings come out the same.
//
// "As it was" means the same name, kind, permissions, size, times and inode. The
// one thing that escapes these, a second write within a tick of the disk's clock,
// is met by taking young files by their content (see stamp.Tree.Young); both are
// taken before anything is read, so that a change while the build runs shows the
// next time. Where something may be otherwise without any file showing it (a scan
// that could not be read this time), no memory is left, and the next build is whole.

// lastBuild is what a build remembers for the next. Its findings name people, so
// the file is for the photographer's eyes only.
type lastBuild struct {
	Layout  int // of this record
	Setting string
	Zone    string
	Today   string
	Young   []string // inputs that were taken by their content
	Inputs  string
	Public  string
	Bench   string

	Published int
	Galleries int
	Findings  []finding.Finding
}

const lastBuildLayout = 1

func lastBuildPath(root string) string { return filepath.Join(toolDir(root), "cache", "last-build") }

// mostYoung bounds what is read of files that were just written, in bytes.
const mostYoung = 256 << 20

// inputs are the files of an archive as they stood before a build read them.
type inputs struct {
	tree  *stamp.Tree
	young []string
	sum   stamp.Sum
	known bool // false: nothing can be said of them
}

// readInputs looks at every name that a build may read. now is the time of the
// archive's disk.
func (b *build) readInputs(ctx context.Context, now time.Time) (in inputs, err error) {
	in.tree, err = stamp.Read(ctx, b.opt.Root, notRead)
	if err != nil {
		return in, ctx.Err() // a folder that cannot be read is a finding, later
	}
	in.young = in.tree.Young(now)
	if in.tree.Size(in.young) > mostYoung {
		return in, nil
	}
	if in.sum, err = in.tree.Sum(ctx, in.young); err != nil {
		return in, ctx.Err()
	}
	in.known = true
	return in, nil
}

// notRead tells what no build reads: names that begin with a dot, and the sites
// where they stand by default.
func notRead(name string) bool {
	return strings.HasPrefix(name[strings.LastIndexByte(name, '/')+1:], ".") || name == "public" || name == "bench-book"
}

// unchanged reports whether the last build would be repeated to the byte, and if
// so fills in what it came to. Whatever stands in the way is no error: the build
// that follows meets it.
func (b *build) unchanged(ctx context.Context) bool {
	text, err := os.ReadFile(lastBuildPath(b.opt.Root))
	if err != nil {
		return false
	}
	var last lastBuild
	if json.Unmarshal(text, &last) != nil || last.Layout != lastBuildLayout || !b.inputs.known {
		return false
	}
	zone, err := time.LoadLocation(last.Zone)
	if err != nil {
		return false
	}
	today, err := b.opt.Today(zone)
	if err != nil || today.String() != last.Today {
		return false
	}
	if sum, err := b.inputs.tree.Sum(ctx, last.Young); err != nil || hex.EncodeToString(sum[:]) != last.Inputs {
		return false
	}
	if b.findTools(ctx) != nil || b.setting == "" || b.setting != last.Setting {
		return false
	}
	public, files := standing(ctx, b.opt.Out)
	if public == "" || public != last.Public {
		return false
	}
	if bench, _ := standing(ctx, b.opt.Bench); bench == "" || bench != last.Bench {
		return false
	}
	b.out.Today, b.out.Findings, b.out.Published, b.out.Galleries = today, last.Findings, last.Published, last.Galleries
	b.out.Public = swap.Changes{Same: files}
	return true
}

// standing is the stamp of a built site; empty if there is none to be read, or if
// a killed run left something beside it.
func standing(ctx context.Context, place string) (sum string, files int) {
	if swap.Recover(place) != nil {
		return "", 0
	}
	if real, err := filepath.EvalSymlinks(place); err == nil {
		place = real
	}
	tree, err := stamp.Read(ctx, place, nil)
	if err != nil {
		return "", 0
	}
	s, err := tree.Sum(ctx, nil)
	if err != nil {
		return "", 0
	}
	return hex.EncodeToString(s[:]), tree.Files
}

// settingOf is a sum over everything but files that decides what a build makes;
// empty where something of it cannot be told.
func settingOf(opt BuildOptions, hugo hugo.Binary) string {
	program, err := os.Executable()
	if err != nil {
		return ""
	}
	sum := sha256.New()
	for _, path := range []string{program, hugo.Path} {
		is, err := stamp.File(path)
		if err != nil {
			return ""
		}
		fmt.Fprintf(sum, "%q %x\n", path, is)
	}
	secret, err := os.ReadFile(secretPath(opt.Root))
	if err != nil {
		return ""
	}
	info, err := os.Stat(secretPath(opt.Root))
	if err != nil {
		return ""
	}
	fmt.Fprintf(sum, "%x %v %v %d %q %q %q %v", sha256.Sum256(secret), info.Mode(), hugo.Version, os.Getuid(), opt.Root, opt.Out, opt.Bench, opt.Strict)
	return hex.EncodeToString(sum.Sum(nil))
}

// unsure are the findings that may be otherwise the next time although no file
// changes: a disk, a memory or a time limit may have caused them.
var unsure = []string{"unreadable", "bad-scan", "picture-missing"}

// remember leaves behind what the next build is held against. It is called when
// both sites stand and nothing more will touch them. What fails here costs the
// next build time and nothing else.
func (b *build) remember(ctx context.Context) {
	doubt := slices.ContainsFunc(b.out.Findings, func(f finding.Finding) bool { return slices.Contains(unsure, f.Code) })
	if b.out.Kept || doubt || !b.inputs.known || b.setting == "" {
		return
	}
	public, _ := standing(ctx, b.opt.Out)
	bench, _ := standing(ctx, b.opt.Bench)
	if public == "" || bench == "" {
		return
	}
	text, err := json.Marshal(lastBuild{
		Layout: lastBuildLayout, Setting: b.setting, Zone: b.out.Archive.Studio.Zone.String(), Today: b.out.Today.String(),
		Young: b.inputs.young, Inputs: hex.EncodeToString(b.inputs.sum[:]), Public: public, Bench: bench,
		Published: b.out.Published, Galleries: b.out.Galleries, Findings: b.out.Findings,
	})
	if err == nil {
		_ = swap.WriteFile(lastBuildPath(b.opt.Root), append(text, '\n'), fs.FileMode(0o600))
	}
}
