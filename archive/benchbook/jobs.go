package benchbook

import (
	"sandarac/archive/picture"
	"sandarac/archive/record"
)

// Edition marks the pictures of the bench book, so that none of them is ever
// taken for a published one or a client's.
const Edition = "bench"

// Widths of the pictures in pixels: one for lists, one to look at closely.
const (
	smallWidth = 360
	largeWidth = 2000
)

// Jobs lists the pictures of the bench book: every scan of every plate, in both
// widths. Broken plates have none, since their scans may be what is wrong.
func Jobs(a *record.Archive, rights picture.Rights) []picture.Job {
	var jobs []picture.Job
	for _, p := range a.Plates {
		if p.Broken {
			continue
		}
		for _, rel := range p.Scans {
			job := picture.Job{Master: a.Path(rel)}
			for _, w := range []int{smallWidth, largeWidth} {
				job.Outputs = append(job.Outputs, picture.Output{Width: w, Rights: rights, Edition: Edition})
			}
			jobs = append(jobs, job)
		}
	}
	return jobs
}
