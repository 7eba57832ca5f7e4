package scenes

import (
	"sandarac/cmd/paintplates/light"
)

// The sitters' faces, the same from plate to plate.
var (
	bramwen   = Face{Wide: -0.1, Jaw: -0.8, Nose: -0.1, Brow: -0.6, Age: 0.4, Lips: 0.1, Brows: 0.55, Iris: 0.45, Seed: 11, Cheek: 0.1}
	gundred   = Face{Wide: 0.7, Jaw: -0.1, Nose: -0.5, Brow: -0.5, Age: 0.2, Lips: 0.3, Brows: 0.8, Iris: 0.2, Seed: 12, Cheek: 0.6, Freck: 0.8}
	odo       = Face{Wide: 0.4, Jaw: 0.4, Nose: 0.6, Hook: 0.5, Age: 0.6, Brow: 0.6, Brows: 0.9, Iris: 0.45, Seed: 13}
	pim       = Face{Child: true, Wide: 0.1, Jaw: -0.6, Nose: -0.7, Lips: 0.3, Cheek: 0.7, Brows: 0.6, Iris: 0.45, Seed: 14, Skin: 0.40, Freck: 0.7}
	ysolt     = Face{Wide: -0.5, Jaw: -0.9, Nose: 0.0, Hook: 0.15, Brow: -0.6, Lips: 0.3, Brows: 0.8, Iris: 0.12, Seed: 15, Cheek: -0.1, Skin: 0.38}
	casper    = Face{Wide: 1, Jaw: 1, Nose: 0.4, Hook: 0.4, Age: 0.8, Brow: 1, Brows: 1, Iris: 0.1, Seed: 16, Cheek: 0.4, Skin: 0.27}
	linnet    = Face{Wide: 0, Jaw: -0.9, Nose: -0.6, Brow: -0.7, Lips: 0.4, Cheek: 0.5, Brows: 0.8, Iris: 0.2, Seed: 17, Skin: 0.38}
	maudeline = Face{Wide: -0.2, Jaw: -0.8, Nose: -0.3, Brow: -0.6, Lips: 0.4, Cheek: 0.2, Brows: 0.7, Iris: 0.5, Seed: 18, Skin: 0.36, Freck: 1}
	tobit     = Face{Wide: -0.3, Jaw: 0.1, Nose: 0.9, Hook: 0.6, Age: 1, Lips: -0.6, Brow: 0.7, Brows: 0.3, Iris: 0.5, Seed: 19, Cheek: -0.9, Skin: 0.30}
	hesper    = Face{Wide: -0.1, Jaw: -0.3, Brow: -0.3, Nose: 0.4, Hook: 0.3, Age: 0.45, Brows: 0.8, Iris: 0.4, Seed: 20, Cheek: -0.3, Skin: 0.28}
	ruben     = Face{Wide: -0.1, Jaw: 0.5, Nose: 0.2, Age: 0.2, Brow: 0.4, Brows: 0.9, Iris: 0.1, Seed: 21, Stub: 0.6, Skin: 0.30}
	stranger  = Face{Wide: 0, Jaw: 0.2, Nose: 0.5, Hook: 0.4, Age: 0.4, Brows: 0.7, Iris: 0.3, Seed: 22}
	dorrit    = Face{Wide: -0.2, Jaw: -0.2, Nose: 0.6, Hook: 0.4, Age: 1, Lips: -0.7, Brows: 0.3, Iris: 0.4, Seed: 23, Cheek: -0.5, Lids: 1, Skin: 0.36}
	anselm    = Face{Wide: 0, Jaw: 0.2, Nose: 0.3, Age: 0.35, Brow: 0.3, Brows: 0.8, Iris: 0.3, Seed: 24, Cheek: -0.2}
	jonet     = Face{Wide: 0, Jaw: -0.7, Nose: 0.0, Brow: -0.6, Age: 0.3, Lips: 0.1, Brows: 0.8, Iris: 0.15, Seed: 25, Cheek: 0.1, Skin: 0.38}
	ambrel    = Face{Wide: -0.6, Jaw: 0, Nose: 0.6, Hook: 0.3, Age: 0.5, Brows: 0.8, Iris: 0.4, Seed: 26, Cheek: -0.8}
)

func one(p Person, kind string, side, back, height float64, extra ...light.Thing) *light.Scene {
	aim := v(0, -9, 0)
	if len(extra) > 0 { // room for what is held
		aim.Y = -15
	}
	return Portrait{People: []Person{p}, Kind: kind, Side: side, Back: back, Height: height, Aim: aim, Extra: extra}.scene()
}

