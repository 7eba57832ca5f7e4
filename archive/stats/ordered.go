package stats

import (
	"fmt"
	"math"
	"sort"

	"gonum.org/v1/gonum/mat"
)

// Ordered is a data set for a cumulative link model
// P(Y <= j) = F(tau_j - eta), eta = offset + x·beta (+ the group's effect).
// With two grades it is a binary regression whose intercept is -tau_1.
type Ordered struct {
	Grades int         // number of grades, at least 2
	Y      []int       // grade of each observation, counted from 0
	X      [][]float64 // columns of the design, no constant; may be empty
	Weight []float64   // multiplicity of each observation; nil for 1
	Offset []float64   // known part of eta; nil for 0
	Group  []int       // group of each observation, counted from 0; nil for none
	Groups int         // number of groups, those without observations included
	Link   Link
}

func (o Ordered) check() error {
	n := len(o.Y)
	if n == 0 {
		return fmt.Errorf("ordered regression: %w", ErrNoData)
	}
	if o.Grades < 2 {
		return fmt.Errorf("%d grades: %w", o.Grades, ErrArgument)
	}
	for j, col := range o.X {
		if len(col) != n {
			return fmt.Errorf("column %d has %d values for %d observations: %w", j+1, len(col), n, ErrArgument)
		}
	}
	for name, v := range map[string]int{"weights": len(o.Weight), "offsets": len(o.Offset), "groups": len(o.Group)} {
		if v != 0 && v != n {
			return fmt.Errorf("%d %s for %d observations: %w", v, name, n, ErrArgument)
		}
	}
	return o.checkValues()
}

func (o Ordered) checkValues() error {
	seen := make([]float64, o.Grades)
	for i, y := range o.Y {
		if y < 0 || y >= o.Grades {
			return fmt.Errorf("observation %d has grade %d of %d: %w", i+1, y, o.Grades, ErrArgument)
		}
		w := 1.0
		if o.Weight != nil {
			w = o.Weight[i]
		}
		bad := !(w >= 0) || math.IsInf(w, 0)
		if o.Offset != nil {
			bad = bad || math.IsNaN(o.Offset[i]-o.Offset[i])
		}
		for _, col := range o.X {
			bad = bad || math.IsNaN(col[i]-col[i])
		}
		if o.Group != nil {
			bad = bad || o.Group[i] < 0 || o.Group[i] >= o.Groups
		}
		if bad {
			return fmt.Errorf("observation %d has a value that is not allowed: %w", i+1, ErrArgument)
		}
		seen[y] += w
	}
	for j, w := range seen {
		if w == 0 {
			return fmt.Errorf("grade %d of %d: %w", j+1, o.Grades, ErrGradeMissing)
		}
	}
	return nil
}

// ordered is the data as the fits use it: sorted by group, columns centred
// and scaled, one row after the other.
type ordered struct {
	link        Link
	n, taus, p  int // observations, thresholds, columns
	y           []int
	x           []float64 // n rows of p, standardised
	w, off      []float64
	start       []int // where each group begins; one more than groups
	centre, sd  []float64
	proportions []float64 // weighted share of each grade
}

func (o Ordered) prepare() (*ordered, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	n, p := len(o.Y), len(o.X)
	d := &ordered{link: o.Link, n: n, taus: o.Grades - 1, p: p,
		y: make([]int, n), x: make([]float64, n*p), w: make([]float64, n), off: make([]float64, n),
		proportions: make([]float64, o.Grades)}
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	if o.Group != nil {
		sort.SliceStable(order, func(a, b int) bool { return o.Group[order[a]] < o.Group[order[b]] })
		d.start = make([]int, o.Groups+1)
		for _, g := range o.Group {
			d.start[g+1]++
		}
		for g := range o.Groups {
			d.start[g+1] += d.start[g]
		}
	}
	total := 0.0
	for k, i := range order {
		d.y[k], d.w[k] = o.Y[i], 1
		if o.Weight != nil {
			d.w[k] = o.Weight[i]
		}
		if o.Offset != nil {
			d.off[k] = o.Offset[i]
		}
		d.proportions[d.y[k]] += d.w[k]
		total += d.w[k]
	}
	for j := range d.proportions {
		d.proportions[j] /= total
	}
	return d, d.standardise(o.X, order, total)
}

// standardise centres and scales the columns, and refuses those that add
// nothing to the thresholds or to each other.
func (d *ordered) standardise(columns [][]float64, order []int, total float64) error {
	d.centre, d.sd = make([]float64, d.p), make([]float64, d.p)
	for j, col := range columns {
		mean := 0.0
		for k, i := range order {
			mean += d.w[k] * col[i]
		}
		mean /= total
		v, largest := 0.0, 0.0
		for k, i := range order {
			v += d.w[k] * (col[i] - mean) * (col[i] - mean)
			largest = math.Max(largest, math.Abs(col[i]))
		}
		sd := math.Sqrt(v / total)
		if sd <= 1e-12*largest || sd == 0 {
			return fmt.Errorf("column %d is constant: %w", j+1, ErrCollinear)
		}
		d.centre[j], d.sd[j] = mean, sd
		for k, i := range order {
			d.x[k*d.p+j] = (col[i] - mean) / sd
		}
	}
	if d.p < 2 {
		return nil
	}
	r := mat.NewSymDense(d.p, nil)
	for k := range d.n {
		row := d.x[k*d.p : (k+1)*d.p]
		for a := range row {
			for b := a; b < d.p; b++ {
				r.SetSym(a, b, r.At(a, b)+d.w[k]*row[a]*row[b]/total)
			}
		}
	}
	var eig mat.EigenSym
	if !eig.Factorize(r, false) || eig.Values(nil)[0] < 1e-10 {
		return fmt.Errorf("design of %d columns: %w", d.p, ErrCollinear)
	}
	return nil
}

// size is the number of thresholds and coefficients.
func (d *ordered) size() int { return d.taus + d.p }

func (d *ordered) groups() int {
	if d.start == nil {
		return 0
	}
	return len(d.start) - 1
}

// begin gives the parameters to start from: the observed shares, no effects.
func (d *ordered) begin() []float64 {
	theta := make([]float64, d.size())
	below := 0.0
	for j := range d.taus {
		below += d.proportions[j]
		theta[j] = d.link.Quantile(below)
	}
	return theta
}

// restore brings parameters back to the scale of the data: beta = beta'/sd
// and tau = tau' + centre·beta.
func (d *ordered) restore(theta []float64) (tau, beta []float64) {
	beta = make([]float64, d.p)
	shift := 0.0
	for k := range beta {
		beta[k] = theta[d.taus+k] / d.sd[k]
		shift += d.centre[k] * beta[k]
	}
	tau = make([]float64, d.taus)
	for j := range tau {
		tau[j] = theta[j] + shift
	}
	return tau, beta
}

// pullBack turns a linear combination of (tau, beta) on the data's scale into
// the equal one on the standardised scale.
func (d *ordered) pullBack(c []float64) []float64 {
	out := make([]float64, d.size())
	sum := 0.0
	for j := range d.taus {
		out[j] = c[j]
		sum += c[j]
	}
	for k := range d.p {
		out[d.taus+k] = (c[d.taus+k] + sum*d.centre[k]) / d.sd[k]
	}
	return out
}
