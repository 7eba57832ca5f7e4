package care

import "strings"

// CardLines returns five short lines for the envelope, then the studio's own.
func CardLines(support string, varnished bool, extra []string) []string {
	out := []string{
		"Hold by the edges, clean dry hands. Never touch the image.",
		"Never wipe, wet, polish or spray: alcohol and cleaners dissolve it.",
		cardSupport(support),
		"Keep " + Climate + ".",
		"Out of sun, off radiators; acid-free envelope, padded box.",
	}
	if !varnished {
		out[1] = "Not varnished: never wipe, wet, polish or spray; the silver rubs off."
	}
	for _, text := range extra {
		if text = strings.TrimSpace(text); text != "" {
			out = append(out, text)
		}
	}
	return out
}

func cardSupport(support string) string {
	switch support {
	case "tin":
		return "Iron plate: do not bend; scratches and edges rust."
	case "aluminium":
		return "Aluminium plate: do not bend or scratch."
	case "glass":
		return "Glass: it breaks. On edge, padded; keep its dark backing."
	case "glass-negative":
		return "Glass negative: it breaks. Rest it on the side without image."
	}
	return "Do not bend, press or drop it."
}
