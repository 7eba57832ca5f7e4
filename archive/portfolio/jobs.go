package portfolio

import (
	"sandarac/archive/consent"
	"sandarac/archive/picture"
)

// Edition marks the pictures of the public site, so that no file made for a
// gallery or the bench book is ever taken for one.
const Edition = "public"

// Widths of the published pictures, in pixels. Each is about √2 times the one
// before, so that none is sent much larger than shown, and every other one is
// twice as wide, for screens of double density.
var Widths = []int{160, 226, 320, 452, 640, 904, 1280, 1808, 2400}

// AVIFWidth is the width of the one AVIF a plate has, where the studio asks for
// it: what a plate's own page shows on a phone, or on a desk's screen of single
// density.
const AVIFWidth = 1200

// quality is lower for the widest files: their grain hides the coding.
func quality(width int) int {
	if width > 1000 {
		return 78
	}
	return picture.DefaultQuality
}

// Jobs lists the pictures to be made, a job for each published plate, in the
// order of site.Plates. The rights are the studio's; nothing else goes with a
// picture.
func Jobs(site consent.Site) []picture.Job {
	rights := picture.Rights{
		Creator: site.Studio.Credit, Credit: site.Studio.Credit,
		Copyright: site.Studio.Copyright, LicenceURL: site.Studio.LicenceURL,
	}
	jobs := make([]picture.Job, 0, len(site.Plates))
	for _, p := range site.Plates {
		job := picture.Job{Master: p.Master}
		for _, w := range Widths {
			job.Outputs = append(job.Outputs, picture.Output{Width: w, Quality: quality(w), Rights: rights, Edition: Edition})
		}
		if site.Studio.AVIF && picture.CanAVIF {
			job.Outputs = append(job.Outputs, picture.Output{Width: AVIFWidth, AVIF: true, Edition: Edition})
		}
		jobs = append(jobs, job)
	}
	return jobs
}
