// Package light renders a scene of solids to the exposure an orthochromatic plate would get: one number per pixel,
// 1 being a white card in the key light. Soft windows with true shadows, a sky or room that fills, shallow focus.
// In: a Scene. Out: a Frame. The same scene gives the same frame; one goroutine renders one scene.
package light

import (
	"math"

	"sandarac/cmd/paintplates/field"
	"sandarac/cmd/paintplates/vec"
)

// Surface is what a material does at one point, all as the plate sees it (blue-sensitive).
type Surface struct {
	Albedo float64 // diffuse reflectance, 0–1
	Gloss  float64 // strength of the highlight, 0–1
	Sharp  float64 // exponent of the highlight
	Soft   float64 // 0–1: how far light wraps round, as in skin and wax
	Tilt   vec.V   // added to the normal before shading: fine relief
	Hair   vec.V   // direction of strands; null for none
	Mirror float64 // share of the surroundings mirrored, for water, glass and metal
}

// Material looks a surface up; n is the outward normal.
type Material func(p, n vec.V) Surface

// Thing is one solid with its material.
type Thing struct {
	Name  string
	Solid *field.Baked
	Skin  Material
	Ghost bool    // casts no shadow and fills no sky: thin veils of no weight
	Veil  float64 // share of light that passes (0 = opaque); for gauze and glass
}

// Window is a rectangular light: centre, half sides, brightness.
type Window struct {
	Centre, U, V vec.V
	Power        float64
}

// Camera looks from Eye to Aim. Height is the height of the field at the focus, in centimetres; Iris the radius of
// the aperture.
type Camera struct {
	Eye, Aim       vec.V
	Height         float64
	Focus          vec.V // in focus here; null for Aim
	Iris           float64
	ShiftX, ShiftY float64 // movement of the field, in centimetres at the focus
}

// Scene is all there is.
type Scene struct {
	Things  []Thing
	Windows []Window
	Room    func(dir vec.V) float64 // what the surroundings send from a direction
	Back    func(dir vec.V) float64 // what the camera sees where nothing stands; nil for Room
	Cam     Camera
	Far     float64
	Haze    float64 // share of the back's light added per metre of distance
}

// Frame is exposure, rows from the top.
type Frame struct {
	W, H int
	Pix  []float64
}

// At is the exposure at a pixel, clamped to the frame.
func (f *Frame) At(x, y int) float64 {
	x = min(max(x, 0), f.W-1)
	y = min(max(y, 0), f.H-1)
	return f.Pix[y*f.W+x]
}

// Even is a room that is equally bright all round.
func Even(level float64) func(vec.V) float64 { return func(vec.V) float64 { return level } }

// Dome is brighter above than below.
func Dome(top, bottom float64) func(vec.V) float64 {
	return func(d vec.V) float64 { return bottom + (top-bottom)*(0.5+0.5*d.Y) }
}

// Toward is a dome with a brighter side.
func Toward(side vec.V, bright, dark float64) func(vec.V) float64 {
	side = side.Norm()
	return func(d vec.V) float64 {
		t := 0.5 + 0.5*d.Dot(side)
		return dark + (bright-dark)*t*t
	}
}

// Plain is a matt material.
func Plain(albedo float64) Material {
	return func(_, _ vec.V) Surface { return Surface{Albedo: albedo} }
}

// Shiny has a highlight too.
func Shiny(albedo, gloss, sharp float64) Material {
	return func(_, _ vec.V) Surface { return Surface{Albedo: albedo, Gloss: gloss, Sharp: sharp} }
}

func frameOf(dir vec.V) (u, v vec.V) {
	up := vec.V{Y: 1}
	if math.Abs(dir.Y) > 0.95 {
		up = vec.V{X: 1}
	}
	u = up.Cross(dir).Norm()
	return u, dir.Cross(u)
}
