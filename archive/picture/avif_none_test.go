//go:build !nodynamic

package picture

import (
	"context"
	"errors"
	"testing"

	"sandarac/archive/picture/avif"
)

// A program built without the tag says so, and makes nothing.
func TestAVIFAbsent(t *testing.T) {
	m, err := New(t.TempDir(), Options{})
	if err != nil {
		t.Fatal(err)
	}
	_, _, err = m.Make(context.Background(), []Job{{archive(t, 1)[0].Master, []Output{{Width: 64, AVIF: true}}}}, nil)
	if !errors.Is(err, avif.ErrAbsent) {
		t.Errorf("got %v", err)
	}
}