var portraits = map[string]func() *light.Scene{
	"bramwen-windlass": func() *light.Scene {
		return one(Person{Face: bramwen, Yaw: -32, Pitch: 2, Body: -45, Hair: "plait", HairTone: 0.13, Hat: "flat cap", HatTone: 0.12, Dress: "jacket", DressTone: 0.10, Scarf: 0.45, Size: 0.4}, "north skylight", -1, 0.22, 70, withWindlass()...)
	},
	"gundred-first": func() *light.Scene {
		return one(Person{Face: gundred, Yaw: 4, Pitch: 3, Body: 12, Hair: "crop", HairTone: 0.16, Hat: "headscarf", HatTone: 0.30, Dress: "jersey", DressTone: 0.16, Size: 0.8}, "north skylight", -1, 0.30, 56)
	},
	"odo-veil": func() *light.Scene {
		return one(Person{Face: odo, Yaw: -34, Pitch: 4, Body: -24, Hair: "crop", HairTone: 0.18, Beard: "full", BeardTone: 0.28, Hat: "straw", HatTone: 0.5, Dress: "jacket", DressTone: 0.22, Size: 0.9}, "open shade", -1, 0.16, 70, []light.Thing{thrownVeil()}...)
	},
	"pim-with-skep": func() *light.Scene {
		return one(Person{Face: pim, Yaw: 28, Pitch: 2, Body: 16, Hair: "parted", HairTone: 0.30, Dress: "shirt", DressTone: 0.62, Size: -0.9}, "open shade", -1, 0.14, 70, []light.Thing{skep(v(-25, -52, -4), 34, 18, 5)}...)
	},
	"ysolt-profile": func() *light.Scene {
		return one(Person{Face: ysolt, Yaw: -86, Pitch: -2, Body: -62, Hair: "bun", HairTone: 0.08, Dress: "dress", DressTone: 0.10, Size: 0.3}, "north skylight", -1, 0.10, 72, withFiddle()...)
	},
	"ysolt-first-try": func() *light.Scene {
		return one(Person{Face: ysolt, Yaw: 38, Pitch: 4, Body: 20, Hair: "bun", HairTone: 0.08, Dress: "dress", DressTone: 0.10, Size: 0.3}, "north skylight", -1, 0.16, 56)
	},
	"casper-and-bell": func() *light.Scene {
		return one(Person{Face: casper, Yaw: 24, Pitch: 3, Body: 10, Hair: "fringe", HairTone: 0.20, Beard: "full", BeardTone: 0.32, Dress: "apron", DressTone: 0.08, Size: 1.2}, "lamp bank", -1, 0.10, 86, withBell()...)
	},
	"linnet-apprentice": func() *light.Scene {
		return one(Person{Face: linnet, Yaw: -6, Pitch: 2, Body: 10, Hair: "plait", HairTone: 0.14, Hat: "headscarf", HatTone: 0.34, Dress: "shirt", DressTone: 0.4, Size: -0.4}, "lamp bank", -1, 0.14, 56)
	},
	"maudeline-ferry": func() *light.Scene {
		return one(Person{Face: maudeline, Yaw: -28, Pitch: 8, Body: -10, Hair: "plait", HairTone: 0.26, Dress: "oilskin", DressTone: 0.10, Size: 0}, "open shade", 1, 0.2, 56)
	},
	"tobit-basket": func() *light.Scene {
		return one(Person{Face: tobit, Yaw: 30, Pitch: 5, Body: 14, Hair: "crop", HairTone: 0.5, Beard: "moustache", BeardTone: 0.62, Hat: "felt", HatTone: 0.13, Dress: "waistcoat", DressTone: 0.12, Size: 0.3}, "open shade", -1, 0.16, 82, withBasket()...)
	},
	"tobit-again": func() *light.Scene {
		return one(Person{Face: tobit, Yaw: -24, Pitch: 3, Body: -16, Hair: "fringe", HairTone: 0.55, Beard: "moustache", BeardTone: 0.62, Dress: "jacket", DressTone: 0.10, Size: 0.3}, "north skylight", -1, 0.14, 54)
	},
	"hesper-rope": func() *light.Scene {
		return one(Person{Face: hesper, Yaw: 26, Pitch: -2, Body: 8, Hair: "bun", HairTone: 0.1, Hat: "peaked", HatTone: 0.05, Dress: "jacket", DressTone: 0.06, Scarf: 0, Size: 0.7}, "open shade", -1, 0.24, 72, withRope()...)
	},
	"two-ferry-hands": func() *light.Scene {
		a := Person{Face: gundred, Yaw: 16, Pitch: 2, Body: 18, Hair: "under", HairTone: 0.16, Hat: "knitted", HatTone: 0.20, Dress: "jersey", DressTone: 0.10, Size: 0.6, At: v(-21, -2, 0)}
		b := Person{Face: ruben, Yaw: -12, Pitch: 2, Body: -16, Hair: "swept", HairTone: 0.06, Dress: "jacket", DressTone: 0.08, Size: 0.9, At: v(20, 3, -5)}
		return Portrait{People: []Person{a, b}, Kind: "open shade", Side: -1, Back: 0.22, Height: 66, Aim: v(0, -10, 0)}.scene()
	},
	"gundred-kerchief": func() *light.Scene {
		return one(Person{Face: gundred, Yaw: 36, Pitch: 3, Body: 26, Hair: "under", HairTone: 0.16, Hat: "kerchief", HatTone: 0.62, Dress: "shawl", DressTone: 0.12, Size: 0.8}, "north skylight", 1, 0.06, 58)
	},
	"passer-by": func() *light.Scene {
		return one(Person{Face: stranger, Yaw: 84, Pitch: -2, Body: 60, Hair: "crop", HairTone: 0.1, Beard: "moustache", Hat: "bowler", HatTone: 0.05, Dress: "jacket", DressTone: 0.07, Size: 0.6}, "open shade", 1, 0.5, 58)
	},
	"dorrit-simples": func() *light.Scene {
		return one(Person{Face: dorrit, Yaw: -24, Pitch: 9, Body: -14, Hair: "under", HairTone: 0.6, Hat: "lace cap", HatTone: 0.85, Dress: "shawl", DressTone: 0.07, Size: -0.2}, "north skylight", -1, 0.12, 58)
	},
	"anselm-concertina": func() *light.Scene {
		return one(Person{Face: anselm, Yaw: -22, Pitch: 2, Body: -8, Hair: "swept", HairTone: 0.12, Beard: "whiskers", Dress: "waistcoat", DressTone: 0.08, Size: 0.6}, "north skylight", -1, 0.18, 80, withConcertina()...)
	},
	"anselm-lamps": func() *light.Scene {
		return one(Person{Face: anselm, Yaw: -78, Pitch: 0, Body: -50, Hair: "swept", HairTone: 0.12, Beard: "whiskers", Dress: "jacket", DressTone: 0.07, Size: 0.6}, "lamp bank", -1, 0.07, 58)
	},
	"jonet-sealed": func() *light.Scene {
		return one(Person{Face: jonet, Yaw: -36, Pitch: 1, Body: -22, Hair: "bun", HairTone: 0.09, Dress: "dress", DressTone: 0.07, Size: 0.3}, "lamp bank", -1, 0.16, 54)
	},
	"bramwen-profile": func() *light.Scene {
		return one(Person{Face: bramwen, Yaw: 82, Pitch: -7, Body: 60, Hair: "bun", HairTone: 0.10, Hat: "flat cap", HatTone: 0.14, Dress: "jacket", DressTone: 0.09, Scarf: 0.5, Size: 0.4}, "open shade", 1, 0.07, 58)
	},
	"odo-whole": func() *light.Scene {
		return Portrait{People: []Person{{Face: odo, Yaw: 18, Pitch: 2, Body: 24, Hair: "swept", HairTone: 0.20, Beard: "full", BeardTone: 0.28, Dress: "jacket", DressTone: 0.12, Size: 0.9}}, Kind: "open shade", Side: -1, Back: 0.10, Height: 44, Aim: v(0, -5, 0), Iris: 2.2}.scene()
	},
	"ambrel-net-mender": func() *light.Scene {
		return one(Person{Face: ambrel, Yaw: 33, Pitch: 3, Body: 20, Hair: "crop", HairTone: 0.1, Beard: "short", BeardTone: 0.12, Hat: "knitted", HatTone: 0.14, Dress: "jersey", DressTone: 0.2, Size: 0.3}, "north skylight", 1, 0.16, 58)
	},
	"gundred-hood": func() *light.Scene {
		return one(Person{Face: gundred, Yaw: -26, Pitch: 2, Body: -20, Hair: "under", HairTone: 0.12, Hat: "hood", HatTone: 0.06, Dress: "shawl", DressTone: 0.06, Size: 0.7}, "lamp bank", -1, 0.04, 54)
	},
}
