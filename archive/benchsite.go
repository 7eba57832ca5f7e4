package archive

import (
	"context"
	"path/filepath"

	"sandarac/archive/analysis"
	"sandarac/archive/benchbook"
	"sandarac/archive/gallery"
)

// makeBench makes the bench book, which holds everything and stays here.
func (b *build) makeBench(ctx context.Context, tree string) error {
	report, err := analysis.Analyse(ctx, b.out.Archive, b.out.Today)
	if err != nil {
		return err
	}
	links, err := gallery.Links(b.galleries, b.secret, b.site.Studio.URL)
	if err != nil {
		return err
	}
	stage := filepath.Join(b.work, benchStage)
	staged, err := benchbook.Stage(ctx, benchbook.Input{
		Archive: b.out.Archive, Today: b.out.Today, Findings: b.out.Findings, Analysis: report, Links: links,
		Sets: b.pictures.bench, PublicPaths: b.publicPaths,
	}, stage)
	if err != nil {
		return err
	}
	if err := b.render(ctx, stage, benchbook.ConfigFile, tree, b.opt.Bench); err != nil {
		return err
	}
	for _, c := range staged.Copies {
		if err := place(tree, c.From, c.To); err != nil {
			return err
		}
	}
	b.note("bench book %d plates", staged.Pages)
	return nil
}
