package search

import (
	"encoding/json"
	"fmt"
	"os/exec"
	"testing"
)

func BenchmarkBuild(b *testing.B) {
	for _, n := range []int{1000, 10_000, 20_000} {
		docs := made(n)
		b.Run(fmt.Sprintf("plates=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				x, err := Build(docs, Options{})
				if err != nil {
					b.Fatal(err)
				}
				total := 0
				for _, f := range x.Files {
					total += len(f)
				}
				b.ReportMetric(float64(len(x.Files)), "files")
				b.ReportMetric(float64(total)/1e3, "kB")
				b.ReportMetric(float64(len(x.Files[DirectoryName])), "directory-B")
			}
		})
	}
}

// BenchmarkAnswer runs the site's script in Node on 20,000 plates, the index
// being in memory, and reports milliseconds for an answer, for an answer with
// all counts (median and 95th percentile). One frame is 16.7 ms.
func BenchmarkAnswer(b *testing.B) {
	node, dir := needNode(b), write(b, made(20_000), Options{})
	for b.Loop() {
		out, err := exec.Command(node, "testdata/pace.mjs", dir).Output()
		if err != nil {
			b.Fatal(err)
		}
		var pace struct{ Answer, Whole, Most float64 }
		if err := json.Unmarshal(out, &pace); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(pace.Answer, "answer-ms")
		b.ReportMetric(pace.Whole, "with-counts-ms")
		b.ReportMetric(pace.Most, "p95-ms")
	}
}

// BenchmarkPage types into the catalogue of 20,000 plates in Chromium and
// reports milliseconds from the key to the sentence and the first cards in the
// page, and to the last of 48 cards, the index being there.
func BenchmarkPage(b *testing.B) {
	s := startSite(b, made(20_000))
	t := openBrowser(b)
	t.load(s.URL + "/sub/large/?q=s")
	t.want(cards, "48")
	for b.Loop() {
		out := t.await(`(async () => {
			const form = document.querySelector('form'), q = form.elements.q, status = document.querySelector('[data-status]');
			const times = [];
			const ask = (text) => new Promise((done) => {
				const start = performance.now();
				let said = 0, timer;
				const seen = new MutationObserver(() => {
					said ||= performance.now() - start;
					const all = performance.now() - start;
					clearTimeout(timer);
					timer = setTimeout(() => { seen.disconnect(); done({ said, all }); }, 150);
				});
				seen.observe(status, { childList: true, characterData: true, subtree: true });
				seen.observe(document.querySelector('[data-results]'), { childList: true });
				q.value = text;
				q.dispatchEvent(new Event('input', { bubbles: true }));
			});
			const words = ['be', 'beekeeper', 'seated north window', 'merrikc', 'st', '2021', 'hands sixth'];
			for (let round = 0; round < 4; round++) for (const w of words) { const t = await ask(w); if (round > 0) times.push(t); }
			const at = (key, share) => times.map((t) => t[key]).sort((a, b) => a - b)[Math.floor(times.length * share)];
			return [at('said', 0.5), at('all', 0.5), at('all', 0.95)].join(' ');
		})()`)
		var said, all, most float64
		if _, err := fmt.Sscan(out, &said, &all, &most); err != nil {
			b.Fatal(err)
		}
		b.ReportMetric(said, "answer-ms")
		b.ReportMetric(all, "drawn-ms")
		b.ReportMetric(most, "drawn-p95-ms")
	}
}
