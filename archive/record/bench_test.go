package record

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/goccy/go-yaml"
)

// season lays out n plate records, forty to a folder.
func season(b *testing.B, n int) string {
	b.Helper()
	files := map[string]string{"studio.md": "---\nstudio: Test Rooms\nurl: https://plates.example/\ntime_zone: Europe/Dublin\n---\n"}
	for i := range n {
		files[fmt.Sprintf("%04d/p%05d.md", i/40, i)] = fmt.Sprintf(`---
plate: p%05d
made: 2026-05-%02dT10:20
title: Reed maker %d
alt: A man in an apron holds a bundle of reeds.
tags: [reeds, portrait]
support: tin
format: quarter
batches: {collodion: c1, bath: b1, developer: d1, fixer: f1, varnish: v1}
lens: petzval
exposure:
  seconds: 8
  stop: 4
  magnification: 0.2
light: {kind: north skylight, ev100: 9.5}
air: {temperature_c: 19, humidity_pct: 55}
development: {seconds: 15, temperature_c: 19}
varnished: 2026-05-%02dT18:00
judged: right
outcome: keeper
flaws: [comets]
sitters:
  - sitter: ada
client: quill
---

Poured a little thick.
`, i, i%28+1, i, i%28+1)
	}
	return write(b, files)
}

func BenchmarkRead10000(b *testing.B) {
	root := season(b, 10_000)
	b.ResetTimer()
	for b.Loop() {
		a, fs, err := Read(context.Background(), root)
		if err != nil || len(a.Plates) != 10_000 || len(fs) != 0 {
			b.Fatal(len(a.Plates), len(fs), err)
		}
	}
}

// BenchmarkBareLoop10000 is what reading is held against: the same files, read
// and YAML-decoded in a loop, with nothing checked.
func BenchmarkBareLoop10000(b *testing.B) {
	root := season(b, 10_000)
	names, err := filepath.Glob(filepath.Join(root, "*", "*.md"))
	if err != nil {
		b.Fatal(err)
	}
	b.ResetTimer()
	for b.Loop() {
		for _, name := range names {
			data, err := os.ReadFile(name)
			if err != nil {
				b.Fatal(err)
			}
			block, _, _ := bytes.Cut(data[4:], []byte("\n---\n"))
			var v map[string]any
			if err := yaml.Unmarshal(block, &v); err != nil {
				b.Fatal(err)
			}
		}
	}
}
