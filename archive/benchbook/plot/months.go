package plot

import "fmt"

// Share is a month's share with the limits within which chance moves it.
type Share struct {
	Label        string
	Rate         float64
	Mean, Lo, Hi float64
	Outside, Few bool
}

// Shares draws a chart of proportions: dots, their mean, and stepped limits.
func Shares(title string, shares []Share) Plot {
	if len(shares) == 0 {
		return Plot{Width: Width, Height: 1, Title: title}
	}
	n := float64(len(shares))
	f := newFrame(title, scale{lo: 0, hi: n}, scale{lo: 0, hi: 1}, "", "share kept")
	every := 1 + len(shares)/9
	outside := 0
	f.line("zero", f.x.a, f.y.at(shares[0].Mean), f.x.b, f.y.at(shares[0].Mean))
	for i, s := range shares {
		from, to, mid := float64(i), float64(i+1), float64(i)+0.5
		f.line("limit", f.x.at(from), f.y.clamped(s.Hi), f.x.at(to), f.y.clamped(s.Hi))
		f.line("limit", f.x.at(from), f.y.clamped(s.Lo), f.x.at(to), f.y.clamped(s.Lo))
		class := ""
		if s.Few {
			class = " few"
		}
		if s.Outside {
			outside++
			f.diamond("signal", f.x.at(mid), f.y.clamped(s.Rate), 6)
		} else {
			f.circle("dot"+class, f.x.at(mid), f.y.clamped(s.Rate), 4.5)
		}
		if i%every == 0 {
			f.text("tick", f.x.at(mid), f.y.a+17, "middle", s.Label)
		}
	}
	f.Desc = fmt.Sprintf("%d months; outside the limits of chance: %d.", len(shares), outside)
	return *f.Plot
}
