// Package orthochrome estimates how a colour comes out on a wet collodion
// plate, beside how the eye sees it. In goes a reflectance curve of cloth,
// hair or skin; out come two tones, the eye's and the plate's.
//
// It is an approximation and the pages say so. Three things are known well:
// daylight (CIE standard illuminant D65), the eye (CIE 1931 observer) and the
// arithmetic. The plate's sensitivity is read off handbook limits, not off a
// measured curve; the reflectances are smooth curves drawn to match a colour's
// name, and a real cloth of that name may differ, most of all when it was
// washed with an optical brightener, which this model leaves out.
package orthochrome
