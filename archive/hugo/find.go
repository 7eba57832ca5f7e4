package hugo

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"time"
)

// Env is the environment variable that may name the program to use.
const Env = "SANDARAC_HUGO"

// ErrNone is the cause when there is no Hugo and none can be built.
var ErrNone = errors.New("no Hugo")

// Options say how to find Hugo. The zero value is fine.
type Options struct {
	// Cache is the folder for a Hugo that had to be built; empty for the
	// user's cache folder (os.UserCacheDir, below it "sandarac").
	Cache string
	// Say gets lines for the user while something takes long.
	Say func(string)
	// Lock, if set, keeps a second process from building at the same time: it
	// waits for the lock file at path and returns what releases it.
	Lock func(ctx context.Context, path string) (release func(), err error)
}

// Find gives a Hugo of at least version [Floor]: the one that SANDARAC_HUGO
// names, the one on PATH, the one built before, or one built now with the Go
// toolchain from pinned sources, which takes minutes and happens once.
func Find(ctx context.Context, o Options) (Binary, error) {
	if o.Say == nil {
		o.Say = func(string) {}
	}
	if path := os.Getenv(Env); path != "" {
		b, err := usable(ctx, path)
		if err != nil {
			return b, fmt.Errorf("%s=%s: %w", Env, path, err)
		}
		return b, nil
	}
	var unfit string
	if path, err := exec.LookPath("hugo"); err == nil {
		b, err := usable(ctx, path)
		if err == nil {
			if tested.Less(b.Version) {
				o.Say(fmt.Sprintf("Hugo %s is newer than what this was tested with (%d.%d); if a page looks wrong, set %s to a Hugo %s", b.Version, tested.Major, tested.Minor, Env, Floor))
			}
			return b, nil
		}
		unfit = fmt.Sprintf("the one at %s cannot be used: %v", path, err)
	}
	if o.Cache == "" {
		dir, err := os.UserCacheDir()
		if err != nil {
			return Binary{}, fmt.Errorf("finding the user's cache folder for Hugo: %w", err)
		}
		o.Cache = filepath.Join(dir, "sandarac")
	}
	return cached(ctx, o, unfit)
}

// cached gives the program built earlier, or builds it.
func cached(ctx context.Context, o Options, unfit string) (Binary, error) {
	place := filepath.Join(o.Cache, "hugo-"+Floor.String()+exe())
	// A program cut off by a loss of power does not run: build it again.
	if b, err := usable(ctx, place); err == nil {
		return b, nil
	}
	goTool, err := exec.LookPath("go")
	if err != nil {
		return Binary{}, missing(unfit)
	}
	if err := os.MkdirAll(o.Cache, 0o755); err != nil {
		return Binary{}, fmt.Errorf("making the cache folder for Hugo: %w", err)
	}
	if o.Lock != nil {
		release, err := o.Lock(ctx, place+".lock")
		if err != nil {
			return Binary{}, fmt.Errorf("waiting for another build of Hugo: %w", err)
		}
		defer release()
		if b, err := usable(ctx, place); err == nil {
			return b, nil
		}
	}
	if unfit != "" {
		o.Say("Hugo: " + unfit)
	}
	if err := build(ctx, goTool, o, place); err != nil {
		return Binary{}, err
	}
	b, err := usable(ctx, place)
	if err != nil {
		return b, fmt.Errorf("the Hugo just built: %w", err)
	}
	return b, nil
}

// missing says what to install.
func missing(unfit string) error {
	if unfit != "" {
		unfit = " (" + unfit + ")"
	}
	return fmt.Errorf("%w: pages are made by Hugo %s or newer, which was not found%s, and there is no Go toolchain to build it with; "+
		"install Hugo from https://gohugo.io/installation/ or Go from https://go.dev/dl/, or set %s to a Hugo program", ErrNone, Floor, unfit, Env)
}

// usable runs the program and checks its version.
func usable(ctx context.Context, path string) (Binary, error) {
	path, err := filepath.Abs(path)
	if err != nil {
		return Binary{}, err
	}
	if _, err := os.Stat(path); err != nil {
		return Binary{}, err
	}
	ctx, cancel := context.WithTimeout(ctx, 30*time.Second)
	defer cancel()
	cmd := exec.CommandContext(ctx, path, "version")
	cmd.Env = bareEnvironment()
	cmd.WaitDelay = time.Second
	out, err := cmd.Output()
	if err != nil {
		return Binary{}, fmt.Errorf("asking its version: %w", err)
	}
	v, err := ParseVersion(string(bytes.TrimSpace(out)))
	if err != nil {
		return Binary{}, err
	}
	if v.Less(Floor) {
		return Binary{}, fmt.Errorf("it is version %s; %s or newer is needed", v, Floor)
	}
	return Binary{Path: path, Version: v}, nil
}

// bareEnvironment leaves out everything that could steer Hugo (HUGO_BASEURL and
// the like override the settings) or tell it a secret.
func bareEnvironment() []string {
	keep := []string{"PATH", "HOME", "TMPDIR"}
	if runtime.GOOS == "windows" {
		keep = []string{"PATH", "SystemRoot", "TEMP", "TMP", "USERPROFILE", "LOCALAPPDATA"}
	}
	env := []string{}
	for _, name := range keep {
		if value, ok := os.LookupEnv(name); ok {
			env = append(env, name+"="+value)
		}
	}
	return env
}

func exe() string {
	if runtime.GOOS == "windows" {
		return ".exe"
	}
	return ""
}
