// Package care is what goes with a plate when it leaves the studio: how to hold
// and keep it, by support and varnish, and the clock until its varnish has
// cured.
//
// In go a support ("tin", "aluminium", "glass", "glass-negative"), whether it is
// varnished, and the studio's own lines; out come Lines for a page, or five
// short ones for an envelope card. Each line that rests on a publication names
// it; the others are common practice. Nothing here promises how long a plate
// lasts.
package care
