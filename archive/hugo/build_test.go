//go:build buildhugo

package hugo

import (
	"context"
	"os/exec"
	"path/filepath"
	"testing"
)

// Building for real takes minutes and the network: go test -tags buildhugo.
func TestBuildForReal(t *testing.T) {
	goTool, err := exec.LookPath("go")
	if err != nil {
		t.Fatal(err)
	}
	cache := t.TempDir()
	if err := build(context.Background(), goTool, Options{Cache: cache, Say: func(s string) { t.Log(s) }}, filepath.Join(cache, "hugo")); err != nil {
		t.Fatal(err)
	}
	if b, err := usable(context.Background(), filepath.Join(cache, "hugo")); err != nil || b.Version != Floor {
		t.Errorf("%+v, %v", b, err)
	}
}
