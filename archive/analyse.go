package archive

import (
	"context"

	"sandarac/archive/analysis"
)

// Analyse reads, checks and analyses an archive. Plates with errors are left
// out of the numbers.
func Analyse(ctx context.Context, opt LookOptions) (*analysis.Report, error) {
	looked, err := Look(ctx, opt)
	if err != nil {
		return nil, err
	}
	return analysis.Analyse(ctx, looked.Archive, looked.Today)
}

// Expose reads and checks an archive and answers one question of exposure.
func Expose(ctx context.Context, opt LookOptions, ask analysis.Ask) (*analysis.Advice, error) {
	looked, err := Look(ctx, opt)
	if err != nil {
		return nil, err
	}
	ask.Today = looked.Today
	return analysis.Expose(ctx, looked.Archive, ask)
}
