package plot

// frame is a field with axes: x to the right, y upward.
type frame struct {
	*Plot
	x, y scale
}

const (
	frameLeft   = 44.0
	frameRight  = 12.0
	frameTop    = 14.0
	frameHeight = 190.0
)

// newFrame draws the axes with their names, and the ticks of y.
func newFrame(title string, x, y scale, xName, yName string) frame {
	p := &Plot{Width: Width, Height: frameTop + frameHeight + 42, Title: title}
	f := frame{p, x, y}
	f.x.a, f.x.b = frameLeft, Width-frameRight
	f.y.a, f.y.b = frameTop+frameHeight, frameTop
	for _, v := range f.y.ticks(4) {
		f.line("grid", f.x.a, f.y.at(v), f.x.b, f.y.at(v))
		f.text("tick", f.x.a-6, f.y.at(v)+4, "end", figure(v))
	}
	f.line("axis", f.x.a, f.y.a, f.x.b, f.y.a)
	f.text("name", f.x.b, f.y.a+34, "end", xName)
	f.text("name", 2, 10, "start", yName)
	return f
}

// xTicks letters the x axis with round numbers.
func (f frame) xTicks() {
	for _, v := range f.x.ticks(6) {
		f.line("tickmark", f.x.at(v), f.y.a, f.x.at(v), f.y.a+4)
		f.text("tick", f.x.at(v), f.y.a+17, "middle", figure(v))
	}
}

// curve draws points as one line, places outside the frame held at its edge.
func (f frame) curve(class string, at [][2]float64) {
	out := make([][2]float64, len(at))
	for i, q := range at {
		out[i] = [2]float64{f.x.clamped(q[0]), f.y.clamped(q[1])}
	}
	f.path(class, out, false)
}

// band fills between two curves over the same x.
func (f frame) band(class string, lower, upper [][2]float64) {
	var at [][2]float64
	for _, q := range upper {
		at = append(at, [2]float64{f.x.clamped(q[0]), f.y.clamped(q[1])})
	}
	for i := len(lower) - 1; i >= 0; i-- {
		at = append(at, [2]float64{f.x.clamped(lower[i][0]), f.y.clamped(lower[i][1])})
	}
	f.path(class, at, true)
}

// around gives a range a margin on both sides, and some width when it has none.
func around(lo, hi, share float64) (float64, float64) {
	if hi <= lo {
		return lo - 1, lo + 1
	}
	m := (hi - lo) * share
	return lo - m, hi + m
}
